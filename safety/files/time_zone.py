"""The time zone of the clock on a shop's wall."""

from __future__ import annotations

from difflib import get_close_matches
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError, available_timezones

from safety.files.notation import Miswritten, nearest, text
from safety.words import say


def time_zone(value: object) -> str:
    """The name of a time zone of the IANA list."""
    line = text(value)
    try:
        ZoneInfo(line)
    except (ZoneInfoNotFoundError, ValueError, OSError):  # of a folder of zones it is an OSError
        known = available_timezones()
        wrong = say('there is no time zone "{name}"', name=line)
        near = nearest(line, known) if get_close_matches(line, known, 1) else ""
        raise Miswritten(wrong, near or say('write for example "America/New_York"')) from None
    return line
