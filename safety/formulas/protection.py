"""What a respirator, a cartridge, a glove and the skin let through."""

from __future__ import annotations

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, Values, above_zero, not_negative
from safety.model import EIGHT_HOURS
from safety.words import say

#: Skin permeation, modified Robinson model [cm/h, M in g/mol].
#: NIOSH Current Intelligence Bulletin 61 (2009), appendix B.
SKIN_CONSTANT = -1.326
SKIN_KOW = 0.6097
SKIN_MASS = -0.1786
SKIN_PROTEIN = 0.0001519
SKIN_WATER = 2.5
#: Skin in contact [m2], both palms and fingers; a shift [s]; air breathed in it [m3]; share kept [1]. Same place.
SKIN_AREA = 0.0360
SKIN_TIME = EIGHT_HOURS
BREATHED_AIR = 10.0
KEPT_SHARE = 0.75

#: Wood (1994): micropore volume [cm3/g], affinity constant, gas constant [cal/mol/K], power of the refractivity.
WOOD_PORES = 0.454
WOOD_AFFINITY = 3.56e-5
WOOD_GAS = 1.987
WOOD_POWER = -1.8
#: Wood (1994): constants of the adsorption rate [1/v_L with v_L in cm/s; min; cm3/mol].
WOOD_SPEED = 0.027
WOOD_RATE = 0.000825
WOOD_SLOPE = 0.063
WOOD_SLOPE_LOG = -0.0055
#: Bed of one cartridge of 26 g that fits OSHA's table of this model: face [m2] and packing [kg/m3]. Fitted by us.
OSHA_BED_AREA = 25e-4
OSHA_BED_DENSITY = 400.0

#: Rule of thumb: life [s] below a concentration [1] for liquids boiling over [K]; humidity [1]; see the function.
THUMB_LIFE = EIGHT_HOURS
THUMB_CONCENTRATION = 200e-6
THUMB_BOILING = 343.15
THUMB_HUMIDITY = 0.85
THUMB_HUMID_FACTOR = 0.5
THUMB_TENFOLD = 5.0

#: Share of a breakthrough time that a glove may be worn [1]. TRGS 401 (2022), for warm, stretched gloves.
WEAR_SHARE = 1 / 3

_CIB = "NIOSH Current Intelligence Bulletin 61 (DHHS publication 2009-147), appendix B, modified Robinson model"
_OSHA_CARTRIDGE = "OSHA respirator change-schedule guidance"


@formula(
    gives="number",
    source="29 CFR 1910.134(d)(3)(i), definition of the maximum use concentration turned round",
    concentration="air_share|concentration",
    limit="air_share|concentration",
)
def protection_factor_needed(concentration: Values, limit: Values) -> Values:
    """Assigned protection factor a respirator must have at least.

    APF = C / L

    concentration and limit: both as shares of the air [1] or both [kg/m3]. Returns [1].
    Raises ValueError for a limit of zero.
    """
    above_zero(limit=limit)
    return concentration / limit


@formula(
    gives="air_share|concentration",
    source="29 CFR 1910.134(b) and (d)(3)(i)(B)",
    protection_factor="number",
    limit="air_share|concentration",
)
def maximum_use_concentration(protection_factor: Values, limit: Values) -> Values:
    """Concentration up to which a respirator may be used, where nothing lower applies.

    MUC = APF * L; the value that is immediately dangerous to life, or the limit of the
    cartridge, applies where it is lower

    protection_factor [1], limit as share of the air [1] or [kg/m3]. Returns the unit of the
    limit. Raises ValueError for a factor under zero.

    >>> print(round(maximum_use_concentration(10.0, 50e-9) * 1e9, 6))  # lead, half mask, ug/m3
    500.0
    """
    not_negative(protection_factor=protection_factor)
    return protection_factor * limit


@formula(
    gives="permeability",
    source=_CIB,
    unverified="constants from memory; with them the benzene ratio published with the model is met within 1 %",
    log_kow="number",
    molar_mass="molar_mass",
)
def skin_permeation(log_kow: Values, molar_mass: Values) -> Values:
    """How fast a substance dissolved in water passes the skin.

    log10 k_psc = -1.326 + 0.6097*logKow - 0.1786*M^0.5; k_pol = 0.0001519/M^0.5;
    k_aq = 2.5/M^0.5; k_p = 1/(1/(k_psc + k_pol) + 1/k_aq), all in cm/h, M in g/mol

    log_kow [1], molar_mass [kg/mol]. Returns [m/s]. Raises ValueError for a molar mass of zero.
    """
    above_zero(molar_mass=molar_mass)
    root = np.sqrt(molar_mass * 1e3)
    through_fat = 10 ** (SKIN_CONSTANT + SKIN_KOW * log_kow + SKIN_MASS * root)
    through_protein = SKIN_PROTEIN / root
    through_water = SKIN_WATER / root
    return 1 / (1 / (through_fat + through_protein) + 1 / through_water) / 3.6e5  # cm/h to m/s


