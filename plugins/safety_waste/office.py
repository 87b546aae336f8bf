"""Waste on the office's page: how much, against which limits, and what must leave by when."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Literal

from safety.model import LeavesBy, LedgerView, Period, Shop, Tally, TallyLimit, Threshold, unrecorded
from safety.reference import Reference
from safety.reference.citing import cited
from safety.words import say
from safety_waste import fill, month
from safety_waste.due import due
from safety_waste.month import Month
from safety_waste.rules import threshold

_Over = Literal["period", "rolling 12 months"]


def tallies(period: Period, found: Mapping[str, Month], ledger: LedgerView, shop: Shop) -> Iterator[Tally]:
    """Hazardous waste that counts, of the period and of the rolling year."""
    year = Period(f"{_year_before(period.last):%Y-%m}", period.last)
    spans: tuple[tuple[_Over, Period], ...] = (("period", period), ("rolling 12 months", year))
    for over, of in spans:
        mine = [found[name] for name in month.names_of(of.first, of.last) if name in found]
        yield Tally("waste", over, sum(m.counted for m in mine), whole=_whole(of, mine, ledger, shop))


def _year_before(last: str) -> date:
    """The first day of the rolling year that ends with a month."""
    day = date.fromisoformat(f"{last}-01")
    return day.replace(year=day.year - 1, month=day.month + 1) if day.month < 12 else day.replace(month=1)


def _whole(of: Period, mine: list[Month], ledger: LedgerView, shop: Shop) -> bool:
    """A time of which nothing is recorded, or only a part, is not one without waste."""
    return (
        bool(ledger.flows(of))
        and not any(m.unknown or m.asked for m in mine)
        and not unrecorded(of, ledger.begins, shop.began)
    )


def limits(
    period: Period,
    found: Mapping[str, Month],
    fills: Mapping[str, fill.Fill],
    ledger: LedgerView,
    shop: Shop,
    reference: Reference,
) -> Iterator[TallyLimit]:
    """The fullest month against the bounds of the categories, what is on site, and each area beside the work."""
    names = month.names_of(period.first, period.last)
    fullest = max((found.get(name, Month(name)) for name in names), key=lambda m: m.counted)
    whole = all(_whole(Period(name, name), [found[name]] if name in found else [], ledger, shop) for name in names)
    title = say("Hazardous waste of {month}", month=fullest.month)
    for name, category in (("generator-small", "SQG"), ("generator-large", "LQG")):
        bound = threshold(name, reference)
        if bound is not None:
            then = month.title(category, reference)
            yield _limit(title, "month", fullest.counted, bound, whole, then)
    acute = threshold("generator-large-acute", reference)
    most_acute = max((found.get(name, Month(name)) for name in names), key=lambda m: m.acute)
    if acute is not None and most_acute.acute > 0:
        title = say("Acute hazardous waste of {month}", month=most_acute.month)
        yield _limit(title, "month", most_acute.acute, acute, whole, month.title("LQG", reference))
    now, missing = month.on_site(fills.values(), reference)
    category = month.category_of(found.get(period.last, Month(period.last)), reference)[0]
    most = month.on_site_limit(category, reference) if category else None
    if most is not None:
        yield _limit(say("Hazardous waste on site"), "now", now, most, not missing)
    beside = threshold("satellite-volume", reference)
    if beside is None:
        return
    for area, members in fill.satellite_areas(fills.values(), reference).items():
        held, without = sum(f.volume for f in members), any(f.volume_unknown for f in members)
        name = say("Beside the work: {area}", area=area or say("all satellite containers"))
        yield _limit(name, "now", held, beside, not without)


def _limit(
    name: str, over: Literal["month", "now"], amount: float, bound: Threshold, whole: bool, then: str = ""
) -> TallyLimit:
    unit: Literal["kg", "m3"] = "m3" if bound.unit == "m3" else "kg"
    return TallyLimit(name, over, amount, bound.value, unit, bound.compare, whole, rule=cited(bound), then=then)


def leaving(
    fills: Mapping[str, fill.Fill],
    found: Mapping[str, Month],
    ledger: LedgerView,
    day: date,
    shop: Shop,
    reference: Reference,
) -> Iterator[LeavesBy]:
    """Every container with a last day, and every lot of which some is left with a date of expiry that is over."""
    held = month.on_site(fills.values(), reference)[0]
    for one in fills.values():
        limit = due(one, found, day, shop, reference, held)
        if limit.last is not None:
            yield LeavesBy(say("container {id}", id=one.container.id), limit.last, limit.why, limit.rule)
    for lot in ledger.lots():
        if isinstance(lot.expires, date) and lot.expires < day and lot.open:
            what = say("{product}, lot {lot}", product=lot.name, lot=lot.lot)
            yield LeavesBy(what, lot.expires, say("expired: do not use it; say whether it is waste"))
