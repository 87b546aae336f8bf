"""Sums of the ledger: by month, year or rolling year, by product and by substance, and the mass balance.

The database adds up whole numbers for each month and product edition; the weight ranges of an
edition turn the sum into substances. Masses add before they are multiplied, so a total does not
hang on the order of its lines.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from operator import attrgetter
from typing import Any, NamedTuple

from sqlalchemy import Column, ColumnElement, Connection, case, func, select

from safety.cited import Unknown
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.lots import STOCK
from safety.ledger.read import first_where
from safety.ledger.tables import entry, standing
from safety.model import Balance, Counted, Edition, Entry, Flow, Period, ProductTotal, StockDay, SubstanceTotal, shares
from safety.words import say

#: What each total adds up, and what it takes off.
COUNTED: dict[Counted, dict[tuple[str, str], int]] = {
    "received": {("receive", ""): 1},
    "used": {("use", ""): 1, ("return", "to stock"): -1},
    "returned": {("return", "to supplier"): 1},
    "wasted": {("waste", "from stock"): 1, ("waste", "from job"): 1},
}


_GROUPED = attrgetter("month", "kind", "way", "product", "edition", "operation", "basis")


class Sum(NamedTuple):
    """Whole micrograms and nanolitres, and how many lines they stand for."""

    mass: int
    volume: int
    entries: int
    mass_unknown: int
    volume_unknown: int

    def plus(self, other: Sum, sign: int = 1) -> Sum:
        """Add another sum, or take its amounts off. Its lines with unknown amounts make this one unknown either way."""
        return Sum(
            self.mass + sign * other.mass,
            self.volume + sign * other.volume,
            self.entries + (other.entries if sign > 0 else 0),
            self.mass_unknown + other.mass_unknown,
            self.volume_unknown + other.volume_unknown,
        )


NOTHING = Sum(0, 0, 0, 0, 0)


def months_back(month: str, count: int) -> str:
    """Return the month ``count`` months before ``month`` ("2026-11")."""
    year, number = divmod(int(month[:4]) * 12 + int(month[5:]) - 1 - count, 12)
    return f"{year:04d}-{number + 1:02d}"


def months_of(period: Period) -> list[str]:
    """Return every month of a period."""
    months = [period.first]
    while months[-1] < period.last:
        months.append(months_back(months[-1], -1))
    return months


def sums(
    connection: Connection, columns: Sequence[Column[Any]], *where: ColumnElement[bool]
) -> Iterator[tuple[tuple[Any, ...], Sum]]:
    """Yield one group of values of ``columns`` and its sum at a time, as the database adds them up."""
    sign = entry.c.sign
    rows = connection.execute(
        select(
            *columns,
            func.sum(entry.c.mass_ug),
            func.sum(entry.c.volume_nl),
            func.sum(sign),
            func.sum(case((entry.c.mass_ug.is_(None), sign), else_=0)),
            func.sum(case((entry.c.volume_nl.is_(None), sign), else_=0)),
        )
        .where(*where)
        .group_by(*columns)
    )
    wide = len(columns)
    for row in rows:
        mass, volume, entries, no_mass, no_volume = row[wide:]
        # PostgreSQL adds 64-bit numbers up to decimals
        yield tuple(row[:wide]), Sum(int(mass or 0), int(volume or 0), int(entries), int(no_mass), int(no_volume))


def without_mass(
    connection: Connection, period: Period, *where: ColumnElement[bool], until: str = ""
) -> tuple[tuple[Entry, int], ...]:
    """Of each product with standing lines that moved an unknown mass: the first of them, and how many they are."""
    c = entry.c
    lacking = (within(period), c.kind.not_in(("open", "weigh")), c.mass_ug.is_(None), *where)
    counts = connection.execute(select(c.product, func.sum(c.sign)).where(*lacking).group_by(c.product))
    found = [
        (first_where(connection, *lacking, c.product == product, *standing(until), until=until), int(count))
        for product, count in counts
        if count > 0
    ]
    return tuple(sorted(found, key=lambda pair: (pair[0].day, pair[0].number)))


def within(period: Period) -> ColumnElement[bool]:
    """The lines of a period."""
    return entry.c.month.between(period.first, period.last)


def all_flows(
    connection: Connection, editions: Mapping[int, Edition], period: Period, *where: ColumnElement[bool]
) -> tuple[Flow, ...]:
    """Return sums by month, kind, edition, operation and basis, in that order."""
    c = entry.c
    columns: list[Column[Any]] = [c.month, c.kind, c.way, c.edition, c.basis, c.operation]
    found = sums(connection, columns, within(period), *where)
    flows = []
    for (month, kind, way, edition, basis, operation), s in found:
        product = editions[edition].product if edition else ""
        amounts = (kilograms(s.mass), cubic_metres(s.volume), s.entries, s.mass_unknown, s.volume_unknown)
        flows.append(Flow(month, kind, way, product, edition, operation, basis, *amounts))
    return tuple(sorted(flows, key=lambda flow: tuple(map(str, _GROUPED(flow)))))


def by_product(
    connection: Connection,
    editions: Mapping[int, Edition],
    period: Period,
    counted: Counted,
    span: int,
    *where: ColumnElement[bool],
) -> tuple[ProductTotal, ...]:
    """Return totals by product, each over the ``span`` months that end with a month of the period."""
    c = entry.c
    seen: set[int] = set()
    monthly: dict[tuple[str, str], dict[str, Sum]] = defaultdict(dict)
    for (month, kind, way, edition, basis), s in _counted(
        connection, (c.month, c.kind, c.way, c.edition, c.basis), period, counted, span, *where
    ):
        product = editions[edition].product if edition else ""
        seen |= {edition} if edition else set()
        own = monthly[product, basis]
        own[month] = own.get(month, NOTHING).plus(s, COUNTED[counted][kind, way])
    names = _names(seen, editions)
    found = []
    rolled = _rolled(monthly, period, span)
    for last, of_month in rolled:
        for product in sorted({name for name, _ in of_month}):
            parts = {basis: s for (name, basis), s in of_month.items() if name == product}
            s = _all(parts.values())
            found.append(
                ProductTotal(
                    months_back(last, span - 1),
                    last,
                    product,
                    names.get(product, say("mixed waste")),
                    kilograms(s.mass),
                    cubic_metres(s.volume),
                    tuple((basis, kilograms(p.mass)) for basis, p in sorted(parts.items())),
                    s.entries,
                    s.mass_unknown,
                    s.volume_unknown,
                )
            )
    return tuple(found)


def by_substance(
    connection: Connection,
    editions: Mapping[int, Edition],
    period: Period,
    counted: Counted,
    span: int,
    *where: ColumnElement[bool],
) -> tuple[SubstanceTotal, ...]:
    """Return totals by substance, each over the ``span`` months that end with a month of the period."""
    c = entry.c
    monthly: dict[int, dict[str, Sum]] = defaultdict(dict)
    for (month, kind, way, edition), s in _counted(
        connection, (c.month, c.kind, c.way, c.edition), period, counted, span, *where
    ):
        own = monthly[edition or 0]
        own[month] = own.get(month, NOTHING).plus(s, COUNTED[counted][kind, way])
    found: list[SubstanceTotal] = []
    for last, of_month in _rolled(monthly, period, span):
        substances: dict[str, _Substance] = {}
        for number, s in sorted(of_month.items()):
            if number:
                _take_apart(editions[number], s, substances)
            else:
                nameless = substances.setdefault("", _Substance(say("not disclosed or not known")))
                nameless.unknown.add(say("mixed waste: records without a product: {count}", count=s.entries))
        first = months_back(last, span - 1)
        found += [substances[cas].total(first, last, cas) for cas in sorted(substances)]
    return tuple(found)


def balance(
    connection: Connection,
    editions: Mapping[int, Edition],
    period: Period,
    counted: Mapping[str, float | Unknown],
    *where: ColumnElement[bool],
) -> tuple[Balance, ...]:
    """Return the mass balance of each product. ``counted`` [kg] is what was found on the shelf at the end."""
    c = entry.c
    # by month too, in the order of the index: a database that need not sort is three times as fast
    columns = (c.month, c.kind, c.way, c.edition)
    earlier = list(sums(connection, columns, c.month < period.first, *where))
    moving = list(sums(connection, columns, within(period), *where))
    before, during = _by_name(earlier, editions), _by_name(moving, editions)
    names = _names({edition for (_, _, _, edition), _ in (*earlier, *moving) if edition}, editions)
    solvent = _solvent_in_waste(connection, editions, period, *where)
    found = []
    for product in sorted(before.keys() | during.keys()):
        opening, moved = _stock(before.get(product, {})), during.get(product, {})
        change = _stock(moved)
        flow = {what: _counted_of(moved, what) for what in COUNTED}
        lines = [*before.get(product, {}).items(), *moved.items()]
        unknown = sum(s.mass_unknown for way, s in lines if way in STOCK or way[0] == "waste")
        found.append(
            Balance(
                product,
                names.get(product, say("mixed waste")),
                kilograms(opening),
                kilograms(flow["received"]),
                kilograms(flow["used"]),
                kilograms(flow["returned"]),
                kilograms(moved.get(("waste", "from stock"), NOTHING).mass),
                kilograms(moved.get(("waste", "from job"), NOTHING).mass),
                kilograms(solvent.get(product, 0)),
                kilograms(opening + change),
                counted.get(product, Unknown(say("{product} has not been counted", product=product))),
                (say("records without a known mass: {count}", count=unknown),) if unknown else (),
            )
        )
    return tuple(found)


def by_day(
    connection: Connection, editions: Mapping[int, Edition], period: Period, *where: ColumnElement[bool]
) -> tuple[StockDay, ...]:
    """Return what was there before a period, and what each day changed of the stock."""
    c = entry.c
    of_product = c.edition.is_not(None)
    before = sums(connection, (c.month, c.kind, c.way, c.edition), c.month < period.first, of_product, *where)
    during = sums(connection, (c.month, c.kind, c.way, c.edition, c.day), within(period), of_product, *where)
    found: dict[tuple[str, str, int], list[int]] = defaultdict(lambda: [0, 0, 0])
    for (_, kind, way, number, *day), s in (*before, *during):
        sign = STOCK.get((kind, way))
        if sign is not None:
            own = found[day[0] if day else "", editions[number].product, number]
            own[0 if sign > 0 else 1] += s.mass
            own[2] += s.mass_unknown
    return tuple(
        StockDay(*key, kilograms(came), kilograms(gone), unknown)
        for key, (came, gone, unknown) in sorted(found.items())
    )


def _solvent_in_waste(
    connection: Connection, editions: Mapping[int, Edition], period: Period, *where: ColumnElement[bool]
) -> dict[str, int]:
    """Micrograms by product of what waste from jobs is known to hold of solvent, at least."""
    c = entry.c
    of_jobs = (within(period), c.kind == "waste", c.way == "from job", c.edition.is_not(None))
    rows = select(c.edition, func.sum(c.solvent_low_ug)).where(*of_jobs, *where).group_by(c.edition)
    found: dict[str, int] = defaultdict(int)
    for number, solvent in connection.execute(rows):
        found[editions[number].product] += int(solvent or 0)
    return found


# ---------------------------------------------------------------- parts


def _counted(
    connection: Connection, columns: Sequence[Column[Any]], period: Period, counted: Counted, span: int,
    *where: ColumnElement[bool],
) -> Iterator[tuple[tuple[Any, ...], Sum]]:  # fmt: skip
    kinds = COUNTED[counted]
    reach = Period(months_back(period.first, span - 1), period.last)
    for names, s in sums(connection, columns, within(reach), entry.c.kind.in_({kind for kind, _ in kinds}), *where):
        if (names[1], names[2]) in kinds:
            yield names, s


def _rolled(
    monthly: Mapping[Any, Mapping[str, Sum]], period: Period, span: int
) -> Iterator[tuple[str, dict[Any, Sum]]]:
    """For each month of the period, the sums over the months up to it; names without a line in them are left out."""
    for last in months_of(period):
        window = [months_back(last, back) for back in range(span)]
        found = {}
        for name, own in monthly.items():
            here = [own[month] for month in window if month in own]
            if here:
                found[name] = _all(here)
        yield last, found


def _all(several: Iterable[Sum]) -> Sum:
    return Sum(*map(sum, zip(*several, strict=True)))


def _names(seen: Iterable[int], editions: Mapping[int, Edition]) -> dict[str, str]:
    """The latest name of each product among some editions: what it was called later is another time's."""
    return {editions[number].product: editions[number].name for number in sorted(seen)}


