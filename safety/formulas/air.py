"""Vapour in the air of a place: units, rooms, and the air needed to thin or clear it."""

from __future__ import annotations

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import ATMOSPHERE, GAS_CONSTANT, GRAVITY, Values, above_zero, not_negative, share
from safety.words import say

_ROOM = "Abulencia & Theodore, Fluid Flow for the Practicing Chemical Engineer (2009), ch. 20"
_NICAS = "Nicas, American Industrial Hygiene Association Journal 57 (1996) 542-550"


@formula(
    gives="ppm",
    source="ideal gas law; 29 CFR 1910.1000 table Z-1 note a gives its form at 25 degC and 760 torr",
    concentration="concentration",
    molar_mass="molar_mass",
    temperature="temperature",
    pressure="pressure",
)
def ppm_from_mass(
    concentration: Values, molar_mass: Values, temperature: Values, pressure: Values = ATMOSPHERE
) -> Values:
    """Turn the mass of a vapour in a volume of air into parts per million of volume.

    ppm = 1e6 * concentration * R * T / (M * P)

    concentration [kg/m3], molar_mass [kg/mol], temperature [K] of the air, pressure [Pa].
    Returns [ppm]: 200.0 for 200 ppm. Raises ValueError for a molar mass or pressure of zero.

    >>> print(round(ppm_from_mass(375e-6, 0.09214, 298.15), 1))  # toluene
    99.6
    """
    above_zero(molar_mass=molar_mass, pressure=pressure)
    return 1e6 * concentration * GAS_CONSTANT * temperature / (molar_mass * pressure)


@formula(
    gives="concentration",
    source="ideal gas law; 29 CFR 1910.1000 table Z-1 note a gives its form at 25 degC and 760 torr",
    concentration="ppm",
    molar_mass="molar_mass",
    temperature="temperature",
    pressure="pressure",
)
def mass_from_ppm(
    concentration: Values, molar_mass: Values, temperature: Values, pressure: Values = ATMOSPHERE
) -> Values:
    """Turn parts per million of volume into the mass of a vapour in a volume of air.

    C = 1e-6 * ppm * M * P / (R * T)

    concentration [ppm], molar_mass [kg/mol], temperature [K] of the air, pressure [Pa].
    Returns [kg/m3]. Raises ValueError for a temperature of zero.

    >>> print(round(mass_from_ppm(100.0, 0.09214, 298.15) * 1e6))  # mg/m3; toluene
    377
    """
    above_zero(temperature=temperature)
    return 1e-6 * concentration * molar_mass * pressure / (GAS_CONSTANT * temperature)


def _growth(x: Values) -> Values:
    """(1 - exp(-x)) / x, and its limit 1 at zero: what a leak of rate x keeps of a steady source."""
    x = np.asarray(x, dtype=float)
    with np.errstate(invalid="ignore", divide="ignore"):
        return np.where(x == 0, 1.0, -np.expm1(-x) / x)[()]


@formula(
    gives="concentration",
    source=f"well-mixed room: {_ROOM}; Crowl & Louvar, Chemical Process Safety, 2nd edition (2002), ch. 3",
    generation="mass_rate",
    airflow="airflow",
    volume="volume",
    time="time",
    start="concentration",
    mixing="fraction",
)
def well_mixed(
    generation: Values, airflow: Values, volume: Values, time: Values, start: Values = 0.0, mixing: Values = 1.0
) -> Values:
    """Concentration in a well-mixed room after a steady source has run for a time.

    C = G/Q' * (1 - exp(-Q't/V)) + C0 * exp(-Q't/V), with Q' = mixing * Q;
    for Q = 0 its limit C0 + G*t/V

    generation [kg/s], airflow [m3/s] of clean air, volume [m3], time [s], start [kg/m3] at
    time zero, mixing [1]: the share of the airflow that does its work. A published safety
    factor K (1 to 10) is 1/mixing. Returns [kg/m3]. Raises ValueError for a volume of zero,
    a negative airflow, or mixing outside 0 to 1.

    >>> steady = well_mixed(0.1e-3 / 60, 100 * 0.3048**3 / 60, 50.0, 1e9, mixing=0.5)
    >>> print(round(ppm_from_mass(steady, 0.092, 299.8), 1))  # Crowl & Louvar example 3-7: 18.9 ppm
    18.9
    """
    above_zero(volume=volume)
    not_negative(airflow=airflow, time=time)
    share(mixing=mixing)
    changes = mixing * airflow * time / volume
    return generation * time / volume * _growth(changes) + start * np.exp(-changes)


