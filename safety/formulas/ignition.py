"""Whether vapour or liquid can catch fire: pressures, limits, flash points, classes."""

from __future__ import annotations

import warnings
from collections.abc import Sequence
from typing import TypeAlias

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, Values, above_zero, share
from safety.words import say

#: Burgess-Wheeler constant [J/mol/K]: 0.75 % * kcal/mol/K, with 4184 J/kcal. Crowl & Louvar (2002), ch. 6.
BURGESS_WHEELER = 0.0075 * 4184
#: Under lower limit times net heat of combustion of every vapour of C, H and O that was looked at [J/mol].
LEAST_HEAT_AT_THE_LIMIT = 28e3
#: Temperature at which lower limits are given [K]. Crowl & Louvar (2002), ch. 6.
LIMIT_TEMPERATURE = 298.15
#: Permittivity of vacuum [F/m]. CODATA 2018.
VACUUM_PERMITTIVITY = 8.8541878128e-12

#: Class bounds [K] of the GHS (10th revised edition, 2023, ch. 2.6) and of 29 CFR 1910.106(a)(19).
FLASH_LOW = 296.15  # 23 degC
FLASH_MIDDLE = 333.15  # 60 degC
FLASH_HIGH = 366.15  # 93 degC
BOILING_LOW = 308.15  # 35 degC

#: Explosive mixture that is always hazardous indoors [m3], and the share of a small room [1].
#: TRBS 2152 part 1, sec. 3.4.1, as printed in DGUV Rule 113-001.
HAZARDOUS_VOLUME = 0.010
HAZARDOUS_SHARE = 1e-4

#: A flash point this far above the hottest component's is no longer sought [K]. Ours.
_SEARCH = 300.0

#: Van Laar constants of ethanol with water [1]. Perry's Chemical Engineers' Handbook, as a page that works with them
#: quotes it. Molar masses [kg/mol]: IUPAC 2021.
_VAN_LAAR = (1.6798, 0.9227)
_ETHANOL, _WATER = 46.069e-3, 18.015e-3

#: (mole fraction [1], flash point [K], Antoine a [1], b [K], c [K])
FlashPart = tuple[Values, Values, float, float, float]


@formula(
    gives="pressure",
    source="Antoine equation: Poling, Prausnitz & O'Connell, The Properties of Gases and Liquids, "
    "5th edition (2001), ch. 7",
    a="number",
    b="kelvin",
    c="kelvin",
    temperature="temperature",
)
def antoine_pressure(a: Values, b: Values, c: Values, temperature: Values) -> Values:
    """Vapour pressure from Antoine constants for pascal and kelvin.

    log10(P) = a - b / (T + c)

    a [1], b [K], c [K], temperature [K]. Returns [Pa]. Raises ValueError where T + c is not
    above zero. Good only inside the constants' own temperature range.

    >>> from math import log, log10  # toluene, 1 atm at 383.8 K; constants for ln and mmHg from Himmelblau, appendix H
    >>> a, b, c = (16.0137 + log(133.322)) / log(10), 3096.52 / log(10), -53.67
    >>> print(round(antoine_pressure(a, b, c, 383.8) / 101325, 2))
    1.0
    """
    if not np.all(np.asarray(temperature) + c > 0):
        raise ValueError(say("temperature is too low for these Antoine constants"))
    return 10 ** (a - b / (temperature + c))


#: Antoine a [1], b [K], c [K] and the temperatures [K] from and to which they were fitted.
AntoineSet: TypeAlias = tuple[float, float, float, float, float]


def antoine_set(sets: Sequence[AntoineSet], temperature: float) -> AntoineSet:
    """Of several sets the first that was fitted over ``temperature`` [K], else the one fitted nearest to it."""
    return min(sets, key=lambda one: max(one[3] - temperature, temperature - one[4], 0.0))


