"""A petroleum fraction in a product: one part with a boiling range, several liquids in the film.

The range belongs to the product and not to the CAS number. What its data sheet says of the part goes before what the
data say of the number, and takes nothing away: of two flash points or explosive limits the lower one is used. A number
whose file has a range of its own (``boiling_end``) gets by with that, wider.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.typing import NDArray

from safety import units
from safety.cited import Cited, Source, Unknown
from safety.formulas.fractions import (
    fraction_flash_point,
    fraction_heat_of_combustion,
    fraction_lower_limit,
    fraction_molar_mass,
    fraction_vapour_pressure,
    slice_boiling_point,
    watson_factor,
)
from safety.model import ANTOINE, Classification, Composition, Limit, LimitKind, Part, Product, Range, Substance
from safety.reference import group_limits, lent, sheet_limits
from safety.reference.equations import ROOM
from safety.reference.loaded import Reference
from safety.reference.notes import shown_absent
from safety.reference.sheet_pressure import equation, source_of
from safety.words import message, say

#: Shares by volume at which a fraction is cut: the light end decides the first minutes, so its slice is small.
SLICES = (0.0, 0.05, 0.20, 0.45, 0.75, 1.0)
#: What the vapour pressure lies off at most, of 34 pure hydrocarbons, where the density is known; and where it is not.
BAND, WIDE_BAND = 1.3, 1.65
#: Watson factor of the common cut, and what a mixture of hydrocarbons can have.
COMMON_KIND, LEAST_KIND, MOST_KIND = 11.9, 9.5, 13.2
#: An estimated flash point further from the printed one than this contradicts it [K]; what it lies off at most [K].
CONTRADICTS, FLASH_ERROR = 20.0, 10.0
#: A printed vapour pressure so many times over or under the estimate contradicts it.
PRESSURE_CONTRADICTS = 4.0
#: Where a line is laid through the vapour pressure of a slice [K].
FITTED_AT = (268.15, 293.15, 318.15)
#: Registry numbers given to process streams of petroleum: combinations of hydrocarbons by their own definition.
PETROLEUM = ("64741-", "64742-")

COMPUTED = message("computed from the boiling range, not measured")
_OF_THE_LOT = ("molar_mass", "density", "vapour_pressure")
#: Properties of which the lowest value is the careful one.
_LOWEST = ("molar_mass", "flash_point", "lower_explosive_limit", "boiling_point", "heat_of_combustion")

Floats = NDArray[np.floating[Any]]


@dataclass(frozen=True, slots=True)
class Slices:
    """The liquids of a fraction, from the lightest, each (slices,)."""

    molar_mass: Floats  # kg/mol
    a: Floats  # Antoine constants
    b: Floats
    c: Floats

    def pressure(self, temperature: float) -> Floats:
        """Vapour pressure of each by itself [Pa]."""
        return np.asarray(10 ** (self.a - self.b / (temperature + self.c)))


@dataclass(frozen=True, slots=True)
class Cut:
    """A fraction as the film has it. The truth lies between its two readings."""

    weights: Floats  # share of each slice by weight
    printed: Slices  # the printed range taken as true boiling points
    converted: Slices  # converted from the standard distillation: the light end leaves sooner, the heavy end later
    band: tuple[float, float]  # the pressures are this many times as high, at least and at most

    def vapour(self, slices: Slices, temperature: float) -> tuple[float, float]:
        """Pressure [Pa] and molar mass [kg/mol] of the vapour over the fresh liquid."""
        moles = self.weights / slices.molar_mass
        pressures = moles / moles.sum() * slices.pressure(temperature)
        return float(pressures.sum()), float((pressures * slices.molar_mass).sum() / pressures.sum())


@dataclass(frozen=True, slots=True)
class _Given:
    """What is known of a fraction before anything is computed."""

    boils: Range
    density: float | None  # kg/m3; None: not known, or not to be believed beside the range
    source: Source
    at: str
    family: bool  # the range is that of the number's file


def is_fraction(part: Part, reference: Reference) -> bool:
    """Whether a part is taken for a petroleum fraction: it has a boiling range, and is not known as one substance.

    A file that lays one line through a number of the process streams does not make one substance of it.
    """
    base = reference.listed(part.cas) if part.cas else Unknown("")
    if isinstance(base, Substance) and "boiling_end" in base.properties:
        return part.volatile
    one = isinstance(base, Substance) and base.has_equation and not part.cas.startswith(PETROLEUM)
    return part.volatile and part.stated.boiling_range is not None and not one


def asks_for_range(part: Part, reference: Reference) -> bool:
    """Whether a part is a mixture of hydrocarbons of which only its own data sheet can say how fast it evaporates.

    A number of the process streams covers anything from petrol to lamp oil: what lies between is nobody's liquid.
    """
    base = reference.listed(part.cas) if part.cas else Unknown("")
    return part.volatile and not part.lends and isinstance(base, Substance) and base.is_cut


def cut_of(part: Part, product: Product, reference: Reference) -> Cut | None:
    """The liquids a part is made of; None where it is no fraction."""
    given = _given(part, product, reference)
    return None if given is None else _cut(given, _pressures(part, given, reference))


def known(products: Iterable[Product], reference: Reference) -> Reference:
    """The data, and beside them what the sheets of some products say of their parts.

    Parts of one CAS number count as one substance: its careful values are those of all of them.
    """
    found: dict[str, list[Substance]] = {}
    cuts: dict[str, list[Part]] = {}
    limits: dict[tuple[str, str, LimitKind], Limit] = {}
    for product in products:
        for part in product.parts:
            own_limits = (*lent.limits_of(part, reference), *sheet_limits.limits_of(part, product))
            limits |= {(x.cas, x.list, x.kind): x for x in own_limits}
            own = stated(part, product, reference)
            if isinstance(own, Substance) and own is not reference.listed(part.cas):
                found.setdefault(part.key, []).append(own)
                if is_fraction(part, reference):
                    cuts.setdefault(part.key, []).append(part)
    if not (found or limits):
        return reference
    rows = reference.table("hydrocarbon_group")
    for key, parts in cuts.items():
        limits |= {(x.cas, x.list, x.kind): x for x in group_limits.limits_of(parts, key, rows)}
    data = {key: _merged(several) for key, several in found.items()}
    return replace(reference, stated=data, _stood_in={}, _limits={**limits, **reference._limits})


def stated(part: Part, product: Product, reference: Reference) -> Substance | Unknown:
    """What is known of a part of a product: by its own data sheet, by its boiling range, and by the data."""
    base = reference.listed(part.cas) if part.cas else Unknown(say("{part} has no CAS number", part=part.name))
    base = lent.with_what_is_lent(part, base, reference)
    given = _given(part, product, reference)
    own = dict(_own_values(part, product, part.stated.flash_point if given is None else _printed_flash(part, product)))
    own |= equation(part, product, base) if given is None else {}
    if given is None and (isinstance(base, Unknown) or not own):
        return base
    found: dict[str, tuple[Cited, ...]] = {} if isinstance(base, Unknown) else dict(base.properties)
    for name, value in own.items():
        found[name] = _careful(name, (value, *found.get(name, ())))
    if given is not None:
        cut = _cut(given, _pressures(part, given, reference))
        listed = [v.value for v in found.get("flash_point", ()) if given.family]
        flash = _doubted_flash(min((f for f in (_printed_flash(part, product), *listed) if f), default=None), given)
        for name, value in _computed(cut, given, part, flash).items():
            old = () if name in ANTOINE else found.get(name, ())
            # weight and pressure are those of this product: the file's stand for a typical lot
            found[name] = (value,) if name in _OF_THE_LOT else _careful(name, (value, *old))
    if isinstance(base, Unknown):
        made = Substance(part.key, (part.name,), found, origin=product.file)
        return replace(made, composition=_hydrocarbons(part)) if part.cas.startswith(PETROLEUM) else made
    kept = tuple(c for c in base.classes if not shown_absent(c, part, product))
    made = replace(base, properties=found)
    return made if kept == base.classes else made.classified(kept)


# ---------------------------------------------------------------- what is given


def _given(part: Part, product: Product, reference: Reference) -> _Given | None:
    if not is_fraction(part, reference):
        return None
    base = reference.listed(part.cas) if part.cas else Unknown("")
    own = part.stated.boiling_range
    if own is not None:
        given = _Given(
            own, _density(part, product), source_of(product), say("boiling range {span}", span=own.written), False
        )
    else:
        assert isinstance(base, Substance)
        start, end = base.properties["boiling_point"][0], base.properties["boiling_end"][0]
        boils = Range(start.value, end.value, say("{low} to {high}", low=start.written, high=end.written))
        given = _Given(boils, part.stated.density, end.source, end.at, True)
    if given.density is None and isinstance(base, Substance) and isinstance(listed := base.best("density"), Cited):
        given = replace(given, density=listed.value)
    return given if _fits(given) else replace(given, density=None)


def _density(part: Part, product: Product) -> float | None:
    if part.stated.density is None and len(product.parts) == 1 and isinstance(product.density, float):
        return product.density
    return part.stated.density


def _middle(boils: Range) -> float:
    return (boils.low + boils.high) / 2


def _fits(given: _Given) -> bool:
    """Whether a mixture of hydrocarbons that boils there can be as heavy as that."""
    kind = None if given.density is None else float(watson_factor(_middle(given.boils), given.density))
    return kind is None or LEAST_KIND <= kind <= MOST_KIND


def _pressures(part: Part, given: _Given, reference: Reference) -> tuple[tuple[float, float, float], ...]:
    """Printed vapour pressures: from, to [Pa] and at which temperature [K]."""
    own = part.stated.vapour_pressure
    found = [(own.low, own.high, part.stated.vapour_pressure_at)] if own is not None else []
    if given.family:
        base = reference.listed(part.cas)
        assert isinstance(base, Substance)
        found += [
            (v.value, v.value, v.condition("temperature") or ROOM) for v in base.properties.get("vapour_pressure", ())
        ]
    return tuple(found)


# ---------------------------------------------------------------- what follows


def _cut(given: _Given, pressures: tuple[tuple[float, float, float], ...]) -> Cut:
    low, high = given.boils.low, given.boils.high
    kind = COMMON_KIND if given.density is None else float(watson_factor(_middle(given.boils), given.density))
    ends = list(pairwise(SLICES))
    converted = np.array([float(slice_boiling_point(low, high, first, last)) for first, last in ends])
    printed = np.array([low + (first + last) / 2 * (high - low) for first, last in ends])
    heaviness = [float(watson_factor(b, 1.0)) / kind for b in converted]  # density of each slice, of one kind
    weights = np.diff(SLICES) * heaviness
    width = WIDE_BAND if given.density is None else BAND
    cut = Cut(weights / weights.sum(), _slices(printed, kind), _slices(converted, kind), (1 / width, width))
    least, most = cut.band
    for from_, to, at in pressures:  # what is printed only ever widens what is computed
        most = max(most, to / cut.vapour(cut.converted, at)[0])
        least = min(least, from_ / cut.vapour(cut.printed, at)[0]) if from_ > 0 else least
    return replace(cut, band=(least, most))


def _slices(boils: Floats, kind: float) -> Slices:
    density = np.asarray(watson_factor(boils, 1.0)) / kind
    pressure = [np.asarray(fraction_vapour_pressure(boils, kind, at)) for at in FITTED_AT]
    return Slices(np.asarray(fraction_molar_mass(boils, density)), *_antoine(pressure))


def _antoine(pressures: Iterable[Floats]) -> tuple[Floats, Floats, Floats]:
    """Antoine constants through three pressures [Pa] at ``FITTED_AT``."""
    (cold, room, warm), (one, two, three) = FITTED_AT, (np.log10(p) for p in pressures)
    ratio = (three - two) / (two - one) * (room - cold) / (warm - room)
    c = (ratio * warm - cold) / (1.0 - ratio)
    b = (three - one) / (1.0 / (cold + c) - 1.0 / (warm + c))
    return one + b / (cold + c), b, c


def _computed(cut: Cut, given: _Given, part: Part, flash: float | None) -> dict[str, Cited]:
    """The values of the whole fraction, on the careful side: of the lighter reading, at the upper end of the band."""
    pressures = [cut.vapour(cut.converted, at)[0] * cut.band[1] for at in FITTED_AT]
    at_room, light = cut.vapour(cut.converted, ROOM)
    a, b, c = (float(x[0]) for x in _antoine([np.array([p]) for p in pressures]))
    density = given.density or float(watson_factor(_middle(given.boils), 1.0)) / COMMON_KIND
    found = {
        "molar_mass": (light, "molar_mass", "g/mol"),
        "boiling_point": (given.boils.low, "temperature", "degC"),
        "vapour_pressure": (at_room * cut.band[1], "pressure", "Pa"),
        "heat_of_combustion": (float(fraction_heat_of_combustion(density, light)), "molar_energy", "kJ/mol"),
    }
    if part.stated.lower_explosive_limit is None:
        found["lower_explosive_limit"] = (float(fraction_lower_limit(light)), "air_share", "%")
    if flash is not None:
        found["flash_point"] = (flash, "temperature", "degC")
    values = {name: _cited(given, value, kind, unit, COMPUTED) for name, (value, kind, unit) in found.items()}
    values["vapour_pressure"] = replace(values["vapour_pressure"], conditions=(("temperature", ROOM),))
    if given.density is not None:
        values["density"] = _cited(given, given.density, "density", "kg/m3", "")
    fitted = (("low", FITTED_AT[0]), ("high", FITTED_AT[-1] + 15.0))
    for name, value, unit in zip(ANTOINE, (a, b, c), ("1", "K", "K"), strict=True):
        shown = f"{value:.6g} {unit}".removesuffix(" 1")
        values[name] = Cited(
            value, unit, shown, given.source, given.at, COMPUTED, conditions=fitted if unit == "1" else ()
        )
    return values


def _cited(given: _Given, value: float, kind: str, unit: str, unverified: str) -> Cited:
    return Cited(value, units.KINDS[kind].base, units.show(value, kind, unit), given.source, given.at, unverified)


def _own_values(part: Part, product: Product, flash: float | None) -> Iterator[tuple[str, Cited]]:
    """What the sheet prints of the part itself."""
    source = source_of(product)
    printed = (
        ("flash_point", flash, "temperature", "degC"),
        ("lower_explosive_limit", part.stated.lower_explosive_limit, "air_share", "%"),
    )
    for name, value, kind, unit in printed:
        if value is not None:
            yield name, Cited(value, units.KINDS[kind].base, units.show(value, kind, unit), source, say("section 9"))


def _hydrocarbons(part: Part) -> Composition:
    source = Source("process-streams", "TSCA Inventory, definitions of petroleum process streams", "1983", "EPA")
    return Composition(
        ("C", "H"), "C, H", source, say("CAS {cas}", cas=part.cas), message("from memory, not read again")
    )


# ---------------------------------------------------------------- what does not go together


def flash_estimate(boils: Range) -> float:
    """Flash point [K] by where a tenth has distilled."""
    return float(fraction_flash_point(boils.low + 0.1 * (boils.high - boils.low)))


def _printed_flash(part: Part, product: Product) -> float | None:
    """The flash point that is printed of the part: the product's own, where it is all that evaporates."""
    alone = [p for p in product.parts if p.volatile and p.high > 0] == [part]
    found = [part.stated.flash_point, product.flash_point if alone else None]
    return min((f for f in found if isinstance(f, float)), default=None)


