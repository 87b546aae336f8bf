"""How much waste a calendar month has, what of it counts, and the generator category that follows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from safety.cited import Unknown
from safety.model import Entry, LedgerView, Shop, Threshold
from safety.reference import Reference, past
from safety.words import say, term
from safety_waste.counted import Counting, counting, of_container
from safety_waste.fill import Fill, lines
from safety_waste.meant import meant
from safety_waste.rules import threshold

ORDER = ("VSQG", "SQG", "LQG")


@dataclass
class Month:
    """Waste of one calendar month [kg], by the day it went into a container."""

    month: str
    counted: float = 0.0
    wipes: float = 0.0  # excluded while every condition is met
    empties: float = 0.0  # empty containers
    apart: float = 0.0  # under rules of its own: universal waste, used oil, an episodic event
    asked: float = 0.0  # no code was found and nobody decided: whether it counts is a question
    acute: float = 0.0  # of what counts, acute hazardous waste
    none: float = 0.0  # decided to be no hazardous waste
    open: set[str] = field(default_factory=set)  # names of the products that are asked about
    unknown: int = 0  # lines without a mass that count
    entries: list[Entry] = field(default_factory=list)

    @property
    def at_least(self) -> str:
        """A word before the total where lines without a mass, or without an answer, are missing from it."""
        return say("at least ") if self.unknown or self.asked else ""


def months(ledger: LedgerView, shop: Shop, reference: Reference, until: date) -> dict[str, Month]:
    """Every month that has waste, up to a day."""
    return summed(counting(ledger, shop, reference, until), ledger, shop, until)


def summed(how: Counting, ledger: LedgerView, shop: Shop, until: date) -> dict[str, Month]:
    """The same, by how its lines count."""
    then = meant(ledger, shop)
    found: dict[str, Month] = {}
    for entry in lines(ledger, "waste", until):
        name = f"{entry.day:%Y-%m}"
        found.setdefault(name, Month(name)).entries.append(entry)
        kind, acute = how.kind(entry, then.product(entry), then.container(entry))
        month = found.setdefault(f"{how.day(entry):%Y-%m}", Month(f"{how.day(entry):%Y-%m}"))
        if kind == "asked":
            month.open.add(entry.product)
        if isinstance(entry.mass, Unknown):
            month.unknown += kind in ("counted", "asked")
            continue
        setattr(month, kind, getattr(month, kind) + entry.mass)
        month.acute += entry.mass if acute else 0.0
    return found


def category_of(month: Month, reference: Reference, careful: bool = False) -> tuple[str, Threshold | None]:
    """The category of a month and the bound it went over; ``careful``: what is asked about counts, too."""
    limit = threshold("generator-large-acute", reference)
    if limit is not None and past(month.acute, limit):
        return "LQG", limit
    return category(month.counted + (month.asked if careful else 0.0), reference)


def category(total: float, reference: Reference) -> tuple[str, Threshold | None]:
    """The category of a month's total [kg] of waste that is not acute, and the bound it went over; "": no rule."""
    large, small = threshold("generator-large", reference), threshold("generator-small", reference)
    if large is None or small is None:
        return "", None
    if past(total, large):
        return "LQG", large
    return ("SQG", small) if past(total, small) else ("VSQG", None)


def on_site(fills: Iterable[Fill], reference: Reference) -> tuple[float, bool]:
    """Waste that counts and is on site [kg], and whether lines without a mass are missing from it."""
    mine = [f for f in fills if of_container(f.container, reference) == "counted"]
    return sum(f.mass for f in mine), any(f.mass_unknown for f in mine)


def on_site_limit(category_id: str, reference: Reference) -> Threshold | None:
    """How much a category may have on site, the least that a pack says; None where there is no limit."""
    names = (str(row["on_site"]) for row in rows_of(category_id, reference) if row["on_site"])
    found = [limit for name in names if (limit := threshold(name, reference))]
    return min(found, key=lambda limit: limit.value, default=None)


def title(category_id: str, reference: Reference) -> str:
    """What a category is called."""
    row = next(iter(rows_of(category_id, reference)), None)
    return category_id if row is None else say("{title} ({id})", title=term(row["title"]), id=category_id)


def rows_of(category_id: str, reference: Reference) -> list[Mapping[str, Any]]:
    """What every pack says of a category."""
    return [row for row in reference.table("generator_category") if row["id"] == category_id]


def strictest(found: Mapping[str, Month], first: str, last: str, reference: Reference) -> str:
    """The highest category of the months from first to last; the waste of a month without lines is none."""
    seen = [category_of(m, reference, careful=True)[0] for name, m in found.items() if first <= name <= last]
    return max([*seen, category(0.0, reference)[0]], key=lambda c: ORDER.index(c) if c in ORDER else -1)


def names_of(period_first: str, period_last: str) -> Sequence[str]:
    """Every month of a period."""
    day = date.fromisoformat(f"{period_first}-01")
    found = []
    while f"{day:%Y-%m}" <= period_last:
        found.append(f"{day:%Y-%m}")
        day = (day + timedelta(days=32)).replace(day=1)
    return found


def last_day_of(month: str) -> date:
    """The last day of a calendar month."""
    return (date.fromisoformat(f"{month}-01") + timedelta(days=32)).replace(day=1) - timedelta(days=1)