@formula(
    gives="pressure",
    source="antoine_pressure with the constants of the shipped substance data",
    cas="cas",
    temperature="temperature",
)
def vapour_pressure(cas: Sequence[AntoineSet], temperature: Values) -> Values:
    """Vapour pressure of a substance of the shipped data.

    log10(P) = a - b / (T + c), constants from the substance's file

    cas: registry number such as "108-88-3", given to the function as its sets of constants;
    temperature [K]. Returns [Pa]. Outside the range its constants were fitted over it warns
    (UserWarning) and still answers.
    """
    a, b, c, low, high = antoine_set(cas, float(np.mean(temperature)))
    if not np.all((np.asarray(temperature) >= low) & (np.asarray(temperature) <= high)):
        warnings.warn(
            say("the constants were fitted from {low:.4g} K to {high:.4g} K", low=low, high=high), stacklevel=2
        )
    return antoine_pressure(a, b, c, temperature)


@formula(
    gives="air_share",
    source="Le Chatelier's rule: Crowl & Louvar, Chemical Process Safety, 2nd edition (2002), ch. 6; "
    "Mashuga & Crowl, Process Safety Progress 19 (2000) 112-117",
    mole_fractions="fraction, ...",
    limits="air_share, ...",
)
def mixture_lower_limit(mole_fractions: Sequence[Values], limits: Sequence[Values]) -> Values:
    """Lower explosive limit of a mixture of vapours.

    LEL_mix = sum(y_i) / sum(y_i / LEL_i)

    mole_fractions [1] of the burnable parts, of the vapour or of the air, in any common scale;
    limits [mole fraction]. Returns [mole fraction]. Raises ValueError for unequal counts, no
    vapour at all, or a limit of zero. Good at the lower limit, poor at the upper one.

    >>> print(round(mixture_lower_limit([0.0024, 0.0061, 0.0015], [0.012, 0.053, 0.031]), 5))  # Crowl & Louvar
    0.02751
    """
    if len(mole_fractions) != len(limits):
        raise ValueError(say("mole_fractions and limits must be of equal number"))
    for limit in limits:
        share(limits=limit)
    total = sum(mole_fractions)
    above_zero(mole_fractions=total)
    return total / sum(y / limit for y, limit in zip(mole_fractions, limits, strict=True))


@formula(
    gives="air_share",
    source="Burgess-Wheeler law (Zabetakis): Crowl & Louvar, Chemical Process Safety, 2nd edition (2002), ch. 6",
    unverified="the constant 0.75 is from memory",
    lower_limit="air_share",
    temperature="temperature",
    heat_of_combustion="molar_energy",
)
def lower_limit_at(lower_limit: Values, temperature: Values, heat_of_combustion: Values) -> Values:
    """Lower explosive limit at another temperature than 25 degC.

    LEL_T = LEL_25 - 0.75/dHc * (T - 25), LEL in volume %, T in degC, dHc in kcal/mol;
    in SI LEL_T = LEL_25 - 31.38 J/mol/K / dHc * (T - 298.15 K)

    lower_limit [mole fraction] at 25 degC, temperature [K], heat_of_combustion [J/mol], net,
    above zero. Returns [mole fraction]. Raises ValueError for a heat of zero, or where the limit
    would fall to zero.
    """
    above_zero(heat_of_combustion=heat_of_combustion)
    limit = lower_limit - BURGESS_WHEELER / heat_of_combustion * (temperature - LIMIT_TEMPERATURE)
    if not np.all(np.asarray(limit) > 0):
        raise ValueError(say("temperature is too high for this law: the limit falls to zero"))
    return limit


