"""Lots: when they expire, when they were opened and what is left of them."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Connection, Select, and_, bindparam, case, func, literal_column, select

from safety.cited import Unknown
from safety.ledger import quick
from safety.ledger.amounts import cubic_metres, kilograms
from safety.ledger.read import readable
from safety.ledger.tables import edition, entry, standing
from safety.model import Lot
from safety.words import say

Line = Mapping[str, Any]

#: What a line does to the stock.
STOCK = {
    ("receive", ""): 1,
    ("use", ""): -1,
    ("return", "to stock"): 1,
    ("return", "to supplier"): -1,
    ("waste", "from stock"): -1,
}


@dataclass(frozen=True, slots=True)
class LotState:
    """What the labels of a lot say, as far as anybody received or opened it."""

    labels: frozenset[str]  # the expiry as each delivery gave it: a day, "none" or "unknown"
    expires: str  # the earliest day there is, else "unknown" where one label is unknown, else "none"
    opened: str
    empty: str  # the day it was last found empty, where nothing came in since; "" = it was not

    @property
    def received(self) -> bool:
        return bool(self.labels)


def _of_lots(until: str = "") -> tuple[ColumnElement[bool], ...]:
    """Lines of a lot that stand. ``until`` as in ``standing``."""
    return entry.c.lot != "", entry.c.way != "out", *standing(until)


def _of_kind(*kinds: str) -> ColumnElement[bool]:
    return entry.c.kind.in_([literal_column(f"'{kind}'") for kind in kinds])


_EVENTS = (
    select(entry.c.product, entry.c.lot, entry.c.kind, entry.c.way, entry.c.expires, entry.c.day, entry.c.mass_ug)
    .where(_of_kind("receive", "open", "weigh", "return"))
    .order_by(entry.c.day, entry.c.happened, entry.c.id)
)
_SUMMED = ("mass", "volume", "mass_unknown", "volume_unknown", "volume_alone")


def _sums(*where: ColumnElement[bool]) -> Select[Any]:
    """What moved in each lot, by kind and way of line; added up by edition first, whose name is looked up once."""
    of_lot = (entry.c.product, entry.c.lot, entry.c.kind, entry.c.way)
    by_edition = (
        select(
            *of_lot,
            entry.c.edition,
            func.sum(entry.c.mass_ug).label("mass"),
            func.sum(entry.c.volume_nl).label("volume"),
            func.sum(case((entry.c.mass_ug.is_(None), entry.c.sign), else_=0)).label("mass_unknown"),
            func.sum(case((entry.c.volume_nl.is_(None), entry.c.sign), else_=0)).label("volume_unknown"),
            func.sum(case((entry.c.mass_ug.is_(None), entry.c.volume_nl), else_=0)).label("volume_alone"),
        )
        .where(entry.c.lot != "", *where)
        .group_by(*of_lot, entry.c.edition)
        .subquery()
    ).c
    same = (by_edition.product, by_edition.lot, by_edition.kind, by_edition.way)
    return (
        select(
            *same, func.max(edition.c.name).label("name"), *(func.sum(by_edition[one]).label(one) for one in _SUMMED)
        )
        .where(edition.c.id == by_edition.edition)
        .group_by(*same)
    )


_THIS = and_(entry.c.product == bindparam("product"), entry.c.lot == bindparam("lot"))
_EVENTS_OF_ONE, _SUMS_OF_ONE = _EVENTS.where(_THIS, *_of_lots()), _sums(_THIS)


@readable()
def labels_of(connection: Connection, product: str, lot: str) -> LotState:
    """Return what the labels of one lot say."""
    return _labels(quick.rows(connection, _EVENTS_OF_ONE, {"product": product, "lot": lot}))


def sums_of(connection: Connection, product: str, lot: str) -> list[dict[str, Any]]:
    """Return what moved in one lot: a row for each kind and way of line."""
    return quick.rows(connection, _SUMS_OF_ONE, {"product": product, "lot": lot})


@readable()
def lot_of(connection: Connection, product: str, lot: str) -> Lot:
    """Return one lot as it stands; of a lot without lines nothing is left."""
    this = {"product": product, "lot": lot}
    return _lot(product, lot, quick.rows(connection, _EVENTS_OF_ONE, this), sums_of(connection, product, lot))


@readable()
def all_lots(connection: Connection, until: str = "", products: Collection[str] | None = None) -> tuple[Lot, ...]:
    """Return every lot that has lines, by product and lot; of ``products`` or of all.

    ``until`` (as in ``recorded``) leaves out later lines.
    """
    known = [entry.c.recorded <= until] if until else []
    if products is not None:
        known.append(entry.c.product.in_(sorted(products)))
    events: dict[tuple[str, str], list[Line]] = {}
    for row in connection.execute(_EVENTS.where(*_of_lots(until), *known)).mappings():
        events.setdefault((row["product"], row["lot"]), []).append(dict(row))
    sums: dict[tuple[str, str], list[Line]] = {}
    for row in connection.execute(_sums(*known)).mappings():
        sums.setdefault((row["product"], row["lot"]), []).append(dict(row))
    return tuple(_lot(*name, events.get(name, []), sums[name]) for name in sorted(sums))


def lots_moved(connection: Connection, *where: ColumnElement[bool]) -> dict[tuple[str, str], tuple[bool, str]]:
    """Each lot that was received -> whether the records say that it is used up, and the day of its last movement."""
    c = entry.c
    columns = (c.product, c.lot, c.kind, c.way)
    rows = connection.execute(
        select(
            *columns,
            func.sum(c.mass_ug).label("mass"),
            func.sum(case((c.mass_ug.is_(None), c.sign), else_=0)).label("unknown"),
            func.max(c.day).label("day"),
        )
        .where(c.lot != "", _of_kind(*sorted({kind for kind, _ in STOCK})), *where)
        .group_by(*columns)
    )
    moved: dict[tuple[str, str], list[Line]] = {}
    for row in rows.mappings():
        if (row["kind"], row["way"]) in STOCK:
            moved.setdefault((row["product"], row["lot"]), []).append(dict(row))
    return {
        name: (
            not any(line["unknown"] for line in lines)
            and _left([(STOCK[line["kind"], line["way"]], line) for line in lines], "mass") <= 0,
            max(line["day"] for line in lines),
        )
        for name, lines in moved.items()
        if any(line["kind"] == "receive" for line in lines)
    }


def _labels(events: Sequence[Line]) -> LotState:
    labels = frozenset(row["expires"] for row in events if row["kind"] == "receive")
    said = {row["expires"] for row in events if row["kind"] in ("receive", "open")} - {""}
    days = sorted(said - {"none", "unknown"})
    expires = days[0] if days else "unknown" if "unknown" in said or not said else "none"
    opened = [row["day"] for row in events if row["kind"] == "open"]
    empty = ""
    for row in events:
        if row["kind"] == "weigh":
            empty = row["day"] if row["mass_ug"] == 0 else ""
        elif row["kind"] == "receive" or row["way"] == "to stock":
            empty = ""
    return LotState(labels, expires, min(opened, default=""), empty)


def _lot(product: str, lot: str, events: Sequence[Line], sums: Sequence[Line]) -> Lot:
    state = _labels(events)
    nobody = Unknown(say("nobody recorded when lot {lot} expires", lot=lot))
    never = Unknown(say("lot {lot} has not been counted", lot=lot))
    day = date.fromisoformat
    counts = [row for row in events if row["kind"] == "weigh"]
    counted = never if not counts or counts[-1]["mass_ug"] is None else kilograms(counts[-1]["mass_ug"])
    moved = [(STOCK[row["kind"], row["way"]], row) for row in sums if (row["kind"], row["way"]) in STOCK]
    no_mass = sum(row["mass_unknown"] for _, row in moved)
    no_volume = sum(row["volume_unknown"] for _, row in moved)
    why = Unknown(say("records of lot {lot} without a known density: {count}", count=max(no_mass, no_volume), lot=lot))
    return Lot(
        product,
        sums[0]["name"] if sums else "",
        lot,
        nobody if state.expires == "unknown" else None if state.expires == "none" else day(state.expires),
        day(state.opened) if state.opened else None,
        0.0 if state.empty else why if no_mass else kilograms(_left(moved, "mass")),
        0.0 if state.empty else why if no_volume else cubic_metres(_left(moved, "volume")),
        counted,
        day(counts[-1]["day"]) if counts else None,
        day(state.empty) if state.empty else None,
    )


def _left(moved: Sequence[tuple[int, Line]], what: str) -> int:
    return sum(sign * int(row[what] or 0) for sign, row in moved)
