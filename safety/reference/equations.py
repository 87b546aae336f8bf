"""Which of several vapour pressure equations of a substance is used, and where it was fitted."""

from __future__ import annotations

from dataclasses import replace
from types import MappingProxyType
from typing import NamedTuple

from safety.cited import Cited
from safety.formulas.ignition import AntoineSet, antoine_set
from safety.model import ANTOINE, Substance

#: The temperature [K] for which the air takes one equation for all steps, and at which liquids are compared.
ROOM = 293.15


class Equation(NamedTuple):
    """The constants of an Antoine equation."""

    a: Cited
    b: Cited
    c: Cited

    @property
    def plain(self) -> AntoineSet:
        low, high = (self.a.condition(end) or 0.0 for end in ("low", "high"))
        return self.a.value, self.b.value, self.c.value, low, high


def at(substance: Substance, temperature: float) -> Equation | None:
    """The first equation fitted over a temperature [K], else the one fitted nearest to it; None without any."""
    sets = sets_of(substance)
    plain = [one.plain for one in sets]
    return sets[plain.index(antoine_set(plain, temperature))] if sets else None


def for_a_room(substance: Substance) -> Substance:
    """The same with the equation of a room before the others: who asks for the best value gets that one."""
    sets, first = sets_of(substance), at(substance, ROOM)
    if first is None or sets[0] == first:
        return substance
    ordered = zip(*sorted(sets, key=lambda one: one != first), strict=True)
    properties = {**substance.properties, **dict(zip(ANTOINE, ordered, strict=True))}
    return replace(substance, properties=MappingProxyType(properties))


def sets_of(substance: Substance) -> list[Equation]:
    """All of them, as they stand."""
    return [Equation(*one) for one in zip(*(substance.properties.get(name, ()) for name in ANTOINE), strict=True)]
