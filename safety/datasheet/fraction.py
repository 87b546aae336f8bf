"""Section 9 of a product that is one petroleum fraction: the range it boils over, and what goes with it.

Written at the part, where the files have their place for it. Only a product of one part has a section 9 that is the
part's own.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from safety.datasheet.numbers import TEMPERATURE, Reading, Units, readings
from safety.datasheet.pairs import Pair
from safety.datasheet.record import Draft, Part, Value
from safety.datasheet.text import fold
from safety.datasheet.words_of_value import about, absent
from safety.words import say

_WHOLE = 80.0  # % at least: our choice
_NUMBERS = re.compile(r"6474[1-3]-\d\d-\d|8052-41-3|8032-32-4|8008-20-6|8030-30-6|684(?:10|76|77)-\d\d-\d")
_NAMES = re.compile(
    r"hydrocarbons?,|naphtha|petroleum|distillate|white spirit|stoddard|mineral spirits?|kerosen|hidrocarburos|nafta|petroleo|destilado|kohlenwasserstoffe|destillat|testbenzin|waschbenzin"
)
#: Regulation (EC) No 1272/2008, Annex I, 3.10: thin enough to reach the lungs [mm2/s at 40 degC].
_THIN = 20.5
_LEAST, _MOST = 0.1, 100_000.0

_PRESSURE: Units = {
    r"hpa\b|mbar\b": ("hPa", lambda value: 100 * value),
    r"kpa\b": ("kPa", lambda value: 1000 * value),
    r"mm\s?hg\b|torr\b": ("mmHg", lambda value: 133.322 * value),
    r"pa\b": ("Pa", lambda value: value),
    r"psi\b|psia\b": ("psi", lambda value: 6894.76 * value),
}
_PERCENT: Units = {r"(?:vol\.?[\s-]*)?%(?:\s*(?:\(?v/?v?\)?|vol\.?|by vol\w*))?|vol\b": ("%", lambda value: value)}
_VISCOSITY: Units = {r"mm\s?(?:2|²|\^2)\s?/\s?s|c\s?st\b|centistokes?": ("mm2/s", lambda value: value)}
_LOWER = re.compile(r"lower|inferior|untere|\blel\b|\blfl\b|\blie\b|\blii\b|\bueg\b")
_UPPER = re.compile(r"upper|superior|obere|\buel\b|\bufl\b|\blse\b|\blsi\b|\boeg\b")


def viscosity(draft: Draft, found: list[Pair]) -> None:
    """The kinematic viscosity at 40 degC, where it says no less than the parts do: a thick one is for a person to set."""
    for pair in found:
        one = _single(pair, _VISCOSITY, draft.language)
        if one is None or not _at(pair, 40.0) or not one.plain:
            continue
        if one.bound == ">" or one.high[0] > _THIN or not _LEAST <= one.high[0] <= _MOST:
            draft.other(
                say(
                    'A viscosity that would rule out harm to the lungs is not taken from a sheet: "{quote}". A person may set it.',
                    quote=pair.quote,
                )
            )
            continue
        draft.values["viscosity"] = Value(
            "viscosity", f"{one.high[0]:.4g} mm2/s", pair.page, pair.quote, size=one.high[0]
        )
        return


def fraction(draft: Draft, of: Callable[[str], list[Pair]]) -> None:
    """Give the one part of a petroleum product what section 9 says of it."""
    if len(draft.parts) != 1 or not _is_fraction(part := draft.parts[0]):
        return
    boils = draft.values.get("boiling_point")
    if boils is None or boils.size is None or boils.top is None or not 20 <= boils.size < boils.top <= 600:
        draft.missing(
            say("This is a petroleum fraction: give its part a boiling_range, from and to, for the air to be computed.")
        )
        return
    part.stated.append(
        Value("boiling_range", [f"{boils.size:.4g} degC", f"{boils.top:.4g} degC"], boils.page, boils.quote)
    )
    part.stated += _vapour(draft, of("vapour pressure"))
    part.stated += _burns_from(draft, of("limits"))


def _is_fraction(part: Part) -> bool:
    named = (part.cas == "" and part.ec.startswith("9")) or bool(_NAMES.search(fold(part.name)))
    return part.low >= _WHOLE and (bool(_NUMBERS.fullmatch(part.cas)) or named)


def _vapour(draft: Draft, found: list[Pair]) -> list[Value]:
    for pair in found:
        one = _single(pair, _PRESSURE, draft.language)
        degrees = readings(pair.label + " " + pair.value, TEMPERATURE, draft.language)
        if one is None or not degrees or not one.plain or one.bound == ">":
            continue
        at = degrees[0].low[0]
        if not 0 <= at <= 60 or one.high[0] > 200_000:
            continue
        low = 0.0 if one.bound == "<" else one.low[0]
        span = [f"{low / 1000:.4g} kPa", f"{one.high[0] / 1000:.4g} kPa"]
        return [
            Value("vapour_pressure", span, pair.page, pair.quote),
            Value("vapour_pressure_at", f"{at:.4g} degC", pair.page, pair.quote),
        ]
    return []


def _burns_from(draft: Draft, found: list[Pair]) -> list[Value]:
    for pair in found:
        words = fold(pair.quote)
        one = _single(pair, _PERCENT, draft.language)
        lowest = _LOWER.search(words) is not None or (one is not None and one.high[0] > one.low[0])
        if one is None or not one.plain or one.bound or not lowest or (_UPPER.search(words) and one.high == one.low):
            continue
        if 0.1 <= one.low[0] <= 30:
            return [Value("lower_explosive_limit", f"{one.low[0]:.4g} %", pair.page, pair.quote)]
    return []


def _single(pair: Pair, units: Units, language: str) -> Reading | None:
    """The one reading of a value that is the product's own."""
    if absent(pair.value):
        return None
    found = readings(pair.value, units, language)
    if len(found) != 1:
        return None
    spans = [(one.start, one.end) for one in (*found, *readings(pair.value, TEMPERATURE, language))]
    words = about(
        pair.label, pair.value, spans, r"\b(?:lower|upper|inferior|superior|untere|obere|lel|uel|lfl|ufl|vol)\b"
    )
    return None if words.other or words.mixed else found[0]


def _at(pair: Pair, degrees: float) -> bool:
    found = readings(f"{pair.label} {pair.value}", TEMPERATURE, "en")
    return any(abs(one.low[0] - degrees) < 0.6 for one in found)