def _two_zones(
    generation: Values, airflow: Values, exchange: Values, volume: Values, near_volume: Values, time: Values
) -> tuple[Values, Values]:
    above_zero(exchange=exchange, near_volume=near_volume)
    not_negative(airflow=airflow, time=time)
    if not np.all(np.asarray(near_volume) < volume):
        raise ValueError(say("near_volume must be smaller than volume, which is the whole room"))
    far_volume = volume - near_volume
    near_loss = exchange / near_volume  # 1/s, as are all rates below
    far_loss = (exchange + airflow) / far_volume
    gap = np.sqrt((near_loss - far_loss) ** 2 + 4 * exchange**2 / (near_volume * far_volume))
    fast = (near_loss + far_loss + gap) / 2
    slow = exchange * airflow / (near_volume * far_volume) / fast  # not a difference: keeps all digits
    fast_share = exchange**2 / (near_volume * far_volume) / (near_loss - slow)  # = fast - near_loss
    dose = generation * time / near_volume
    kept_slow, kept_fast = _growth(slow * time), _growth(fast * time)
    near = dose * (kept_slow * fast_share + kept_fast * (near_loss - slow)) / gap
    far = dose * exchange / far_volume * (kept_slow - kept_fast) / gap
    return near, far


@formula(
    gives="concentration",
    source=_NICAS,
    generation="mass_rate",
    airflow="airflow",
    exchange="airflow",
    volume="volume",
    near_volume="volume",
    time="time",
)
def two_zone_near(
    generation: Values, airflow: Values, exchange: Values, volume: Values, near_volume: Values, time: Values
) -> Values:
    """Concentration near the worker in the two-zone model, from clean air at time zero.

    V_N dC_N/dt = G + beta*(C_F - C_N); V_F dC_F/dt = beta*(C_N - C_F) - Q*C_F;
    solved exactly through the two rates of the system; at last C_N = G/Q + G/beta

    generation [kg/s] in the near field, airflow [m3/s] of clean air through the room, exchange
    [m3/s] between the zones (beta), volume [m3] of the whole room, near_volume [m3], time [s].
    Returns [kg/m3]. Raises ValueError for an exchange or volume of zero, or a near field as
    large as the room. Not for a strong directed draught, nor inside a tank.

    >>> near = two_zone_near(1e-3 / 60, 33.3 / 60, 7.24 / 60, 1999.97, 1.07, 900.0)
    >>> print(round(near * 1e6, 2))  # mg/m3
    144.64
    """
    return _two_zones(generation, airflow, exchange, volume, near_volume, time)[0]


@formula(
    gives="concentration",
    source=_NICAS,
    generation="mass_rate",
    airflow="airflow",
    exchange="airflow",
    volume="volume",
    near_volume="volume",
    time="time",
)
def two_zone_far(
    generation: Values, airflow: Values, exchange: Values, volume: Values, near_volume: Values, time: Values
) -> Values:
    """Concentration in the rest of the room in the two-zone model, from clean air at time zero.

    The same two equations as two_zone_near; at last C_F = G/Q. The far field is
    volume - near_volume.

    generation [kg/s] in the near field, airflow [m3/s] of clean air through the room, exchange
    [m3/s] between the zones (beta), volume [m3] of the whole room, near_volume [m3], time [s].
    Returns [kg/m3]. Raises ValueError as two_zone_near does.

    >>> far = two_zone_far(1e-3 / 60, 33.3 / 60, 7.24 / 60, 1999.97, 1.07, 900.0)
    >>> print(round(far * 1e6, 3))  # mg/m3
    6.579
    """
    return _two_zones(generation, airflow, exchange, volume, near_volume, time)[1]


@formula(
    gives="airflow",
    source=_NICAS,
    unverified="the paper itself was not read",
    radius="length",
    air_speed="speed",
)
def near_field_exchange(radius: Values, air_speed: Values) -> Values:
    """Air that passes between a half sphere around the hands and the rest of the room.

    beta = 0.5 * 2*pi*r^2 * s: half of the free surface lets air in, half lets it out

    radius [m] of the half sphere, air_speed [m/s] through its surface, at random.
    Returns [m3/s]. Raises ValueError for a negative input.

    >>> print(round(near_field_exchange(0.8, 0.06) * 60, 2))  # m3/min
    7.24
    """
    not_negative(radius=radius, air_speed=air_speed)
    return 0.5 * 2 * np.pi * radius**2 * air_speed


