"""The job with what the fire judgements ask of it again and again."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Any

from safety import units
from safety.cited import Cited, Unknown
from safety.exposure import Exposure
from safety.formulas.ignition import flash_point_at
from safety.model import Composition, Figure, Job, Part, Place, Product, Step, Substance, Threshold
from safety.reference import Reference, fractions, past
from safety.words import joined, say, term

PLUGIN = "ignition"
FIRE_STOP = "explosive-atmosphere-stop"
ENCLOSED_BELOW = "enclosed-below-volume"


def air_pressure(place: Place) -> Figure:
    """The pressure of a place's air, for what is computed with it."""
    if place.pressure is not None:
        return Figure(say("pressure of the air"), place.pressure, "Pa")
    note = say("the least that counts as usual, since no file says how high the place lies")
    return Figure(say("pressure of the air"), place.air_pressure, "Pa", note=note)


def here(flash_point: float, pressure: Figure) -> float:
    """A flash point [K] in the air of a place."""
    return float(flash_point_at(flash_point, pressure.value))


class FireTask:
    """Job, air and reference data of one assessment."""

    def __init__(self, job: Job, exposure: Exposure, reference: Reference):
        self.job, self.exposure, self.reference = job, exposure, reference

    @cached_property
    def fire_stop(self) -> Threshold | Unknown:
        return self.reference.threshold(FIRE_STOP)

    def rule(self, name: str) -> str:
        """The texts of a rule by its name, of every loaded pack that has it; empty where none has."""
        texts = [term(row["text"]) for row in self.reference.table("fire-rule") if row["name"] == name]
        return joined(dict.fromkeys(texts), "; ")

    def grounds(self, *names: str) -> tuple[Mapping[str, Any] | Threshold, ...]:
        """The rules of these names, and the thresholds of these names."""
        rows = (row for row in self.reference.table("fire-rule") if row["name"] in names)
        thresholds = (self.reference.threshold(name) for name in names)
        return (*rows, *(one for one in thresholds if isinstance(one, Threshold)))

    def size(self, place: Place) -> tuple[Threshold, ...]:
        """What says whether a place counts as a small one, where its own kind does not."""
        limit = self.reference.threshold(ENCLOSED_BELOW)
        if place.kind in ("enclosed", "outdoor") or isinstance(place.volume, Unknown) or isinstance(limit, Unknown):
            return ()
        return (limit,)

    def row(self, table: str, cas: str) -> Mapping[str, Any] | None:
        """A substance's row in one of this plugin's tables."""
        return next((row for row in self.reference.table(table) if row["cas"] == cas), None)

    def lowest(self, cas: str, name: str) -> Cited | Unknown:
        """The lowest value any source gives for a property: of two sources the more careful one."""
        return self.least(self.reference.substance(cas), name)

    def least(self, substance: Substance | Unknown, name: str) -> Cited | Unknown:
        """The same of a substance that was looked up."""
        if isinstance(substance, Unknown):
            return substance
        values = substance.properties.get(name, ())
        return min(values, key=lambda v: v.value) if values else substance.best(name)

    def of(self, product: Product, part: Part) -> Substance | Unknown:
        """What is known of a part of a product: of a petroleum fraction what this product's sheet says of it."""
        return fractions.stated(part, product, self.reference)

    def volatile(self, product: Product) -> list[Part]:
        """The parts that give off vapour; one of 0 % is not in the product."""
        return [part for part in product.parts if part.volatile and part.high > 0]

    def burning(self, product: Product) -> list[Part]:
        """The parts whose vapour burns, or of which nobody says that it does not."""
        return [part for part in self.volatile(product) if not (part.cas and self.does_not_burn(part.cas))]

    def does_not_burn(self, cas: str) -> bool:
        """Whether the data say outright that a substance does not burn. No data is not that."""
        if self.row("does-not-burn", cas) is not None:
            return True
        substance = self.reference.substance(cas)
        if isinstance(substance, Unknown) or "lower_explosive_limit" in substance.properties:
            return False
        return "not_flammable" in substance.notes

    def unburning(self, product: Product) -> tuple[Mapping[str, Any], ...]:
        """The rows by which parts of a product do not burn."""
        rows = (self.row("does-not-burn", part.cas) for part in self.volatile(product) if part.cas)
        return tuple(row for row in rows if row is not None)

    def composition(self, cas: str) -> Composition | Unknown:
        """What a substance is made of, or why nobody can say. That decides whether it has a halogen, not its name."""
        substance = self.reference.substance(cas)
        if isinstance(substance, Unknown):
            return substance
        if isinstance(substance.composition, Unknown):
            return Unknown(say("no formula of {name} is loaded", name=substance.name))
        return substance.composition

    def temperature(self, step: Step) -> float:
        """The highest temperature [K] the wet liquid is expected at: air or surface, 95th percentile."""
        surface = step.surface_temperature
        return step.place.temperature.high if surface is None else max(step.place.temperature.high, surface.high)

    def follows(self, index: int) -> float:
        """When the next step in the same place begins [s]; never where it is the last one there."""
        later = range(index + 1, len(self.job.steps))
        same = (i for i in later if self.job.steps[i].place.id == self.job.steps[index].place.id)
        return next((self.exposure.timeline.span(i)[0] for i in same), float("inf"))

    def is_small(self, place: Place) -> bool:
        """Whether no room air thins the vapour: enclosed, under the threshold, or of unknown size."""
        if place.kind == "enclosed":
            return True
        if place.kind == "outdoor":
            return False
        limit = self.reference.threshold(ENCLOSED_BELOW)
        if isinstance(place.volume, Unknown) or isinstance(limit, Unknown):
            return True
        return past(place.volume, limit)

    def degrees(self, kelvin: float) -> str:
        """A temperature in the shop's unit."""
        us = self.job.shop.print_units == "us"
        number = units.convert(kelvin, "temperature", "degF" if us else "degC")
        return say("{number:.0f} °F", number=number) if us else say("{number:.0f} °C", number=number)

    def length(self, name: str) -> str:
        """A distance threshold of this plugin's data in the shop's unit."""
        limit = self.reference.threshold(name)
        if isinstance(limit, Unknown):
            return say("a distance your fire rules set")
        if self.job.shop.print_units == "us":
            if limit.value >= 1:
                return say("{number} ft", number=units.significant(units.convert(limit.value, "length", "ft"), 1))
            return say("{number} inch", number=units.significant(units.convert(limit.value, "length", "inch"), 2))
        return units.show(limit.value, "length", "m", 2)
