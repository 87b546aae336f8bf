"""Small jobs and substances for the engine: real Antoine coefficients, everything else invented."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime
from typing import Any

from safety.cited import Cited, Source, Unknown
from safety.model import AirState, Application, Job, Part, Place, Product, Range, Shop, Step, Substance, Use

SOURCE = Source("test", "coefficients as in safety/data/substances, rounded", "for tests")


def substance(cas: str, name: str, molar_mass: float, a: float, b: float, c: float, lower: float) -> Substance:
    values = {
        "molar_mass": molar_mass,
        "antoine_a": a,
        "antoine_b": b,
        "antoine_c": c,
        "lower_explosive_limit": lower,
    }
    return Substance(cas, (name,), {k: (Cited(v, "", str(v), SOURCE, "here"),) for k, v in values.items()})


TOLUENE = substance("108-88-3", "toluene", 0.09214, 9.1595, 1386.0, -49.78, 0.010)
BUTANONE = substance("78-93-3", "butanone", 0.07211, 9.2200, 1285.0, -49.0, 0.014)
HEPTANE = substance("142-82-5", "heptane", 0.10020, 9.0200, 1264.0, -56.6, 0.0085)
TWIN = replace(TOLUENE, cas="95-47-6", names=("toluene again",))


class FewSubstances:
    """Stands in for the reference data: the substances above and nothing else."""

    def substance(self, cas: str) -> Substance | Unknown:
        known = {s.cas: s for s in (TOLUENE, BUTANONE, HEPTANE, TWIN)}
        return known.get(cas, Unknown(f"no data on CAS {cas} are loaded"))

    def listed(self, cas: str) -> Substance | Unknown:
        return self.substance(cas)


def exact(value: float) -> Range:
    return Range(value, value)


AIR = AirState("doors shut", Range(0.3 / 3600, 2 / 3600), Range(0.03, 0.2), "made up")
BAY = Place("bay", "hangar", 2400.0, exact(297.15), (AIR,), Range(0.4, 0.9))


def product(parts: tuple[Part, ...], application: Application | None = None, id: str = "wash") -> Product:
    unknown = Unknown("not needed here")
    return Product(id, id, "solvent", parts, 850.0, unknown, unknown, (), date(2026, 1, 2), application)


def part(substance: Substance, low: float, high: float | None = None) -> Part:
    return Part(substance.name, substance.cas, low, low if high is None else high)


WASH = product((part(TOLUENE, 0.5, 0.7), part(BUTANONE, 0.1, 0.3), part(HEPTANE, 0.1, 0.3)))
PRIMER = product(
    (part(TOLUENE, 0.4, 0.6), part(BUTANONE, 0.1, 0.3), Part("resin", "", 0.2, 0.3, volatile=False)),
    Application({"aluminium": 2, "composite": 3}, 300.0, 600.0, 7200.0, 10800.0, 0.0, exact(0.15)),
    id="primer",
)


def wipe(thing: Product = WASH, mass: Range = Range(0.1, 0.2), area: float = 1.0, **other: Any) -> Use:
    return Use(thing, other.pop("work", "wipe"), mass, "", area, **other)


def step(name: str, minutes: float, *uses: Use, people: Any = "near", place: Place = BAY, **other: Any) -> Step:
    return Step(name, minutes * 60, people, place, other.pop("air", place.airs[0]), uses, **other)


def job(*steps: Step, place: Place = BAY, **other: Any) -> Job:
    shop = Shop("a shop", "si", {place.id: place}, {})
    return Job("a-job", "a job", shop, place, datetime(2026, 1, 2, 7, 30), 1, "aluminium", steps, **other)


def demo_job(**other: Any) -> Job:
    """A wipe along a part, a wait, two coats of primer, a bond."""
    return job(
        step("Wipe", 15, wipe(kept=Range(0.1, 0.4)), length=3.0),
        step("Wait", 10, people="far"),
        step("Prime", 5, wipe(PRIMER, Range(0.1, 0.15), work="brush")),
        step("Bond", 30, joins="primer"),
        **other,
    )