@formula(
    gives="air_share",
    source="Burgess-Wheeler law, that lower limit times heat of combustion hardly varies: Crowl & Louvar, Chemical "
    "Process Safety, 2nd edition (2002), ch. 6",
    unverified="the constant is ours: under that of all vapours of carbon, hydrogen and oxygen in IEC 60079-20-1:2010",
    heat_of_combustion="molar_energy",
)
def lower_limit_from_heat(heat_of_combustion: Values) -> Values:
    """A lower explosive limit no higher than the real one, where no compilation gives any.

    LEL = 28 kJ/mol / dHc

    heat_of_combustion [J/mol] of the vapour, net, above zero. Returns [mole fraction] at 25 degC. For carbon, hydrogen
    and oxygen alone. Of 133 such vapours whose row goes with their vapour pressure the product of the two is 28.9
    (acetylene) to 68 kJ/mol, the middle one 40: so the limit comes out up to 2.4 times too low. Raises ValueError for a
    heat of zero.

    >>> print(round(lower_limit_from_heat(3772e3), 4))  # toluene; compilations give 0.010 to 0.011
    0.0074
    """
    above_zero(heat_of_combustion=heat_of_combustion)
    return LEAST_HEAT_AT_THE_LIMIT / heat_of_combustion


@formula(
    gives="temperature",
    source="Liaw, Tang & Lai, Combustion and Flame 138 (2004) 308-319, with ideal activity; "
    "form read in Vidal et al., Process Safety and Environmental Protection 84 (2006) 1-9",
    parts="flash_part, ...",
)
def mixture_flash_point(parts: Sequence[FlashPart]) -> Values:
    """Flash point of an ideal mixture of liquids. Warning: polar + non-polar blends can flash lower.

    sum x_i * P_i(T) / P_i(T_fp,i) = 1, solved for T by halving

    parts: for each flammable part (mole fraction of the whole liquid [1], flash point [K],
    Antoine a [1], b [K], c [K]), in calc "toluene:0.4, 78-93-3:0.6", looked up in the shipped
    data (the lowest flash point where sources disagree). Water and other parts that do not burn
    are left out, their mole fraction is not shared out. Returns [K]. Raises ValueError
    for no parts, mole fractions that sum to over 1, or a mixture too thin to flash.

    A blend such as an alcohol with a hydrocarbon can flash lower than this result, and lower
    than each of its parts. A calculated value never replaces a measured one near a class bound.
    """
    if not parts:
        raise ValueError(say("parts must name at least one liquid"))
    if not np.all(sum(np.asarray(x) for x, *_ in parts) <= 1 + 1e-9):
        raise ValueError(say("the mole fractions must not sum to over 1"))
    own = [antoine_pressure(a, b, c, flash) for _, flash, a, b, c in parts]

    def reach(temperature: Values) -> Values:
        """The vapour over the liquid as a share of what flashes."""
        return sum(
            x * antoine_pressure(a, b, c, temperature) / p for (x, _, a, b, c), p in zip(parts, own, strict=True)
        )

    low = np.stack(np.broadcast_arrays(*(flash for _, flash, *_ in parts))).min(axis=0).astype(float)
    high = np.stack(np.broadcast_arrays(*(flash for _, flash, *_ in parts))).max(axis=0) + _SEARCH
    if not np.all(reach(high) >= 1):
        raise ValueError(say("the mixture holds too little that burns to have a flash point"))
    for _ in range(60):
        middle = (low + high) / 2
        over = reach(middle) >= 1
        low, high = np.where(over, low, middle), np.where(over, middle, high)
    return ((low + high) / 2)[()]


