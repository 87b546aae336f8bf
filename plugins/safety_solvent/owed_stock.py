"""The inventory of hazardous chemicals: the most and the mean on hand, by product and by substance."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from safety.cited import Unknown
from safety.model import Cell, Column, DataTable, LedgerView, OpenPoint, Period, StockDay, Threshold, shares
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.units import convert, read
from safety.words import say
from safety_solvent.books import bound


@dataclass(frozen=True, slots=True)
class Held:
    """What was on hand of one thing over the days of a period [kg]."""

    most: float
    mean: float
    days: int  # on which there was any


def over_days(changes: Iterable[StockDay], days: int, first: date) -> Held:
    """The course of one thing. What came on a day counts before what went: the peak lies between."""
    moved: dict[str, list[float]] = defaultdict(lambda: [0.0, 0.0])
    for one in changes:
        moved[one.day][0] += one.came
        moved[one.day][1] += one.gone
    before = moved.pop("", [0.0, 0.0])
    stock = max(0.0, before[0] - before[1])
    most = total = 0.0
    there = 0
    for day in range(days):
        came, gone = moved.get((first + timedelta(days=day)).isoformat(), (0.0, 0.0))
        peak = stock + came
        stock = max(0.0, peak - gone)  # below zero a receipt is missing
        most, total, there = max(most, peak), total + stock, there + (peak > 0)
    return Held(most, total / days, there)


def tables(period: Period, ledger: LedgerView, reference: Reference) -> list[DataTable]:
    first = date.fromisoformat(f"{period.first}-01")
    year, month = divmod(int(period.last[:4]) * 12 + int(period.last[5:]), 12)
    days = (date(year, month + 1, 1) - first).days
    changes = ledger.stock(period)
    return [_products(changes, days, first, ledger, reference), _substances(changes, days, first, ledger, reference)]


def _products(
    changes: tuple[StockDay, ...], days: int, first: date, ledger: LedgerView, reference: Reference
) -> DataTable:
    own: dict[str, list[StockDay]] = defaultdict(list)
    for one in changes:
        own[one.product].append(one)
    limit = reference.threshold("stored-at-once")
    rows: list[tuple[Cell, ...]] = []
    unknown = []
    for product, its in sorted(own.items()):
        held = over_days(its, days, first)
        last = ledger.editions()[max(one.edition for one in its)]
        without = sum(one.mass_unknown for one in its)
        if without:
            text = say("{product}: records without a known mass: {count}.", product=last.name, count=without)
            unknown.append(OpenPoint(text, "recorder", "no mass", product, without))
        hazards = None if last.whole is None else last.whole.hazards
        said = None if hazards is None or isinstance(hazards, Unknown) else ", ".join(hazards) or say("none")
        rows.append((product, last.name, said, *_amounts(held, without), _over(held, limit, without)))
    columns = (
        Column("product", say("Product")),
        Column("name", say("Name")),
        Column("hazards", say("Hazard statements"), say("empty where its data sheet gives none")),
        *_AMOUNTS,
        Column("over_threshold", say("Reaches the threshold")),
    )
    notes = [say("What came on a day counts before what went. Waste in containers is not in it.")]
    notes += bound(limit)
    return DataTable("products", say("Products on hand"), columns, tuple(rows), tuple(notes), tuple(unknown))


def _substances(
    changes: tuple[StockDay, ...], days: int, first: date, ledger: LedgerView, reference: Reference
) -> DataTable:
    """By substance, with each product at the upper end of its range."""
    own: dict[str, list[StockDay]] = defaultdict(list)
    names: dict[str, str] = {}
    for cas, name, one in _parts(changes, ledger):
        own[cas].append(one)
        names.setdefault(cas, name)
    limit = reference.threshold("stored-at-once-extremely-hazardous")
    spills = {str(row["cas"]): row for row in reference.table("reportable_quantity")}
    rows: list[tuple[Cell, ...]] = []
    for cas, its in sorted(own.items()):
        held = over_days(its, days, first)
        without = sum(one.mass_unknown for one in its)
        spill = convert(read(spills[cas]["quantity"], "mass"), "mass", "lb") if cas in spills else None
        rows.append((cas, names[cas], *_amounts(held, without), _over(held, limit, without), spill))
    columns = (
        Column("cas", say("CAS number"), say("empty: what the makers do not disclose")),
        Column("name", say("Name")),
        *_AMOUNTS,
        Column("over_extremely_hazardous", say("Would reach it, were it extremely hazardous")),
        Column("spill_lb", say("Reportable spill, lb"), say("in 24 hours; empty where no loaded rule says it")),
    )
    notes = [
        say("Each product at the upper end of its weight range."),
        say("No loaded list says which substances are extremely hazardous: look up what would reach the threshold."),
        *bound(limit),
        *dict.fromkeys(cited(row) for cas, row in spills.items() if cas in own),
    ]
    return DataTable("substances", say("Substances on hand, at most"), columns, tuple(rows), tuple(notes))


def _parts(changes: Iterable[StockDay], ledger: LedgerView) -> Iterator[tuple[str, str, StockDay]]:
    editions = ledger.editions()
    for one in changes:
        for part, _, _, high in shares(editions[one.edition].parts):
            if part.cas or part.volatile:
                name = part.name if part.cas else say("not disclosed")
                share = StockDay(one.day, one.product, one.edition, one.came * high, one.gone * high, one.mass_unknown)
                yield part.cas, name, share


def _amounts(held: Held, without: int) -> tuple[Cell, ...]:
    """Amounts of what is known; of something none of which has a mass nothing is."""
    if without and not held.most:
        return (None,) * len(_AMOUNTS)
    pounds = convert(held.most, "mass", "lb"), convert(held.mean, "mass", "lb")
    return (held.most, held.mean, *pounds, float(held.days))


def _over(held: Held, limit: Threshold | Unknown, without: int) -> str | None:
    if isinstance(limit, Unknown):
        return None
    if crossed(settled(held.most), limit.value, limit.compare):
        return say("yes")
    return None if without else say("no")


_AMOUNTS = (
    Column("most_kg", say("Most on hand, kg")),
    Column("mean_kg", say("Mean on hand, kg"), say("of the ends of all days of the period")),
    Column("most_lb", say("Most on hand, lb")),
    Column("mean_lb", say("Mean on hand, lb")),
    Column("days", say("Days on site")),
)
