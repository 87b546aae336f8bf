"""The real packs of the waste part, invented products, containers and ledger lines."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timezone
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import safety_waste

from safety.cited import Unknown
from safety.model import Container, Contribution, Edition, Entry, Lot, Pack, Part, Period, Product, Shop, Threshold
from safety.reference import Reference, load

GALLON = 3.785411784e-3  # m3, NIST SP 811
NONE = Unknown("not given")
WAS = datetime(2026, 11, 25, 12, 0, tzinfo=timezone.utc)


@cache
def rules(*packs: str) -> Reference:
    return load(packs, Path(__file__).parent, date(2026, 11, 25), [("waste", safety_waste.contribute())])


US = ("us-federal",)


def with_pack(*thresholds: Threshold, tables: Mapping[str, Any] | None = None) -> Reference:
    """The federal rules and a local pack over them."""
    local = Pack("county", "County", "here", "2026", thresholds=thresholds, tables=tables or {})
    added = [("waste", safety_waste.contribute()), ("test", Contribution(packs=(local,)))]
    return load(("us-federal", "county"), Path(__file__).parent, date(2026, 11, 25), added)


def threshold(name: str, value: float, unit: str, compare: Any, written: str) -> Threshold:
    return Threshold(name, value, unit, compare, written, "County Code 7", "2026", "here", "county")


def product(*parts: Part, purpose: Any = "cleaner", **changes: Any) -> Product:
    fields: dict[str, Any] = {
        "name": "Thinner",
        "density": 870.0,
        "flash_point": 280.0,
        "boiling_point": 380.0,
        "hazards": ("H225",),
        "sds_revised": date(2026, 1, 1),
    }
    return Product("thinner", role="thinner", purpose=purpose, parts=parts, **(fields | changes))


def by_volume(reference: Reference, *shares: tuple[str, float]) -> tuple[Part, ...]:
    """Parts of known shares by volume, turned into the shares by weight a data sheet gives."""
    weights = {}
    for cas, share in shares:
        substance = reference.substance(cas)
        assert not isinstance(substance, Unknown)
        density = substance.best("density")
        assert not isinstance(density, Unknown)
        weights[cas] = share * density.value
    total = sum(weights.values())
    return tuple(Part(cas, cas, w / total, w / total) for cas, w in weights.items())


def container(name: str, kind: Any = "central", *accepts: str, size: float = 55 * GALLON, **more: Any) -> Container:
    return Container(
        name,
        more.pop("stream", "waste"),
        size,
        kind,
        accepts=accepts or ("free-liquid",),
        **({"reactivity": ()} | more),
    )


def shop(*containers: Container, **changes: Any) -> Shop:
    return Shop("North yard", "si", {}, {}, containers=containers, **changes)


_LINE = Entry(
    number=1, key="k", kind="waste", day=date(2026, 11, 3), happened=None, recorded=WAS, shop="North yard", who="Pat",
    product="", name="mixed waste", edition=None, lot="", job="", step="", operation="", way="from job",
    container="drum", mass=1.0, volume=NONE, density=NONE, typed="", basis="weighed", area=NONE, expires="",
    receiver="", manifest="", note="", anyway="", against="",
)  # fmt: skip


def line(day: str, container: str = "drum", mass: Any = 1.0, volume: Any = NONE, **changes: Any) -> Entry:
    return replace(_LINE, day=date.fromisoformat(day), container=container, mass=mass, volume=volume, **changes)


@dataclass(frozen=True)
class Lines:
    """A ledger of given lines, seen as plugins see it."""

    given: tuple[Entry, ...]
    since: date | None = None  # the day of the first record; left out: the first of the month of the first line

    @property
    def begins(self) -> date | None:
        return self.since or min((e.day.replace(day=1) for e in self.given), default=None)

    def flows(self, period: Period) -> tuple[Any, ...]:
        return tuple(SimpleNamespace(month=f"{e.day:%Y-%m}") for e in self.entries(period))

    shops: tuple[str, ...] = ("North yard",)
    left_out: str = ""
    stock: tuple[Lot, ...] = ()

    def entries(self, period: Period, kind: str | None = None, jobs: Any = None) -> tuple[Entry, ...]:
        inside = [
            e
            for e in self.given
            if period.first <= f"{e.day:%Y-%m}" <= period.last
            and kind in (None, e.kind)
            and (jobs is None or e.job in jobs)
        ]
        return tuple(sorted(inside, key=lambda e: (e.day, e.number)))

    def days(self, period: Period) -> frozenset[date]:
        return frozenset(e.day for e in self.entries(period))

    def editions(self) -> Mapping[int, Edition]:
        return {}

    def containers(self) -> Mapping[int, Container]:
        return {}

    def by_substance(self, *_: Any, **__: Any) -> tuple[Any, ...]:
        return ()

    def lots(self, products: Any = None) -> tuple[Lot, ...]:
        return self.stock


def lot(expires: Any, mass: Any = 1.0, product: str = "solvent") -> Lot:
    return Lot(product, "Thinner", "L1", expires, None, mass, NONE, NONE)


def ledger(given: Iterable[Entry], *lots: Lot) -> Any:
    return Lines(tuple(replace(e, number=i, key=f"k{i}") for i, e in enumerate(given)), stock=lots)
