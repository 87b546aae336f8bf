"""``hazstep label``: the label of a waste container."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import DONE, INCOMPLETE, complete
from safety.cli.options import FORM, shop
from safety.cli.output import Target, look, write
from safety.words import say

if TYPE_CHECKING:
    from safety.model import (
        Balance,
        Counted,
        Edition,
        Entry,
        EntryKind,
        Flow,
        Grid,
        Lot,
        Period,
        ProductTotal,
        SubstanceTotal,
    )
    from safety.workplace import Workplace


@click.command()
@click.argument("container", metavar="CONTAINER", shell_complete=complete.containers)
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write a PDF: a new file, or over an earlier one.",
)
@click.option("--month", metavar="YYYY-MM", help="As of the end of this month. Left out: this one.")
@shop()
@FORM
@click.pass_context
def command(ctx: click.Context, container: str, pdf: Path | None, month: str | None, folder: Path, form: str) -> None:
    """Print the label of a waste container.

    CONTAINER is its id in shop.toml. The words are those of the shop's rules packs. Start date, hazards and codes are
    from the ledger.

    \b
    Example:
      hazstep label rags-1 --month 2026-11 --pdf label.pdf

    The exit status is 3 where a plugin failed, none knows the container, what is in it is not all known, or records
    may be left out.
    """
    from safety.files.notation import Miswritten, day, nearest
    from safety.problems import Problem, Problems
    from safety.render import is_pdf, label
    from safety.workplace import Workplace

    target = Target(pdf, ".pdf", partial(is_pdf, "label")) if pdf else None
    look(target)
    workplace = Workplace.open(folder)
    shop = workplace.shop
    known = [c.id for c in shop.containers]
    if container not in known:
        wrong = say('there is no container "{id}"', id=container)
        raise Problems([Problem("shop.toml", 0, "[[container]]", wrong, nearest(container, known))])
    try:
        first = date.today().replace(day=1) if month is None else day(say("{month}-01", month=month))
    except Miswritten:
        wrong = say('"{month}" is not a month', month=month)
        raise Problems([Problem("--month", 0, "", wrong, say("write for example 2026-11"))]) from None
    grid, shown, failures = _table(workplace, container, first)
    for failure in failures:
        click.echo(failure, err=True)
    if grid is None:
        click.echo(say("No plugin says what must stand on {container}.", container=container), err=True)
        ctx.exit(INCOMPLETE)
    if target:
        write({target: label.pdf(grid, shop, shown)})
    if form == "json":
        import json

        record = {
            "container": container,
            "as_of": f"{first:%Y-%m}",
            "unknown": list(grid.unknown),
            "rows": [list(row) for row in grid.rows],
            "symbols": list(shown),
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=2))
    else:
        click.echo(label.text(grid, shop, shown), nl=False)
    ctx.exit(INCOMPLETE if failures or grid.unknown else DONE)


def _table(workplace: Workplace, container: str, first: date) -> tuple[Grid | None, tuple[str, ...], list[str]]:
    """What the plugins say of a container at the end of a month, its symbols, and sentences on what is missing."""
    from safety.model import Grid, Period

    shop, in_force = workplace.shop, workplace.on((first + timedelta(days=31)).replace(day=1) - timedelta(days=1))
    plugins, reference = in_force.plugins, in_force.reference
    period = Period(f"{first:%Y-%m}", f"{first:%Y-%m}")
    found = None
    with workplace.records(shop) as ledger:
        seen = NoRecords() if ledger is None else ledger
        for _, blocks in plugins.ask("log_blocks", period=period, ledger=seen, reference=reference, shop=shop, jobs=()):
            for block in blocks:
                if isinstance(block, Grid) and block.key == f"container:{container}":
                    found = block
        missing = [seen.left_out] if seen.left_out else []
    shown: tuple[str, ...] = ()
    if found is not None and found.statements:
        signs = in_force.signs({container: found.statements})
        shown = signs[0].symbols if signs else ()
        missing += [] if signs else [say("No plugin says which signs {container} carries.", container=container)]
    failures = missing + [
        say("{plugin} did not answer ({hook}): {reason}", plugin=f.plugin, hook=f.hook, reason=f.reason)
        for f in plugins.failures
    ]
    return found, shown, failures


class NoRecords:
    """The view of a ledger that has no lines."""

    begins: date | None = None
    shops: tuple[str, ...] = ()
    left_out = ""

    def entries(self, period: Period, kind: EntryKind | None = None) -> tuple[Entry, ...]:
        return ()

    def editions(self) -> Mapping[int, Edition]:
        return {}

    def flows(self, period: Period) -> tuple[Flow, ...]:
        return ()

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        return ()

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        return ()

    def balance(self, period: Period) -> tuple[Balance, ...]:
        return ()

    def lots(self) -> tuple[Lot, ...]:
        return ()
