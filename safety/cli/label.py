"""``hazstep label``: the label of a waste container, or of a can."""

from __future__ import annotations

from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from safety.cli import DONE, INCOMPLETE, complete, label_can
from safety.cli.options import FORM, language, shop
from safety.cli.output import Target, look, write
from safety.wall import now_at
from safety.words import say

if TYPE_CHECKING:
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
    from safety.waste_label import labelled, on_label

    shop = workplace.shop
    known = labelled(workplace, today=month is None)
    if container not in known:
        wrong = say('there is no container "{id}"', id=container)
        raise Problems([Problem("shop.toml", 0, "[[container]]", wrong, nearest(container, known))])
    try:
        first = now_at(shop).date().replace(day=1) if month is None else day(say("{month}-01", month=month))
    except Miswritten:
        wrong = say('"{month}" is not a month', month=month)
        raise Problems([Problem("--month", 0, "", wrong, say("write for example 2026-11"))]) from None
    grid, shown, failures = on_label(workplace, container, first, today=month is None)
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