@formula(
    gives="temperature",
    source="Liaw & Chiu, Journal of Hazardous Materials 101 (2003) 83-106: x * gamma * P(T) = P(T_fp); activity by van "
    "Laar",
    unverified="the paper was not read, and the constants stand in a text that quotes the handbook",
    valid=(("ethanol", 0.05, 1.0),),
    ethanol="fraction",
    flash_point="temperature",
    a="number",
    b="kelvin",
    c="kelvin",
)
def ethanol_water_flash_point(ethanol: Values, flash_point: Values, a: float, b: float, c: float) -> Values:
    """Flash point of ethanol in water.

    x * gamma * P(T) = P(T_fp); ln gamma = A / (1 + A x / (B (1 - x)))^2, A = 1.6798, B = 0.9227

    ethanol [1] by weight of the whole liquid; flash_point [K] and Antoine a [1], b [K], c [K] of ethanol alone. Returns
    [K]. With 12 degC for ethanol alone it lies 0.2 to 7 K below each of eleven published measurements from 5 to 96 %
    by weight, and over none. For ethanol and water alone: what else is dissolved may lower it. Raises ValueError for a
    share of zero or over 1.

    >>> print(round(ethanol_water_flash_point(0.4, 285.15, 10.33675, 1648.22, -42.232) - 273.15))  # measured: 26 degC
    25
    """
    share(ethanol=ethanol)
    moles = np.asarray(ethanol, float) / _ETHANOL
    x = moles / (moles + (1.0 - np.asarray(ethanol, float)) / _WATER)
    one, other = _VAN_LAAR
    log_gamma = one * (other * (1.0 - x) / (other * (1.0 - x) + one * x)) ** 2
    wanted = np.log10(antoine_pressure(a, b, c, flash_point)) - np.log10(x) - log_gamma / np.log(10.0)
    return (b / (a - wanted) - c)[()]


@formula(
    gives="pressure",
    source="ISO 2533:1975, Standard atmosphere; the same as the U.S. Standard Atmosphere, 1976, up to 11 km",
    unverified="the equation was read in texts that quote the standards",
    valid=(("altitude", -1000.0, 11000.0),),
    altitude="length",
)
def standard_pressure(altitude: Values) -> Values:
    """Pressure of the air at a height above sea level, on a day of the standard atmosphere.

    P = 101325 Pa * (1 - 0.0065 * h / 288.15)^5.25588

    altitude [m] above sea level. Returns [Pa]. The weather moves it: in a deep low it is some 4 % less.

    >>> print(round(standard_pressure(1524.0) / 6894.757, 3))  # psi at 5000 ft; the tables give 12.230
    12.228
    """
    return ATMOSPHERE * (1.0 - 0.0065 * np.asarray(altitude, float) / 288.15)[()] ** 5.25588


@formula(
    gives="temperature",
    source="ISO 2719:2016, Pensky-Martens closed cup, 11.2, turned round; ASTM D3828, 13.2, has the same",
    unverified="both clauses were read in extracts",
    valid=(("pressure", 82.0e3, 104.7e3),),
    flash_point="temperature",
    pressure="pressure",
)
def flash_point_at(flash_point: Values, pressure: Values) -> Values:
    """Flash point of a liquid in air of another pressure than that of one atmosphere.

    T = T_c - 0.25 K/kPa * (101.3 kPa - P)

    flash_point [K], closed cup, as printed: corrected to one atmosphere; pressure [Pa] of the air. Returns [K], never
    more than what is printed. Thinner air needs less vapour to burn.

    >>> print(round(flash_point_at(311.15, 79.5e3) - 273.15, 2))  # 38 degC, some 2000 m up
    32.55
    """
    return np.asarray(flash_point, float)[()] - 0.25e-3 * np.maximum(101.3e3 - np.asarray(pressure, float), 0.0)[()]


@formula(
    gives="text",
    source="GHS, 10th revised edition (2023), table 2.6.1; 29 CFR 1910.106(a)(19)",
    flash_point="temperature",
    boiling_point="temperature",
)
def flammable_category(flash_point: float, boiling_point: float) -> str:
    """Hazard category of a flammable liquid.

    1: flash under 23 degC and boiling at or under 35 degC; 2: flash under 23 degC and boiling
    over 35 degC; 3: flash 23 to 60 degC; 4: over 60 to 93 degC

    flash_point [K], closed cup; boiling_point [K], initial. One value each, no arrays. Returns
    "Category 1" to "Category 4", or "not classified". Raises ValueError for a value of zero.

    >>> print(flammable_category(277.55, 383.75))  # toluene
    Category 2
    """
    above_zero(flash_point=flash_point, boiling_point=boiling_point)
    if flash_point < FLASH_LOW:
        return "Category 1" if boiling_point <= BOILING_LOW else "Category 2"
    if flash_point <= FLASH_MIDDLE:
        return "Category 3"
    return "Category 4" if flash_point <= FLASH_HIGH else "not classified"