@formula(
    gives="number",
    source=f"{_CIB}; area, time and retention read in the abstract of the 2000 paper (CDC Stacks 194045)",
    permeation="permeability",
    solubility="solubility",
    limit="concentration",
)
def skin_to_inhalation_ratio(permeation: Values, solubility: Values, limit: Values) -> Values:
    """Dose through wet hands in a shift over the dose breathed at the limit: 0.1 or more flags the skin.

    SI = k_p * S_w * 360 cm2 * 8 h / (L * 10 m3 * 0.75)

    permeation [m/s], solubility in water [kg/m3], limit in air [kg/m3]. Returns [1].
    Raises ValueError for a limit of zero. For water solutions; neat solvent behaves otherwise.
    """
    above_zero(limit=limit)
    return permeation * solubility * SKIN_AREA * SKIN_TIME / (limit * BREATHED_AIR * KEPT_SHARE)


@formula(
    gives="time",
    source="Wood, American Industrial Hygiene Association Journal 55 (1994) 11-15",
    concentration="air_share",
    breakthrough="fraction",
    molar_mass="molar_mass",
    density="density",
    vapour_pressure="pressure",
    refractive_index="number",
    sorbent_mass="mass",
    bed_area="area",
    bed_density="density",
    airflow="airflow",
    temperature="temperature",
)
def cartridge_service_life_wood(
    concentration: Values,
    breakthrough: Values,
    molar_mass: Values,
    density: Values,
    vapour_pressure: Values,
    refractive_index: Values,
    sorbent_mass: Values,
    bed_area: Values,
    bed_density: Values,
    airflow: Values,
    temperature: Values,
) -> Values:
    """Time until an organic vapour comes through a bed of dry carbon.

    t = W_e*W/(C*Q) - W_e*rho_B/(k_v*C) * ln((1 - b)/b), with
    W_e = W_o*d*exp(-b'*W_o*P_e^-1.8*(R*T)^2*ln(p/p_sat)^2), P_e = (n^2 - 1)/(n^2 + 2)*M/d and
    1/k_v = (1/v_L + 0.027)*(0.000825 + (0.063 - 0.0055*ln((1 - b)/b))/P_e)

    concentration [mole fraction] breathed, breakthrough [1]: share of it that comes through (b),
    molar_mass [kg/mol], density of the liquid [kg/m3], vapour_pressure [Pa] at this temperature,
    refractive_index [1], sorbent_mass [kg], bed_area [m2] and bed_density [kg/m3] of one
    cartridge, airflow [m3/s] through it (half the breathing rate where two are worn),
    temperature [K]. Returns [s], 0 where it comes through at once. Raises ValueError for an
    input of zero, a breakthrough not under 1, or air that is saturated.

    For humidity up to 50 %. Against measurements at 1000 ppm it is 22 to 39 % short for
    aromatics and far too long for methanol; take a safety factor.
    """
    above_zero(
        concentration=concentration,
        breakthrough=breakthrough,
        molar_mass=molar_mass,
        density=density,
        sorbent_mass=sorbent_mass,
        bed_area=bed_area,
        airflow=airflow,
        temperature=temperature,
    )
    if not np.all(np.asarray(breakthrough) < 1):
        raise ValueError(say("breakthrough must be under 1"))
    if not np.all(np.asarray(concentration) * ATMOSPHERE < vapour_pressure):
        raise ValueError(say("the air cannot hold that much: concentration is over the vapour pressure"))
    if not np.all(np.asarray(refractive_index) > 1):
        raise ValueError(say("refractive_index must be over 1"))
    pressure = concentration * ATMOSPHERE
    mass_concentration = pressure * molar_mass / (GAS_CONSTANT * temperature)
    refractivity = 1e6 * (refractive_index**2 - 1) / (refractive_index**2 + 2) * molar_mass / density  # cm3/mol
    energy = WOOD_GAS * temperature * np.log(pressure / vapour_pressure)  # cal/mol
    filling = np.exp(-WOOD_AFFINITY * WOOD_PORES * refractivity**WOOD_POWER * energy**2)
    capacity = WOOD_PORES * density * 1e-3 * filling  # g of vapour for g of carbon
    front = np.log((1 - breakthrough) / breakthrough)
    speed = 100 * airflow / bed_area  # cm/s
    rate = 1 / ((1 / speed + WOOD_SPEED) * (WOOD_RATE + (WOOD_SLOPE + WOOD_SLOPE_LOG * front) / refractivity))  # 1/min
    full = capacity * sorbent_mass / (mass_concentration * airflow)
    early = 60 * capacity * bed_density / (rate * mass_concentration) * front
    return np.maximum(full - early, 0.0)