@formula(
    gives="airflow",
    source="continuity: the speed of a stream times the area it passes",
    radius="length",
    face_velocity="speed",
)
def stream_exchange(radius: Values, face_velocity: Values) -> Values:
    """Air that a steady stream carries through a half sphere around the hands, as in a spray booth.

    Q = 0.5 * pi*r^2 * u: the half circle that faces the stream

    radius [m] of the half sphere, face_velocity [m/s] of the stream. Returns [m3/s]. Raises
    ValueError for a negative input. Half of what near_field_exchange gives for air that moves at
    random: a stream goes through once and in one direction. The wake in front of somebody who has
    the stream at the back is not in it.

    >>> print(round(stream_exchange(0.8, 0.5), 3))  # m3/s
    0.503
    """
    not_negative(radius=radius, face_velocity=face_velocity)
    return 0.5 * np.pi * radius**2 * face_velocity


@formula(
    gives="speed",
    source="Dalla Valle (1930s, plain opening) and Silverman (1942, flanged), as ACGIH, Industrial Ventilation, prints "
    "them for hoods: Q = v(10x^2 + A), with a flange 0.75 of it",
    unverified="read in engineering tables and an abstract, not in the papers; later experiments found large errors",
    airflow="airflow",
    opening="area",
    distance="length",
    flange="yes_no",
)
def hood_velocity(airflow: Values, opening: Values, distance: Values, flange: Values = False) -> Values:
    """Air speed toward an exhaust opening, on its axis, at a distance from it.

    v = Q / (10 x^2 + A), and a third more where a flange keeps air from behind away (Q / 0.75)

    airflow [m3/s] it draws, opening [m2], distance [m] from the opening, flange: whether a flat rim
    as wide as the root of the opening stands around it. Returns [m/s]. Raises ValueError for an
    opening of zero. For free round or nearly square openings, up to one and a half diameters away.

    >>> print(round(hood_velocity(1782 / 3600, 0.09, 0.3), 3))  # m/s
    0.5
    """
    above_zero(opening=opening)
    not_negative(airflow=airflow, distance=distance)
    return airflow / (10 * distance**2 + opening) / np.where(flange, 0.75, 1.0)[()]


#: Shares of the vapour that poor, fair and good hoods take.
POOR, FAIR, GOOD = 0.3, 0.8, 0.9


@formula(
    gives="fraction",
    source="Institute for Work and Health (IST), Lausanne, two-box model: classes of local exhaust by capture velocity",
    capture_velocity="speed",
)
def hood_capture(capture_velocity: Values) -> Values:
    """Share of the vapour a suction hood takes, by the air speed toward it where the vapour comes off.

    share = 0.3 under 0.25 m/s, 0.8 from there to 0.5 m/s, 0.9 above; 0 without any speed

    capture_velocity [m/s]. Returns [1]. Raises ValueError for a negative input. Classes, not a
    measurement of this hood: a draught as fast as the hood's own air takes the vapour away from it.

    >>> print(hood_capture(0.3))
    0.8
    """
    not_negative(capture_velocity=capture_velocity)
    speed = np.asarray(capture_velocity, dtype=float)
    return np.select([speed == 0, speed < 0.25, speed <= 0.5], [0.0, POOR, FAIR], GOOD)[()]


@formula(
    gives="time",
    source=f"well-mixed room with no source: {_ROOM}; NFPA 69, ventilation annex, with the mixing factor",
    volume="volume",
    airflow="airflow",
    start="air_share|concentration",
    target="air_share|concentration",
    mixing="fraction",
)
def purge_time(volume: Values, airflow: Values, start: Values, target: Values, mixing: Values = 1.0) -> Values:
    """Time for clean air to bring a well-mixed place from one concentration down to another.

    t = V / (mixing * Q) * ln(start / target), and 0 where the air is already that clear

    volume [m3], airflow [m3/s] of clean air, start and target: both [kg/m3] or both as shares
    of the air [1], mixing [1]: the share of the airflow that does its work (1/K).
    Returns [s]. Raises ValueError for an airflow or target of zero. The source must have stopped.

    >>> print(round(purge_time(100e3, 2000 / 60, 100e-6, 25e-6) / 60, 1))  # ACGIH manual example, min
    69.3
    """
    above_zero(volume=volume, airflow=airflow, target=target)
    not_negative(start=start)
    share(mixing=mixing)
    return volume / (mixing * airflow) * np.log(np.maximum(start, target) / target)


