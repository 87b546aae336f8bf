"""Masses and volumes as the shop reads them."""

from __future__ import annotations

from safety import levels, units
from safety.model import Shop, Threshold
from safety.words import say
from safety_waste.leaves import Left

POUND = 0.45359237  # kg


def mass(value: float, shop: Shop, digits: int = 3) -> str:
    """A mass [kg]: grams below a kilogram; where the shop prints US units, pounds (ounces below one) before it."""
    metric = units.show(value, "mass", "kg" if abs(value) >= 1 else "g", digits)
    if shop.print_units != "us":
        return metric
    us = units.show(value, "mass", "lb" if abs(value) >= POUND else "oz", digits)
    return say("{us} ({metric})", us=us, metric=metric)


def volume(value: float, shop: Shop) -> str:
    """A volume [m3]."""
    litres = units.show(value, "volume", "L")
    if shop.print_units != "us":
        return litres
    gallons = units.show(value, "volume", "US_gal").removesuffix("US_gal").strip()
    return say("{gallons} gal ({litres})", gallons=gallons, litres=litres)


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
        return say("about {high}", high=mass(one.high, shop, 2))
    if one.low <= 0:
        return say("up to {high}", high=mass(one.high, shop, 2))
    return say("{low} to {high}", low=mass(one.low, shop, 2), high=mass(one.high, shop, 2))