def _doubted_flash(printed: float | None, given: _Given) -> float | None:
    """The flash point [K] to reckon with where none is printed, or one that the boiling range contradicts."""
    estimate = flash_estimate(given.boils)
    believed = printed is not None and printed <= estimate + CONTRADICTS
    return None if believed else estimate - FLASH_ERROR


def contradictions(part: Part, product: Product, reference: Reference) -> Iterator[str]:
    """Sentences: what a data sheet says of a fraction that cannot all be true. The careful value is used."""
    given = _given(part, product, reference)
    if given is None or given.family:
        return
    names = {"product": product.name, "part": part.name, "boils": given.boils.written}
    printed, estimate = _printed_flash(part, product), flash_estimate(given.boils)
    if printed is not None and abs(printed - estimate) > CONTRADICTS:
        yield say(
            "{product}: a fraction that boils from {boils} flashes near {estimate:.0f} °C, not at {printed:.0f} °C.",
            **names, estimate=estimate - 273.15, printed=printed - 273.15,
        )  # fmt: skip
    density = _density(part, product)
    if density is not None and not _fits(replace(given, density=density)):
        yield say(
            "{product}: no mixture of hydrocarbons that boils from {boils} weighs {density:.0f} g/L.",
            **names,
            density=density,
        )
    own, cut = part.stated.vapour_pressure, _cut(given, ())
    if own is not None:
        at = part.stated.vapour_pressure_at
        least, most = cut.vapour(cut.printed, at)[0], cut.vapour(cut.converted, at)[0]
        if own.low > PRESSURE_CONTRADICTS * most or own.high < least / PRESSURE_CONTRADICTS:
            yield say(
                "{product}: a fraction that boils from {boils} has a vapour pressure of {least:.2g} to {most:.2g} kPa, "
                "not {printed}.",
                **names, least=least / 1e3, most=most / 1e3, printed=own.written,
            )  # fmt: skip


