"""Slips that no field shows by itself: more than a lot can give, or a delivery unlike all before it.

Nothing here is impossible, so each is refused until somebody says on purpose that it is so.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from math import inf

from sqlalchemy import Connection, bindparam, func, select

from safety.ledger import quick
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.drafts import DENSEST, LIGHTEST, Draft, Mistake, on_purpose
from safety.ledger.lots import STOCK, sums_of
from safety.ledger.tables import RECEIVED, entry, standing
from safety.units import show
from safety.words import say

#: Share of what came in by which a can may hold more than its label says (common practice, no source).
OVERFILL = 0.05
#: Times the largest delivery so far at which the unit is taken for a slip (common practice, no source).
SLIP = 100
#: Part of the smallest delivery so far at which it is: a small can beside drums is none (common practice, no source).
SPECK = 500

#: Whole micrograms and nanolitres; None where a line has no density to know it by.
Pair = tuple[int | None, int | None]

_RECEIVED = ("receive", "")

_DELIVERED = select(
    func.max(entry.c.mass_ug).label("most_mass"),
    func.max(entry.c.volume_nl).label("most_volume"),
    func.min(entry.c.mass_ug).label("least_mass"),
    func.min(entry.c.volume_nl).label("least_volume"),
).where(
    entry.c.product == bindparam("product"),
    RECEIVED,
    *standing(),  # a slip that was taken back excuses no other
)


@dataclass(frozen=True, slots=True)
class Mass:
    """The least and the most that something weighs [ug]: a volume of no known density is held by what liquids weigh."""

    least: float
    most: float

    @classmethod
    def of(cls, mass: int | None, volume: int | None) -> Mass:
        if mass is not None:
            return cls(mass, mass)
        alone = (volume or 0) / 1000  # 1 kg/m3 is 1 ug/uL
        return cls(alone * LIGHTEST, alone * DENSEST)

    def __add__(self, other: Mass) -> Mass:
        return Mass(self.least + other.least, self.most + other.most)

    def __sub__(self, other: Mass) -> Mass:
        return Mass(self.least - other.most, self.most - other.least)


@dataclass(frozen=True, slots=True)
class Moved:
    """What went one way: as whole numbers where they are known, and what it weighs at least and at most."""

    pair: Pair = (0, 0)
    mass: Mass = Mass(0, 0)

    @classmethod
    def of(cls, pair: Pair) -> Moved:
        return cls(pair, Mass.of(*pair))

    def __add__(self, other: Moved) -> Moved:
        return Moved(_sum(self.pair, other.pair, 1), self.mass + other.mass)

    def __sub__(self, other: Moved) -> Moved:
        return Moved(_sum(self.pair, other.pair, -1), self.mass - other.mass)


@dataclass(slots=True)
class Stock:
    """What went into and out of lots: read once for each lot, and kept up to date within one transaction."""

    connection: Connection
    shops: frozenset[str]  # names under which the shop's own lines stand
    _lots: dict[tuple[str, str], dict[tuple[str, str], Moved]] = field(default_factory=dict)
    _deliveries: dict[str, tuple[Pair, Pair]] = field(default_factory=dict)  # product -> the largest, the smallest

    def replaces(self, product: str, kind: str, amount: Pair) -> None:
        """Hold what stands in for a delivery against that one too: only what is smaller mends a slip."""
        if kind == "receive":
            largest, smallest = self._delivered(product)
            self._deliveries[product] = _either(max, largest, amount), smallest

    def refusal(self, draft: Draft, amount: Pair) -> Mistake | None:
        """Return what speaks against the amount of a draft, as far as the ledger can tell."""
        if not draft.product or not draft.amount or draft.way == "out":  # what is weighed out is can and all
            return None
        lot = self._of(draft.product.product, draft.lot) if draft.lot else {}
        wrong = _unlike_lot(draft, Moved.of(amount), lot) if _RECEIVED in lot else ""
        wrong = wrong or self._unlike_deliveries(draft, amount)
        return Mistake("amount", wrong, *on_purpose()) if wrong else None

    def _unlike_deliveries(self, draft: Draft, amount: Pair) -> str:
        """What no lot need be known for: an amount in another unit than all that ever came."""
        assert draft.product
        assert draft.amount
        typed = draft.amount.typed
        largest, smallest = self._delivered(draft.product.product)
        times = _times(amount, largest)
        if times >= SLIP:
            return say("{typed} is {times:.0f} times the largest delivery so far", typed=typed, times=times)
        part = _times(smallest, amount) if draft.kind == "receive" else 0
        if part >= SPECK:
            return say("the smallest delivery so far is {times:.0f} times {typed}", typed=typed, times=part)
        return ""

    def add(self, draft: Draft, amount: Pair) -> None:
        """Count a line that is stored now."""
        if not draft.product:
            return
        product = draft.product.product
        if draft.lot:
            lot = self._of(product, draft.lot)
            lot[draft.kind, draft.way] = lot.get((draft.kind, draft.way), Moved()) + Moved.of(amount)
        if draft.kind == "receive":
            largest, smallest = self._delivered(product)
            self._deliveries[product] = _either(max, largest, amount), _either(min, smallest, amount)

    def _of(self, product: str, lot: str) -> dict[tuple[str, str], Moved]:
        if (product, lot) not in self._lots:
            self._lots[product, lot] = {
                (row["kind"], row["way"]): Moved(
                    (
                        None if row["mass_unknown"] else int(row["mass"] or 0),
                        None if row["volume_unknown"] else int(row["volume"] or 0),
                    ),
                    Mass.of(int(row["mass"] or 0), None) + Mass.of(None, int(row["volume_alone"] or 0)),
                )
                for row in sums_of(self.connection, product, lot)
            }
        return self._lots[product, lot]

    def _delivered(self, product: str) -> tuple[Pair, Pair]:
        if product not in self._deliveries:
            (row,) = quick.rows(self.connection, _DELIVERED, {"product": product})
            self._deliveries[product] = (row["most_mass"], row["most_volume"]), (row["least_mass"], row["least_volume"])
        return self._deliveries[product]


def _unlike_lot(draft: Draft, amount: Moved, lot: Mapping[tuple[str, str], Moved]) -> str:
    """What the lot of a draft has no room for."""
    assert draft.amount
    typed, came = draft.amount.typed, lot[_RECEIVED]
    if STOCK.get((draft.kind, draft.way)) == -1:
        much = _short(amount, _left(lot), came)
        return much and say(
            'lot "{lot}" holds {much} by the records, less than {typed}', lot=draft.lot, much=much, typed=typed
        )
    if draft.way == "to stock":
        much = _short(amount, came - _left(lot), came)
        return much and say('{much} is gone from lot "{lot}", less than {typed}', lot=draft.lot, much=much, typed=typed)
    if draft.way == "count":
        much = _short(amount, came, came)
        return much and say(
            '{much} of lot "{lot}" ever came in, less than {typed}', lot=draft.lot, much=much, typed=typed
        )
    if draft.kind == "receive":  # a delivery put in place of another
        all_of_it = came + amount
        gone = all_of_it - _left({**lot, _RECEIVED: all_of_it})
        if all_of_it.mass.most * SLIP <= gone.mass.least:
            return say('of lot "{lot}" far more than {typed} is gone already', lot=draft.lot, typed=typed)
    return ""


def _left(lot: Mapping[tuple[str, str], Moved]) -> Moved:
    left = Moved()
    for way, sign in STOCK.items():
        moved = lot.get(way, Moved())
        left = left + moved if sign > 0 else left - moved
    return left


def _sum(one: Pair, other: Pair, sign: int) -> Pair:
    mass, volume = (None if a is None or b is None else a + sign * b for a, b in zip(one, other, strict=True))
    return mass, volume


def _either(pick: Callable[[Iterable[int]], int], one: Pair, other: Pair) -> Pair:
    mass, volume = ([n for n in pair if n is not None] for pair in zip(one, other, strict=True))
    return pick(mass) if mass else None, pick(volume) if volume else None


def _times(large: Pair, small: Pair) -> float:
    """How many times one amount is another, at least; 0 where the other is not known."""
    if all(n is None for n in small):
        return 0.0
    known = [a / b for a, b in zip(large, small, strict=True) if a is not None and b]
    return max(known, default=0.0) or Mass.of(*large).least / (Mass.of(*small).most or inf)


def _short(amount: Moved, room: Moved, came: Moved) -> str:
    """What there is at most, in words, where an amount goes beyond it; "" where it does not, or may not."""
    for n, (kind, unit, si) in enumerate((("volume", "L", cubic_metres), ("mass", "kg", kilograms))):
        want, have, all_of_it = (moved.pair[1 - n] for moved in (amount, room, came))
        if want is None or have is None or all_of_it is None:
            continue
        return show(si(max(have, 0)), kind, unit) if want > have + OVERFILL * all_of_it else ""
    most = room.mass.most + OVERFILL * came.mass.most
    return (
        say("at most {mass}", mass=show(kilograms(round(max(room.mass.most, 0))), "mass", "kg"))
        if (amount.mass.least > most)
        else ""
    )
