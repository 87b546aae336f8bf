"""Masses and limits as the pages on waste have them."""

from __future__ import annotations

from safety import levels, units
from safety.model import Shop, Threshold
from safety.quantities import mass
from safety.words import say
from safety_waste.leaves import Left


def limit(threshold: Threshold) -> str:
    """A limit as its rule has it, with the word people say for the unit of the files."""
    return threshold.written.replace("US_gal", say("gal"))


def kilograms(value: float) -> str:
    """A mass as the limits of the rules are written, in whole or tenths of kilograms."""
    return units.show(value, "mass", "kg", 4 if value >= 1000 else 3)


def compared(value: float, limit: Threshold) -> str:
    """A mass as kilograms, not looking like a limit that it is over or under."""
    return levels.shown(value, limit.value, kilograms)


def left(one: Left, shop: Shop) -> str:
    """How much a step leaves."""
    if one.unknown:
        return say("amount not known")
    if one.high <= 0:
        return say("next to nothing")
    if one.high - one.low < 0.01 * one.high:
        return say("about {high}", high=mass(one.high, shop.print_units, 2))
    if one.low <= 0:
        return say("up to {high}", high=mass(one.high, shop.print_units, 2))
    return say("{low} to {high}", low=mass(one.low, shop.print_units, 2), high=mass(one.high, shop.print_units, 2))
