"""Masses and volumes as the people of a shop weigh and pour them."""

from __future__ import annotations

from safety import units
from safety.words import say

POUND = 0.45359237  # kg


def mass(value: float, system: str, digits: int = 3) -> str:
    """A mass [kg]: grams below a kilogram; where the shop prints US units, pounds (ounces below one) before it."""
    if value == 0:
        return say("0 kg") if system == "si" else say("0 lb")
    metric = units.show(value, "mass", "kg" if abs(value) >= 1 else "g", digits)
    if system == "si":
        return metric
    return say(
        "{us} ({metric})", us=units.show(value, "mass", "lb" if abs(value) >= POUND else "oz", digits), metric=metric
    )


def volume(value: float, system: str) -> str:
    """A volume [m3]: millilitres below a litre; where the shop prints US units, gallons before it."""
    if value == 0:
        return say("0 L") if system == "si" else say("0 gal")
    metric = units.show(value, "volume", "L" if abs(value) >= 1e-3 else "mL")
    if system == "si":
        return metric
    gallons = units.significant(units.convert(value, "volume", "US_gal"))
    return say("{gallons} gal ({metric})", gallons=gallons, metric=metric)
