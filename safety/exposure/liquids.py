"""From a product on a surface to the film equation: what is in it, how fast each part leaves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from safety.cited import Unknown
from safety.exposure.film import Film
from safety.exposure.result import PRESSURE, Floats
from safety.formulas.basis import GAS_CONSTANT
from safety.formulas.evaporation import evaporation_flux, heat_of_vaporisation_from_antoine, stefan_flux
from safety.formulas.ignition import antoine_pressure
from safety.formulas.transfer import (
    buoyant_transfer_level,
    buoyant_transfer_upright,
    combined_transfer,
    heat_transfer_from_mass_transfer,
    laminar_transfer,
    mass_transfer_coefficient,
    transfer_below_a_rim,
    vapour_density_excess,
    vapour_diffusivity,
)
from safety.model import Part, Product, Range, Substance
from safety.reference import Reference, fractions
from safety.reference.fractions import Cut
from safety.words import say

#: What the published correlations disagree by at indoor air speeds: a geometric standard
#: deviation of 1.6 as 5th and 95th percentile. Our judgement on the spread of the formulas in
#: docs/formulas.md (evaporation group); no published figure.
CORRELATION_SPREAD = Range(0.4616, 2.1665, basis="spread of the published correlations, our judgement")

#: Share of the heat of evaporation that reaches the film from outside: 0 is a film that cools
#: itself as far as it can, 1 a film kept at the surface's temperature. Bounds are physical; the
#: choice between them by way of working is ours (common practice, no source).
ON_A_SOLID = (0.5, 1.0)
IN_A_CLOTH = (0.0, 1.0)
HEAT_SUPPLY = {
    "wipe": ON_A_SOLID,
    "brush": ON_A_SOLID,
    "spray": ON_A_SOLID,
    "gel": IN_A_CLOTH,
    "soak": IN_A_CLOTH,
    "pour": IN_A_CLOTH,
    "open": IN_A_CLOTH,
    "wash": IN_A_CLOTH,
}

#: How much faster than a quiet surface one gives off vapour in which parts are brushed, dipped, flushed and drained. A
#: pool that people splash in gives 1.4 to 1.7 times as much (Smith, Lof & Jones, ASHRAE Transactions 104 (1998),
#: abstract); parts that drain over a bath more (EPA AP-42 section 4.6, from memory). The range is our judgement.
AGITATION = Range(1.5, 4.0, basis="splashed pools and drained parts, range our judgement")

#: Share of its own air movement that an upright surface makes, 0 level and 1 upright. A pool is level; how a part or a
#: cloth lies nobody says, so it is drawn between the two.
LEVEL = (0.0, 0.0)
ANY_WAY = (0.0, 1.0)
STANCE = {
    "wipe": ANY_WAY,
    "brush": ANY_WAY,
    "spray": ANY_WAY,
    "gel": ANY_WAY,
    "soak": ANY_WAY,
    "pour": LEVEL,
    "open": LEVEL,
    "wash": LEVEL,
}

_MOST_STEPS = 100


@dataclass(frozen=True, slots=True)
class Antoine:
    """Coefficients of the volatile parts, each (parts, 1), or (parts, draws) where one is drawn."""

    a: Floats
    b: Floats
    c: Floats

    def pressure(self, temperature: Floats) -> Floats:
        """Vapour pressure [Pa], (parts, draws), at (draws,) temperatures [K]."""
        return np.asarray(antoine_pressure(self.a, self.b, self.c, temperature))


@dataclass(frozen=True, slots=True)
class Liquid:
    """The volatile parts of one product that the data know, and the reasons for those they do not."""

    parts: tuple[int, ...]  # positions in Product.parts; a petroleum fraction is there once for each of its slices
    substances: tuple[Substance, ...]
    molar_mass: Floats  # kg/mol, (parts, 1)
    antoine: Antoine
    unknowns: tuple[str, ...]
    shares: Floats  # of each in its part, by weight, (parts, 1)
    cuts: tuple[tuple[int, Cut], ...] = ()  # where the slices of a fraction begin

    def drawn(self, share: Sequence[Floats], factor: Sequence[Floats]) -> Liquid:
        """The same with the slices of each fraction drawn, as in :func:`fractions.liquids`: (parts, draws)."""
        rows = (self.molar_mass, self.antoine.a, self.antoine.b, self.antoine.c)
        mass, *antoine = (np.repeat(row, len(share[0]), axis=1) for row in rows)
        for (first, cut), one, other in zip(self.cuts, share, factor, strict=True):
            for row, found in zip((mass, *antoine), fractions.liquids(cut, one, other), strict=True):
                row[first : first + len(found)] = found
        return replace(self, molar_mass=mass, antoine=Antoine(*antoine))


def liquid_of(product: Product, reference: Reference) -> Liquid:
    """Look up every part; a volatile part without data becomes a sentence, never a zero."""
    found: list[tuple[int, Substance, float, tuple[float, ...]]] = []
    unknowns, cuts = [], []
    for position, part in enumerate(product.parts):
        if not part.volatile:
            continue
        cut, substance = fractions.cut_of(part, product, reference), reference.substance(part.key)
        if cut is not None and isinstance(substance, Substance):
            cuts.append((len(found), cut))
            slices = zip(cut.weights, cut.printed.molar_mass, cut.printed.a, cut.printed.b, cut.printed.c, strict=True)
            found += [(position, substance, share, tuple(numbers)) for share, *numbers in slices]
            continue
        data = _volatility(part, product, reference)
        if isinstance(data, str):
            unknowns.append(data)
        else:
            found.append((position, data[0], 1.0, data[1]))
    numbers = np.array([n for *_, n in found]).reshape(-1, 4).T[..., None]
    return Liquid(
        tuple(position for position, *_ in found),
        tuple(substance for _, substance, *_ in found),
        numbers[0],
        Antoine(*numbers[1:]),
        tuple(unknowns),
        np.array([share for *_, share, _ in found])[:, None],
        tuple(cuts),
    )


def _volatility(
    part: Part, product: Product, reference: Reference
) -> tuple[Substance, tuple[float, float, float, float]] | str:
    if not part.disclosed:
        return say("{product}: the maker does not say what {part} is.", product=product.name, part=part.name)
    substance = reference.substance(part.cas)
    if isinstance(substance, Unknown):
        return say("{product}: {reason}.", product=product.name, reason=substance.reason)
    if fractions.asks_for_range(part, reference):
        return say(
            "{product}: how fast {part} ({cas}) evaporates is not known. Write its boiling_range, from section 9 of "
            "the data sheet.",
            product=product.name,
            part=part.name,
            cas=part.cas,
        )
    values = [substance.best("molar_mass"), *substance.equation]
    for value in values:
        if isinstance(value, Unknown):
            return say(
                "{product}: how fast {part} evaporates is not known ({reason}).",
                product=product.name,
                part=substance.name,
                reason=value.reason,
            )
    mass, a, b, c = (v.value for v in values if not isinstance(v, Unknown))
    return substance, (mass, a, b, c)


@dataclass(frozen=True, slots=True)
class Conditions:
    """The air over a film, each (draws,)."""

    air: Floats  # K
    surface: Floats  # K, of what lies under the film
    speed: Floats  # m/s
    correlation: Floats  # factor on the mass-transfer coefficient
    stance: Floats  # between level (0) and upright (1)
    agitation: Floats | float = 1.0  # how much faster than a quiet surface
    freeboard: float = 0.0  # m, from the rim of a can down to the liquid


@dataclass(frozen=True, slots=True)
class Wetted:
    """A liquid on a surface, before it is known how much heat the surface brings."""

    liquid: Liquid
    moles: Floats  # (parts, draws)
    area: Floats  # m2, (draws,)
    forced: Floats  # m/s, mass transfer by the air alone, (parts, draws)
    coldest: Floats  # K, where the film gets no heat but the air's, (draws,)
    around: Conditions

    def film(self, heat_supply: Floats) -> Film:
        """The film at the temperature it settles at.

        ``heat_supply`` (draws,) lies between 0 (the film cools itself) and 1 (kept at the
        surface's temperature). The temperature is that of the first wetting and is kept while
        the film dries, and so is the air that its own vapour moves.
        """
        temperature = self._settled(heat_supply)
        pressure = self.liquid.antoine.pressure(temperature)
        above = _shares(self.moles) * pressure
        transfer = combined_transfer(self.forced, 0.0, self._buoyant(above)) * self.around.agitation
        return self._film(self._below_its_rim(transfer, above), temperature, pressure)

    def slowest(self, speed: Floats) -> Film:
        """The film that gets no heat but the air's, under air of ``speed`` that nothing else moves: the slow bound."""
        temperature = self._settled(np.zeros_like(self.area))
        pressure = self.liquid.antoine.pressure(temperature)
        transfer = _forced(self.liquid, self.area, replace(self.around, speed=speed))
        return self._film(transfer, temperature, pressure)

    def _film(self, transfer: Floats, temperature: Floats, pressure: Floats) -> Film:
        transfer = transfer * self.around.correlation
        factor = _stefan((_shares(self.moles) * pressure).sum(axis=0))
        return Film(self.moles, transfer * pressure * factor, temperature, self.area, transfer)

    def _below_its_rim(self, transfer: Floats, above: Floats) -> Floats:
        """The same for a liquid that stands below the rim of its can; a vapour that rises is not held there."""
        if self.around.freeboard <= 0:
            return transfer
        mass, air = self.liquid.molar_mass, self.around.air
        held = transfer_below_a_rim(transfer, self.around.freeboard, np.sqrt(self.area), mass, air)
        return np.where(vapour_density_excess(list(zip(above, mass, strict=True))) > 0, held, transfer)

    def _settled(self, heat_supply: Floats) -> Floats:
        return self.coldest + heat_supply * (self.around.surface - self.coldest)

    def _buoyant(self, above: Floats) -> Floats:
        """Mass transfer by the weight of the vapour itself [m/s], for partial pressures at the surface [Pa]."""
        mass, air = self.liquid.molar_mass, self.around.air
        excess = vapour_density_excess(list(zip(above, mass, strict=True)))
        level = buoyant_transfer_level(excess, self.area, mass, air)
        upright = buoyant_transfer_upright(excess, np.sqrt(self.area), mass, air)
        return np.asarray(level + self.around.stance * (upright - level))


def wetted(liquid: Liquid, masses: Floats, area: Floats, around: Conditions) -> Wetted:
    """Spread (parts, draws) kg on ``area`` m2 (draws,)."""
    moles = masses / liquid.molar_mass
    forced = _forced(liquid, area, around)
    return Wetted(liquid, moles, area, forced, _wet_bulb(liquid, _shares(moles), forced, around.air), around)


def _forced(liquid: Liquid, area: Floats, around: Conditions) -> Floats:
    """Mass transfer by moving air [m/s], (parts, draws)."""
    over = (around.speed, np.sqrt(area), liquid.molar_mass, around.air)
    return np.asarray(combined_transfer(mass_transfer_coefficient(*over), laminar_transfer(*over), 0.0))


def _shares(moles: Floats) -> Floats:
    total = moles.sum(axis=0)
    return np.asarray(np.divide(moles, total, out=np.zeros_like(moles), where=total > 0))


def _wet_bulb(liquid: Liquid, shares: Floats, transfer: Floats, air: Floats) -> Floats:
    """Temperature [K] at which the heat the air brings equals the heat the vapour takes, (draws,).

    False position (Illinois) between the air's temperature and 80 K below it: one root, because
    both sides move one way.
    """
    diffusivity = np.asarray(vapour_diffusivity(liquid.molar_mass, air))
    heat_coefficient = np.asarray(heat_transfer_from_mass_transfer(transfer, air, diffusivity))
    weights = shares * liquid.antoine.pressure(air)
    whole = weights.sum(axis=0)
    h = (heat_coefficient * weights).sum(axis=0) / np.where(whole > 0, whole, 1.0)

    def surplus(film: Floats) -> Floats:
        pressure = shares * liquid.antoine.pressure(film)
        heat = np.asarray(heat_of_vaporisation_from_antoine(liquid.antoine.b, liquid.antoine.c, film))
        taken = _stefan(pressure.sum(axis=0)) * (transfer * pressure * heat).sum(axis=0) / (GAS_CONSTANT * film)
        return np.asarray(h * (air - film) - taken)

    low, high = air - 80.0, air
    above, below = surplus(low), surplus(high)
    was_cold = np.zeros(len(air), dtype=bool)
    for _ in range(_MOST_STEPS):
        middle = high - below * (high - low) / np.where(above > below, below - above, -1.0)
        found = surplus(middle)
        too_cold = found > 0
        # an end that stays a second time is believed half as much, else it would stay for ever
        held = np.where(too_cold == was_cold, 0.5, 1.0)
        above, below = np.where(too_cold, found, above * held), np.where(too_cold, below * held, found)
        step = np.where(too_cold, middle - low, high - middle)
        low, high = np.where(too_cold, middle, low), np.where(too_cold, high, middle)
        was_cold = too_cold
        if np.all(step < 1e-6):  # K; each step multiplies the digits, the next would be under 1e-11
            break
    return middle


def _stefan(pressure: Floats) -> Floats:
    """How much faster a strong vapour leaves than a faint one, (draws,), for the film's total pressure [Pa].

    The closed form needs each part's speed to be constant; the factor is taken at the first
    wetting, when it is largest. Capped short of boiling, where no film equation holds.
    """
    bounded = np.clip(pressure, 1.0, 0.95 * PRESSURE)
    return np.asarray(stefan_flux(1.0, 1.0, bounded, 300.0) / evaporation_flux(1.0, 1.0, bounded, 300.0))
