"""``--start`` and ``--air``: a job at another moment, or in another state of the air. No file is changed."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

import click

from safety.words import say

if TYPE_CHECKING:
    from safety.model import Shop

START = click.option(
    "--start", metavar="TIME", help='When work begins, in place of the file: "now", "07:30" or a date and time.'
)
AIR = click.option("--air", metavar="STATE", help="The state of the air, in place of the job's own.")


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
