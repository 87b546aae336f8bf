"""Where solvent goes: contents, the regulatory vapour pressure, and balances.

These are accounting figures of the rules. None of them may be used for exposure or fire.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import Values, above_zero, not_negative, remainder
from safety.model import WATER
from safety.words import say

#: Density of water in the coating equations [kg/m3]: 8.33 lb/US gal. 40 CFR 63.750(c).
WATER_DENSITY = 8.33 * 0.45359237 / 3.785411784e-3
#: Assumed density of the VOC in a coating [kg/m3]: 7.36 lb/US gal. 30 TAC 115.423(1).
VOC_DENSITY = 7.36 * 0.45359237 / 3.785411784e-3

#: Substances of the shipped data that are neither VOC (40 CFR 51.100(s)(1)) nor HAP, and water: in a
#: composite vapour pressure they only dilute. Acetone, methyl acetate, tert-butyl acetate, dimethyl carbonate, PCBTF.
ONLY_DILUTE = frozenset({WATER, "67-64-1", "79-20-9", "540-88-5", "616-38-6", "98-56-6"})

#: (mass or share of the whole, molar mass [kg/mol], vapour pressure at 20 degC [Pa], 0 for what only dilutes)
SolventPart = tuple[Values, Values, Values]

_COATING = "40 CFR 63.750, read in the annual edition of 2015; the equations are images there and were rebuilt from "
_COATING += "the definitions of their terms"


@formula(
    gives="pressure",
    source="40 CFR 63.750(b)(2); EPA calculation memo on the aerospace rule",
    parts="solvent_part, ...",
)
def composite_vapour_pressure(parts: Sequence[SolventPart]) -> Values:
    """Composite vapour pressure of a cleaning solvent at 20 degC, as the aerospace rule counts it.

    PP = sum(W_i * VP_i / M_i) / sum(W_j / M_j); i: parts that are VOC or HAP, j: all parts, with
    water and what is neither VOC nor HAP

    parts: for each (mass [kg] or weight share [1], molar mass [kg/mol], vapour pressure [Pa] at
    20 degC, 0 for water and for what is neither VOC nor HAP). In calc write "toluene:60 %,
    67-63-0:40 %" (weight shares or masses), looked up in the shipped data, or the numbers
    themselves, "80.5 g:72.1 g/mol:70.6 mmHg, 500 g:18 g/mol:0 mmHg". Returns [Pa]. Raises
    ValueError for no parts, an amount below zero, or nothing at all.

    It is not a physical vapour pressure: acetone counts only as a diluent here. Never use it for
    exposure or fire.

    >>> memo = [(500.0, 0.018, 0.0), (79.2, 0.0581, 0.0), (80.5, 0.0721, 70.6), (160.2, 0.1002, 14.4)]
    >>> print(round(composite_vapour_pressure([*memo, (79.2, 0.032, 95.5)]), 2))  # EPA memo, pressures in mmHg
    9.85
    """
    for amount, molar_mass, pressure in parts:
        not_negative(parts=amount)
        above_zero(molar_mass=molar_mass)
        not_negative(vapour_pressure=pressure)
    moles = [amount / molar_mass for amount, molar_mass, _ in parts]
    total = sum(moles)
    above_zero(parts=total)
    return sum(n * pressure for n, (_, _, pressure) in zip(moles, parts, strict=True)) / total


@formula(gives="density", source=_COATING, density="density", weight="fraction")
def content_of_material(density: Values, weight: Values) -> Values:
    """Mass of VOC, or of one pollutant, in a volume of the product as it is, water included.

    M = D * W

    density of the product [kg/m3], weight: its weight share of VOC or of the pollutant [1].
    Returns [kg/m3]. Raises ValueError for a density of zero or a share below zero. This content,
    not the one less water, is the one for emitted mass.

    >>> print(round(content_of_material(6.55, 0.5067), 2))  # county example, lb/gal
    3.32
    """
    above_zero(density=density)
    not_negative(weight=weight)
    return density * weight


@formula(gives="fraction", source=_COATING, density="density", water="fraction", water_density="density")
def water_volume_share(density: Values, water: Values, water_density: Values = WATER_DENSITY) -> Values:
    """Share of a coating's volume that is water.

    V_w = D * W_w / D_w, D_w = 8.33 lb/US gal

    density of the coating [kg/m3], water: its weight share of water [1], water_density [kg/m3].
    Returns [1]. Raises ValueError for a density of zero or a share below zero.
    """
    above_zero(density=density, water_density=water_density)
    not_negative(water=water)
    return density * water / water_density


@formula(gives="density", source=_COATING, voc="density", water="fraction", exempt="fraction")
def voc_less_water_and_exempt(voc: Values, water: Values, exempt: Values) -> Values:
    """VOC content of a coating less water and exempt solvents: the figure that is held against a limit.

    G = M / (1 - V_w - V_x)

    voc: content of the material [kg/m3], water and exempt: volume shares of water and of exempt
    solvent [1], all as applied, after thinners and hardeners. With the content of HAP and exempt
    0 it is the HAP content less water. Returns [kg/m3]. Raises ValueError where water and exempt
    solvent fill the whole volume. Never use it for emitted mass.

    >>> print(round(voc_less_water_and_exempt(0.332, 0.624, 0.0), 3))  # published example, lb/gal
    0.883
    """
    not_negative(voc=voc, water=water, exempt=exempt)
    rest = 1 - np.asarray(water) - np.asarray(exempt)
    if not np.all(rest > 0):
        raise ValueError(say("water and exempt must leave a part of the volume"))
    return (voc / rest)[()]


@formula(
    gives="density",
    source="40 CFR 63.750(d) and (f), monthly averages; mixing rule of the Organic Finishing Guidebook (2013), app. B",
    parts="volume:density, ...",
)
def average_content(parts: Sequence[tuple[Values, Values]]) -> Values:
    """Content of a mixture of volumes: coating with thinner as applied, or a month's average of coatings.

    C = sum(V_i * C_i) / sum(V_i)

    parts: rows of (volume [m3], content [kg/m3]), such as "1 L:300 g/L, 0.25 L:815 g/L". Contents
    less water go with volumes less water (and exempt). Water is left out then. Returns [kg/m3].
    Raises ValueError for no volume at all.

    >>> print(round(average_content([(1.0, 2.5), (0.25, 6.8)]), 2))  # Organic Finishing Guidebook, lb/gal
    3.36
    """
    for volume, content in parts:
        not_negative(volume=volume, content=content)
    total = sum(volume for volume, _ in parts)
    above_zero(volume=total)
    return sum(volume * content for volume, content in parts) / total


@formula(gives="density", source="30 TAC 115.423(1)", content="density", voc_density="density")
def voc_for_solids(content: Values, voc_density: Values = VOC_DENSITY) -> Values:
    """Mass of VOC for a volume of solids, from the VOC content less water.

    S = C / (1 - C / D), D = 7.36 lb/US gal

    content less water and exempt [kg/m3], voc_density: of the VOC itself [kg/m3]. Returns kg for
    a m3 of solids [kg/m3]. Raises ValueError where the content reaches the density of the VOC: no
    solids.

    >>> print(round(voc_for_solids(3.5, 7.36), 2))  # lb/gal of coating in, lb/gal of solids out
    6.67
    """
    above_zero(voc_density=voc_density)
    not_negative(content=content)
    rest = 1 - np.asarray(content) / voc_density
    if not np.all(rest > 0):
        raise ValueError(say("content must be under the density of the VOC"))
    return (content / rest)[()]


@formula(
    gives="mass",
    source="Mecklenburg County Air Quality, VOC Emission Calculation Examples; form of 40 CFR 63.3951(e)",
    volume="volume",
    density="density",
    weight="fraction",
)
def pollutant_mass(volume: Values, density: Values, weight: Values) -> Values:
    """Mass of VOC, or of one pollutant, in a volume of a product.

    m = V * D * W

    volume [m3], density [kg/m3], weight: weight share [1]. Returns [kg]. Raises ValueError for a
    value below zero.

    >>> print(round(pollutant_mass(4000.0, 12.19, 0.15)))  # xylene, gal and lb/gal, lb
    7314
    """
    not_negative(volume=volume, density=density, weight=weight)
    return volume * density * weight


@formula(
    gives="mass",
    source="stock balance: form of 40 CFR 63.3951(e) and of the Illinois VOC/HAP calculation appendix",
    opening="mass",
    received="mass",
    closing="mass",
    returned="mass",
)
def used_from_stock(opening: Values, received: Values, closing: Values, returned: Values) -> Values:
    """Mass used in a period, from what was on hand and what came in.

    U = opening + received - closing - returned

    all [kg]; returned: sent back unopened. Returns [kg]. Raises ValueError for a value below
    zero, or where more is left than there ever was.
    """
    not_negative(opening=opening, received=received, closing=closing, returned=returned)
    return remainder(opening + received, closing, returned)


@formula(
    gives="mass",
    source="mass balance: form of 40 CFR 63.3951(e), H = A + B + C - R",
    used="mass",
    recovered="mass",
    waste="mass",
    product="mass",
    destroyed="mass",
)
def emission_by_balance(
    used: Values, recovered: Values, waste: Values, product: Values = 0.0, destroyed: Values = 0.0
) -> Values:
    """Mass that went to the air: what was used and is nowhere else.

    E = used - recovered - waste - product - destroyed

    all [kg] of the same thing (VOC, or one pollutant): recovered for reuse, in waste that goes to
    a permitted facility, left in what was made, destroyed by a control device. Where the waste
    content is not known, waste is 0. Returns [kg]. Raises ValueError for a value below zero, or
    where more went out than was used.

    >>> print(emission_by_balance(10000.0, 2000.0, 1500.0, 6000.0))  # City of Eugene, method C, lb
    500.0
    """
    not_negative(used=used, recovered=recovered, waste=waste, product=product, destroyed=destroyed)
    return remainder(used, recovered, waste, product, destroyed)