@formula(
    gives="time",
    source=f"AIHA, The Occupational Environment, ch. 36, as quoted in the {_OSHA_CARTRIDGE} (archived 2008)",
    boiling_point="temperature",
    concentration="air_share",
    humidity="fraction",
    work_rate="number",
)
def cartridge_service_life_rule_of_thumb(
    boiling_point: Values, concentration: Values, humidity: Values, work_rate: Values = 1.0
) -> Values:
    """Rough life of an organic vapour cartridge. Use only beside another method.

    8 h for a liquid that boils over 70 degC and under 200 ppm at a normal work rate; 5 times
    that for each full tenfold step below 200 ppm; half at humidity over 85 %; divided by the work rate

    boiling_point [K], concentration [mole fraction], humidity: relative [1], work_rate [1]:
    times the normal breathing rate. Returns [s]. Raises ValueError where the rule says nothing:
    boiling at or under 70 degC, or 200 ppm and more.

    >>> print(round(cartridge_service_life_rule_of_thumb(383.75, 15e-6, 0.5) / 60))  # toluene, min
    2400
    """
    above_zero(concentration=concentration, work_rate=work_rate)
    not_negative(humidity=humidity)
    if not np.all(np.asarray(boiling_point) > THUMB_BOILING):
        raise ValueError(say("the rule says nothing of a liquid that boils at or under 70 degC"))
    if not np.all(np.asarray(concentration) < THUMB_CONCENTRATION):
        raise ValueError(say("the rule says nothing of 200 ppm and more"))
    # 200 ppm / 20 ppm must count as a full step whatever its last binary digit
    steps = np.floor(np.log10(THUMB_CONCENTRATION / np.asarray(concentration)) + 1e-9)
    humid = np.where(np.asarray(humidity) > THUMB_HUMIDITY, THUMB_HUMID_FACTOR, 1.0)
    return (THUMB_LIFE * THUMB_TENFOLD**steps * humid / work_rate)[()]


@formula(
    gives="time",
    source="Yoon & Nelson, American Industrial Hygiene Association Journal 53 (1992) 303-316",
    penetration="fraction",
    half_time="time",
    constant="number",
)
def yoon_nelson_time(penetration: Values, half_time: Values, constant: Values) -> Values:
    """Time at which a share of the vapour comes through, from a cartridge's own test points.

    t = tau * (1 + ln(P/(1 - P)) / k)

    penetration [1] (P), half_time [s] (tau) at which half comes through, constant [1] (k), both
    fitted to three or more test points. Returns [s], 0 where it comes through at once. Raises
    ValueError for a penetration not between 0 and 1, or a constant of zero.
    """
    above_zero(penetration=penetration, constant=constant)
    if not np.all(np.asarray(penetration) < 1):
        raise ValueError(say("penetration must be under 1"))
    return np.maximum(half_time * (1 + np.log(penetration / (1 - np.asarray(penetration))) / constant), 0.0)[()]


@formula(
    gives="time",
    source="TRGS 401 (2022), wearing time of chemical protective gloves: a third of the breakthrough time at 23 degC",
    unverified="edition from memory",
    breakthrough="time",
    factor="fraction",
)
def glove_wear_time(breakthrough: Values, factor: Values = WEAR_SHARE) -> Values:
    """Longest time to wear a glove that the liquid wets, on a warm, moving hand.

    t = factor * t_breakthrough, factor 1/3

    breakthrough [s], the maker's figure at 23 degC (EN 16523-1 or ASTM F739); factor [1].
    Returns [s]. Raises ValueError for a negative time.
    """
    not_negative(breakthrough=breakthrough, factor=factor)
    return breakthrough * factor


@formula(
    gives="time",
    source="Crank, The Mathematics of Diffusion, 2nd edition (1975), sec. 4.3.3",
    thickness="length",
    diffusivity="diffusivity",
)
def permeation_lag_time(thickness: Values, diffusivity: Values) -> Values:
    """Time before a liquid shows through a film such as a glove: grows with the square of thickness.

    t = L^2 / (6 * D)

    thickness [m], diffusivity [m2/s] of the liquid in the film. Returns [s]. Raises ValueError
    for a diffusivity of zero.
    """
    above_zero(diffusivity=diffusivity)
    return thickness**2 / (6 * diffusivity)
