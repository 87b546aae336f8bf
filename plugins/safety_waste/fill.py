"""What is in each container on a day, by the ledger: since when, how much, of what.

A record "ship" empties a container. Where its receiver is another container of the shop, the waste
went on into that one: it stays on site and is not counted again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime

from safety.cited import Unknown
from safety.model import Container, Entry, LedgerView, Period, Shop
from safety.reference import Reference, past
from safety_waste.bins import for_wipes
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
    products: dict[tuple[str, str], str] = field(default_factory=dict)  # (id, way it came) -> name; id "": mixed waste
    gaps: list[tuple[date, float, float]] = field(default_factory=list)  # day, kg shipped, kg by the records
    over_since: date | None = None  # satellite: the day its area went over the limit

    @property
    def empty(self) -> bool:
        return not (self.mass or self.volume or self.mass_unknown or self.products)


def lines(ledger: LedgerView, kind: str, until: date) -> list[Entry]:
    """The lines of a kind that stand, up to a day, in order of day and of recording."""
    if ledger.begins is None:
        return []
    period = Period(f"{ledger.begins:%Y-%m}", f"{until:%Y-%m}")
    found = [e for e in ledger.entries(period, kind) if not e.reverses and not e.reversed_by and e.day <= until]  # type: ignore[arg-type]
    return sorted(found, key=lambda e: (e.day, e.number))


def on(day: date, shop: Shop, reference: Reference, ledger: LedgerView | None) -> dict[str, Fill]:
    """Every container of the shop at the end of a day; one that the shop no longer lists is left out."""
    fills = {c.id: Fill(c, local_day(c.started)) for c in shop.containers}
    for fill in fills.values():
        if fill.started is not None and fill.started > day:
            fill.started = None
    if ledger is None:
        return fills
    areas = _Areas(reference)
    for entry in sorted([*lines(ledger, "waste", day), *lines(ledger, "ship", day)], key=lambda e: (e.day, e.number)):
        if entry.container not in fills:
            continue
        fill = fills[entry.container]
        if entry.kind == "waste":
            _put(fill, entry)
        else:
            _ship(fill, entry, fills)
        areas.look(fills.values(), entry.day)
    return fills


def local_day(started: date | None) -> date | None:
    """The calendar day of a start, by the clock on the wall: one minute before midnight still belongs to it."""
    return started.date() if isinstance(started, datetime) else started


def _put(fill: Fill, entry: Entry) -> None:
    if fill.started is None or (fill.started > entry.day):
        fill.started = entry.day
    fill.products.setdefault((entry.product, entry.way), entry.name)
    if isinstance(entry.mass, Unknown):
        fill.mass_unknown += 1
    else:
        fill.mass += entry.mass
    if isinstance(entry.volume, Unknown):
        fill.volume_unknown += 1
    else:
        fill.volume += entry.volume


def _ship(fill: Fill, entry: Entry, fills: dict[str, Fill]) -> None:
    if not isinstance(entry.mass, Unknown) and not fill.mass_unknown:
        fill.gaps.append((entry.day, entry.mass, fill.mass))
    into = fills.get(entry.receiver)
    if into is not None and into is not fill:
        if into.started is None:
            into.started = entry.day
        into.mass += fill.mass
        into.volume += fill.volume
        into.mass_unknown += fill.mass_unknown
        into.volume_unknown += fill.volume_unknown
        into.products |= fill.products
    # a start in the shop's file later than this day belongs to the next filling
    written = local_day(fill.container.started)
    fill.started = written if written is not None and written > entry.day else None
    fill.mass = fill.volume = 0.0
    fill.mass_unknown = fill.volume_unknown = 0
    fill.products = {}


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
