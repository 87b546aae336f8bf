"""Numbers of figures and conditions as people of this shop read them."""

from __future__ import annotations

import math
from typing import Any

from safety import units
from safety.cited import Cited, Unknown
from safety.model import Classification, Figure, Limit, Range, Threshold
from safety.reference.citing import named
from safety.words import message, say, term

# What a person reads in place of a base unit: base unit -> (kind, shop's first unit, unit in brackets).
_US = {
    "K": ("temperature", "degF", "degC"),
    "kg": ("mass", "lb", "kg"),
    "m3": ("volume", "US_gal", "L"),
    "m3/s": ("airflow", "cfm", "m3/h"),
    "m": ("length", "inch", "mm"),
    "m, far": ("length", "ft", "m"),
    "m2": ("area", "ft2", "m2"),
}
_SI = {
    "K": ("temperature", "degC", ""),
    "kg": ("mass", "g", ""),
    "m3/s": ("airflow", "m3/h", ""),
    "m": ("length", "mm", ""),
    "m, far": ("length", "m", ""),
}
_BOTH = {
    "s": ("time", "min", ""),
    "kg/m3": ("concentration", "mg/m3", ""),
    "1/s": ("air_changes", "1/h", ""),
}
_WORDS = {
    "degF": "°F",
    "degC": "°C",
    "US_gal": "gal",
    "1/h": message("an hour"),
    "m3": "m³",
    "mg/m3": "mg/m³",
    "m3/h": "m³/h",
    "1": "",
}
#: Words in other languages, though a symbol in English.
_SAID = (message("ft"), message("inch"))


def shown(value: float, unit: str, system: str) -> str:
    """A value in ``unit`` as text in the shop's own units ("us" or "si"), the other in brackets where it helps."""
    if not math.isfinite(value):
        return say("no limit") if value > 0 else say("UNKNOWN")
    if unit == "K (difference)":
        text = say("{number} °C", number=round(value))
        return say("{degrees} °F ({text})", degrees=round(value * 1.8), text=text) if system == "us" else text
    if unit == "m" and abs(value) >= 0.3:
        unit = "m, far"
    known = {**_BOTH, **(_US if system == "us" else _SI)}.get(unit)
    if known is None:
        number = units.significant(value)
        return say("{number} {unit}", number=number, unit=_unit(unit)) if _unit(unit) else number
    kind, first, second = known
    text = _one(value, kind, first)
    return say("{first} ({second})", first=text, second=_one(value, kind, second)) if second else text


def _one(value: float, kind: str, unit: str) -> str:
    number = units.convert(value, kind, unit)
    # a temperature is a position on a scale, not an amount: whole degrees, not significant figures
    text = str(round(number)) if kind == "temperature" else units.significant(number)
    return say("{number} {unit}", number=text, unit=_unit(unit))


def _unit(unit: str) -> str:
    """A unit as it is printed. Symbols are the same in every language, units made of words are not."""
    shown = _WORDS.get(unit, unit)
    return term(shown) if " " in shown or shown in _SAID else shown


def between(value: Range, unit: str, system: str) -> str:
    """A range as text."""
    if value.exact:
        return shown(value.low, unit, system)
    return say("{low} to {high}", low=shown(value.low, unit, system), high=shown(value.high, unit, system))


def figure(one: Figure, system: str) -> str:
    """A figure as a short line: name, careful value and, where it has one, the middle estimate."""
    text = say("{name}: {value}", name=one.name, value=shown(one.value, one.unit, system))
    if one.p50 is not None:
        text = say("{text} (middle estimate {middle})", text=text, middle=shown(one.p50, one.unit, system))
    return say("{text}; {note}", text=text, note=one.note) if one.note else text


def datum(value: Any, system: str) -> str:
    """What a figure was made from, as text that names its source."""
    if isinstance(value, Figure):
        return figure(value, system)
    if isinstance(value, Cited):
        text = say(
            "{written}, {title} ({edition}), {at}",
            written=value.written,
            title=value.source.title,
            edition=value.source.edition,
            at=value.at,
        )
        return say("{text}; unverified: {why}", text=text, why=term(value.unverified)) if value.unverified else text
    if isinstance(value, Classification):
        return named(value)
    if isinstance(value, Limit):
        return say(
            "{written}, {list}, {citation}, {edition}",
            written=value.written,
            list=value.list,
            citation=value.citation,
            edition=value.edition,
        )
    if isinstance(value, Threshold):
        return say(
            "{written}, {citation}, {edition}", written=value.written, citation=value.citation, edition=value.edition
        )
    if isinstance(value, Range):
        return value.written or say(
            "{low:.4g} to {high:.4g} ({basis})", low=value.low, high=value.high, basis=value.basis
        )
    if isinstance(value, Unknown):
        return say("UNKNOWN: {reason}", reason=term(value.reason))
    if isinstance(value, float):
        return units.significant(value, 4)
    return str(value)
