"""How fast a liquid leaves a wet surface."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, Values, above_zero, not_negative
from safety.words import say

#: Kinematic viscosity of air at about 20 degC [m2/s]. Rounded handbook value, common practice, no source.
AIR_VISCOSITY = 1.5e-5
#: Prandtl number of air near 20 degC [1]. Rounded handbook value, common practice, no source.
AIR_PRANDTL = 0.71
#: Molar mass of dry air [kg/mol]. ISO 2533:1975, Standard Atmosphere.
AIR_MOLAR_MASS = 0.028964
#: Specific heat of air at constant pressure near 20 degC [J/kg/K]. Rounded handbook value, common practice, no source.
AIR_HEAT = 1006.0

#: Diffusivity fit [cm2/s, T in K, M in g/mol, P in atm]. EPA/OPPT evaporation models (Hummel et al. 1996).
DIFFUSIVITY_FACTOR = 4.09e-5
DIFFUSIVITY_T_POWER = 1.9
DIFFUSIVITY_M_POWER = -0.33
DIFFUSIVITY_AIR = 29.0  # g/mol, as printed

#: Mass transfer from a pool [m/s, air speed in m/s, length in m]. Mackay & Matsugu (1973).
MACKAY_FACTOR = 0.0048
MACKAY_SPEED_POWER = 0.78
MACKAY_LENGTH_POWER = -0.11
MACKAY_SCHMIDT_POWER = -0.67

_MACKAY = "Mackay & Matsugu, Canadian Journal of Chemical Engineering 51 (1973) 434-439"


@formula(
    gives="diffusivity",
    source="Hummel, Braun & Fehrenbacher, American Industrial Hygiene Association Journal 57 (1996) 519-525, "
    "as used in the EPA/OPPT evaporation models",
    unverified="constants from memory; they agree with the constant of the EPA penetration model to 0.1 %",
    molar_mass="molar_mass",
    temperature="temperature",
)
def vapour_diffusivity(molar_mass: Values, temperature: Values) -> Values:
    """How fast a vapour spreads through still air at 1 atm.

    D[cm2/s] = 4.09e-5 * T^1.9 * (1/29 + 1/M)^0.5 * M^-0.33, M in g/mol

    molar_mass [kg/mol], temperature [K]. Returns [m2/s]. Raises ValueError for a molar mass of
    zero. About 15 % above the handbook value for toluene.
    """
    above_zero(molar_mass=molar_mass)
    grams = molar_mass * 1e3
    return (
        1e-4
        * DIFFUSIVITY_FACTOR
        * temperature**DIFFUSIVITY_T_POWER
        * np.sqrt(1 / DIFFUSIVITY_AIR + 1 / grams)
        * grams**DIFFUSIVITY_M_POWER
    )


@formula(
    gives="speed",
    source=f"{_MACKAY}, as used by Berry, Dabrowski & Lyons, Marine Pollution Bulletin 64 (2012), "
    "with powers 7/9, -1/9 and -2/3; diffusivity after EPA/OPPT",
    air_speed="speed",
    length="length",
    molar_mass="molar_mass",
    temperature="temperature",
)
def mass_transfer_coefficient(air_speed: Values, length: Values, molar_mass: Values, temperature: Values) -> Values:
    """How fast moving air carries vapour off a wet surface.

    k = 0.0048 * u^0.78 * L^-0.11 * Sc^-0.67 [m/s], Sc = 1.5e-5 / vapour_diffusivity(M, T)

    air_speed [m/s] over the surface, length [m] of the wet surface along the air stream,
    molar_mass [kg/mol], temperature [K] of the air. Returns [m/s]. Raises ValueError for a
    length of zero. Published for pools in the open; below about 0.2 m/s any such equation is
    good to a factor of about two.
    """
    above_zero(length=length)
    not_negative(air_speed=air_speed)
    schmidt = AIR_VISCOSITY / vapour_diffusivity(molar_mass, temperature)
    return MACKAY_FACTOR * air_speed**MACKAY_SPEED_POWER * length**MACKAY_LENGTH_POWER * schmidt**MACKAY_SCHMIDT_POWER


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
    gives="heat_transfer",
    source="Chilton & Colburn, Industrial and Engineering Chemistry 26 (1934) 1183-1187",
    mass_transfer="speed",
    temperature="temperature",
    diffusivity="diffusivity",
)
def heat_transfer_from_mass_transfer(mass_transfer: Values, temperature: Values, diffusivity: Values) -> Values:
    """Heat that the same air brings to a surface it carries vapour from.

    h = k * rho * c_p * Le^(2/3), Le = (nu/Pr) / D, rho = P*M_air/(R*T) at 1 atm

    mass_transfer [m/s], temperature [K] of the air, diffusivity [m2/s] of the vapour in air.
    Returns [W/m2/K]. Raises ValueError for a diffusivity or temperature of zero.
    """
    above_zero(temperature=temperature, diffusivity=diffusivity)
    density = ATMOSPHERE * AIR_MOLAR_MASS / (GAS_CONSTANT * temperature)
    lewis = AIR_VISCOSITY / AIR_PRANDTL / diffusivity
    return mass_transfer * density * AIR_HEAT * lewis ** (2 / 3)


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
