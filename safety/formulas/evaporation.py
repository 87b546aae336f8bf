"""How fast a liquid leaves a wet surface."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, Values, above_zero, not_negative
from safety.words import say


@formula(
    gives="flux",
    source="Crowl & Louvar, Chemical Process Safety, 2nd edition (2002), ch. 3, evaporation of a liquid",
    mass_transfer="speed",
    molar_mass="molar_mass",
    vapour_pressure="pressure",
    temperature="temperature",
    background="pressure",
)
def evaporation_flux(
    mass_transfer: Values, molar_mass: Values, vapour_pressure: Values, temperature: Values, background: Values = 0.0
) -> Values:
    """Mass that leaves each square metre of a wet surface in a second.

    w = k * M * (P_v - p) / (R * T)

    mass_transfer [m/s], molar_mass [kg/mol], vapour_pressure [Pa] at the surface's own
    temperature (times mole fraction and activity in a mixture), temperature [K], background
    [Pa]: partial pressure of the vapour in the air already. Returns [kg/m2/s]. Raises
    ValueError for a temperature of zero. For strong vapours see stefan_flux.
    """
    above_zero(temperature=temperature)
    return mass_transfer * molar_mass * (vapour_pressure - background) / (GAS_CONSTANT * temperature)


@formula(
    gives="flux",
    source="Stefan flow: Bird, Stewart & Lightfoot, Transport Phenomena, 2nd edition (2002), sec. 18.2",
    mass_transfer="speed",
    molar_mass="molar_mass",
    vapour_pressure="pressure",
    temperature="temperature",
    background="pressure",
    pressure="pressure",
)
def stefan_flux(
    mass_transfer: Values,
    molar_mass: Values,
    vapour_pressure: Values,
    temperature: Values,
    background: Values = 0.0,
    pressure: Values = ATMOSPHERE,
) -> Values:
    """Mass that leaves a wet surface when the vapour is strong enough to push the air away.

    w = k * M * P / (R * T) * ln((P - p) / (P - P_v)); for small P_v it is evaporation_flux

    mass_transfer [m/s], molar_mass [kg/mol], vapour_pressure [Pa] at the surface's own
    temperature, temperature [K], background [Pa]: partial pressure in the air already, pressure
    [Pa] of the air. Returns [kg/m2/s]. Raises ValueError where the vapour pressure reaches the
    air's pressure: the liquid boils.
    """
    above_zero(temperature=temperature)
    if not np.all(np.asarray(vapour_pressure) < pressure):
        raise ValueError(say("vapour_pressure reaches the pressure of the air: the liquid boils"))
    return (
        mass_transfer
        * molar_mass
        * pressure
        / (GAS_CONSTANT * temperature)
        * np.log((pressure - background) / (pressure - vapour_pressure))
    )


@formula(
    gives="time",
    source="Raoult's law with one mass transfer coefficient a substance, integrated in closed form here",
    parts="amount:speed:pressure, ...",
    area="area",
    temperature="temperature",
    solids="amount",
    left="fraction",
)
def film_drying_time(
    parts: Sequence[tuple[Values, Values, Values]],
    area: Values,
    temperature: Values,
    solids: Values = 0.0,
    left: Values = 0.0,
) -> Values:
    """Time for a wet film of an ideal mixture to dry at constant temperature.

    t = R*T/A * (sum n_i/a_i * (1 - exp(-a_i*theta)) + n_solids*theta), a_i = k_i * P_i, where
    theta solves sum n_i*exp(-a_i*theta) = left * sum n_i; with nothing left R*T/A * sum n_i/a_i

    parts: for each substance (moles [mol], mass transfer coefficient [m/s], vapour pressure
    [Pa]), in calc "0.65 mol:0.0052 m/s:3786 Pa, 0.28 mol:0.0058 m/s:12.1 kPa"; area [m2];
    temperature [K]; solids [mol] that stay; left [1]: share of the solvent's moles at which the
    film counts as dry. Returns [s]. Raises ValueError for no parts, for a coefficient, pressure
    or area of zero, and for solids with left = 0, since such a film never loses its last trace.
    Cooling of the film and a skin of resin slow drying: this is the fast bound.
    """
    if not parts:
        raise ValueError(say("parts must name at least one substance"))
    above_zero(area=area)
    for moles, mass_transfer, vapour_pressure in parts:
        not_negative(moles=moles)
        above_zero(mass_transfer=mass_transfer, vapour_pressure=vapour_pressure)
    not_negative(solids=solids, left=left)
    if np.any((np.asarray(solids) > 0) & (np.asarray(left) == 0)):
        raise ValueError(say("left must be above zero for a film with solids: it never loses its last trace"))
    scale = GAS_CONSTANT * temperature / area
    amounts = [moles for moles, _, _ in parts]
    rates = [mass_transfer * vapour_pressure for _, mass_transfer, vapour_pressure in parts]
    if np.all(np.asarray(left) == 0):
        return scale * sum(n / a for n, a in zip(amounts, rates, strict=True))
    theta = _theta_at(amounts, rates, left)
    lost = sum(n / a * -np.expm1(-a * theta) for n, a in zip(amounts, rates, strict=True))
    return scale * (lost + solids * theta)


def _theta_at(amounts: Sequence[Values], rates: Sequence[Values], left: Values) -> Values:
    """The reduced time at which the share ``left`` of the moles remains, by halving its bracket."""
    above_zero(left=left)
    total = sum(amounts)
    high = -np.log(left) / np.stack(np.broadcast_arrays(*rates)).min(axis=0)
    low = -np.log(left) / np.stack(np.broadcast_arrays(*rates)).max(axis=0)
    for _ in range(60):
        middle = (low + high) / 2
        wet = sum(n * np.exp(-a * middle) for n, a in zip(amounts, rates, strict=True)) > left * total
        low, high = np.where(wet, middle, low), np.where(wet, high, middle)
    return ((low + high) / 2)[()]


@formula(
    gives="fraction",
    source="Zhu, Zhang & Shaw, Chemosphere 39 (1999) 2535-2547, abstract: the rate goes by the mole fraction at the "
    "time, the vapour pressure and what is left of all; integrated here",
    unverified="of the paper only the abstract was read; volume and pages from memory",
    mass_transfer="speed",
    vapour_pressure="pressure",
    amount="amount",
    area="area",
    temperature="temperature",
    time="time",
)
def setting_film_given_off(
    mass_transfer: Values,
    vapour_pressure: Values,
    amount: Values,
    area: Values,
    temperature: Values,
    time: Values,
) -> Values:
    """Share of a solvent that has left a coat whose resin takes up the room of what leaves.

    g = 1 - exp(-k*P*A*t / (R*T*n)): the rate begins as that of a liquid film and falls with what is left

    mass_transfer k [m/s], vapour_pressure P [Pa] of the pure solvent, amount n [mol] of all
    solvents at the beginning, area A [m2], temperature [K], time t [s]. Returns [1]. Raises
    ValueError for an amount or temperature of zero.
    """
    above_zero(amount=amount, temperature=temperature)
    not_negative(mass_transfer=mass_transfer, area=area, time=time)
    return -np.expm1(-mass_transfer * vapour_pressure * area * time / (GAS_CONSTANT * temperature * amount))


@formula(
    gives="mass_rate",
    source="Keil & Nicas, American Industrial Hygiene Association Journal 64 (2003) 445-454",
    unverified="the paper itself was not read; its form is used in Tischer & Roitzsch, "
    "International Journal of Environmental Research and Public Health 19 (2022) 1957",
    mass="mass",
    rate="rate",
    time="time",
)
def decaying_source(mass: Values, rate: Values, time: Values) -> Values:
    """Vapour given off by a small spill that dries at a rate in proportion to what is left.

    G(t) = alpha * M0 * exp(-alpha * t)

    mass [kg] spilt (M0), rate [1/s] (alpha, about 2.3 over the time in which 90 % is gone),
    time [s] since the spill. Returns [kg/s]. Raises ValueError for a negative rate or time.

    >>> print(round(decaying_source(0.1, 0.0318 / 60, 0.0) * 60e3, 2))  # g/min
    3.18
    """
    not_negative(mass=mass, rate=rate, time=time)
    return rate * mass * np.exp(-rate * time)


@formula(
    gives="molar_energy",
    source="Clausius-Clapeyron relation with the Antoine equation: Poling, Prausnitz & O'Connell, "
    "The Properties of Gases and Liquids, 5th edition (2001), sec. 7-8",
    antoine_b="kelvin",
    antoine_c="kelvin",
    temperature="temperature",
)
def heat_of_vaporisation_from_antoine(antoine_b: Values, antoine_c: Values, temperature: Values) -> Values:
    """Heat that one mole of liquid takes to evaporate, from the slope of its vapour pressure.

    H = ln(10) * R * B * T^2 / (T + C)^2, for log10 P = A - B / (T + C)

    antoine_b and antoine_c [K], temperature [K]. Returns [J/mol]. Good to a few per cent well
    below the boiling point, where the vapour is nearly an ideal gas.
    """
    return np.log(10) * GAS_CONSTANT * antoine_b * temperature**2 / (temperature + antoine_c) ** 2
