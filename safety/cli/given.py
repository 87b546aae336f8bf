"""``--start``, ``--air``, ``--as-of``: a job at another moment, in other air, by other rules. No file is changed."""

from __future__ import annotations

from datetime import date, datetime
from typing import TYPE_CHECKING

import click

from safety.words import say

if TYPE_CHECKING:
    from safety.model import Shop

START = click.option(
    "--start", metavar="TIME", help='When work begins, in place of the file: "now", "07:30" or a date and time.'
)
AIR = click.option("--air", metavar="STATE", help="The state of the air, in place of the job's own.")

AS_OF = click.option("--as-of", "as_of", metavar="DATE", help="The day whose rules hold, in place of the job's own.")


def day_of(as_of: str | None) -> date | None:
    """The day whose rules are asked for."""
    from safety.problems import Problem, Problems

    try:
        return None if as_of is None else date.fromisoformat(as_of.strip())
    except ValueError:
        wrong = say('"{text}" is no date', text=as_of)
        raise Problems([Problem("--as-of", 0, "", wrong, say("write a day such as 2026-04-09"))]) from None


def moment(start: str | None, shop: Shop) -> datetime | None:
    """When work is to begin, by the clock on the wall: "now", a time of today, or a date with a time."""
    from safety.files.notation import Miswritten
    from safety.files.notation import moment as read
    from safety.problems import Problem, Problems
    from safety.wall import now_at

    if start is None:
        return None
    now = now_at(shop).replace(tzinfo=None, second=0, microsecond=0)
    if start.strip() == "now":
        return now
    try:
        today = datetime.strptime(start.strip(), "%H:%M")
    except ValueError:
        try:
            return read(start)
        except Miswritten as error:
            write = say('write "now", "07:30" for today, or "2026-11-25T07:30"')
            raise Problems([Problem("--start", 0, "", error.wrong, write)]) from None
    return now.replace(hour=today.hour, minute=today.minute)


def state_of(air: str | None) -> str:
    """The state of the air that is asked for; "" where none is."""
    from safety.files.notation import Miswritten, text
    from safety.problems import Problem, Problems

    try:
        return "" if air is None else text(air)
    except Miswritten as error:
        raise Problems([Problem("--air", 0, "", error.wrong, say("write a state of the place"))]) from None