def _by_name(
    found: Iterable[tuple[tuple[Any, ...], Sum]], editions: Mapping[int, Edition]
) -> dict[str, dict[tuple[str, str], Sum]]:
    names: dict[str, dict[tuple[str, str], Sum]] = {}
    for (_, kind, way, edition), s in found:
        own = names.setdefault(editions[edition].product if edition else "", {})
        own[kind, way] = own.get((kind, way), NOTHING).plus(s)
    return names


def _stock(own: Mapping[tuple[str, str], Sum]) -> int:
    return sum(STOCK[way] * s.mass for way, s in own.items() if way in STOCK)


def _counted_of(own: Mapping[tuple[str, str], Sum], what: Counted) -> int:
    return sum(sign * own[way].mass for way, sign in COUNTED[what].items() if way in own)


@dataclass(slots=True)
class _Substance:
    name: str
    low: list[float]
    mid: list[float]
    high: list[float]
    products: set[str]
    unknown: set[str]

    def __init__(self, name: str) -> None:
        self.name = name
        self.low, self.mid, self.high = [], [], []
        self.products, self.unknown = set(), set()

    def total(self, first: str, last: str, cas: str) -> SubstanceTotal:
        return SubstanceTotal(
            first, last, cas, self.name,
            fsum(self.low), fsum(self.mid), fsum(self.high),
            tuple(sorted(self.products)), tuple(sorted(self.unknown)),
        )  # fmt: skip


def _take_apart(edition: Edition, s: Sum, substances: dict[str, _Substance]) -> None:
    """Add a sum of one edition to the substances it is made of. A resin without a number is no substance here."""
    mass = kilograms(s.mass)
    for part, low, mid, high in shares(edition.parts):
        if not part.cas and not part.volatile:
            continue
        name = part.name if part.cas else say("not disclosed or not known")
        own = substances.setdefault(part.cas, _Substance(name))
        own.low.append(mass * low)
        own.mid.append(mass * mid)
        own.high.append(mass * high)
        own.products.add(edition.product)
        if not part.cas:
            own.unknown.add(say("{product}: {part}", product=edition.product, part=part.name))
        if s.mass_unknown:
            own.unknown.add(
                say("{product}: records without a known mass: {count}", product=edition.product, count=s.mass_unknown)
            )
