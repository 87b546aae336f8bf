"""Hand-made jobs, air and reference data for plugin tests: no engine, no files.

Every builder is a fixture that gives a function, so a test asks for ``make_job`` and calls it.
Concentrations are given in ppm, the way published limits are, and turned into kg/m3 here by the
ideal gas law, apart from the formula catalogue.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

import numpy as np
import pytest

from safety.cited import Cited, Source, Unknown
from safety.exposure.result import Balance, Curves, Decisive, Exposure, Metrics, StepAir
from safety.model import (
    AirState,
    Carried,
    Composition,
    Job,
    Leftover,
    Limit,
    Pack,
    Part,
    Place,
    Product,
    Range,
    Segment,
    Shop,
    Step,
    Substance,
    Threshold,
    Timeline,
    Use,
    Window,
)

TOLUENE, BUTANONE, XYLENE, NMP, DCM = "108-88-3", "78-93-3", "1330-20-7", "872-50-4", "75-09-2"
GAS_CONSTANT, PRESSURE, ROOM = 8.31446261815324, 101325.0, 298.15
DRAWS = 40
#: kg/mol, from the standard atomic weights (IUPAC 2021, abridged)
MOLAR_MASS = {TOLUENE: 0.09214, BUTANONE: 0.07211, XYLENE: 0.10617, NMP: 0.09913, DCM: 0.08493}
#: What is not here is made of carbon, hydrogen and oxygen.
ELEMENTS = {"7732-18-5": ("H", "O"), DCM: ("C", "H", "Cl"), "127-18-4": ("C", "Cl"), "79-01-6": ("C", "H", "Cl")}
NAMES = {TOLUENE: "toluene", BUTANONE: "butanone", XYLENE: "xylene", NMP: "NMP", DCM: "dichloromethane"}
BOOK = Source("test-book", "A handbook made for the tests", "1st")


def _range(value: Range | float | Sequence[float]) -> Range:
    if isinstance(value, Range):
        return value
    low, high = (value, value) if isinstance(value, (int, float)) else value
    return Range(float(low), float(high))


def _row(value: Any, draws: int) -> Any:
    """A scalar for every draw, or the draws themselves."""
    return np.broadcast_to(np.asarray(value, dtype=float), (draws,)).copy()


# ---------------------------------------------------------------- records


def cited(value: float, unit: str = "1", *, remark: str = "", unverified: str = "", **conditions: float) -> Cited:
    return Cited(value, unit, f"{value:g} {unit}", BOOK, "table 1", unverified, remark, tuple(conditions.items()))


def substance(cas: str = TOLUENE, name: str = "", hazards: Any = None, **properties: Any) -> Substance:
    """A substance; each property a number or a tuple of Cited, ``None`` to leave it out."""
    values = {"molar_mass": MOLAR_MASS.get(cas)} | properties
    kept = {
        key: value if isinstance(value, tuple) else (cited(value),)
        for key, value in values.items()
        if value is not None
    }
    given: dict[str, Any] = {} if hazards is None else {"hazards": hazards}
    elements = ELEMENTS.get(cas, ("C", "H", "O"))
    given["composition"] = Composition(elements, ", ".join(elements), BOOK, "table 1")
    return Substance(cas, (name or NAMES.get(cas, cas),), kept, **given)


def part(
    cas: str = TOLUENE, low: float = 1.0, high: float | None = None, volatile: bool = True, name: str = ""
) -> Part:
    return Part(name or NAMES.get(cas, cas), cas, low, low if high is None else high, volatile)


def product(id: str = "solvent", *parts: Part, **changes: Any) -> Product:
    fields: dict[str, Any] = {
        "name": id,
        "role": "solvent",
        "purpose": "cleaner",
        "parts": parts or (part(),),
        "density": 867.0,
        "flash_point": 277.15,
        "boiling_point": 383.15,
        "hazards": (),
        "sds_revised": date(2026, 1, 1),
    }
    return Product(id=id, **(fields | changes))


def place(id: str = "bay", kind: Any = "hangar", volume: Any = 2400.0, **changes: Any) -> Place:
    fields: dict[str, Any] = {
        "temperature": Range(ROOM, ROOM),
        "airs": (
            AirState("doors shut", Range(1 / 3600, 1 / 3600), Range(0.1, 0.1), "tracer gas", measured=date(2026, 3, 2)),
        ),
        "near_radius": Range(0.6, 0.6),
        "pressure": 101325.0,
    }
    return Place(id, kind, volume, **(fields | changes))


def use(product_: Product | None = None, work: Any = "wipe", mass: Any = 0.1, area: Any = 0.5, **changes: Any) -> Use:
    grams = mass if isinstance(mass, Unknown) else _range(mass)
    return Use(product_ or product(), work, grams, f"{mass} kg", area, **changes)


def leftover(product_: Product | None = None, mass: Any = 0.05, what: str = "rags", **changes: Any) -> Leftover:
    grams = mass if isinstance(mass, Unknown) else _range(mass)
    fields: dict[str, Any] = {"written": f"{mass} kg", "area": 0.3, "taken_away": "", "form": "wet-cloths"}
    return Leftover(what, product_ or product(), grams, **(fields | changes))


def carried(product_: Product | None = None, mass: Any = 1.0) -> Carried:
    grams = mass if isinstance(mass, Unknown) else _range(mass)
    return Carried(product_ or product(), grams, f"{mass} kg")


def step(name: str = "wipe", *uses: Use, minutes: float = 15.0, at: Place | None = None, **changes: Any) -> Step:
    where = at or place()
    fields: dict[str, Any] = {"people": "near", "place": where, "air": where.airs[0], "uses": uses}
    return Step(name, minutes * 60.0, **(fields | changes))


def shop(*places: Place, products: Sequence[Product] = (), **changes: Any) -> Shop:
    fields: dict[str, Any] = {
        "name": "Test shop",
        "print_units": "si",
        "places": {p.id: p for p in places},
        "products": {p.id: p for p in products},
    }
    return Shop(**(fields | changes))


def job(*steps: Step, shop_: Mapping[str, Any] | None = None, **changes: Any) -> Job:
    """A job of ``steps`` (default: one wipe with the default product) at 08:00 on 2026-03-10."""
    steps = steps or (step("wipe", use()),)
    where = changes.pop("place", steps[0].place)
    fields: dict[str, Any] = {"title": "a job", "start": DAY, "crew": 1, "surface": "aluminium"}
    draft = Job(id="job", shop=shop(where), place=where, steps=steps, **(fields | changes))
    own = shop(*{s.place.id: s.place for s in steps}.values(), where, products=draft.products, **(shop_ or {}))
    return Job(id="job", shop=own, place=where, steps=steps, **(fields | changes))


def timeline(job_: Job, windows: Sequence[Window] = ()) -> Timeline:
    """One piece of work after the other, no waits."""
    segments, clock = [], 0.0
    for index, each in enumerate(job_.steps):
        segments.append(Segment(index, "work", clock, clock + each.duration, each.name))
        clock += each.duration
    return Timeline(tuple(segments), tuple(windows), clock)


def exposure(
    job_: Job,
    ppm: Mapping[str, Any] | None = None,
    *,
    peak: Mapping[str, Any] | None = None,
    worst_15min: Mapping[str, Any] | None = None,
    shift_average: Mapping[str, Any] | None = None,
    bystander: Mapping[str, Any] | None = None,
    far: Mapping[str, Any] | None = None,
    steps: Sequence[Mapping[str, Any]] = (),
    near_fraction: Any = 0.0,
    far_fraction: Any = 0.0,
    halves_after: float = 1800.0,
    substances: Sequence[Substance] | None = None,
    balances: Sequence[Balance] = (),
    windows: Sequence[Window] = (),
    unknowns: Sequence[str] = (),
    draws: int = DRAWS,
) -> Exposure:
    """Air made by hand. ``ppm`` {cas: number or one number a draw} is the worker's concentration.

    It holds for every metric and step unless ``peak``, ``worst_15min`` or ``shift_average`` give
    another. ``far`` (far-field peak) and ``bystander`` (all metrics) default to none at all. Each
    item of ``steps`` may change, for that step, mean, peak, worst_15min, near_peak, far_peak
    ({cas: ppm}), near_fraction, far_fraction and unknown (sentences). The curves hold the job's level while work goes
    on and then halve every ``halves_after`` seconds, for 24 h.
    """
    ppm = dict(ppm or {})
    known = tuple(substances) if substances is not None else tuple(substance(cas) for cas in ppm)
    columns = [s.cas for s in known]
    molar = np.array([s.properties["molar_mass"][0].value for s in known], dtype=float)
    temperature = np.full(draws, (job_.place.temperature.low + job_.place.temperature.high) / 2)

    def mass(values: Mapping[str, Any] | None, otherwise: Mapping[str, Any]) -> Any:
        chosen = otherwise if values is None else {**otherwise, **values}
        share = np.zeros((draws, len(columns)))
        for index, cas in enumerate(columns):
            share[:, index] = _row(chosen.get(cas, 0.0), draws) * 1e-6
        return share * molar[None, :] * PRESSURE / (GAS_CONSTANT * temperature[:, None])

    def fraction(value: Any) -> Any:
        return value if isinstance(value, Unknown) else _row(value, draws)

    def air(index: int) -> StepAir:
        given = steps[index] if index < len(steps) else {}
        own_peak = {**ppm, **(peak or {}), **given.get("peak", {})}
        return StepAir(
            mean=mass(given.get("mean"), ppm),
            peak=mass(None, own_peak),
            worst_15min=mass(given.get("worst_15min"), {**ppm, **(worst_15min or {})}),
            near_peak=mass(given.get("near_peak"), own_peak),
            far_peak=mass(given.get("far_peak"), far or {}),
            near_explosive_fraction=fraction(given.get("near_fraction", near_fraction)),
            far_explosive_fraction=fraction(given.get("far_fraction", far_fraction)),
            unknown=tuple(given.get("unknown", ())),
        )

    clock = timeline(job_, windows)
    times = np.arange(0.0, max(clock.end, 0.0) + 86400.0 + 1.0, 300.0)
    shape = np.where(times <= clock.end, 1.0, 0.5 ** ((times - clock.end) / halves_after))

    def curve(zone: Mapping[str, Any], percent: float) -> Any:
        level = np.percentile(mass(None, zone), percent, axis=0) if columns else np.zeros(0)
        return shape[:, None] * level[None, :]

    def fraction_curve(value: Any) -> Any:
        return value if isinstance(value, Unknown) else shape * float(np.percentile(_row(value, draws), 95))

    near_zone = {**ppm, **(peak or {})}
    bounds = Decisive(
        curve(near_zone, 95), curve(far or {}, 95), fraction_curve(near_fraction), fraction_curve(far_fraction)
    )
    return Exposure(
        job=job_,
        timeline=clock,
        substances=known,
        molar_mass=molar,
        temperature=temperature,
        worker=Metrics(mass(peak, ppm), mass(worst_15min, ppm), mass(shift_average, ppm)),
        bystander=Metrics(*(mass(bystander, {}) for _ in range(3))),
        steps=tuple(air(index) for index in range(len(job_.steps))),
        curves=Curves(
            times=times,
            near_p50=curve(near_zone, 50),
            near_p95=curve(near_zone, 95),
            far_p50=curve(far or {}, 50),
            far_p95=curve(far or {}, 95),
            near_fraction_p95=fraction_curve(near_fraction),
            far_fraction_p95=fraction_curve(far_fraction),
            decisive=bounds,
            edge=bounds,
        ),
        balances=tuple(balances),
        unknowns=tuple(unknowns),
        seed=1,
    )


# ---------------------------------------------------------------- reference data


def limit(cas: str = TOLUENE, kind: Any = "twa", ppm: float = 200.0, **changes: Any) -> Limit:
    """An exposure limit of ``ppm`` ppm; give ``unit="mg/m3", value=kg/m3`` for one by mass."""
    fields: dict[str, Any] = {
        "list": "OSHA PEL",
        "value": ppm * 1e-6,
        "unit": "ppm",
        "written": f"{ppm:g} ppm",
        "averaging": {"twa": 28800.0, "short-term": 900.0}.get(kind, 0.0),
        "compare": "over",
        "citation": "29 CFR 1910.1000",
        "edition": "2026-01-01",
        "jurisdiction": "US",
        "pack": "test-pack",
    }
    return Limit(cas=cas, kind=kind, **(fields | changes))


def threshold(name: str, value: float, unit: str = "1", compare: Any = "at or over", **changes: Any) -> Threshold:
    fields: dict[str, Any] = {
        "written": f"{value:g} {unit}",
        "citation": "a rule for the tests",
        "edition": "2026",
        "jurisdiction": "US",
        "pack": "test-pack",
    }
    return Threshold(name, value, unit, compare, **(fields | changes))


#: the thresholds every shop has, as the shipped packs give them
THRESHOLDS = (
    threshold("explosive-atmosphere-stop", 0.10, "1", "at or over"),
    threshold("enclosed-below-volume", 20.0, "m3", "under"),
    threshold("flash-margin-pure", 5.0, "K", "under"),
    threshold("flash-margin-mixture", 15.0, "K", "under"),
    threshold("static-accumulator", 50e-12, "S/m", "under"),
)


DAY = datetime(2026, 3, 10, 8, 0)


class MemoryReference:
    """The questions of safety.reference.Reference, answered from what the test gives."""

    def __init__(
        self,
        substances: Sequence[Substance] = (),
        limits: Sequence[Limit] = (),
        thresholds: Sequence[Threshold] = THRESHOLDS,
        tables: Mapping[str, Sequence[Mapping[str, Any]]] | None = None,
        packs: Sequence[Pack] = (),
    ):
        """``packs`` add their thresholds and tables; their limits are left out."""
        self.day = DAY.date()
        self._substances = {s.cas: s for s in substances}
        self._limits = tuple(limits)
        self._thresholds = {t.name: t for t in thresholds}
        self._tables = {name: tuple(rows) for name, rows in (tables or {}).items()}
        for pack in packs:
            self._thresholds |= {t.name: t for t in pack.thresholds}
            self._tables |= pack.tables

    def substance(self, cas: str) -> Substance | Unknown:
        return self._substances.get(cas) or Unknown(f"no data of {cas} are loaded")

    def listed(self, cas: str) -> Substance | Unknown:
        return self.substance(cas)

    def limits(self, cas: str, kind: str | None = None) -> tuple[Limit, ...]:
        return tuple(x for x in self._limits if x.cas == cas and kind in (None, x.kind))

    def limits_on_groups(self) -> tuple[Limit, ...]:
        return tuple(x for x in self._limits if not x.cas)

    def limit_ppm(self, one: Limit) -> float | Unknown:
        """In ppm: 200.0 for 200 ppm."""
        if one.unit == "ppm":
            return one.value * 1e6
        given = self._substances[one.cas].best("molar_mass") if one.cas in self._substances else MOLAR_MASS[one.cas]
        molar = given if isinstance(given, (float, Unknown)) else given.value
        if isinstance(molar, Unknown):
            return molar
        return 1e6 * one.value / molar * GAS_CONSTANT * one.reference_temperature / PRESSURE

    def limit_mass(self, one: Limit) -> float | Unknown:
        if one.unit == "mg/m3":
            return one.value
        return one.value * MOLAR_MASS[one.cas] * PRESSURE / (GAS_CONSTANT * one.reference_temperature)

    def governing(self, cas: str, kind: str) -> Limit | Unknown:
        found = sorted(self.limits(cas, kind), key=lambda x: self.limit_ppm(x))  # type: ignore[arg-type, return-value]
        return found[0] if found else Unknown(f"no {kind} limit of {cas} is loaded")

    def threshold(self, name: str) -> Threshold | Unknown:
        return self._thresholds.get(name) or Unknown(f"no threshold {name} is loaded")

    def table(self, name: str) -> tuple[Mapping[str, Any], ...]:
        return self._tables.get(name, ())

    def vapour_pressure(self, cas: str, temperature: float) -> Any:
        return Unknown(f"no vapour pressure of {cas} is loaded")


# ---------------------------------------------------------------- the same, as fixtures


def _fixture(function: Any, name: str) -> Any:
    def give() -> Callable[..., Any]:
        return function  # type: ignore[no-any-return]

    give.__doc__ = function.__doc__
    return pytest.fixture(give, name=name)


make_cited = _fixture(cited, "make_cited")
make_substance = _fixture(substance, "make_substance")
make_part = _fixture(part, "make_part")
make_product = _fixture(product, "make_product")
make_place = _fixture(place, "make_place")
make_use = _fixture(use, "make_use")
make_leftover = _fixture(leftover, "make_leftover")
make_carried = _fixture(carried, "make_carried")
make_step = _fixture(step, "make_step")
make_job = _fixture(job, "make_job")
make_timeline = _fixture(timeline, "make_timeline")
make_exposure = _fixture(exposure, "make_exposure")
make_limit = _fixture(limit, "make_limit")
make_threshold = _fixture(threshold, "make_threshold")
make_reference = _fixture(MemoryReference, "make_reference")
