"""The grammar of printed numbers: signs, decimal marks, thousands, comparisons, ranges, units."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from safety.datasheet.text import fold
from safety.files.spelling import ABOUT, ABOVE, BELOW, FROM, RANGE

NUMBER = r"(?:\d{1,3}(?:[ '’\u00a0\u2009\u202f]\d{3})+(?![\d])(?:[.,]\d+)?|\d+(?:[.,]\d+)*|[.,]\d+)"
Bound = Literal["", "<", ">", "~"]
#: Languages whose decimals are parted by a comma.
COMMA = frozenset({"de", "es"})


@lru_cache(4096)
def number(text: str, language: str) -> tuple[float, ...]:
    """What a printed number can be, the likelier first; two values where a mark can part decimals or thousands."""
    text = re.sub(r"[ '’\u00a0\u2009\u202f]", "", text)
    marks = [sign for sign in text if sign in ".,"]
    if not marks:
        return (float(text),)
    if len(set(marks)) == 2:
        point = marks[-1]
        if marks.count(point) > 1:
            return ()
        return (float(text.replace("," if point == "." else ".", "").replace(point, ".")),)
    mark = marks[0]
    whole = text.replace(mark, "")
    if len(marks) > 1:
        return (float(whole),) if re.fullmatch(rf"\d{{1,3}}(?:\{mark}\d{{3}})+", text) else ()
    decimal = float(text.replace(mark, ".") if text[-1] != mark else text[:-1])
    if not re.fullmatch(rf"[1-9]\d{{0,2}}\{mark}\d{{3}}", text):
        return (decimal,)
    thousands = float(whole)
    own = (mark == ",") == (language in COMMA)  # the mark this language parts decimals with
    if own:
        return (decimal, thousands)
    return (thousands, decimal)


@dataclass(frozen=True, slots=True)
class Reading:
    """One quantity in a text: its ends, each with what it can be in the unit's base."""

    low: tuple[float, ...]
    high: tuple[float, ...]
    bound: Bound
    unit: str
    start: int
    end: int

    @property
    def plain(self) -> bool:
        return len(self.low) == 1 == len(self.high)


#: Pattern of a unit over folded text -> its name and what one number of it is in the base unit.
Units = Mapping[str, tuple[str, Callable[[float], float]]]


@lru_cache(32)
def _pattern(units: str) -> re.Pattern[str]:
    unit = f"(?:{units})"
    return re.compile(
        rf"(?P<bound>{BELOW}|{ABOVE}|{ABOUT}|{FROM})?\s*(?P<s1>(?<![\d.,])[-–—−+](?=[\d.,])|(?:(?<=[(:;,<>≤≥])|(?<=[(:;,<>≤≥]\s)|^)[-–—−+]\s)?(?P<n1>(?<![\d.,a-z]){NUMBER})\s*(?P<u1>{unit})?"
        rf"(?:\s*{RANGE}\s*(?P<b2>{BELOW})?\s*(?P<s2>[-–—−+])?(?P<n2>{NUMBER})\s*(?P<u2>{unit}))?"
    )


def readings(text: str, units: Units, language: str, without_unit: str = "") -> list[Reading]:
    """The quantities of a text in any of the units, or in ``without_unit`` where a number has none."""
    folded = fold(text)
    names = list(units)
    found = []
    for place in _pattern("|".join(names)).finditer(folded):
        written = place["u2"] or place["u1"]
        if written is None and not without_unit:
            continue
        name, convert = _unit(units, written, without_unit)
        if _spoilt(text, place.start("s1") if place["s1"] else place.start("n1")):
            continue
        low = _values(place["s1"], place["n1"], language, convert)
        high = _values(place["s2"], place["n2"], language, convert) if place["n2"] else low
        if not low or not high:
            continue
        found.append(Reading(low, high, _bound(place["bound"] or ""), name, place.start(), place.end()))
    return found


_BEFORE = re.compile(r"\(\s?[-–—−]\s?\)\s*$|\d\s*/\s*$|(?:^|[\s(:–—-])\d{1,2}\s$")


def _spoilt(text: str, at: int) -> bool:
    """Whether what stands before a number may belong to it: a sign nobody knows, which may be a minus that the font does
    not tell, a minus in brackets, another figure that shares its unit, or digits printed apart.
    """
    before = text[at - 1 : at]
    return _BEFORE.search(text[:at]) is not None or (
        bool(before) and not before.isalnum() and not before.isspace() and before not in "([{:;,=/|~≈<>≤≥*\"'-–—+±°@.…"
    )


def _unit(units: Units, written: str | None, default: str) -> tuple[str, Callable[[float], float]]:
    if written is None:
        return next(pair for pair in units.values() if pair[0] == default)
    return next(pair for pattern, pair in units.items() if re.fullmatch(pattern, written))


def _values(sign: str | None, text: str, language: str, convert: Callable[[float], float]) -> tuple[float, ...]:
    factor = -1.0 if sign and sign.strip() in "-–—−" else 1.0
    return tuple(convert(factor * value) for value in number(text, language))


def _bound(text: str) -> Bound:
    if not text:
        return ""
    if re.fullmatch(BELOW, text):
        return "<"
    if re.fullmatch(ABOVE, text):
        return ">"
    return "~" if re.fullmatch(ABOUT, text) else ""


_CELSIUS = ("degC", lambda value: value)
_FAHRENHEIT = ("degF", lambda value: (value - 32) / 1.8)
TEMPERATURE: Units = {
    r"[°'o]\s?c\b|℃|deg(?:ree)?s?\.?\s?c(?:elsius)?\b|grad(?:os)? (?:celsius|c)\b|celsius|c\b(?!\s*[≥>=])": _CELSIUS,
    r"[°'o]\s?f\b|℉|deg(?:ree)?s?\.?\s?f(?:ahrenheit)?\b|fahrenheit|f\b": _FAHRENHEIT,
    r"k\b": ("K", lambda value: value - 273.15),
}
_GALLON = 0.45359237 / 3.785411784e-3
DENSITY: Units = {
    r"g\s?/\s?(?:cm(?:3|³|\^3)|cc|ml|ccm)|g/m[lL]|kg\s?/\s?(?:l|dm(?:3|³)|lit(?:er|re))\b|g\s?(?:·|\*|\s)?\s?cm-3": (
        "g/mL",
        lambda value: 1000 * value,
    ),
    r"kg\s?/\s?m\s?(?:3|³|\^3)": ("kg/m3", lambda value: value),
    r"g\s?/\s?(?:l|dm(?:3|³)|lit(?:er|re)s?)\b|g\s?[·.*]?\s?l\s?(?:\^?-1|⁻¹)|gr/l\b|gramm?s? per lit(?:er|re)": (
        "g/L",
        lambda value: value,
    ),
    r"lbs?\.?\s?(?:/|per)\s?(?:u\.?s\.?\s?)?gal(?:lon)?s?\.?(?!\s?[([]?\s?(?:uk|imp))|pounds? per (?:u\.?s\.? )?gallon|lb/us gal": (
        "lb/US_gal",
        lambda value: value * _GALLON,
    ),
}
