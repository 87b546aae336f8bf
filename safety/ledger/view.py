"""The ledger as the log and the plugins see it: read-only, records and figures."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timezone
from functools import cache

from sqlalchemy import ColumnElement, Connection, func, select

from safety.cited import Unknown
from safety.ledger import rates, totals
from safety.ledger.in_waste import in_waste
from safety.ledger.lots import all_lots, lots_moved
from safety.ledger.read import completed, entries_where, named, read_containers, read_editions, readable, telling
from safety.ledger.store import Ledger, reading
from safety.ledger.tables import OF_WASTE, entry
from safety.model import (
    Balance,
    Container,
    Counted,
    Edition,
    Entry,
    EntryKind,
    Flow,
    InWaste,
    Lot,
    Period,
    ProductTotal,
    Shop,
    StockDay,
    SubstanceTotal,
    WeighedRate,
)
from safety.words import say

#: Kinds of line that are few, and asked for again and again: each container is followed from its first one.
_FEW = ("waste", "ship")


@dataclass(frozen=True, slots=True)
class View:
    """A LedgerView of one moment. Make it with :func:`view`."""

    _ledger: Ledger
    #: What is asked again and again is read from the database once: lines of which there are few, the first day, sums.
    _few: Callable[[Period, EntryKind], tuple[Entry, ...]]
    _begins: Callable[[], date | None]
    _flows: Callable[[Period], tuple[Flow, ...]]
    _lots: Callable[[frozenset[str] | None], tuple[Lot, ...]]
    _where: tuple[ColumnElement[bool], ...] = ()
    _editions: Mapping[int, Edition] = field(default_factory=dict)
    left_out: str = ""
    _until: str = ""  # as in ``recorded``
    _containers: Mapping[int, Container] = field(default_factory=dict)
    _listed: frozenset[str] = frozenset()  # the containers that shop.toml lists
    everybody: tuple[str, ...] = ()  # of one shop's view: every shop whose lines are in the ledger

    @property
    def begins(self) -> date | None:
        return self._begins()

    @property
    def connection(self) -> Connection:
        return self._ledger.connection

    @property
    def where(self) -> tuple[ColumnElement[bool], ...]:
        """Which lines are seen."""
        return self._where

    @property
    def shops(self) -> tuple[str, ...]:
        return _shops(self._ledger, *self._where)

    def as_listed(self) -> View:
        """The same, with every container as shop.toml describes it now."""
        return replace(self, _containers={})

    def entries(
        self, period: Period, kind: EntryKind | None = None, jobs: Collection[str] | None = None
    ) -> tuple[Entry, ...]:
        if kind in _FEW and jobs is None:
            return self._few(period, kind)
        of_kind = (entry.c.kind == kind,) if kind else ()
        of_jobs = () if jobs is None else (entry.c.job.in_(sorted(jobs)),)
        return self._read(period, *of_kind, *of_jobs)

    def telling(self, period: Period) -> tuple[Entry, ...]:
        """The lines of a period that say more than an amount."""
        return self._read(period, telling())

    def count(self, period: Period) -> int:
        """How many lines a period has."""
        lines = select(func.count()).select_from(entry).where(totals.within(period), *self._where)
        return int(self._ledger.connection.scalar(lines) or 0)

    def recorded(self, period: Period) -> tuple[int, ...]:
        """The product editions of the lines of a period."""
        numbers = select(entry.c.edition).where(totals.within(period), entry.c.edition.is_not(None), *self._where)
        return tuple(sorted(self._ledger.connection.scalars(numbers.distinct())))

    def without_mass(self, period: Period) -> tuple[tuple[Entry, int], ...]:
        """Of each product, and of mixed waste, with lines that moved an unknown mass: the first, and how many."""
        return totals.without_mass(self._ledger.connection, period, *self._where, until=self._until)

    @readable()
    def days(self, period: Period) -> frozenset[date]:
        days = select(entry.c.day).where(totals.within(period), *self._where).distinct()
        return frozenset(map(date.fromisoformat, self._ledger.connection.scalars(days)))

    def editions(self) -> Mapping[int, Edition]:
        return self._editions

    def containers(self) -> Mapping[int, Container]:
        return self._containers

    def flows(self, period: Period) -> tuple[Flow, ...]:
        return self._flows(period)

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        return totals.by_product(self._ledger.connection, self._editions, period, counted, span, *self._where)

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        return totals.by_substance(self._ledger.connection, self._editions, period, counted, span, *self._where)

    def balance(self, period: Period) -> tuple[Balance, ...]:
        return totals.balance(self._ledger.connection, self._editions, period, self._counted(period), *self._where)

    def stock(self, period: Period) -> tuple[StockDay, ...]:
        return totals.by_day(self._ledger.connection, self._editions, period, *self._where)

    def in_waste(self, period: Period) -> tuple[InWaste, ...]:
        own = self._listed.union(one.id for one in self._containers.values())
        return in_waste(self._ledger.connection, period, own, self._until, *self._where)

    def weighed_rates(self, products: Collection[str] | None = None) -> tuple[WeighedRate, ...]:
        of = () if products is None else (entry.c.product.in_(sorted(products)),)
        return rates.weighed(self._ledger.connection, *of, *self._where, until=self._until)

    def lots(self, products: Collection[str] | None = None) -> tuple[Lot, ...]:
        return self._lots(None if products is None else frozenset(products))

    def _read(self, period: Period, *where: ColumnElement[bool]) -> tuple[Entry, ...]:
        return entries_where(self._ledger.connection, totals.within(period), *where, *self._where, until=self._until)

    def _counted(self, period: Period) -> dict[str, float | Unknown]:
        """What was found of each product at the last count of its lots up to the end of the period [kg].

        A lot that was used up since needs no count: it is closed.
        """
        last: dict[tuple[str, str], Entry] = {}
        counts = (entry.c.kind == "weigh", entry.c.way == "count", entry.c.month <= period.last)
        for line in entries_where(self._ledger.connection, *counts, *self._where, until=self._until):
            if not line.reverses and not line.reversed_by:
                last[line.product, line.lot] = line
        lots = lots_moved(self._ledger.connection, entry.c.month <= period.last, *self._where)
        found: dict[str, float | Unknown] = {}
        for (product, lot), (used_up, moved) in sorted(lots.items()):
            count = last.get((product, lot))
            closed = used_up and (count is None or count.day.isoformat() <= moved)
            never = Unknown(say("lot {lot} has not been counted", lot=lot))
            mass = 0.0 if closed else never if count is None else count.mass
            so_far = found.get(product, 0.0)
            if isinstance(so_far, Unknown):
                continue
            found[product] = mass if isinstance(mass, Unknown) else so_far + mass
        return found


@contextmanager
def view(
    ledger: Ledger,
    shop: Shop | None = None,
    until: datetime | None = None,
    called: Callable[[str], str] = lambda cas: "",
) -> Iterator[View]:
    """See the ledger as it stands at this moment; with ``shop``, the lines of that shop alone. Raises Problems.

    Lines under a name the shop had before are its own. ``until`` (aware) leaves out every line
    that was recorded later. ``called`` gives the name of a substance, by CAS number, that a product's file did not
    name.
    """
    with reading(ledger) as connection:
        where = []
        last = "" if until is None else until.astimezone(timezone.utc).isoformat(timespec="microseconds")
        if last:
            where.append(entry.c.recorded <= last)
        left_out = ""
        everybody: tuple[str, ...] = ()
        if shop is not None:
            own = {shop.name, *shop.earlier_names}
            everybody = _shops(ledger, *where)
            left_out = _left_out(set(everybody) - own - set(shop.ledger_shared_with))
            where.append(entry.c.shop.in_(sorted(own)))
        editions = named(completed(read_editions(connection), {} if shop is None else shop.products), called)
        listed = frozenset(one.id for one in shop.containers) if shop else frozenset()

        @cache
        @readable()
        def begins() -> date | None:
            first = connection.scalar(select(func.min(entry.c.month)).where(*where))
            if first is None:
                return None
            days = select(func.min(entry.c.day)).where(entry.c.month == first, *where)
            return date.fromisoformat(str(connection.scalar(days)))

        def flows(period: Period) -> tuple[Flow, ...]:
            return totals.all_flows(connection, editions, period, *where)

        @cache
        def lots(products: frozenset[str] | None) -> tuple[Lot, ...]:
            return all_lots(connection, last, products)

        yield View(
            ledger,
            _of_waste(connection, where, last),
            begins,
            _added_up_once(flows),
            lots,
            tuple(where),
            editions,
            left_out,
            last,
            read_containers(connection),
            listed,
            everybody,
        )


def _of_waste(
    connection: Connection, where: Sequence[ColumnElement[bool]], until: str
) -> Callable[[Period, EntryKind], tuple[Entry, ...]]:
    """The lines of waste and of collections of a time, read once for both."""

    @cache
    def of_both(period: Period) -> tuple[Entry, ...]:
        return entries_where(connection, totals.within(period), OF_WASTE, *where, until=until)

    @cache
    def of_kind(period: Period, kind: EntryKind) -> tuple[Entry, ...]:
        return tuple(line for line in of_both(period) if line.kind == kind)

    return of_kind


def _added_up_once(flows: Callable[[Period], tuple[Flow, ...]]) -> Callable[[Period], tuple[Flow, ...]]:
    """The same sums, each added up once: those of a time within one that was asked for are taken out of it."""
    kept: list[tuple[Period, tuple[Flow, ...]]] = []

    def once(period: Period) -> tuple[Flow, ...]:
        for wide, found in kept:
            if wide.first <= period.first and period.last <= wide.last:
                return tuple(flow for flow in found if period.first <= flow.month <= period.last)
        kept.append((period, flows(period)))
        return kept[-1][1]

    return once


def _shops(ledger: Ledger, *where: ColumnElement[bool]) -> tuple[str, ...]:
    return tuple(sorted(ledger.connection.scalars(select(entry.c.shop).where(*where).distinct())))


def _left_out(names: set[str]) -> str:
    """Nobody but the shop can tell an earlier name of its own from another shop."""
    if not names:
        return ""
    return say(
        "The ledger also holds records under a name that is not counted here: {names}. If this shop had that name "
        "before, write it into earlier_names in shop.toml. If it is another shop, write it into ledger_shared_with.",
        names=", ".join(sorted(names)),
    )
