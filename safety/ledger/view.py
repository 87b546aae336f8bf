"""The ledger as the log and the plugins see it: read-only, records and figures."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date, datetime, timezone

from sqlalchemy import ColumnElement, func, select

from safety.cited import Unknown
from safety.ledger import totals
from safety.ledger.lots import all_lots
from safety.ledger.read import entries_where, read_editions
from safety.ledger.store import Ledger, has_ledger, open_ledger, reading
from safety.ledger.tables import entry
from safety.model import (
    Balance,
    Counted,
    Edition,
    Entry,
    EntryKind,
    Flow,
    Lot,
    Period,
    ProductTotal,
    Shop,
    SubstanceTotal,
)
from safety.words import say


@dataclass(frozen=True, slots=True)
class View:
    """A LedgerView of one moment. Make it with :func:`view`."""

    _ledger: Ledger
    _where: tuple[ColumnElement[bool], ...] = ()
    _editions: Mapping[int, Edition] = field(default_factory=dict)

    @property
    def begins(self) -> date | None:
        first = self._ledger.connection.scalar(select(func.min(entry.c.month)).where(*self._where))
        if first is None:
            return None
        days = select(func.min(entry.c.day)).where(entry.c.month == first, *self._where)
        return date.fromisoformat(str(self._ledger.connection.scalar(days)))

    @property
    def shops(self) -> tuple[str, ...]:
        found = self._ledger.connection.scalars(select(entry.c.shop).where(*self._where).distinct())
        return tuple(sorted(found))

    def entries(self, period: Period, kind: EntryKind | None = None) -> tuple[Entry, ...]:
        of_kind = (entry.c.kind == kind,) if kind else ()
        return entries_where(self._ledger.connection, totals.within(period), *of_kind, *self._where)

    def editions(self) -> Mapping[int, Edition]:
        return self._editions

    def flows(self, period: Period) -> tuple[Flow, ...]:
        return totals.all_flows(self._ledger.connection, period, *self._where)

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        return totals.by_product(self._ledger.connection, self._editions, period, counted, span, *self._where)

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        return totals.by_substance(self._ledger.connection, self._editions, period, counted, span, *self._where)

    def balance(self, period: Period) -> tuple[Balance, ...]:
        return totals.balance(self._ledger.connection, self._editions, period, self._counted(period), *self._where)

    def lots(self) -> tuple[Lot, ...]:
        return all_lots(self._ledger.connection)

    def _counted(self, period: Period) -> dict[str, float | Unknown]:
        """What was found of each product at the last count of its lots up to the end of the period [kg]."""
        last: dict[tuple[str, str], Entry] = {}
        counts = (entry.c.kind == "weigh", entry.c.way == "count", entry.c.month <= period.last)
        for line in entries_where(self._ledger.connection, *counts, *self._where):
            if not line.reverses and not line.reversed_by:
                last[line.product, line.lot] = line
        lots = select(entry.c.product, entry.c.lot).where(
            entry.c.kind == "receive", entry.c.month <= period.last, *self._where
        )
        found: dict[str, float | Unknown] = {}
        for product, lot in sorted(map(tuple, self._ledger.connection.execute(lots.distinct()))):
            count = last.get((product, lot))
            mass = Unknown(say("lot {lot} has not been counted", lot=lot)) if count is None else count.mass
            so_far = found.get(product, 0.0)
            if isinstance(so_far, Unknown):
                continue
            found[product] = mass if isinstance(mass, Unknown) else so_far + mass
        return found


@contextmanager
def view(ledger: Ledger, shop: str = "", until: datetime | None = None) -> Iterator[View]:
    """See the ledger as it stands at this moment; with ``shop``, the lines of that shop alone. Raises Problems.

    ``until`` (aware) leaves out every line that was recorded later.
    """
    with reading(ledger) as connection:
        where = [entry.c.shop == shop] if shop else []
        if until is not None:
            where.append(entry.c.recorded <= until.astimezone(timezone.utc).isoformat(timespec="microseconds"))
        yield View(ledger, tuple(where), read_editions(connection))


@contextmanager
def recorded(shop: Shop, until: datetime | None = None) -> Iterator[View | None]:
    """See what a shop has recorded; None where it keeps no ledger yet. Raises Problems for one that cannot be read."""
    if not has_ledger(shop):
        yield None
        return
    with open_ledger(shop) as ledger, view(ledger, shop.name, until) as seen:
        yield seen
