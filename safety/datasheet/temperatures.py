"""Flash point and boiling point: which figure of several is the product's, or none."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from safety.datasheet.numbers import NUMBER, TEMPERATURE, Reading, number, readings
from safety.datasheet.pairs import Pair
from safety.datasheet.record import Draft, Value
from safety.datasheet.text import fold
from safety.datasheet.words_of_value import About, about, absent, mixed
from safety.files.spelling import RANGE
from safety.words import say

SAME = 1.1  # degC: what rounding between degF and degC explains
_PRESSURE = re.compile(rf"(?<![\d.,])({NUMBER})\s*(hpa|mbar|kpa|mm\s?hg|torr|bar|atm|pa)\b")
_NORMAL = {"hpa": 1013, "mbar": 1013, "kpa": 101.3, "mmhg": 760, "torr": 760, "bar": 1.013, "atm": 1, "pa": 101300}
_COLD, _HOT = -200.0, 900.0


@dataclass(frozen=True, slots=True)
class _Found:
    pair: Pair
    low: float
    high: float
    bound: str
    opened: bool
    fahrenheit: str = ""


def temperature(draft: Draft, key: str, name: str, found: list[Pair]) -> None:
    """Put the flash or boiling point into the draft, or say why there is none. ``name`` is what a person calls it."""
    good: list[_Found] = []
    for pair in found:
        one = None if _dashed(draft, name, pair) else _read(draft, key, name, pair)
        if one:
            good.append(one)
    if not good:
        if not found:
            draft.missing(say("No {what} was found.", what=name))
        return
    first = good[0]
    apart = [one for one in good[1:] if abs(one.low - first.low) > SAME]
    if apart:
        both = "; ".join(f'"{one.pair.quote}"' for one in (first, *apart))
        draft.contradictory(say("Two values of the {what}, left out: {both}. Ask which holds.", what=name, both=both))
        return
    _take(draft, key, name, first)


def _dashed(draft: Draft, name: str, pair: Pair) -> bool:
    """Whether a dash stands before the figure that may be a minus or a mere mark; the draft says so."""
    if pair.dashed:
        draft.contradictory(
            say(
                'The dash before the figure of the {what} may be a minus or a mere mark, left out: "{quote}".',
                what=name,
                quote=pair.quote,
            )
        )
    return pair.dashed


def _take(draft: Draft, key: str, name: str, one: _Found) -> None:
    quote = one.pair.quote
    remarks = []
    if one.bound == ">":
        remarks.append(
            say(
                'The {what} is only given as more than this; the lower end was taken: "{quote}".',
                what=name,
                quote=quote,
            )
        )
    if one.opened:
        remarks.append(say('Measured in an open cup: a closed cup would give less. "{quote}"', quote=quote))
    if one.bound == "~":
        remarks.append(say('The {what} is only given as about: "{quote}".', what=name, quote=quote))
    if one.high > one.low + SAME and key == "flash_point":
        remarks.append(say('Of a range the lowest was taken: "{quote}".', quote=quote))
    for remark in remarks:
        draft.careful(remark)
    top = one.high if one.high > one.low else None
    draft.values[key] = Value(key, f"{_short(one.low)} degC", one.pair.page, quote, remarks, one.low, top)


def _short(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0") if abs(value) >= 0.05 else "0"


def _read(draft: Draft, key: str, name: str, pair: Pair) -> _Found | None:
    quote = pair.quote
    state = absent(pair.value)
    found = [] if state else readings(pair.value, TEMPERATURE, draft.language, _unit_of(pair.label))
    found = [one for one in found if all(_COLD <= v <= _HOT for v in (*one.low, *one.high))]
    if key == "boiling_point":
        found = [one for one in found if not _condition(pair.value, one)]
    if not found:
        _say_none(draft, name, pair, state)
        return None
    words = about(pair.label, pair.value, [(one.start, one.end) for one in found])
    merged = _merged(found, pair.value)
    if merged is None:
        draft.contradictory(
            say('The {what} differs between degF and degC, left out: "{quote}".', what=name, quote=quote)
        )
        return None
    if len(merged) > 1:
        closed = [
            one for one in merged if _beside(pair.value, one, found).closed and not _beside(pair.value, one, found).open
        ]
        if len(closed) != 1:
            draft.contradictory(
                say(
                    'Several values of the {what}, left out: "{quote}". Ask which holds for this can.',
                    what=name,
                    quote=quote,
                )
            )
            return None
        draft.careful(
            say('Of two values of the {what} the one from a closed cup was taken: "{quote}".', what=name, quote=quote)
        )
        merged = closed
        words = _beside(pair.value, merged[0], found)
    one = merged[0]
    if words.other or (mixed(pair.quote) and key == "flash_point"):
        draft.not_of_the_product(name, quote)
        return None
    if key == "boiling_point" and (low := _low_pressure(pair.quote, draft.language)):
        draft.missing(
            say(
                'The {what} is given at another pressure ({pressure}), left out: "{quote}".',
                what=name,
                pressure=low,
                quote=quote,
            )
        )
        return None
    if _unsure(draft, name, quote, one):
        return None
    least = one.low[0] - _spread(pair.value[one.end :], draft.language)
    return _Found(pair, least, one.high[0], one.bound, words.open and not words.closed)


def _spread(text: str, language: str) -> float:
    """What a figure is said to be more or less by: "24 °C ± 2"."""
    found = re.match(rf"\s*(?:±|\+\s?/\s?-)\s*({NUMBER})", text)
    return number(found[1], language)[0] if found and number(found[1], language) else 0.0


def _unsure(draft: Draft, name: str, quote: str, one: Reading) -> bool:
    """Whether a figure is no more than an end, or can be read in two ways; the draft says so."""
    if one.bound == "<":
        draft.missing(
            say('The {what} is only given as less than a figure, left out: "{quote}".', what=name, quote=quote)
        )
        return True
    if not one.plain:
        draft.contradictory(
            say('The figure of the {what} can be read in two ways, left out: "{quote}".', what=name, quote=quote)
        )
        return True
    return False


def _say_none(draft: Draft, name: str, pair: Pair, state: str) -> None:
    if state == "none":
        draft.missing(
            say('The sheet says there is no {what} (not applicable, none): "{quote}".', what=name, quote=pair.quote)
        )
    elif state == "absent":
        draft.missing(say('The {what} is not given (not determined): "{quote}".', what=name, quote=pair.quote))
    else:
        draft.missing(
            say(
                'The {what} is given without a figure that can be read, left out: "{quote}".',
                what=name,
                quote=pair.quote,
            )
        )


def _beside(text: str, one: Reading, found: list[Reading]) -> About:
    """What the words that belong to a figure say: those before it, where the first figure has its method before it."""
    first = about("", text[: min(other.start for other in found)], [])
    if first.closed or first.open:
        before = max((other.end for other in found if other.end <= one.start), default=0)
        return about("", text[before : one.start], [])
    after = min((other.start for other in found if other.start > one.start), default=len(text))
    return about("", text[one.start : after], [(0, one.end - one.start)])


def _unit_of(label: str) -> str:
    low = fold(label)
    celsius, fahrenheit = re.search(r"°\s?c\b|\(c\)|deg\.?\s?c\b", low), re.search(r"°\s?f\b|\(f\)|deg\.?\s?f\b", low)
    return "degC" if celsius and not fahrenheit else "degF" if fahrenheit and not celsius else ""


def _condition(text: str, one: Reading) -> bool:
    """Whether a temperature is only that at which something else holds: "decomposes at"."""
    before, after = fold(text[: one.start]), fold(text[one.end :])
    return bool(
        re.search(r"(decompos\w*|zersetz\w*|descompon\w*|freez\w*|melt\w*)[^.;]{0,20}$", before)
        or re.match(r"\s*[(\[]?\s*(decompos|zersetz|descompon)", after)
    )


def _low_pressure(text: str, language: str) -> str:
    """The pressure a boiling point is given at, where it is not that of the air."""
    for place in _PRESSURE.finditer(fold(text)):
        normal = _NORMAL[place[2].replace(" ", "")]
        if not any(0.9 * normal < value < 1.1 * normal for value in number(place[1].rstrip(".,"), language)):
            return place[0]
    return ""


def _merged(found: list[Reading], text: str) -> list[Reading] | None:
    """Each temperature once, in degC where it stands in degF beside it; None where the two disagree."""
    celsius = _distinct([one for one in found if one.unit != "degF"])
    fahrenheit = _distinct([one for one in found if one.unit == "degF"])
    if celsius and fahrenheit:
        if len(celsius) != len(fahrenheit):
            return None
        for one, other in zip(celsius, fahrenheit, strict=True):
            if abs(one.low[0] - other.low[0]) > SAME or abs(one.high[0] - other.high[0]) > SAME:
                return None
    own = celsius or fahrenheit
    return [_range(*own)] if len(own) == 2 and _from_to(own, found, text) else own


def _from_to(own: list[Reading], found: list[Reading], text: str) -> bool:
    """Whether two figures are the ends of one range: "280 °F (138 °C) - 390 °F (199 °C)"."""
    first, last = own
    between = list(text[first.end : last.start])
    for one in found:
        if first.end <= one.start < last.start:
            between[one.start - first.end : one.end - first.end] = " " * (one.end - one.start)
    return (
        re.fullmatch(rf"[\s()/\[\]]*{RANGE}[\s()/\[\]]*", fold("".join(between))) is not None
        and first.low[0] <= last.low[0]
    )


def _range(first: Reading, last: Reading) -> Reading:
    return replace(first, high=last.high, end=last.end)


def _distinct(found: list[Reading]) -> list[Reading]:
    kept: list[Reading] = []
    for one in found:
        if all(abs(one.low[0] - other.low[0]) > 0.05 for other in kept):
            kept.append(one)
    return kept
