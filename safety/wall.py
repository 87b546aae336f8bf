"""The clock on the shop's wall: what time it is there, and which moments a time on it can mean.

A shop says its time zone in shop.toml. One that does not has that of the computer, whatever it is set to.
"""

from __future__ import annotations

from datetime import datetime, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

from safety.model import Shop


def zone_of(shop: Shop) -> tzinfo | None:
    """The time zone of a shop; None for that of the computer."""
    return ZoneInfo(shop.timezone) if shop.timezone else None


def now_at(shop: Shop) -> datetime:
    """This moment, by the clock on the shop's wall, with its offset."""
    return fixed(datetime.now(timezone.utc), zone_of(shop))


def fixed(moment: datetime, zone: tzinfo | None) -> datetime:
    """An aware moment on the wall of a zone, with a plain offset: it reads the same wherever it is kept."""
    there = moment.astimezone(zone)
    return there.replace(tzinfo=timezone(there.utcoffset() or timedelta(0)), fold=0)


def meanings(wall: datetime, zone: tzinfo | None) -> tuple[datetime, ...]:
    """The moments that a time on the wall can mean: none in the hour that is left out, two in one that comes twice."""
    found = {}
    for fold in (0, 1):
        moment = wall.replace(tzinfo=zone, fold=fold).astimezone(timezone.utc)
        there = fixed(moment, zone)
        if there.replace(tzinfo=None) == wall.replace(tzinfo=None, fold=0):
            found[moment] = there
    return tuple(found[moment] for moment in sorted(found))