@formula(
    gives="airflow",
    source="steady well-mixed room; ACGIH, Industrial Ventilation, general ventilation chapter "
    "(US form 403*SG*ER*1e6*K/(M*C))",
    generation="mass_rate",
    limit="concentration",
    mixing="fraction",
)
def dilution_airflow(generation: Values, limit: Values, mixing: Values = 1.0) -> Values:
    """Clean air that holds a steady source at a concentration.

    Q = G / (C * mixing)

    generation [kg/s], limit [kg/m3], mixing [1]: the share of the airflow that does its work;
    the published safety factor K is 1/mixing. Returns [m3/s]. Raises ValueError for a limit of
    zero. Dilution suits weak, spread-out sources of low toxicity, with the worker away from them.

    >>> print(round(dilution_airflow(0.625 / 3600, 1.3e-6), 3))  # de Nevers ch. 3, benzene, m3/s
    133.547
    """
    above_zero(limit=limit)
    share(mixing=mixing)
    return generation / (limit * mixing)


@formula(
    gives="airflow",
    source="steady well-mixed room; ACGIH, Industrial Ventilation, dilution for fire "
    "(US form 403*SG*ER*100*Sf/(M*LEL*B))",
    generation="mass_rate",
    lower_limit="air_share",
    fraction="fraction",
    mixing="fraction",
    molar_mass="molar_mass",
    temperature="temperature",
    pressure="pressure",
)
def explosive_dilution_airflow(
    generation: Values,
    lower_limit: Values,
    fraction: Values,
    mixing: Values,
    molar_mass: Values,
    temperature: Values,
    pressure: Values = ATMOSPHERE,
) -> Values:
    """Clean air that holds a steady source at a fraction of its lower explosive limit.

    Q = G * R * T / (M * P * LEL * fraction * mixing)

    generation [kg/s], lower_limit [mole fraction] at the temperature of the air (see lower_limit_at for hot air),
    fraction [1] of it, such as 0.25, mixing [1], molar_mass [kg/mol], temperature [K], pressure [Pa] of the air. The
    published safety factor Sf (4 to 12) is 1/fraction. Returns [m3/s]. Raises ValueError for a value of zero.
    """
    above_zero(molar_mass=molar_mass, pressure=pressure)
    share(lower_limit=lower_limit, fraction=fraction, mixing=mixing)
    return generation * GAS_CONSTANT * temperature / (molar_mass * pressure * lower_limit * fraction * mixing)


@formula(
    gives="concentration",
    source="ideal gas law at the vapour pressure; Himmelblau & Riggs, Basic Principles and Calculations "
    "in Chemical Engineering, ch. 17",
    vapour_pressure="pressure",
    molar_mass="molar_mass",
    temperature="temperature",
)
def saturation_concentration(vapour_pressure: Values, molar_mass: Values, temperature: Values) -> Values:
    """The most vapour that air over a liquid can hold.

    C_sat = P_v * M / (R * T)

    vapour_pressure [Pa] of the liquid at this temperature, molar_mass [kg/mol], temperature [K].
    Returns [kg/m3]. Raises ValueError for a temperature of zero.
    """
    above_zero(temperature=temperature)
    return vapour_pressure * molar_mass / (GAS_CONSTANT * temperature)


@formula(
    gives="airflow",
    source="Brown & Solvason, International Journal of Heat and Mass Transfer 5 (1962) 859-868, equation 6",
    unverified="the paper was not seen: the equation as the documentation of an open library of building models gives "
    "it, with a discharge of 0.65; tracer gas at a door agreed with such a flow from 0.5 to 45 K (abstract read)",
    valid=(("temperature_difference", 0.5, 45.0),),
    area="area",
    height="length",
    temperature_difference="temperature_difference",
    temperature="temperature",
    discharge="fraction",
)
def doorway_exchange(
    area: Values, height: Values, temperature_difference: Values, temperature: Values, discharge: Values = 0.65
) -> Values:
    """Air that goes over each way through an open door between a warm and a cold room.

    Q = discharge/3 * area * sqrt(g * height * dT / T)

    area [m2] and height [m] of the opening, temperature_difference dT [K] between the two airs,
    temperature T [K], their mean, discharge [1]: 1 would be without friction and mixing. Returns [m3/s].
    Warm air leaves above and as much cold air comes in below; a fan that pushes air one way is not in it.
    Raises ValueError for a temperature of zero, or a discharge outside 0 to 1.

    >>> print(round(doorway_exchange(1.8, 2.0, 2.0, 293.15) * 3600))  # m3/h
    514
    """
    above_zero(temperature=temperature)
    not_negative(area=area, height=height, temperature_difference=temperature_difference)
    share(discharge=discharge)
    rise = GRAVITY * np.asarray(height) * temperature_difference / temperature
    return (np.asarray(discharge) / 3 * area * np.sqrt(rise))[()]
