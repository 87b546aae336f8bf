"""Whether a substance stands on a list that is loaded whole, or may be of one of its groups by its formula."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping
from typing import Any

from safety.cited import Unknown
from safety.model import Composition
from safety.reference import Reference

_ATOM = re.compile(r"([A-Z][a-z]?)([0-9]*)")
_HALOGENS = ("F", "Cl", "Br", "I")


def on(cas: str, kind: str, reference: Reference) -> bool | None:
    """Whether a list holds a substance; None where it may be one of a group, or where no whole list is loaded."""
    rows = [row for row in reference.table("listing") if row["kind"] == kind]
    if not rows:
        return None
    if any(cas in row["numbers"] for row in rows):
        return True
    made = _composition(cas, reference)
    if made is None:
        return None
    atoms = _atoms(made)
    groups = (row for row in reference.table("listed_group") if row["kind"] == kind)
    return None if any(_may_be(atoms, row) for row in groups) else False


def says(cas: str, kind: str, reference: Reference) -> tuple[Any, ...]:
    """By what the answer is given: the list, its groups where they were looked at, and the formula."""
    rows = tuple(row for row in reference.table("listing") if row["kind"] == kind)
    if not rows or any(cas in row["numbers"] for row in rows):
        return rows
    return (*rows, *(row for row in reference.table("listed_group") if row["kind"] == kind))


def _composition(cas: str, reference: Reference) -> Composition | None:
    """The formula of a substance; None where it has none, or is a mixture of many."""
    substance = reference.substance(cas) if cas else Unknown("")
    made = Unknown("") if isinstance(substance, Unknown) else substance.composition
    return None if isinstance(made, Unknown) or made.of_many else made


def _atoms(made: Composition) -> Counter[str]:
    found: Counter[str] = Counter()
    for symbol, count in _ATOM.findall(made.written):
        found[symbol] += int(count or 1)
    return found


def _may_be(atoms: Counter[str], row: Mapping[str, Any]) -> bool:
    """Whether a formula holds at least what each member of a group does."""
    if any(atoms[symbol] < count for symbol, count in row["atoms"].items()):
        return False
    return unsaturation(atoms) >= int(row.get("unsaturation", 0))


def unsaturation(atoms: Counter[str]) -> float:
    """Rings and double bonds together, from the formula alone: of C2H4 one, of benzene four."""
    return atoms["C"] + 1 + (atoms["N"] - atoms["H"] - sum(atoms[one] for one in _HALOGENS)) / 2
