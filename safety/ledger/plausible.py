"""Slips that no field shows by itself: more than a lot can give, or a delivery unlike all before it.

Nothing here is impossible, so each is refused until somebody says on purpose that it is so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from sqlalchemy import Connection, bindparam, func, select

from safety.ledger import quick
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.drafts import Draft, Mistake, on_purpose
from safety.ledger.lots import STOCK, sums_of
from safety.ledger.tables import entry
from safety.units import show
from safety.words import say

#: Share of what came in by which a can may hold more than its label says (common practice, no source).
OVERFILL = 0.05
#: Times the largest delivery so far at which the unit is taken for a slip (common practice, no source).
SLIP = 100

#: Whole micrograms and nanolitres; None where a line has no density to know it by.
Pair = tuple[int | None, int | None]

_RECEIVED = ("receive", "")

_LARGEST = select(func.max(entry.c.mass_ug).label("mass"), func.max(entry.c.volume_nl).label("volume")).where(
    entry.c.product == bindparam("product"), entry.c.kind == "receive"
)


@dataclass(slots=True)
class Stock:
    """What went into and out of lots: read once for each lot, and kept up to date within one transaction."""

    connection: Connection
    _lots: dict[tuple[str, str], dict[tuple[str, str], Pair]] = field(default_factory=dict)
    _largest: dict[str, Pair] = field(default_factory=dict)  # product -> its largest delivery

    def refusal(self, draft: Draft, amount: Pair) -> Mistake | None:
        """Return what speaks against the amount of a draft, as far as the ledger can tell."""
        if not draft.product or not draft.amount or draft.way == "out":  # what is weighed out is can and all
            return None
        typed = draft.amount.typed
        if draft.kind == "receive":
            times = _times(amount, self._delivered(draft.product.product))
            if times < SLIP:
                return None
            wrong = say("{typed} is {times:.0f} times the largest delivery so far", typed=typed, times=times)
            return Mistake("amount", wrong, on_purpose())
        lot = self._of(draft.product.product, draft.lot) if draft.lot else {}
        if _RECEIVED not in lot:
            return None  # a lot that never came is refused, or remarked on, for that
        if STOCK.get((draft.kind, draft.way)) == -1:
            much = _short(amount, _left(lot), lot[_RECEIVED])
            wrong = say(
                'lot "{lot}" holds {much} by the records, less than {typed}', lot=draft.lot, much=much, typed=typed
            )
        elif draft.way == "to stock":
            much = _short(amount, _sum(lot[_RECEIVED], _left(lot), -1), lot[_RECEIVED])
            wrong = say('{much} is gone from lot "{lot}", less than {typed}', lot=draft.lot, much=much, typed=typed)
        elif draft.way == "count":
            much = _short(amount, lot[_RECEIVED], lot[_RECEIVED])
            wrong = say('{much} of lot "{lot}" ever came in, less than {typed}', lot=draft.lot, much=much, typed=typed)
        else:
            return None
        return Mistake("amount", wrong, on_purpose()) if much else None

    def add(self, draft: Draft, amount: Pair) -> None:
        """Count a line that is stored now."""
        if not draft.product:
            return
        product = draft.product.product
        if draft.lot:
            lot = self._of(product, draft.lot)
            lot[draft.kind, draft.way] = _sum(lot.get((draft.kind, draft.way), (0, 0)), amount, 1)
        if draft.kind == "receive":
            both = zip(self._delivered(product), amount, strict=True)
            mass, volume = (max((n for n in pair if n is not None), default=None) for pair in both)
            self._largest[product] = mass, volume

    def _of(self, product: str, lot: str) -> dict[tuple[str, str], Pair]:
        if (product, lot) not in self._lots:
            self._lots[product, lot] = {
                (row["kind"], row["way"]): (
                    None if row["mass_unknown"] else int(row["mass"] or 0),
                    None if row["volume_unknown"] else int(row["volume"] or 0),
                )
                for row in sums_of(self.connection, product, lot)
            }
        return self._lots[product, lot]

    def _delivered(self, product: str) -> Pair:
        if product not in self._largest:
            (row,) = quick.rows(self.connection, _LARGEST, {"product": product})
            self._largest[product] = row["mass"], row["volume"]
        return self._largest[product]


def _left(lot: Mapping[tuple[str, str], Pair]) -> Pair:
    left: Pair = (0, 0)
    for way, sign in STOCK.items():
        left = _sum(left, lot.get(way, (0, 0)), sign)
    return left


def _sum(one: Pair, other: Pair, sign: int) -> Pair:
    mass, volume = (None if a is None or b is None else a + sign * b for a, b in zip(one, other, strict=True))
    return mass, volume


def _times(amount: Pair, largest: Pair) -> float:
    """How many times the largest delivery an amount is; 0 where there is none in the same unit."""
    known = [a / b for a, b in zip(amount, largest, strict=True) if a is not None and b]
    return max(known, default=0.0)


def _short(amount: Pair, room: Pair, came: Pair) -> str:
    """What there really is, in words, where an amount goes beyond it; "" where it does not, or nobody can tell."""
    for n, (kind, unit, si) in enumerate((("volume", "L", cubic_metres), ("mass", "kg", kilograms))):
        want, have, all_of_it = (pair[1 - n] for pair in (amount, room, came))
        if want is None or have is None or all_of_it is None:
            continue
        return show(si(max(have, 0)), kind, unit) if want > have + OVERFILL * all_of_it else ""
    return ""
