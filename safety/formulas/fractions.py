"""Petroleum fractions from what section 9 of a data sheet says: correlations with boiling point and density.

They hold for mixtures of hydrocarbons alone. Each states how far it lay from published data on pure hydrocarbons
(`tests/validation/test_fractions.py` measures it again): that error is part of every figure made with them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, Values, above_zero, not_negative
from safety.words import say

#: Density of water at 15.6 degC [kg/m3], beside which a specific gravity (60/60 degF) is given. Handbook value.
WATER_DENSITY = 999.0
#: Kelvin to degrees Rankine: exact.
RANKINE = 1.8
#: What the published mercury column of 1 mm is worth [Pa]. NIST SP 811 (2008).
MMHG = 133.322
#: Mass of hydrocarbon vapour in each m3 of air at the lower explosive limit, 25 degC [kg/m3]: the 5th percentile over
#: 45 hydrocarbons from C5 on in IEC 60079-20-1:2010. The rule of thumb, 45 g/m3, lies above the table for 44 of them.
CAREFUL_MASS_LIMIT = 0.032

#: D86 to true boiling points, T = a * D86^b [K], at shares distilled. Riazi & Daubert, as in MNL50, table 3.4.
DISTILLED = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 0.95)
_D86 = (
    (0.9177, 1.0019),
    (0.5564, 1.0900),
    (0.76517, 1.0425),
    (0.9013, 1.0176),
    (0.8821, 1.0226),
    (0.9552, 1.0110),
    (0.8177, 1.0355),
)

#: Points at which a slice of a fraction is looked at.
_ACROSS = 21

#: Maxwell-Bonnell: X from which each branch holds, and log10(P/mmHg) = (p X - q) / (r X - s) there. API 5A1.18.
_BRANCHES = (
    (0.0022, (3000.538, 6.761560, 43.0, 0.987672)),
    (0.0013, (2663.129, 5.994296, 95.76, 0.972546)),
    (0.0, (2770.085, 6.412631, 36.0, 0.989679)),
)
#: The correction for the kind of hydrocarbon fades in between these boiling points [degR]: 200 and 400 degF.
_PLAIN_TO, _FULL_OVER = 659.7, 200.0

_MNL50 = "Riazi, Characterization and Properties of Petroleum Fractions, ASTM MNL50 (2005)"
_SECONDARY = "the constants were read in a second source; they reproduce the published examples"


@formula(
    gives="number",
    source="Watson & Nelson, Industrial and Engineering Chemistry 25 (1933) 880-887",
    unverified="the paper itself was not read",
    boiling_point="temperature",
    density="density",
)
def watson_factor(boiling_point: Values, density: Values) -> Values:
    """What kind of hydrocarbon a fraction is: 12 to 13 paraffins, 11 to 12 naphthenes and mixed, 10 to 11 aromatics.

    K = (1.8 * Tb)^(1/3) / SG, SG = density / 999 kg/m3

    boiling_point [K], mean of the fraction; density [kg/m3] at 15 degC. Returns [1]. Raises ValueError for a density
    or boiling point of zero.
    """
    above_zero(boiling_point=boiling_point, density=density)
    return (RANKINE * boiling_point) ** (1 / 3) * WATER_DENSITY / density


@formula(
    gives="molar_mass",
    source=f"API Technical Data Book, procedure 2B2.1 (Riazi & Daubert, extended); {_MNL50}, eq. 2.51",
    valid=(("boiling_point", 293.0, 833.0), ("density", 629.0, 969.0)),
    boiling_point="temperature",
    density="density",
)
def fraction_molar_mass(boiling_point: Values, density: Values) -> Values:
    """Molar mass of a narrow petroleum fraction.

    M = 42.965 * Tb^1.26007 * SG^4.98308 * exp(2.097e-4 Tb - 7.78712 SG + 2.08476e-3 Tb SG) g/mol

    boiling_point [K], density [kg/m3] at 15 degC. Returns [kg/mol]. Error: 3.9 % on average, 18.7 % at most, over 625
    fractions (MNL50, table 2.14); isoparaffins come out 10 % low. Raises ValueError for a density or boiling point of
    zero.
    """
    above_zero(boiling_point=boiling_point, density=density)
    gravity = density / WATER_DENSITY
    power = 2.097e-4 * boiling_point - 7.78712 * gravity + 2.08476e-3 * boiling_point * gravity
    return 1e-3 * 42.965 * boiling_point**1.26007 * gravity**4.98308 * np.exp(power)


@formula(
    gives="temperature",
    source=f"Riazi & Daubert; {_MNL50}, table 3.4",
    unverified=_SECONDARY,
    distilled="fraction",
    temperature="temperature",
)
def true_boiling_point(distilled: Values, temperature: Values) -> Values:
    """True boiling point of what a standard distillation (ASTM D86, ISO 3405) shows at a share distilled.

    TBP = a * D86^b, with a and b at 0, 10, 30, 50, 70, 90 and 95 % by volume; between them along a straight line

    distilled [1] by volume; temperature [K] read there. Returns [K]. The truth lies near this for a wide cut and half
    way to the reading for a narrow one: take the reading and this as the two ends. Raises ValueError for a temperature
    of zero or a share below zero. Over 95 % the equation is that of 95 %.
    """
    not_negative(distilled=distilled)
    above_zero(temperature=temperature)
    points = np.stack([a * np.asarray(temperature, float) ** b for a, b in _D86])
    return _between(np.minimum(distilled, DISTILLED[-1]), points)


@formula(
    gives="temperature",
    source="mean of true_boiling_point over a slice, for a cut whose distillation rises evenly between its two ends",
    start="temperature",
    end="temperature",
    first="fraction",
    last="fraction",
)
def slice_boiling_point(start: Values, end: Values, first: float, last: float) -> Values:
    """Mean true boiling point of what distils between two shares of a petroleum fraction of which the ends are printed.

    The mean of true_boiling_point(v, start + v * (end - start)) over v from first to last

    start and end [K]: where it begins and ends to boil (D86); first and last [1]: shares distilled by volume. Returns
    [K]. Five slices to 5, 20, 45, 75 and 100 % dry like 300 of them within 5 % for cuts up to 60 K wide, 10 % for
    kerosene. Raises ValueError for a slice or a range that ends before it begins.

    >>> print(round(slice_boiling_point(423.15, 473.15, 0.0, 0.05) - 273.15))  # the lightest of 150 to 200 degC
    124
    """
    not_negative(first=first, **{"end - start": np.asarray(end) - start})
    above_zero(start=start, **{"last - first": last - first})
    shares = np.linspace(first, last, _ACROSS)
    at = [true_boiling_point(v, start + v * (np.asarray(end, float) - start)) for v in shares]
    return np.mean(at, axis=0)[()]


def _between(at: Values, points: Values) -> Values:
    """Along straight lines through ``points`` at the shares distilled."""
    at = np.broadcast_to(at, np.shape(points)[1:])
    steps = np.asarray(DISTILLED)
    low = np.clip(np.asarray(np.searchsorted(steps, at, side="right")) - 1, 0, len(steps) - 2)
    begin, end = (np.take_along_axis(points, (low + i)[None], axis=0)[0] for i in (0, 1))
    return (begin + (end - begin) * (at - steps[low]) / np.diff(steps)[low])[()]


@formula(
    gives="pressure",
    source="Maxwell & Bonnell; API Technical Data Book, procedures 5A1.18 and 5A1.19",
    unverified=_SECONDARY,
    valid=(("boiling_point", 300.0, 620.0), ("watson", 9.5, 13.2)),
    boiling_point="temperature",
    watson="number",
    temperature="temperature",
)
def fraction_vapour_pressure(boiling_point: Values, watson: Values, temperature: Values) -> Values:
    """Vapour pressure of a narrow petroleum fraction.

    log10 P = (p X - q) / (r X - s), X = (Tb'/T - 0.0002867 Tb') / (748.1 - 0.2145 Tb'), degR and mmHg;
    Tb' = Tb - 2.5 f (K - 12) log10(P/760), f from 0 at 200 degF to 1 at 400 degF

    boiling_point [K] true and normal, watson [1] from watson_factor, temperature [K]. Returns [Pa]. Error at 20 degC
    over 37 pure hydrocarbons C5 to C15: 5 % on average, 24 % at most; bicyclic terpenes come out 30 to 45 % low. Raises
    ValueError for a temperature of zero.
    """
    above_zero(boiling_point=boiling_point, watson=watson, temperature=temperature)
    boils, at = RANKINE * np.asarray(boiling_point, float), RANKINE * np.asarray(temperature, float)
    kind = 2.5 * np.clip((boils - _PLAIN_TO) / _FULL_OVER, 0.0, 1.0) * (np.asarray(watson) - 12.0)
    plain, log_pressure = boils, np.zeros(())
    for _ in range(15):  # each round cuts the error to a fifth or less
        log_pressure = _maxwell_bonnell((plain / at - 0.0002867 * plain) / (748.1 - 0.2145 * plain))
        plain = boils - kind * (log_pressure - np.log10(760.0))
    return (MMHG * 10**log_pressure)[()]


def _maxwell_bonnell(x: Values) -> Values:
    """log10 of the pressure in mmHg."""
    ranges = [x > begin for begin, _ in _BRANCHES[:-1]]
    values = [(p * x - q) / (r * x - s) for _, (p, q, r, s) in _BRANCHES]
    return np.select(ranges, values[:-1], values[-1])


@formula(
    gives="air_share",
    source="ideal gas law at a mass of vapour in each m3 of air; 32 g/m3 is the 5th percentile of IEC 60079-20-1:2010 "
    "over 45 hydrocarbons from C5 on, as carried by the Python package chemicals 1.5.2",
    molar_mass="molar_mass",
    limit="concentration",
)
def fraction_lower_limit(molar_mass: Values, limit: Values = CAREFUL_MASS_LIMIT) -> Values:
    """Lower explosive limit of the vapour of a petroleum fraction at 25 degC, where nobody has printed one.

    L = c * R * T / (M * P), c = 32 g/m3, T = 298.15 K, P = 101325 Pa

    molar_mass [kg/mol] of the vapour, not of the liquid; limit [kg/m3]. Returns [mole fraction]. The rule of thumb of
    45 g/m3 is not careful: the median of the table is 38 g/m3. Raises ValueError for a molar mass of zero.
    """
    above_zero(molar_mass=molar_mass, limit=limit)
    return limit * GAS_CONSTANT * 298.15 / (molar_mass * ATMOSPHERE)


@formula(
    gives="temperature",
    source="API Technical Data Book, procedure 2B7.1, closed cup",
    unverified=_SECONDARY,
    valid=(("distilled_tenth", 290.0, 600.0),),
    distilled_tenth="temperature",
)
def fraction_flash_point(distilled_tenth: Values) -> Values:
    """Flash point (closed cup) of a petroleum fraction, from where a tenth has distilled. Contradicts; never replaces.

    T_F[degF] = 0.69 * T10[degF] - 118.2

    distilled_tenth [K]: where 10 % by volume has distilled (D86). Returns [K]. Error over 44 pure hydrocarbons of IEC
    60079-20-1: 6 K on average, no bias. A measured flash point rules; an estimate more than 20 K away says that the
    sheet contradicts itself. Raises ValueError for a temperature of zero.
    """
    above_zero(distilled_tenth=distilled_tenth)
    fahrenheit = RANKINE * np.asarray(distilled_tenth, float) - 459.67
    return ((0.69 * fahrenheit - 118.2 + 459.67) / RANKINE)[()]


@formula(
    gives="molar_energy",
    source="API Technical Data Book, procedure 14A1.3, net heat of combustion of petroleum liquids",
    unverified=_SECONDARY,
    density="density",
    molar_mass="molar_mass",
)
def fraction_heat_of_combustion(density: Values, molar_mass: Values) -> Values:
    """Net heat of combustion of a petroleum fraction.

    16796 + 54.5 A - 0.217 A^2 - 0.0019 A^3 Btu/lb, A = 141.5 / SG - 131.5

    density [kg/m3] at 15 degC, molar_mass [kg/mol]. Returns [J/mol]. Raises ValueError for a density of zero.
    """
    above_zero(density=density, molar_mass=molar_mass)
    gravity = 141.5 * WATER_DENSITY / density - 131.5
    return 2326.0 * (16796 + 54.5 * gravity - 0.217 * gravity**2 - 0.0019 * gravity**3) * molar_mass


@formula(
    gives="concentration",
    source="reciprocal calculation procedure: McKee et al., Journal of Occupational and Environmental Hygiene 2 (2005) "
    "524-542 and 14 (2017) 575-584 (abstracts read)",
    shares="fraction, ...",
    limits="concentration, ...",
)
def reciprocal_limit(shares: Sequence[Values], limits: Sequence[Values]) -> Values:
    """One exposure limit for a mixture of hydrocarbons, from guidance values for groups of them.

    1 / L = sum(F_i / G_i), scaled to the whole where the shares do not add up to it

    shares [1] by weight of the liquid in each group; limits [kg/m3] of the groups, or a substance's own. Returns
    [kg/m3]. Not for benzene, terpenes, fuels and lubricants. Raises ValueError for unequal counts or a limit of zero.
    """
    if len(shares) != len(limits):
        raise ValueError(say("shares and limits must be of equal number"))
    for limit in limits:
        above_zero(limits=limit)
    total = sum(shares)
    above_zero(shares=total)
    return total / sum(part / limit for part, limit in zip(shares, limits, strict=True))
