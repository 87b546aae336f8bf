"""How fast vapour is carried off a wet surface: moving air, air in layers, and the weight of the vapour itself."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, GRAVITY, Values, above_zero, not_negative

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

#: Laminar flow along a plate: mean Sherwood number over Re^(1/2) Sc^(1/3) [1].
LAMINAR_FACTOR = 0.664
#: A level face whose vapour rises: below and above this Rayleigh number [1]. Lloyd & Moran (1974).
RISING_LAMINAR, RISING_TURBULENT, RISING_TURNS = 0.54, 0.15, 1e7
#: A level face whose vapour sinks and lies on it [1]. McAdams (1954).
LYING = 0.27
#: An upright face. Churchill & Chu (1975), eq. 1.
UPRIGHT_LEAST, UPRIGHT_FACTOR, UPRIGHT_NUMBER = 0.825, 0.387, 0.492
#: How forced and natural flow go together. Churchill (1977).
BLENDING_POWER = 3

_PLATE = "Tosun, Modelling in Transport Phenomena, sec. 4.2, table 4.1: twice the local value (Pohlhausen 1921)"


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
    gives="speed",
    source=_PLATE,
    air_speed="speed",
    length="length",
    molar_mass="molar_mass",
    temperature="temperature",
)
def laminar_transfer(air_speed: Values, length: Values, molar_mass: Values, temperature: Values) -> Values:
    """How fast air that glides in layers along a flat surface carries vapour off it.

    k = 0.664 * (u*L/nu)^(1/2) * Sc^(1/3) * D / L, nu = 1.5e-5 m2/s, Sc = nu / D, D = vapour_diffusivity(M, T)

    air_speed [m/s] over the surface, length [m] of the wet surface along the air stream,
    molar_mass [kg/mol], temperature [K] of the air. Returns [m/s]. Raises ValueError for a
    length of zero. Holds up to u*L/nu = 500 000; over it the flow is turbulent and carries more.
    """
    above_zero(length=length)
    not_negative(air_speed=air_speed)
    diffusivity = vapour_diffusivity(molar_mass, temperature)
    reynolds, schmidt = air_speed * length / AIR_VISCOSITY, AIR_VISCOSITY / diffusivity
    return LAMINAR_FACTOR * np.sqrt(reynolds) * np.cbrt(schmidt) * diffusivity / length


@formula(
    gives="number",
    source="ideal gas law: density of a mixture of gases at one temperature and pressure",
    vapours="pressure:molar_mass, ...",
)
def vapour_density_excess(vapours: Sequence[tuple[Values, Values]]) -> Values:
    """How much heavier than air the air over a wet surface is, as a share of the air's own density.

    e = sum p_i/P * (M_i - M_air) / M_air, P = 101325 Pa, M_air = 28.964 g/mol; below zero it rises

    vapours: for each (partial pressure [Pa] at the surface, molar mass [kg/mol]), in calc
    "3.79 kPa:92.14 g/mol, 0.3 kPa:106.17 g/mol". Returns [1]. That evaporation cools the air, which
    makes it a little heavier still, is left out.

    >>> print(round(vapour_density_excess([(3790.0, 0.09214)]), 4))  # toluene at 25 degC
    0.0816
    """
    return sum(p / ATMOSPHERE * (mass - AIR_MOLAR_MASS) / AIR_MOLAR_MASS for p, mass in vapours)


def _rayleigh(excess: Values, length: Values, diffusivity: Values) -> Values:
    return GRAVITY * length**3 * np.abs(excess) / (AIR_VISCOSITY * diffusivity)


@formula(
    gives="speed",
    source="Lloyd & Moran, Journal of Heat Transfer 96 (1974) 443-447 (0.54 and 0.15); McAdams, Heat Transmission, "
    "3rd edition (1954) (0.27); mass in place of heat",
    unverified="neither was read; constants as textbooks and handbooks print them",
    density_excess="number",
    area="area",
    molar_mass="molar_mass",
    temperature="temperature",
)
def buoyant_transfer_level(density_excess: Values, area: Values, molar_mass: Values, temperature: Values) -> Values:
    """How fast the weight of its own vapour clears a level surface that faces up, in air that stands still.

    Sh = 0.54 * Ra^(1/4), from Ra = 1e7 on 0.15 * Ra^(1/3), where the vapour rises (e below 0);
    Sh = 0.27 * Ra^(1/4) where it is heavier than air and flows off over the edges;
    k = Sh * D / L, L = sqrt(A)/4, Ra = g * L^3 * |e| / (nu * D), nu = 1.5e-5 m2/s

    density_excess e [1] of the air at the surface, area A [m2], molar_mass [kg/mol], temperature [K].
    Returns [m/s], 0 where nothing is heavier or lighter than air. Raises ValueError for an area of
    zero. Measured for Ra of 1e4 to 1e11 (rising) and 1e5 to 1e10 (lying).
    """
    above_zero(area=area)
    diffusivity = vapour_diffusivity(molar_mass, temperature)
    length = np.sqrt(area) / 4
    rayleigh = _rayleigh(density_excess, length, diffusivity)
    rising = np.where(rayleigh < RISING_TURNS, RISING_LAMINAR * rayleigh**0.25, RISING_TURBULENT * np.cbrt(rayleigh))
    sherwood = np.where(np.asarray(density_excess) < 0, rising, LYING * rayleigh**0.25)
    return (sherwood * diffusivity / length)[()]


@formula(
    gives="speed",
    source="Churchill & Chu, International Journal of Heat and Mass Transfer 18 (1975) 1323-1329; "
    "mass in place of heat",
    unverified="the paper itself was not read; constants as textbooks and handbooks print them",
    density_excess="number",
    height="length",
    molar_mass="molar_mass",
    temperature="temperature",
)
def buoyant_transfer_upright(density_excess: Values, height: Values, molar_mass: Values, temperature: Values) -> Values:
    """How fast the weight of its own vapour clears an upright surface, in air that stands still.

    Sh = (0.825 + 0.387 * Ra^(1/6) / (1 + (0.492/Sc)^(9/16))^(8/27))^2, k = Sh * D / L,
    Ra = g * L^3 * |e| / (nu * D), Sc = nu / D, nu = 1.5e-5 m2/s

    density_excess e [1] of the air at the surface, height L [m], molar_mass [kg/mol], temperature
    [K]. Returns [m/s]. Raises ValueError for a height of zero. Given for all Ra up to 1e12.
    """
    above_zero(height=height)
    diffusivity = vapour_diffusivity(molar_mass, temperature)
    rayleigh = _rayleigh(density_excess, height, diffusivity)
    slowed = (1 + (UPRIGHT_NUMBER * diffusivity / AIR_VISCOSITY) ** (9 / 16)) ** (8 / 27)
    return (UPRIGHT_LEAST + UPRIGHT_FACTOR * rayleigh ** (1 / 6) / slowed) ** 2 * diffusivity / height


@formula(
    gives="speed",
    source="Churchill, AIChE Journal 23 (1977) 10-16: forced and natural flow together, power 3",
    unverified="the paper itself was not read; the power as textbooks print it for flow along and across",
    forced="speed",
    laminar="speed",
    buoyant="speed",
)
def combined_transfer(forced: Values, laminar: Values, buoyant: Values) -> Values:
    """Mass transfer where air is moved and the vapour moves it too.

    k = (max(k_forced, k_laminar)^3 + k_buoyant^3)^(1/3)

    forced: of a pool in the open (mass_transfer_coefficient), laminar: of a plate
    (laminar_transfer), buoyant: in air that stands still (buoyant_transfer_level,
    buoyant_transfer_upright), all [m/s]. Returns [m/s]. That of the two forced ones the larger
    holds is our choice: the first is fitted outdoors and tends to nothing in still air.

    >>> print(round(combined_transfer(0.68e-3, 1.1e-3, 1.4e-3) * 1e3, 2))  # mm/s
    1.6
    """
    not_negative(forced=forced, laminar=laminar, buoyant=buoyant)
    return np.cbrt(np.maximum(forced, laminar) ** BLENDING_POWER + np.asarray(buoyant) ** BLENDING_POWER)[()]


@formula(
    gives="speed",
    source="diffusion through a layer at rest in series with the transfer above it: Bird, Stewart & Lightfoot, "
    "Transport Phenomena, 2nd edition (2002), sec. 18.2; how much of the layer is at rest is our judgement",
    mass_transfer="speed",
    freeboard="length",
    width="length",
    molar_mass="molar_mass",
    temperature="temperature",
)
def transfer_below_a_rim(
    mass_transfer: Values, freeboard: Values, width: Values, molar_mass: Values, temperature: Values
) -> Values:
    """How fast a vapour heavier than air leaves a can whose liquid stands below the rim.

    1/k' = 1/k + max(h - b, 0) / D, D = vapour_diffusivity(M, T)

    mass_transfer k [m/s] of the same surface without a rim, freeboard h [m] from the rim to the
    liquid, width b [m] of the opening, molar_mass [kg/mol], temperature [K]. Returns [m/s]. Raises
    ValueError for a coefficient of zero. Air that passes over an opening turns over in it to a depth
    of about its width, so only what lies deeper counts as at rest.
    """
    above_zero(mass_transfer=mass_transfer)
    not_negative(freeboard=freeboard, width=width)
    at_rest = np.maximum(np.asarray(freeboard) - width, 0.0)
    return (1 / (1 / np.asarray(mass_transfer) + at_rest / vapour_diffusivity(molar_mass, temperature)))[()]


@formula(
    gives="fraction",
    source="worked out here from a well-mixed room with the flux k*(C_sat - C), by the mean over the time",
    mass_transfer="speed",
    area="area",
    airflow="airflow",
    volume="volume",
    time="time",
)
def held_back(mass_transfer: Values, area: Values, airflow: Values, volume: Values, time: Values) -> Values:
    """What is left of evaporation as a room fills with the vapour, mean over a time.

    s = 1 / (1 + k*A / (3*(Q + V/t)))

    mass_transfer k [m/s], area A [m2] that is wet, airflow Q [m3/s] of clean air, volume V [m3],
    time t [s] since the air was clean. Returns [1]. Raises ValueError for a volume or time of zero.
    Why a third: in a shut room the mean concentration over t is then s*k*A*C_sat*t/(2*V), exact
    for small k*A*t/V and too high, never too low, for large. With clean air s is too high as well:
    at rest 1 would stand for 1/3. The end of the time has more than the mean, and s is too high there.
    """
    above_zero(volume=volume, time=time)
    not_negative(mass_transfer=mass_transfer, area=area, airflow=airflow)
    return (1 / (1 + np.asarray(mass_transfer) * area / (3 * (airflow + volume / time))))[()]


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