@formula(
    gives="text",
    source="49 CFR 173.121(a)(1), table",
    flash_point="temperature",
    boiling_point="temperature",
)
def packing_group(flash_point: float, boiling_point: float) -> str:
    """Packing group of a flammable liquid of class 3 in transport.

    I: boiling at or under 35 degC; II: flash under 23 degC and boiling over 35 degC;
    III: flash 23 to 60 degC and boiling over 35 degC; over 60 degC none

    flash_point [K], closed cup; boiling_point [K], initial. One value each, no arrays. Returns
    "I", "II", "III" or "none". Raises ValueError for a value of zero. Exceptions for viscous
    liquids and for combustible liquids (over 60 degC) are not in it.

    >>> print(packing_group(277.55, 383.75))  # toluene
    II
    """
    above_zero(flash_point=flash_point, boiling_point=boiling_point)
    if flash_point > FLASH_MIDDLE:
        return "none"
    if boiling_point <= BOILING_LOW:
        return "I"
    return "II" if flash_point < FLASH_LOW else "III"


@formula(
    gives="time",
    source="NFPA 77, Recommended Practice on Static Electricity (2000), table B.2",
    permittivity="number",
    conductivity="conductivity",
)
def charge_relaxation_time(permittivity: Values, conductivity: Values) -> Values:
    """Time in which a charged liquid loses 63 % of its charge to earthed metal.

    tau = eps_0 * eps_r / kappa

    permittivity: relative [1]; conductivity [S/m]. Returns [s]. Raises ValueError for a
    conductivity of zero.
    """
    above_zero(permittivity=permittivity, conductivity=conductivity)
    return VACUUM_PERMITTIVITY * permittivity / conductivity


@formula(
    gives="volume",
    source="TRBS 2152 part 1 (TRGS 721), sec. 3.4.1, as printed in DGUV Rule 113-001",
    room_volume="volume",
)
def hazardous_mixture_volume(room_volume: Values) -> Values:
    """Volume of explosive mixture, in one piece, from which on a room counts as in danger.

    V = min(10 L, V_room / 10000)

    room_volume [m3]. Returns [m3]. Raises ValueError for a room of zero.

    >>> print(round(hazardous_mixture_volume(80.0) * 1e3, 3))  # L
    8.0
    """
    above_zero(room_volume=room_volume)
    return np.minimum(HAZARDOUS_VOLUME, room_volume * HAZARDOUS_SHARE)


@formula(
    gives="mass",
    source="ideal gas law at a fraction of the lower explosive limit",
    volume="volume",
    lower_limit="air_share",
    fraction="fraction",
    molar_mass="molar_mass",
    temperature="temperature",
    pressure="pressure",
)
def flammable_mass(
    volume: Values,
    lower_limit: Values,
    fraction: Values,
    molar_mass: Values,
    temperature: Values,
    pressure: Values = ATMOSPHERE,
) -> Values:
    """Mass of vapour that brings a closed volume of air to a fraction of the lower explosive limit.

    m = V * LEL * fraction * P * M / (R * T)

    volume [m3], lower_limit [mole fraction], fraction [1], molar_mass [kg/mol], temperature [K],
    pressure [Pa] of the air. Returns [kg]. Raises ValueError for a temperature of zero.
    """
    above_zero(temperature=temperature)
    return volume * lower_limit * fraction * pressure * molar_mass / (GAS_CONSTANT * temperature)
