"""A year's emission by the rules: the EU solvent management plan, major sources, reportable quantities."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import Values, above_zero, not_negative, remainder
from safety.words import say

#: Yearly emission that makes a major source [kg]: 10 short tons of one pollutant, 25 of all. 40 CFR 70.2.
MAJOR_ONE = 10 * 2000 * 0.45359237
MAJOR_ALL = 25 * 2000 * 0.45359237

#: The equations are images where the directive was read; they stand as text in its Austrian copy for one activity.
_PLAN = "Directive 2010/75/EU, Annex VII part 7; equations read in HAV (Austria), Anlage 1 no. 2"


@formula(gives="mass", source=_PLAN, bought="mass", reused="mass")
def solvent_input(bought: Values, reused: Values) -> Values:
    """Solvent that goes in in a year: what fugitive emissions are a share of.

    I = I1 + I2

    bought: I1 [kg], reused: I2 [kg], recovered solvent each time it is used. Returns [kg].
    """
    not_negative(bought=bought, reused=reused)
    return bought + reused


@formula(gives="mass", source=_PLAN, bought="mass", recovered="mass")
def solvent_consumption(bought: Values, recovered: Values) -> Values:
    """Consumption of solvent in a year: what the thresholds of the directive are held against.

    C = I1 - O8

    bought: I1 [kg], recovered: O8 [kg], recovered but not put back into the process. Returns
    [kg]. Raises ValueError where more was recovered than bought.
    """
    not_negative(bought=bought, recovered=recovered)
    return remainder(bought, recovered)


@formula(
    gives="mass",
    source=_PLAN,
    bought="mass",
    waste_gas="mass",
    destroyed="mass",
    waste="mass",
    sold="mass",
    recovered="mass",
)
def fugitive_emission_indirect(
    bought: Values, waste_gas: Values, destroyed: Values, waste: Values, sold: Values, recovered: Values
) -> Values:
    """Fugitive emission in a year, from what was bought and where the rest of it is.

    F = I1 - O1 - O5 - O6 - O7 - O8

    all [kg]: bought I1, waste_gas O1 (caught), destroyed O5, waste O6 (collected), sold O7 (in
    preparations), recovered O8 (and not put back). Returns [kg]. Raises ValueError where more
    went out than came in.
    """
    not_negative(bought=bought, waste_gas=waste_gas, destroyed=destroyed, waste=waste, sold=sold, recovered=recovered)
    return remainder(bought, waste_gas, destroyed, waste, sold, recovered)


@formula(
    gives="mass",
    source=_PLAN,
    water="mass",
    product="mass",
    uncaptured="mass",
    other="mass",
)
def fugitive_emission_direct(water: Values, product: Values, uncaptured: Values, other: Values) -> Values:
    """Fugitive emission in a year, from what was measured going out.

    F = O2 + O3 + O4 + O9

    all [kg]: water O2 (lost in it), product O3 (left in it), uncaptured O4 (to the air through
    windows, doors and vents), other O9 (ways). Returns [kg].
    """
    not_negative(water=water, product=product, uncaptured=uncaptured, other=other)
    return water + product + uncaptured + other


@formula(gives="mass", source=_PLAN, fugitive="mass", waste_gas="mass")
def total_solvent_emission(fugitive: Values, waste_gas: Values) -> Values:
    """All solvent emitted in a year.

    E = F + O1

    fugitive: F [kg], waste_gas: O1 [kg]. Returns [kg].
    """
    not_negative(fugitive=fugitive, waste_gas=waste_gas)
    return fugitive + waste_gas


@formula(gives="fraction", source=_PLAN, fugitive="mass", solvent="mass")
def fugitive_emission_share(fugitive: Values, solvent: Values) -> Values:
    """Fugitive emission as a share of the solvent put in.

    f = F / I

    fugitive: F [kg], solvent: I [kg], the whole input. Returns [1]. Raises ValueError for no input.
    """
    not_negative(fugitive=fugitive)
    above_zero(solvent=solvent)
    return fugitive / solvent


@formula(gives="mass", source="Directive 2010/75/EU, Annex VII part 5", solids="mass", factor="number")
def reference_emission(solids: Values, factor: Values) -> Values:
    """Yearly reference emission of a reduction scheme.

    E_ref = solids * factor

    solids used in coatings in the year [kg]; factor [1]: 2.33 for aerospace coatings, 3 for
    vehicle refinishing, 4 for adhesive coating, 1.5 for other coating. Returns [kg].

    >>> print(round(reference_emission(1000.0, 2.33)))
    2330
    """
    not_negative(solids=solids, factor=factor)
    return solids * factor


@formula(
    gives="mass",
    source="Directive 2010/75/EU, Annex VII part 5",
    reference="mass",
    fugitive_limit="fraction",
    addition="fraction",
)
def target_emission(reference: Values, fugitive_limit: Values, addition: Values) -> Values:
    """Yearly emission a reduction scheme must not exceed.

    E_target = E_ref * (f_limit + addition)

    reference [kg]; fugitive_limit [1] of the activity; addition [1]: 15 % for vehicle coating and
    for the lower band of other coating and wood coating (items 6, 8, 10), 5 % for all others.
    Returns [kg].
    """
    not_negative(reference=reference, fugitive_limit=fugitive_limit, addition=addition)
    return reference * (fugitive_limit + addition)


@formula(
    gives="fraction",
    source="EPA, EPCRA Section 313 Questions and Answers (2019), no. 175",
    least="fraction",
    others="fraction",
)
def midpoint_share(least: Values, others: Values) -> Values:
    """Weight share to count where a data sheet gives only a lower bound: the middle of what is possible.

    w = (least + (1 - others)) / 2

    least: the bound [1]; others: weight share of all other parts that are known [1]. Returns [1].
    Raises ValueError where the bound and the others are over the whole.

    >>> print(round(midpoint_share(0.02, 0.80), 3))  # over 2 % toluene, 80 % water
    0.11
    """
    not_negative(least=least, others=others)
    most = 1 - np.asarray(others)
    if not np.all(most >= np.asarray(least) - 1e-12):
        raise ValueError(say("least and others are together over the whole"))
    return ((least + most) / 2)[()]


@formula(
    gives="number",
    source="40 CFR 302.6(b)(1), mixtures and solutions",
    releases="mass, ...",
    quantities="mass, ...",
)
def reportable_share(releases: Sequence[Values], quantities: Sequence[Values]) -> Values:
    """How far a release in 24 hours has come to a reportable quantity: at 1 and over it is reportable.

    r = max(m_i / RQ_i), each substance against its own quantity, not added up

    releases [kg] and quantities [kg] of the substances, in the same order. Where the make-up is
    not known, give one release, the whole, and the lowest of the quantities. Returns [1]. Raises
    ValueError for none, unequal counts, or a quantity of zero.

    >>> print(round(reportable_share([800.0, 1200.0], [1000.0, 5000.0]), 3))
    0.8
    """
    if not releases or len(releases) != len(quantities):
        raise ValueError(say("releases and quantities must be of equal number, at least one of each"))
    for release, quantity in zip(releases, quantities, strict=True):
        not_negative(releases=release)
        above_zero(quantities=quantity)
    ratios = [release / quantity for release, quantity in zip(releases, quantities, strict=True)]
    return np.stack(np.broadcast_arrays(*ratios)).max(axis=0)[()]


@formula(
    gives="number",
    source="40 CFR 70.2, major source of hazardous air pollutants",
    emissions="mass, ...",
    one="mass",
    together="mass",
)
def major_source_share(emissions: Sequence[Values], one: Values = MAJOR_ONE, together: Values = MAJOR_ALL) -> Values:
    """How far a year's potential emission of HAP has come to a major source: at 1 and over it is one.

    r = max(max(m_i) / one, sum(m_i) / together), 10 and 25 short tons

    emissions [kg/year] of each pollutant; one and together [kg/year]. Returns [1]. Raises
    ValueError for no emissions or a threshold of zero.

    >>> print(round(major_source_share([8164.7, 8164.7]), 2))  # 9 short tons of each of two
    0.9
    """
    if not emissions:
        raise ValueError(say("emissions must hold at least one"))
    above_zero(one=one, together=together)
    for emission in emissions:
        not_negative(emissions=emission)
    largest = np.stack(np.broadcast_arrays(*emissions)).max(axis=0)
    return np.maximum(largest / one, sum(emissions) / together)[()]
