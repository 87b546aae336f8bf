"""What waste is: spent solvents, ignitability, leaching, empty containers, generator category, due dates."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import numpy as np

from safety.formulas import formula
from safety.formulas.basis import Values, above_zero, not_negative
from safety.words import say

#: Bounds of the generator categories in a calendar month [kg]. 40 CFR 262.13, table 1.
SMALL_FROM = 100.0  # over
LARGE_FROM = 1000.0  # at or over
ACUTE_LARGE = 1.0  # over
ACUTE_RESIDUE_LARGE = 100.0  # over

#: A blend is listed from this share by volume before use [1]. 40 CFR 261.31(a), F001 to F005.
LISTED_SHARE = 0.10
#: Liquids under this flash point are ignitable [K]; solutions under this share of alcohol by volume [1] that hold
#: at least this share of water by weight [1] are not. 40 CFR 261.21(a)(1).
IGNITABLE = 333.15  # 60 degC
ALCOHOL = 0.24
MOSTLY_WATER = 0.50
#: Litres of leaching fluid for a kilogram of solids [m3/kg]. SW-846 method 1311, 20:1.
LEACHING_FLUID = 0.020
#: Residue by weight of the capacity [1] in an empty container up to this size [m3], and in a larger one.
#: 40 CFR 261.7(b)(1)(iii).
RESIDUE_SMALL = 0.03
RESIDUE_LARGE = 0.003
SMALL_CONTAINER = 119 * 3.785411784e-3  # 119 US gal

#: The spent solvents by CAS number. 40 CFR 261.31(a), annual edition of 2015. "Chlorinated fluorocarbons" of F001
#: are a class; the two that F002 names are entered. Xylene and cresol stand with their isomers.
SPENT_SOLVENTS = {
    "127-18-4": ("F001", "F002"),  # tetrachloroethylene
    "79-01-6": ("F001", "F002"),  # trichloroethylene
    "75-09-2": ("F001", "F002"),  # dichloromethane
    "71-55-6": ("F001", "F002"),  # 1,1,1-trichloroethane
    "56-23-5": ("F001",),  # carbon tetrachloride
    "76-13-1": ("F001", "F002"),  # CFC-113
    "75-69-4": ("F001", "F002"),  # trichlorofluoromethane
    "108-90-7": ("F002",),  # chlorobenzene
    "95-50-1": ("F002",),  # 1,2-dichlorobenzene
    "79-00-5": ("F002",),  # 1,1,2-trichloroethane
    "1330-20-7": ("F003",),  # xylene
    "95-47-6": ("F003",),
    "108-38-3": ("F003",),
    "106-42-3": ("F003",),
    "67-64-1": ("F003",),  # acetone
    "141-78-6": ("F003",),  # ethyl acetate
    "100-41-4": ("F003",),  # ethylbenzene
    "60-29-7": ("F003",),  # ethyl ether
    "108-10-1": ("F003",),  # methyl isobutyl ketone
    "71-36-3": ("F003",),  # n-butanol
    "108-94-1": ("F003",),  # cyclohexanone
    "67-56-1": ("F003",),  # methanol
    "1319-77-3": ("F004",),  # cresol
    "95-48-7": ("F004",),
    "108-39-4": ("F004",),
    "106-44-5": ("F004",),
    "98-95-3": ("F004",),  # nitrobenzene
    "108-88-3": ("F005",),  # toluene
    "78-93-3": ("F005",),  # methyl ethyl ketone
    "75-15-0": ("F005",),  # carbon disulfide
    "78-83-1": ("F005",),  # isobutanol
    "110-86-1": ("F005",),  # pyridine
    "71-43-2": ("F005",),  # benzene
    "110-80-5": ("F005",),  # 2-ethoxyethanol
    "79-46-9": ("F005",),  # 2-nitropropane
}

NONE = "none"
#: A clock that runs longer is a typing mistake [days]. Ours.
LONGEST = 3660

#: (share by volume before use [1], codes the solvent is listed under)
ListedPart = tuple[float, tuple[str, ...]]


@formula(
    gives="text",
    source="40 CFR 262.13, table 1, read in Utah R315-262-13 and WAC 173-303-169, which copy it",
    hazardous="mass",
    acute="mass",
    acute_residue="mass",
)
def generator_category(hazardous: float, acute: float, acute_residue: float = 0.0) -> str:
    """Generator category of a calendar month, from the hazardous waste made in it.

    LQG: acute over 1 kg, or hazardous at or over 1000 kg, or acute residue over 100 kg; else SQG:
    hazardous over 100 kg; else VSQG

    hazardous: not acute [kg], acute [kg], acute_residue [kg]: from cleaning up a spill of acute
    waste. One value each, no arrays. Returns "VSQG", "SQG" or "LQG". Raises ValueError for a
    value below zero. Excluded wipes and other waste that is not counted is left out before.

    >>> print(generator_category(100.0, 0.0), generator_category(100.1, 0.0), generator_category(1000.0, 0.0))
    VSQG SQG LQG
    """
    not_negative(hazardous=hazardous, acute=acute, acute_residue=acute_residue)
    if acute > ACUTE_LARGE or hazardous >= LARGE_FROM or acute_residue > ACUTE_RESIDUE_LARGE:
        return "LQG"
    return "SQG" if hazardous > SMALL_FROM else "VSQG"


@formula(
    gives="text",
    source="40 CFR 261.31(a), F001 to F005, and 261.21(a)(1)",
    parts="listed_part, ...",
    flash_point="temperature",
    degreasing="yes_no",
    listed_share="fraction",
)
def spent_solvent_codes(
    parts: Sequence[ListedPart], flash_point: float, degreasing: bool = False, listed_share: float = LISTED_SHARE
) -> str:
    """Waste codes of a spent solvent, from its make-up by volume before use and its flash point.

    T = share of F001, F002, F004 and F005 solvents before use; T at or over 10 %: the code of each
    listed solvent in it, with F003, F001 only after degreasing; else F003 where all of it is F003
    solvents; D001 where the flash point is under 60 degC

    parts: for each (share by volume before use [1], codes it is listed under), in calc
    "xylene:80 %, toluene:9 %, other:11 %": a name of the shipped data or a CAS number, and
    "other" for what is surely on no list; the shares must add up to 100 %. flash_point [K] closed
    cup, of the waste. degreasing: whether it was used for degreasing. listed_share: T from which a
    blend is listed [1], where a local rule is tighter. Returns the codes with commas, or "none".
    Raises ValueError for shares that are not the whole. For a solvent that was used as a solvent;
    unused products and solvents that are part of a paint or adhesive are not listed here. D001
    without the exception for alcohol in water: see ignitability_code.

    >>> xylene, toluene = ("F003",), ("F005",)  # EPA letter of 21 July 1987: not listed, then one point more
    >>> print(spent_solvent_codes([(0.80, xylene), (0.09, toluene), (0.11, ())], 300.0))
    D001
    >>> print(spent_solvent_codes([(0.80, xylene), (0.10, toluene), (0.10, ())], 300.0))
    F003, F005, D001
    """
    for amount, _ in parts:
        not_negative(parts=amount)
    above_zero(flash_point=flash_point)
    if abs(sum(amount for amount, _ in parts) - 1) > 1e-3:
        raise ValueError(say('the shares must add up to 100 %; write what is on no list as "other"'))
    present = [(amount, codes) for amount, codes in parts if amount > 0]
    # rounded, so that 0.07 + 0.02 + 0.01 is ten percent whatever its last binary digit
    counted = round(sum(amount for amount, codes in present if set(codes) - {"F003"}), 9)
    listed = {code for _, codes in present for code in codes if code != "F001" or degreasing}
    if counted < listed_share:
        listed = {"F003"} if all(codes == ("F003",) for _, codes in present) else set()
    if flash_point < IGNITABLE:
        listed.add("D001")
    return ", ".join(sorted(listed, key=lambda code: (code[0] == "D", code))) or NONE


@formula(
    gives="text",
    source="40 CFR 261.21(a)(1); the share of water is that of EPA's letter of 26 February 1985",
    unverified="the rule's own wording of the share of water (2020) was not read",
    flash_point="temperature",
    water="fraction",
    alcohol="fraction",
)
def ignitability_code(flash_point: float, water: float, alcohol: float) -> str:
    """Whether a liquid waste is ignitable, with the exception for a little alcohol in water.

    D001: flash point under 60 degC, unless it holds alcohol, under 24 % by volume, and at least
    50 % water by weight

    flash_point [K], closed cup; water: share by weight [1]; alcohol: share by volume [1], of any
    alcohols. One value each, no arrays. Returns "D001" or "none". Raises ValueError for a share
    below zero. Without any alcohol the exception is not used here: the careful reading.

    >>> print(ignitability_code(327.15, 0.77, 0.13))  # RCRA hotline, July 1992: 54 degC, 77 % water, 13 % alcohol
    none
    """
    above_zero(flash_point=flash_point)
    not_negative(water=water, alcohol=alcohol)
    if flash_point >= IGNITABLE or (0 < alcohol < ALCOHOL and water >= MOSTLY_WATER):
        return NONE
    return "D001"


@formula(
    gives="concentration",
    source="EPA, frequent questions on the toxicity characteristic test, total analysis instead of the test "
    "(SW-846 method 1311, sec. 1.2)",
    solids="fraction",
    solid_mass="mass",
    liquid="concentration",
    liquid_volume="volume",
)
def leachate_at_most(solids: Values, solid_mass: Values, liquid: Values = 0.0, liquid_volume: Values = 0.0) -> Values:
    """Highest concentration the leaching test could find, from what the waste holds in all.

    E = (A*B + C*D) / (B + 20 L/kg * D); a waste without free liquid: C / 20

    solids: C, weight share of the substance in the solid part [1] (1 mg/kg is 1 ppm); solid_mass:
    D [kg]; liquid: A, concentration in the free liquid [kg/m3]; liquid_volume: B [m3]. Returns
    [kg/m3]; 1000 mg/m3 are 1 mg/L. Raises ValueError for no waste at all. Under the limit the
    test need not be run; at or over it only the test can say that the waste is not toxic.

    >>> print(round(leachate_at_most(4000e-6, 1.0) * 1e3, 6))  # 4000 mg/kg, in mg/L over 1000
    200.0
    """
    not_negative(solids=solids, solid_mass=solid_mass, liquid=liquid, liquid_volume=liquid_volume)
    volume = liquid_volume + LEACHING_FLUID * solid_mass
    above_zero(solid_mass=volume)
    return (liquid * liquid_volume + solids * solid_mass) / volume


@formula(gives="mass", source="40 CFR 261.7(b)(1)(iii)", capacity="volume", density="density")
def empty_container_residue(capacity: Values, density: Values) -> Values:
    """Residue up to which a container counts as empty, by weight, once it was poured or pumped out.

    m = 3 % * V * D up to 119 US gal, 0.3 % * V * D above

    capacity of the container [m3], density of what it held [kg/m3]. Returns [kg]. Raises
    ValueError for a value of zero. An inch (2.5 cm) of residue or less will do as well. Not for
    acute waste, which needs three rinses.

    >>> print(round(empty_container_residue(55 * 3.785411784e-3, 838.785) / 0.45359237, 2))  # 7 lb/gal, in lb
    11.55
    """
    above_zero(capacity=capacity, density=density)
    # a drum of exactly 119 gal must count as small whatever its last binary digit
    small = np.asarray(capacity) <= SMALL_CONTAINER * (1 + 1e-9)
    return (np.where(small, RESIDUE_SMALL, RESIDUE_LARGE) * capacity * density)[()]


@formula(
    gives="text",
    source="40 CFR 262.15(a)(6), 262.16(b), 262.17(a) and 261.4(b)(18): calendar days, weekends counted",
    start="date",
    days="count",
)
def last_day(start: date, days: float) -> str:
    """Last day on which waste may still be where it is.

    last day = start + days

    start: the local day the clock began to run: the first waste in the container, or the day a
    satellite container was full; days: 3, 90, 180 or 270 calendar days. Returns the date as text,
    such as "2026-05-10". Raises ValueError for days that are no whole number from 0 to
    3660, or a start near the year 9999.

    >>> print(last_day(date(2026, 5, 7), 3))  # full on a Thursday
    2026-05-10
    """
    if days != int(days) or not 0 <= days <= LONGEST:
        raise ValueError(say("days must be a whole number up to {longest}", longest=LONGEST))
    if start > date.max - timedelta(days=LONGEST):
        raise ValueError(say("start is too far in the future"))
    return (start + timedelta(days=int(days))).isoformat()


@formula(
    gives="fraction",
    source="Directive 2008/98/EC, Annex III, summation method (Regulations (EU) 1357/2014 and 2017/997)",
    unverified="form and cut-off values from memory",
    shares="fraction, ...",
    weights="number, ...",
    cut_offs="fraction, ...",
)
def weighted_share(shares: Sequence[Values], weights: Sequence[Values], cut_offs: Sequence[Values]) -> Values:
    """Weighted sum of the parts of a waste that carry a hazard, for a hazardous property.

    S = sum(w_i * x_i) over the parts with x_i at or over their cut-off

    shares: weight shares [1] of the parts, weights [1] of their classes, such as 100, 10 and 1 for
    H410, H411 and H412, cut_offs [1], 0 for none. Returns [1], which may be over 1. Raises
    ValueError for unequal counts.

    >>> print(round(weighted_share([0.02, 0.06], [10, 1], [0.01, 0.01]), 3))  # 2 % H411 with 6 % H412
    0.26
    """
    if not len(shares) == len(weights) == len(cut_offs):
        raise ValueError(say("shares, weights and cut_offs must be of equal number"))
    for amount in shares:
        not_negative(shares=amount)
    counted = (
        np.where(np.asarray(x) >= cut_off, weight * np.asarray(x), 0.0)
        for x, weight, cut_off in zip(shares, weights, cut_offs, strict=True)
    )
    return sum(counted, np.zeros(()))[()]
