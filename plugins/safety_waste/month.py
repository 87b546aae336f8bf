"""How much waste a calendar month has, what of it counts, and the generator category that follows."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from safety.cited import Unknown
from safety.model import Container, Entry, LedgerView, Product, Shop, Threshold
from safety.reference import Reference, past
from safety.words import say, term
from safety_waste import us
from safety_waste.bins import for_wipes
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
    unknown: int = 0  # lines without a mass that count
    entries: list[Entry] = field(default_factory=list)

    @property
    def at_least(self) -> str:
        """A word before the total where lines without a mass are missing from it."""
        return say("at least ") if self.unknown else ""


def counts(container: Container | None, reference: Reference) -> str:
    """Whether what a container takes counts: "counted", "wipes" or "empties". What nobody knows counts."""
    if container is None:
        return "counted"
    if for_wipes(container) and us.wipes_adopted(reference):
        return "wipes"
    return "empties" if container.accepts == ("empty-containers",) else "counted"


def months(ledger: LedgerView, shop: Shop, reference: Reference, until: date) -> dict[str, Month]:
    """Every month that has waste, up to a day."""
    then = meant(ledger, shop)
    found: dict[str, Month] = {}
    for entry in lines(ledger, "waste", until):
        name = f"{entry.day:%Y-%m}"
        month = found.setdefault(name, Month(name))
        month.entries.append(entry)
        kind = counts(then.container(entry), reference)
        if kind == "wipes" and _spoilt(then.product(entry), reference):
            kind = "counted"
        if isinstance(entry.mass, Unknown):
            month.unknown += kind == "counted"
        elif kind == "wipes":
            month.wipes += entry.mass
        elif kind == "empties":
            month.empties += entry.mass
        else:
            month.counted += entry.mass
    return found


def _spoilt(product: Product | None, reference: Reference) -> bool:
    """Whether a line in a container of wipes is barred from their exclusion by what its product is, or hides."""
    return product is not None and bool(us.wipes_barred(product, reference))


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
    mine = [f for f in fills if counts(f.container, reference) == "counted"]
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
    seen = [category(m.counted, reference)[0] for name, m in found.items() if first <= name <= last]
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
