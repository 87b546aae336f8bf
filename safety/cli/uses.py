"""``hazstep uses``: which products hold a substance or a hazard, and which jobs use them."""

from __future__ import annotations

import json
import sys
from collections.abc import Iterator, Sequence
from dataclasses import asdict
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import click

from safety.cli import DONE, INCOMPLETE
from safety.cli.given import AS_OF, day_of
from safety.cli.options import FORM, shop
from safety.wall import now_at
from safety.words import joined, say

if TYPE_CHECKING:
    from safety.holds import Held, Holder, UsedIn


@click.command()
@click.argument("what", metavar="CAS|H-CODE")
@AS_OF
@shop()
@FORM
def command(what: str, as_of: str | None, folder: Path, form: str) -> None:
    """Show which products hold a substance or a hazard, and which jobs use them.

    A substance is asked for by its CAS number. An H-code finds the products that have it by their data sheet or by the
    rules for mixtures, and those with a part that has it, however little: H350 finds H350i, too.

    A product that does not say all it holds may hold it. It is listed apart.

    \b
    Examples:
      hazstep uses 108-88-3
      hazstep uses H350 --format json

    The exit status is 3 where a product may hold it and nobody knows.
    """
    from safety.holds import holders, wanted
    from safety.render import text_safe
    from safety.workplace import Workplace

    asked = wanted(what)
    workplace = Workplace.open(folder)
    day: date = day_of(as_of) or now_at(workplace.shop).date()
    found = holders(workplace, asked, day)
    if form == "json":
        content = {"asked": asdict(asked), "day": day.isoformat(), "products": [asdict(one) for one in found]}
        click.echo(json.dumps(content, ensure_ascii=False, allow_nan=False, indent=2))
    else:
        for depth, line in _lines(found):
            click.echo("  " * depth + text_safe(line))
    sys.exit(INCOMPLETE if any(one.untold for one in found) else DONE)


def _lines(found: Sequence[Holder]) -> Iterator[tuple[int, str]]:
    """The products that hold it, each with its jobs; then those that may. Each line with how far it is set in."""
    sure = [one for one in found if one.held]
    yield 0, say("Products that hold it: {count}.", count=len(sure))
    for one in sure:
        yield 0, ""
        yield 0, say("{id}: {name}", id=one.product, name=one.name)
        yield from ((1, _held(held)) for held in one.held)
        yield from ((1, _job(used)) for used in one.jobs)
        if not one.jobs:
            yield 1, say("No job uses it.")
        if one.untold:
            yield 1, say("There may be more of it: {why}.", why=joined(one.untold, "; "))
    rest = [one for one in found if not one.held]
    if rest:
        yield 0, ""
        yield 0, say("Products that may hold it, because not all is known of them: {count}.", count=len(rest))
    for one in rest:
        jobs = ", ".join(used.job for used in one.jobs) or say("no job")
        why = joined(one.untold, "; ")
        yield 1, say("{id}: {name}: {why}. Used in: {jobs}.", id=one.product, name=one.name, why=why, jobs=jobs)


def _held(one: Held) -> str:
    if one.low is None or one.high is None:
        return one.why
    low, high = (f"{100 * share:.4g}" for share in (one.low, one.high))
    share = say("{share} %", share=high) if low == high else say("{low} to {high} %", low=low, high=high)
    return say("{part}, {share}: {why}", part=one.part, share=share, why=one.why)


def _job(used: UsedIn) -> str:
    if not used.steps:
        return say("Job {job} ({title}): only carried in", job=used.job, title=used.title)
    steps = joined(used.steps, "; ")
    return say("Job {job} ({title}), in: {steps}", job=used.job, title=used.title, steps=steps)
