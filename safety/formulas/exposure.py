"""From concentrations to a judgement: averages, sums, long shifts, and what measurements prove."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import Values, above_zero, not_negative
from safety.model import EIGHT_HOURS
from safety.words import say

#: Share of a worker's shifts that must lie below the limit [1]. EN 689:2018+AC:2019, clause 5.5.3.
COVERAGE = 0.95
#: Brief & Scala (1975): normal shift [h], hours of a day [h], hours of recovery after a normal shift [h].
NORMAL_SHIFT = 8.0
DAY = 24.0
NORMAL_RECOVERY = 16.0
#: Molar mass [kg/mol] of what some limits count in a substance's place. IUPAC standard atomic weights 2021, abridged.
GROUPS = {"NCO": 42.017e-3, "Cr": 51.996e-3}


@formula(
    gives="air_share|concentration",
    source="29 CFR 1910.1000(d)(1)(i)",
    concentrations="air_share|concentration, ...",
    durations="time, ...",
    shift="time",
)
def time_weighted_average(
    concentrations: Sequence[Values], durations: Sequence[Values], shift: Values = EIGHT_HOURS
) -> Values:
    """Average concentration over a shift, with clean air for the time not listed.

    E = (C_a*T_a + C_b*T_b + ... + C_n*T_n) / shift

    concentrations: all as shares of the air [1] or all [kg/m3]; durations [s], one for each;
    shift [s]. Returns the unit of the concentrations. Raises ValueError for unequal counts, a
    negative duration, or a shift of zero.

    >>> average = time_weighted_average([110e-6, 330e-6, 90e-6], [7200, 7200, 14400])  # Crowl & Louvar ch. 3
    >>> print(round(average * 1e6, 1))  # ppm
    155.0
    """
    if len(concentrations) != len(durations):
        raise ValueError(say("concentrations and durations must be of equal number"))
    above_zero(shift=shift)
    for duration in durations:
        not_negative(durations=duration)
    return sum(c * t for c, t in zip(concentrations, durations, strict=True)) / shift


@formula(
    gives="number",
    source="29 CFR 1910.1000(d)(2)(i)",
    concentrations="air_share|concentration, ...",
    limits="air_share|concentration, ...",
)
def additive_index(concentrations: Sequence[Values], limits: Sequence[Values]) -> Values:
    """How far a mixture of substances that act alike uses up its limits: over 1 is too much.

    E_m = C_1/L_1 + C_2/L_2 + ... + C_n/L_n

    concentrations and limits: pairwise in one unit, as shares of the air [1] or [kg/m3].
    Returns [1]. Raises ValueError for unequal counts or a limit of zero.

    >>> print(round(additive_index([500e-6, 45e-6, 40e-6], [1000e-6, 200e-6, 200e-6]), 3))  # the rule's own example
    0.925
    """
    if len(concentrations) != len(limits):
        raise ValueError(say("concentrations and limits must be of equal number"))
    for limit in limits:
        above_zero(limits=limit)
    return sum(c / limit for c, limit in zip(concentrations, limits, strict=True))


@formula(
    gives="concentration",
    source='Directive 98/24/EC, Annex I as amended by Directive (EU) 2024/869 (diisocyanates, "measured as NCO"); '
    "mass share of the group by the molar masses",
    limit="concentration",
    molar_mass="molar_mass",
    count="count",
    group_molar_mass="molar_mass",
)
def limit_counted_as_group(limit: Values, molar_mass: Values, count: Values, group_molar_mass: Values) -> Values:
    """How much of a substance may be in the air where its limit counts only a group of atoms in it.

    C = L * M / (n * M_g)

    limit: mass of the group in the air [kg/m3]; molar_mass of the substance [kg/mol]; count: how many such
    groups a molecule has [1]; group_molar_mass [kg/mol]. Returns [kg/m3] of the substance. Raises ValueError for a
    molar mass or count of zero.

    >>> hdi = limit_counted_as_group(10e-9, 0.168193, 2, GROUPS["NCO"])  # two NCO are 84.034 of 168.193 g/mol
    >>> print(round(hdi * 1e9, 2))  # ug/m3 of hexamethylene diisocyanate
    20.01
    """
    above_zero(molar_mass=molar_mass, count=count, group_molar_mass=group_molar_mass)
    return limit * molar_mass / (count * group_molar_mass)


@formula(
    gives="number",
    source="Brief & Scala, American Industrial Hygiene Association Journal 36 (1975) 467-469, daily form",
    hours="number",
)
def extended_shift_factor(hours: Values) -> Values:
    """What to multiply an 8-hour limit by on a longer shift.

    F = (8/h) * (24 - h)/16 for h over 8, else 1: a limit is never scaled up for a short shift

    hours: length of the shift, as a number of hours [1]. Returns [1]. Raises ValueError for
    hours not between 0 and 24.

    >>> print(extended_shift_factor(12.0))
    0.5
    """
    hours = np.asarray(hours, dtype=float)
    if not np.all((hours > 0) & (hours < DAY)):
        raise ValueError(say("hours must lie between 0 and 24"))
    return np.minimum(1.0, NORMAL_SHIFT / hours * (DAY - hours) / NORMAL_RECOVERY)[()]


@formula(
    gives="air_share|concentration",
    source="lognormal statistics: Leidel, Busch & Lynch, NIOSH Occupational Exposure Sampling Strategy Manual (1977), "
    "technical appendix M",
    measurements="air_share|concentration, ...",
)
def geometric_mean(measurements: Values) -> Values:
    """Middle of a set of lognormal measurements.

    GM = exp(mean(ln x))

    measurements: along the first axis, as shares of the air [1] or [kg/m3]. Returns the same
    unit. Raises ValueError for a measurement that is not above zero.
    """
    above_zero(measurements=measurements)
    return np.exp(np.mean(np.log(np.asarray(measurements, dtype=float)), axis=0))


@formula(
    gives="number",
    source="lognormal statistics: Leidel, Busch & Lynch, NIOSH Occupational Exposure Sampling Strategy Manual (1977), "
    "technical appendix M",
    measurements="air_share|concentration, ...",
)
def geometric_sd(measurements: Values) -> Values:
    """Spread of a set of lognormal measurements, as a factor.

    GSD = exp(s(ln x)), s with n - 1

    measurements: along the first axis, as shares of the air [1] or [kg/m3]. Returns [1].
    Raises ValueError for fewer than two measurements or one that is not above zero.
    """
    if len(measurements) < 2:
        raise ValueError(say("measurements must be at least two"))
    above_zero(measurements=measurements)
    return np.exp(np.std(np.log(np.asarray(measurements, dtype=float)), axis=0, ddof=1))


@formula(
    gives="fraction",
    source="lognormal statistics: Leidel, Busch & Lynch, NIOSH Occupational Exposure Sampling Strategy Manual (1977), "
    "technical appendix M",
    geometric_mean="air_share|concentration",
    geometric_sd="number",
    limit="air_share|concentration",
)
def exceedance_fraction(geometric_mean: Values, geometric_sd: Values, limit: Values) -> Values:
    """Share of shifts that lie over a limit when shifts are lognormal.

    f = 1 - Phi(ln(limit/GM) / ln(GSD))

    geometric_mean and limit: both as shares of the air [1] or both [kg/m3]; geometric_sd [1],
    over 1. Returns [1]. Raises ValueError for a mean or limit of zero, or a geometric_sd not over 1.
    """
    from scipy.special import ndtr

    above_zero(geometric_mean=geometric_mean, limit=limit)
    if not np.all(np.asarray(geometric_sd) > 1):
        raise ValueError(say("geometric_sd must be over 1"))
    return ndtr(np.log(geometric_mean / np.asarray(limit)) / np.log(geometric_sd))


@formula(
    gives="number",
    source="one-sided tolerance factor by the non-central t distribution; at 70 % confidence "
    "the U_T of EN 689:2018, annex F",
    valid=(("count", 6, 30),),
    count="count",
    confidence="fraction",
)
def tolerance_factor(count: Values, confidence: Values = 0.7) -> Values:
    """How many standard deviations above the mean 95 % of shifts lie with a given confidence.

    K = t'(confidence; n - 1, 1.645*sqrt(n)) / sqrt(n), t' the non-central t quantile

    count: number of measurements [1], EN 689 asks for six or more; confidence [1].
    Returns [1]. Raises ValueError for a count under 2 or a confidence not between 0 and 1.

    >>> print(round(tolerance_factor(50, 0.95), 3))  # tolerance tables: 2.065
    2.065
    """
    from scipy.special import nctdtrit, ndtri

    count = np.asarray(count, dtype=float)
    if not np.all(count >= 2):
        raise ValueError(say("count must be at least 2"))
    if not np.all((np.asarray(confidence) > 0) & (np.asarray(confidence) < 1)):
        raise ValueError(say("confidence must lie between 0 and 1"))
    return (nctdtrit(count - 1, ndtri(COVERAGE) * np.sqrt(count), confidence) / np.sqrt(count))[()]


@formula(
    gives="air_share|concentration",
    source="EN 689:2018+AC:2019, clause 5.5.3 and annex F: upper limit of the 95th percentile",
    unverified="the standard itself was not read; basis (95th percentile, 70 % confidence) from technical literature",
    measurements="air_share|concentration, ...",
    confidence="fraction",
)
def upper_tolerance(measurements: Values, confidence: Values = 0.7) -> Values:
    """Concentration that 95 % of shifts stay below, with a given confidence.

    U = exp(mean(ln x) + K * s(ln x)), K = tolerance_factor(n, confidence)

    measurements: along the first axis, as shares of the air [1] or [kg/m3], six or more for
    EN 689; confidence [1]. The shifts comply with EN 689 where U is not over the limit.
    Returns the same unit. Raises ValueError as geometric_sd does.

    >>> welding = [0.84e-6, 0.98e-6, 0.42e-6, 1.16e-6, 1.36e-6, 2.66e-6]
    >>> print(round(upper_tolerance(welding, 0.95) * 1e6, 2))  # mg/m3
    10.05
    """
    spread = geometric_sd(measurements)
    return geometric_mean(measurements) * spread ** tolerance_factor(len(measurements), confidence)


@formula(
    gives="air_share|concentration",
    source="lognormal statistics: Leidel, Busch & Lynch, NIOSH Occupational Exposure Sampling Strategy Manual (1977), "
    "technical appendix M",
    geometric_mean="air_share|concentration",
    geometric_sd="number",
    share="fraction",
)
def lognormal_percentile(geometric_mean: Values, geometric_sd: Values, share: Values = COVERAGE) -> Values:
    """Concentration that a share of lognormal shifts stays below.

    X = GM * GSD^z, z the standard normal quantile of the share

    geometric_mean as a share of the air [1] or [kg/m3]; geometric_sd [1], 1 or over; share [1].
    Returns the unit of the mean. Raises ValueError for a mean of zero, a geometric_sd under 1 or
    a share not between 0 and 1.
    """
    from scipy.special import ndtri

    above_zero(geometric_mean=geometric_mean)
    if not np.all(np.asarray(geometric_sd) >= 1):
        raise ValueError(say("geometric_sd cannot be under 1"))
    _inside(share=share)
    return geometric_mean * np.asarray(geometric_sd) ** ndtri(share)


@formula(
    gives="number",
    source="EN 689:2018+AC:2019, annex F: U_R",
    unverified="the standard itself was not read; the quantity is that of technical literature",
    measurements="air_share|concentration, ...",
    limit="air_share|concentration",
)
def compliance_index(measurements: Values, limit: Values) -> Values:
    """How many standard deviations the limit lies above the mean of the logarithms.

    U_R = (ln OELV - mean(ln x)) / s(ln x)

    measurements: along the first axis, and limit: all as shares of the air [1] or all [kg/m3].
    The shifts comply with EN 689 where U_R is not under tolerance_factor(n, 70 %). Returns [1].
    Raises ValueError for fewer than two measurements, one that is not above zero, or measurements
    that are all alike: without a spread there is nothing to judge by.

    >>> welding = [0.84e-6, 0.98e-6, 0.42e-6, 1.16e-6, 1.36e-6, 2.66e-6]
    >>> print(round(float(compliance_index(welding, 5e-6)), 2))
    2.56
    """
    above_zero(limit=limit)
    spread = np.log(geometric_sd(measurements))
    if not np.all(spread > 0):
        raise ValueError(say("measurements must differ"))
    return (np.log(limit) - np.log(geometric_mean(measurements))) / spread


@formula(
    gives="fraction",
    source="confidence limit of an exceedance fraction by the non-central t distribution: Hewett & Ganser, "
    "Applied Occupational and Environmental Hygiene 12 (1997) 132-142",
    unverified="the paper was not read; the formula turns tolerance_factor round and agrees with its tables",
    measurements="air_share|concentration, ...",
    limit="air_share|concentration",
    confidence="fraction",
)
def exceedance_upper(measurements: Values, limit: Values, confidence: Values = 0.7) -> Values:
    """Share of shifts over a limit that is not passed with a given confidence.

    F = 1 - Phi(d/sqrt(n)), d such that t'(confidence; n - 1, d) = U_R*sqrt(n), t' the non-central t quantile

    measurements: along the first axis, and limit: all as shares of the air [1] or all [kg/m3];
    confidence [1]. Returns [1]. Raises ValueError as compliance_index does, or for a confidence
    not between 0 and 1.
    """
    from scipy.special import nctdtrinc, ndtr

    _inside(confidence=confidence)
    root = np.sqrt(len(measurements))
    # the inverse has no answer further out, where the share is 0 or 1 to all digits
    index = np.clip(compliance_index(measurements, limit), -1000.0, 1000.0)
    distance = nctdtrinc(len(measurements) - 1, confidence, index * root)
    return ndtr(-distance / root)


@formula(
    gives="fraction",
    source="binomial distribution: Abramowitz & Stegun, Handbook of Mathematical Functions (1964), 26.1.20",
    count="count",
    found="count",
    share="fraction",
)
def chance_of_at_least(count: Values, found: Values, share: Values) -> Values:
    """How often at least so many of a number of tries come out one way when each does so with the same share.

    P = sum over k from found to count of C(count, k) * share^k * (1 - share)^(count - k)

    count and found [1], found not over count; share [1]. Returns [1]. Raises ValueError for
    found over count or a share not between 0 and 1.

    >>> print(round(float(chance_of_at_least(4, 1, 0.05)), 4))
    0.1855
    """
    from scipy.special import bdtrc

    not_negative(found=found)
    if not np.all(np.asarray(found) <= np.asarray(count)):
        raise ValueError(say("found cannot be over count"))
    _inside(share=share)
    found = np.asarray(found, dtype=float)
    return np.where(found > 0, bdtrc(np.maximum(found, 1) - 1, count, share), 1.0)[()]


def _inside(**inputs: Values) -> None:
    """Raise ValueError with one sentence unless every value lies between 0 and 1."""
    for name, value in inputs.items():
        if not np.all((np.asarray(value) > 0) & (np.asarray(value) < 1)):
            raise ValueError(say("{name} must lie between 0 and 1", name=name))
