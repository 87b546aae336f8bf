"""Substance data for the formulas that take a name instead of numbers.

The only place in the catalogue that reads files; what it finds is handed on as plain numbers.
"""

from __future__ import annotations

from datetime import date
from functools import cache
from pathlib import Path

from safety.cited import Unknown
from safety.formulas.ignition import AntoineSet, antoine_pressure, antoine_set
from safety.formulas.solvent import ONLY_DILUTE
from safety.formulas.waste import SPENT_SOLVENTS
from safety.model import Substance
from safety.reference import Reference, cas_is_valid, load
from safety.reference.equations import sets_of
from safety.words import say

#: What stands for all that is on no list.
OTHER = "other"
#: Temperature of the vapour pressures in a composite vapour pressure [K]. 40 CFR 63.750(b).
TWENTY = 293.15


@cache
def _reference() -> Reference:
    return load((), Path(__file__).parent, date.max)  # a folder without data of a shop: shipped data only


def substance(text: str) -> Substance:
    """The shipped substance of this name or CAS number. Raises ValueError where there is none."""
    found = _reference().find(text)
    if isinstance(found, Unknown):
        raise ValueError(found.reason)
    return found


def antoine_sets(text: str) -> tuple[AntoineSet, ...]:
    """The Antoine constants of a substance and where each set holds. Raises ValueError where none is loaded."""
    found = substance(text)
    sets = tuple(one.plain for one in sets_of(found))
    if not sets:
        raise ValueError(say("no vapour pressure equation of {name} is loaded", name=found.name))
    return sets


def flash_part(mole_fraction: float, text: str) -> tuple[float, float, float, float, float]:
    """A part for mixture_flash_point. Of several published flash points the lowest is taken.

    Raises ValueError where the substance, its flash point or its vapour pressure is not loaded.
    """
    found = substance(text)
    published = [cited.value for cited in found.properties.get("flash_point", ())]
    if not published:
        raise ValueError(say("no flash point of {name} is loaded", name=found.name))
    flash = min(published)
    a, b, c, _, _ = antoine_set(antoine_sets(text), flash)
    return mole_fraction, flash, a, b, c


def solvent_part(amount: float, text: str) -> tuple[float, float, float]:
    """A part for composite_vapour_pressure. What is neither VOC nor HAP gets the pressure 0.

    Raises ValueError where the substance, its molar mass or its vapour pressure is not loaded.
    """
    found = substance(text)
    molar_mass = found.best("molar_mass")
    if isinstance(molar_mass, Unknown):
        raise ValueError(molar_mass.reason)
    if found.cas in ONLY_DILUTE:
        return amount, molar_mass.value, 0.0
    a, b, c, _, _ = antoine_set(antoine_sets(text), TWENTY)
    return amount, molar_mass.value, float(antoine_pressure(a, b, c, TWENTY))


def listed_part(amount: float, text: str) -> tuple[float, tuple[str, ...]]:
    """A part for spent_solvent_codes: a substance of the shipped data, any CAS number, or "other".

    Raises ValueError for a name that is not loaded: a misspelt solvent must not pass as unlisted.
    """
    wanted = text.strip()
    if wanted.casefold() == OTHER:
        return amount, ()
    cas = wanted if cas_is_valid(wanted) else substance(wanted).cas
    return amount, SPENT_SOLVENTS.get(cas, ())
