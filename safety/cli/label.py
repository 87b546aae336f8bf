"""``hazstep label``: the label of a waste container, or of a can."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, timedelta
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from safety.cli import DONE, INCOMPLETE, complete, label_can
from safety.cli.options import FORM, language, shop
from safety.cli.output import Target, look, write
from safety.words import say

if TYPE_CHECKING:
    from safety.model import (
        Balance,
        Container,
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
@click.argument("name", metavar="NAME", shell_complete=complete.containers)
@click.option(
    "--pdf",
    type=click.Path(path_type=Path),
    metavar="FILE",
    help="Also write a PDF: a new file, or over an earlier one.",
)
@click.option("--month", metavar="YYYY-MM", help="As of the end of this month. Left out: this one.")
@label_can.options
@language("What the label of a can speaks.")
@shop()
@FORM
@click.pass_context
def command(
    ctx: click.Context, /, name: str, pdf: Path | None, month: str | None, folder: Path, form: str, **can: Any
) -> None:
    """Print the label of a waste container, or of a can.

    NAME is the id of a container in shop.toml. The words are those of the shop's rules packs. Start date, hazards and
    codes are from the ledger.

    With --can, NAME is the id of a product: the label is for a can filled from a larger one. It has its name, hazards,
    signs, lot and dates, and a code of the lot. It is not made where nobody knows the hazards. As PDF it goes on a
    sheet of labels.

    \b
    Examples:
      hazstep label rags-1 --month 2026-11 --pdf label.pdf
      hazstep label acetone --can --lot A-2607 --start-at 3 --pdf can.pdf

    The exit status is 3 where a plugin failed, none knows the container, what is in it is not all known, or records
    may be left out; of a can, where anything on it is unknown or its lot has expired.
    """
    from safety.problems import Problem, Problems
    from safety.render import is_pdf
    from safety.workplace import Workplace

    target = Target(pdf, ".pdf", partial(is_pdf, "label")) if pdf else None
    look(target)
    workplace = Workplace.open(folder)
    given = label_can.CanOptions(**can)
    if given.can:
        if month is not None:
            wrong = say("a can is filled today, and a month is of a waste container")
            raise Problems([Problem("label", 0, "--month", wrong, say("leave it out"))])
        ctx.exit(label_can.run(workplace, name, given, target, form))
    label_can.refuse_without_can(given)
    _container(ctx, workplace, name, target, month, form)


def _container(
    ctx: click.Context, workplace: Workplace, container: str, target: Target | None, month: str | None, form: str
) -> None:
    from safety.files.notation import Miswritten, day, nearest
    from safety.paper_codes import of_container
    from safety.problems import Problem, Problems
    from safety.render import label

    shop = workplace.shop
    known = list(dict.fromkeys([*(c.id for c in shop.containers), *(_recorded(workplace) if month else ())]))
    if container not in known:
        wrong = say('there is no container "{id}"', id=container)
        raise Problems([Problem("shop.toml", 0, "[[container]]", wrong, nearest(container, known))])
    try:
        first = date.today().replace(day=1) if month is None else day(say("{month}-01", month=month))
    except Miswritten:
        wrong = say('"{month}" is not a month', month=month)
        raise Problems([Problem("--month", 0, "", wrong, say("write for example 2026-11"))]) from None
    grid, shown, failures = _table(workplace, container, first, today=month is None)
    for failure in failures:
        click.echo(failure, err=True)
    if grid is None:
        click.echo(say("No plugin says what must stand on {container}.", container=container), err=True)
        ctx.exit(INCOMPLETE)
    code = of_container(container)
    if target:
        write({target: label.pdf(grid, shop, shown, code)})
    if form == "json":
        import json

        record = {
            "container": container,
            "as_of": f"{first:%Y-%m}",
            "unknown": list(grid.unknown),
            "rows": [list(row) for row in grid.rows],
            "symbols": list(shown),
            "code": code.letters,
        }
        click.echo(json.dumps(record, ensure_ascii=False, indent=2))
    else:
        click.echo(label.text(grid, shop, shown, code), nl=False)
    ctx.exit(INCOMPLETE if failures or grid.unknown else DONE)


def _recorded(workplace: Workplace) -> list[str]:
    """Containers with records of a time when shop.toml listed them."""
    with workplace.records(workplace.shop) as ledger:
        return [] if ledger is None else sorted(c.id for c in ledger.containers().values())


def _table(
    workplace: Workplace, container: str, first: date, *, today: bool
) -> tuple[Grid | None, tuple[str, ...], list[str]]:
    """What the plugins say of a container at the end of a month, its symbols, and sentences on what is missing."""
    from safety.model import Grid, Period

    shop, in_force = workplace.shop, workplace.on((first + timedelta(days=31)).replace(day=1) - timedelta(days=1))
    plugins, reference = in_force.plugins, in_force.reference
    period = Period(f"{first:%Y-%m}", f"{first:%Y-%m}")
    found = None
    with workplace.records(shop) as ledger:
        seen = NoRecords() if ledger is None else ledger.as_listed() if today else ledger
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

    def containers(self) -> Mapping[int, Container]:
        return {}

    def as_listed(self) -> NoRecords:
        return self

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
