"""By when a container must be moved or shipped, and how long before that it is named."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from safety.formulas.waste import last_day
from safety.model import Figure, Shop, Threshold
from safety.reference import Reference, past
from safety.reference.citing import cited
from safety.words import say, term
from safety_waste import amounts, us
from safety_waste.bins import for_wipes
from safety_waste.fill import Fill
from safety_waste.month import Month, on_site_limit, rows_of, strictest
from safety_waste.rules import DAY, PLUGIN, days, threshold

__all__ = ["PLUGIN", "Due", "due"]


@dataclass(frozen=True, slots=True)
class Due:
    """The last day of one container, or why it has none."""

    last: date | None
    why: str  # a sentence without its full stop
    rule: str = ""
    figures: tuple[Figure, ...] = ()

    def left(self, day: date) -> int | None:
        """Days that are left on a day; below zero once it is over."""
        return None if self.last is None else (self.last - day).days

    def near(self, day: date, reference: Reference) -> bool:
        """Whether it is time to say so."""
        left, warning = self.left(day), threshold("waste-warning", reference)
        return left is not None and (warning is None or left < 0 or past(left * DAY, warning))

    def words(self, day: date) -> str:
        """The last day and how far off it is."""
        left = self.left(day)
        if self.last is None or left is None:
            return self.why
        date_ = self.last.isoformat()
        if left < 0:
            return say("over since {date}", date=date_)
        return (
            say("{date}, today is the last day", date=date_)
            if left == 0
            else say("{date}, {left} days left", date=date_, left=left)
        )


def due(
    fill: Fill, months: Mapping[str, Month] | None, day: date, shop: Shop, reference: Reference, held: float = 0.0
) -> Due:
    """The last day of a container. ``months`` is None where there is no ledger to tell the category.

    ``held`` is all the waste on site that counts [kg]: a very small generator with too much of it gets the time of
    the next category.
    """
    if fill.started is None:
        return Due(None, say("not started"))
    if fill.container.regime:
        name = "episodic-days" if fill.container.regime == "episodic event" else "universal-waste-days"
        if fill.container.regime == "used oil":
            return Due(None, say("no last day for used oil under its own rules"))
        return _after(fill.started, name, term(fill.container.regime), reference)
    if for_wipes(fill.container) and us.wipes_adopted(reference):
        return _after(fill.started, "wipes-days", say("excluded wipes"), reference)
    if fill.container.kind == "satellite":
        if fill.over_since is not None:
            return _after(fill.over_since, "satellite-move-days", say("its area went over the limit"), reference)
        limit = threshold("satellite-volume", reference)
        return Due(
            None,
            say("no last day while its area holds up to {limit}", limit=amounts.limit(limit)) if limit else _none(),
        )
    if months is None:
        return _without_category(fill.started, reference)
    category = strictest(months, f"{fill.started:%Y-%m}", f"{day:%Y-%m}", reference)
    small = on_site_limit("VSQG", reference)
    if category == "VSQG" and small is not None and past(held, small):
        category = "SQG"
    rows = rows_of(category, reference)
    if not rows:
        return Due(None, _none())
    found = [
        _after(fill.started, _clock(str(row["days"]), shop, reference), term(row["title"]), reference)
        for row in rows
        if row["days"]
    ]
    if not found:
        return Due(None, say("no last day for a {title}", title=term(rows[0]["title"])))
    return min(found, key=lambda one: one.last or date.min)


def _none() -> str:
    return say("no rule on time is loaded")


def _clock(name: str, shop: Shop, reference: Reference) -> str:
    """The longer time for a far facility, where the shop says how far its facility is."""
    far, miles = threshold("far-facility-miles", reference), shop.settings.get("waste_facility_miles")
    if name == "sqg-days" and far is not None and isinstance(miles, (int, float)) and past(float(miles), far):
        return "sqg-days-far"
    return name


def _after(start: date, name: str, why: str, reference: Reference) -> Due:
    found = days(name, reference)
    if found is None:
        return Due(None, _none())
    count, limit = found
    last = date.fromisoformat(last_day(start, count))
    return Due(
        last, say("{count} days, {why}", count=count, why=why), cited(limit), (_figure(start, count, last, limit),)
    )


def _figure(start: date, count: int, last: date, limit: Threshold) -> Figure:
    inputs = (("start", start.isoformat()), ("limit", limit))
    return Figure(say("days until {last}", last=last.isoformat()), float(count), "days", "last_day", inputs)


def _without_category(start: date, reference: Reference) -> Due:
    """Every last day there might be, for a shop that keeps no ledger."""
    found = []
    for row in reference.table("generator_category"):
        limit = days(str(row["days"]), reference) if row["days"] else None
        if limit is not None:
            found.append(say("{date} as {id}", date=last_day(start, limit[0]), id=str(row["id"])))
    return Due(
        None,
        say("by category: {list}; without a ledger the category is not known", list=", ".join(found))
        if found
        else _none(),
    )
