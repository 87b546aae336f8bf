"""What must stand on the label of a waste container, by the plugins and the records of a shop."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from datetime import date, timedelta

from safety.model import (
    Balance,
    Container,
    Counted,
    Edition,
    Entry,
    EntryKind,
    Flow,
    Grid,
    InWaste,
    LedgerView,
    Lot,
    Period,
    ProductTotal,
    StockDay,
    SubstanceTotal,
    WeighedRate,
)
from safety.words import say
from safety.workplace import Workplace


def labelled(workplace: Workplace, *, today: bool) -> list[str]:
    """The containers there is a label of: those of today, and for an earlier month those with records of its time."""
    listed = [one.id for one in workplace.shop.containers]
    if today:
        return listed
    with workplace.records(workplace.shop) as ledger:
        earlier = [] if ledger is None else sorted(one.id for one in ledger.containers().values())
    return list(dict.fromkeys([*listed, *earlier]))


def on_label(
    workplace: Workplace, container: str, first: date, *, today: bool
) -> tuple[Grid | None, tuple[str, ...], list[str]]:
    """What the plugins say of a container at the end of a month, its symbols, and sentences on what is missing."""
    shop, in_force = workplace.shop, workplace.on((first + timedelta(days=31)).replace(day=1) - timedelta(days=1))
    plugins, reference = in_force.plugins, in_force.reference
    period = Period(f"{first:%Y-%m}", f"{first:%Y-%m}")
    found = None
    with workplace.records(shop) as ledger:
        seen: LedgerView = NoRecords() if ledger is None else ledger.as_listed() if today else ledger
        for _, blocks in plugins.ask("log_blocks", period=period, ledger=seen, reference=reference, shop=shop, jobs=()):
            for block in blocks:
                if isinstance(block, Grid) and block.key == f"container:{container}":
                    found = block
        missing = [seen.left_out] if seen.left_out else []
    shown: tuple[str, ...] = ()
    if found is not None and found.statements:
        signs = in_force.signs({container: found.statements})
        shown = signs[0].symbols if signs else ()
        missing += [] if signs else [say("No plugin says which signs {container} carries.", container=container)]
    failures = missing + [
        say("{plugin} did not answer ({hook}): {reason}", plugin=f.plugin, hook=f.hook, reason=f.reason)
        for f in plugins.failures
    ]
    return found, shown, failures


class NoRecords:
    """The view of a ledger that has no lines."""

    begins: date | None = None
    shops: tuple[str, ...] = ()
    left_out = ""

    def entries(
        self, period: Period, kind: EntryKind | None = None, jobs: Collection[str] | None = None
    ) -> tuple[Entry, ...]:
        return ()

    def days(self, period: Period) -> frozenset[date]:
        return frozenset()

    def editions(self) -> Mapping[int, Edition]:
        return {}

    def containers(self) -> Mapping[int, Container]:
        return {}

    def as_listed(self) -> NoRecords:
        return self

    def flows(self, period: Period) -> tuple[Flow, ...]:
        return ()

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        return ()

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        return ()

    def balance(self, period: Period) -> tuple[Balance, ...]:
        return ()

    def stock(self, period: Period) -> tuple[StockDay, ...]:
        return ()

    def in_waste(self, period: Period) -> tuple[InWaste, ...]:
        return ()

    def weighed_rates(self, products: Collection[str] | None = None) -> tuple[WeighedRate, ...]:
        return ()

    def lots(self, products: Collection[str] | None = None) -> tuple[Lot, ...]:
        return ()