# ---------------------------------------------------------------- several of one number


def _careful(name: str, values: tuple[Cited, ...]) -> tuple[Cited, ...]:
    """Values of a property, the careful one first."""
    return tuple(sorted(values, key=lambda v: v.value)) if name in _LOWEST else values


def _merged(several: list[Substance]) -> Substance:
    """One substance of those that several products have under one number."""
    first, *others = sorted(several, key=_by_pressure, reverse=True)
    found: dict[str, tuple[Cited, ...]] = dict(first.properties)
    for other in others:
        for name, values in other.properties.items():
            if name not in ANTOINE:  # of the equations that of the strongest vapour
                found[name] = _careful(name, tuple(dict.fromkeys((*found.get(name, ()), *values))))
            else:
                found.setdefault(name, values)
    classes = tuple(dict.fromkeys(one for each in several for one in each.classes))
    return replace(first, properties=found, classes=classes, hazards=_codes(first, classes))


def _codes(first: Substance, classes: tuple[Classification, ...]) -> tuple[str, ...] | Unknown:
    return tuple(dict.fromkeys(one.code for one in classes)) if classes else first.hazards


def _by_pressure(substance: Substance) -> float:
    return max((v.value for v in substance.properties.get("vapour_pressure", ())[:1]), default=0.0)


def liquids(cut: Cut, share: Floats, factor: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """Molar mass and Antoine constants of each slice, (slices, draws).

    ``share`` (draws,) runs from 0, as printed, to 1, as converted; ``factor`` (draws,) within the band.
    """
    heavy, light = cut.printed, cut.converted
    pairs = ((heavy.molar_mass, light.molar_mass), (heavy.a, light.a), (heavy.b, light.b), (heavy.c, light.c))
    mass, a, b, c = (one[:, None] + (other - one)[:, None] * share for one, other in pairs)
    return mass, a + np.log10(factor), b, c
