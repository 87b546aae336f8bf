"""``hazstep label --can``: the label of a can that was filled from a larger one."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING, Any

import click

from safety.cli import DONE, INCOMPLETE
from safety.cli.output import Target, write
from safety.words import say

if TYPE_CHECKING:
    from safety.workplace import Workplace

#: As ``safety.render.label_sheets.SHEETS``, which takes too long to import for a line of help.
SHEETS = ("4x3.33in-3x2", "4x2in-5x2", "105x148mm-2x2", "99x68mm-4x2", "105x74mm-4x2")


@dataclass(frozen=True, slots=True)
class CanOptions:
    """What a person gave of a can."""

    can: bool
    lot: str
    sheet: str | None
    start_at: int
    count: int


def options(command: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a can's label."""
    for option in (
        click.option("--can", is_flag=True, help="For a can filled from a larger one; then NAME is a product."),
        click.option("--lot", default="", metavar="LOT", help="The lot it was filled from. Left out: unknown."),
        click.option(
            "--sheet", type=click.Choice(SHEETS), help="Size of a label, rows x columns. Left out: as [shop] prints."
        ),
        click.option(
            "--start-at",
            type=click.IntRange(1),
            default=1,
            show_default=True,
            metavar="PLACE",
            help="First free place of a partly used sheet, counted by rows.",
        ),
        click.option(
            "--count", type=click.IntRange(1, 500), default=1, show_default=True, help="How many of the same."
        ),
    )[::-1]:
        command = option(command)
    return command


def refuse_without_can(given: CanOptions) -> None:
    """Raises Problems where an option of cans is given for a waste container: it would be left unheard."""
    from safety.problems import Problem, Problems

    heard = {"--lot": given.lot, "--sheet": given.sheet, "--start-at": given.start_at > 1, "--count": given.count > 1}
    wrong = say("this is of a can, and a waste container is asked for")
    found = [
        Problem("label", 0, name, wrong, say("add --can, or leave it out")) for name, said in heard.items() if said
    ]
    if found:
        raise Problems(found)


def run(workplace: Workplace, product: str, given: CanOptions, target: Target | None, form: str) -> int:
    """Print the label; the exit status."""
    from safety.cans import can_label
    from safety.render import can_label as page
    from safety.wall import now_at

    label = can_label(workplace, product, given.lot, now_at(workplace.shop).date())
    for sentence in label.unknown:
        click.echo(sentence, err=True)
    if target:
        write({target: _sheet(workplace, page.pdf, label, given)})
    if form == "json":
        record = {**asdict(label), "filled": label.filled.isoformat()}
        click.echo(json.dumps(record, ensure_ascii=False, indent=2))
    else:
        click.echo(page.text(label), nl=False)
    return INCOMPLETE if label.unknown or label.against else DONE


def _sheet(workplace: Workplace, pdf: Callable[..., bytes], label: Any, given: CanOptions) -> bytes:
    from safety.problems import Problem, Problems
    from safety.render.can_label import TooSmall
    from safety.render.label_sheets import SHEETS as KNOWN

    shop = workplace.shop
    name = given.sheet or ("4x3.33in-3x2" if shop.print_units == "us" else "105x148mm-2x2")
    sheet = KNOWN[name]
    if given.start_at > sheet.each:
        wrong = say("a sheet {name} has {count} places", name=name, count=sheet.each)
        raise Problems([Problem("label", 0, "--start-at", wrong, say("count by rows from the upper left, from 1"))])
    try:
        return pdf(label, shop, sheet, given.start_at, given.count)
    except TooSmall:
        wrong = say("what must stand on the label of {product} has no room on {name}", product=label.name, name=name)
        write = say("take larger labels, as --sheet 105x148mm-2x2 or --sheet 4x3.33in-3x2")
        raise Problems([Problem("label", 0, "--sheet", wrong, write)]) from None
