"""What is in each container on a day, by the ledger: since when, how much, of what.

A record "ship" empties a container. Where its receiver is another container of the shop, the waste
went on into that one: it stays on site and is not counted again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime
from heapq import merge

from safety.cited import Unknown
from safety.model import Container, Entry, LedgerView, Period, Product, Shop
from safety.reference import Reference, past, settled
from safety_waste.bins import for_wipes
from safety_waste.meant import meant
from safety_waste.rules import threshold


@dataclass
class Fill:
    """One container on a day."""

    container: Container
    started: date | None = None  # the local day its clock began
    mass: float = 0.0  # kg, of the lines whose mass is known
    volume: float = 0.0  # m3, likewise
    mass_unknown: int = 0
    volume_unknown: int = 0
    products: list[tuple[Product | None, str]] = field(
        default_factory=list
    )  # as it was, way it came; None: mixed waste
    gaps: list[tuple[date, float, float]] = field(default_factory=list)  # day, kg shipped, kg by the records
    emptied: date | None = None  # the day it was last collected
    over_since: date | None = None  # satellite: the day its area went over the limit

    @property
    def empty(self) -> bool:
        return not (self.mass or self.volume or self.mass_unknown or self.products)

    @property
    def known(self) -> list[Product]:
        """Each product in it, as it was when it went in."""
        found: list[Product] = []
        for product, _ in self.products:
            if product is not None and product not in found:
                found.append(product)
        return found

    @property
    def over_full(self) -> bool:
        """Whether the records put more into it than it holds."""
        return settled(self.volume) > settled(self.container.size)

    def started_by(self, written: date | None, day: date) -> None:
        """Take the start that a file gives by a day, where it is of this filling and not of one before."""
        start = local_day(written)
        before = self.emptied is not None and start is not None and start <= self.emptied
        if self.empty and self.started is None and start is not None and start <= day and not before:
            self.started = start


def lines(ledger: LedgerView, kind: str, until: date) -> list[Entry]:
    """The lines of a kind that stand, up to a day, in the order in which they happened: that of the ledger."""
    if ledger.begins is None:
        return []
    period = Period(f"{ledger.begins:%Y-%m}", f"{until:%Y-%m}")
    return [e for e in ledger.entries(period, kind) if not e.reverses and not e.reversed_by and e.day <= until]  # type: ignore[arg-type]


def moved(ledger: LedgerView, until: date) -> Iterator[Entry]:
    """What went into containers and what was collected, in one order."""
    return merge(lines(ledger, "waste", until), lines(ledger, "ship", until), key=_when)


def _when(entry: Entry) -> tuple[date, str, int]:
    """By what the clock showed and not by when it was written down; what has no time of day comes first."""
    return entry.day, entry.happened.isoformat() if entry.happened else "", entry.number


def on(day: date, shop: Shop, reference: Reference, ledger: LedgerView | None, since: str = "") -> dict[str, Fill]:
    """Every container of the shop at the end of a day, by its name.

    With ``since``, the first month of a log, each is as its last record until then describes it, and one that the shop
    no longer lists is there where it holds something or a line of that month or later names it. Without, it is now.
    """
    listed = {c.id: c for c in shop.containers}
    fills: dict[str, Fill] = {}
    last: dict[str, str] = {}  # container -> the month of its last line
    if ledger is not None:
        then, areas = meant(ledger, shop), _Areas(reference)
        for entry in moved(ledger, day):
            container = then.container(entry) if since else listed.get(entry.container) or then.container(entry)
            if container is None:
                continue
            fill = fills.setdefault(container.id, Fill(container))
            fill.container = container
            fill.started_by(container.started, entry.day)
            last[container.id] = f"{entry.day:%Y-%m}"
            touched = [fill]
            if entry.kind == "waste":
                _put(fill, entry, then.product(entry))
            else:
                into = then.ours(entry.receiver)
                touched += [] if into is None else [fills.setdefault(into.id, Fill(into))]
                _ship(fill, entry, touched[1] if into else None)
            if any(one.container.kind == "satellite" for one in touched):
                areas.look(fills.values(), entry.day)
    for container in shop.containers:
        fills.setdefault(container.id, Fill(container)).started_by(container.started, day)
        if not since:
            fills[container.id].container = container

    def shown(name: str) -> bool:
        return name in listed or not fills[name].empty or bool(since and since <= last.get(name, ""))

    return {name: fills[name] for name in sorted(fills) if shown(name)}


def local_day(started: date | None) -> date | None:
    """The calendar day of a start, by the clock on the wall: one minute before midnight still belongs to it."""
    return started.date() if isinstance(started, datetime) else started


def _put(fill: Fill, entry: Entry, product: Product | None) -> None:
    if fill.started is None or (fill.started > entry.day):
        fill.started = entry.day
    if (product, entry.way) not in fill.products:
        fill.products.append((product, entry.way))
    if isinstance(entry.mass, Unknown):
        fill.mass_unknown += 1
    else:
        fill.mass += entry.mass
    if isinstance(entry.volume, Unknown):
        fill.volume_unknown += 1
    else:
        fill.volume += entry.volume


def _ship(fill: Fill, entry: Entry, into: Fill | None) -> None:
    """Take out what was collected: all of it, or where the container stays, so much as is known to have gone."""
    gone = 1.0
    if entry.stays:
        gone = 0.0 if isinstance(entry.mass, Unknown) or not fill.mass else min(entry.mass / fill.mass, 1.0)
    shipped = fill.mass if isinstance(entry.mass, Unknown) else entry.mass
    if not fill.mass_unknown and (not entry.stays or shipped > fill.mass) and not isinstance(entry.mass, Unknown):
        fill.gaps.append((entry.day, shipped, fill.mass))
    if into is not None and into is not fill:
        if into.started is None:
            into.started = entry.day
        into.mass += fill.mass * gone
        into.volume += fill.volume * gone
        into.mass_unknown += fill.mass_unknown
        into.volume_unknown += fill.volume_unknown
        into.products += [one for one in fill.products if one not in into.products]
    fill.mass *= 1 - gone
    fill.volume *= 1 - gone
    if entry.stays:
        return
    fill.started, fill.emptied, fill.products = None, entry.day, []
    fill.mass_unknown = fill.volume_unknown = 0


class _Areas:
    """Watches the satellite volume of each work area. Excluded wipes do not count against it."""

    def __init__(self, reference: Reference):
        self.reference = reference
        self.limit = threshold("satellite-volume", reference)

    def look(self, fills: Iterable[Fill], day: date) -> None:
        if self.limit is None:
            return
        for members in satellite_areas(fills, self.reference).values():
            over = past(sum(f.volume for f in members), self.limit)
            for fill in members:
                fill.over_since = (fill.over_since or day) if over else None


def satellite_areas(fills: Iterable[Fill], reference: Reference) -> dict[str, list[Fill]]:
    """Satellite containers by work area; those without one count as one area."""
    areas: dict[str, list[Fill]] = defaultdict(list)
    for fill in fills:
        if fill.container.kind == "satellite" and not for_wipes(fill.container):
            areas[fill.container.area].append(fill)
    return areas
