"""Density and VOC content."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

from safety.datasheet.numbers import DENSITY, Reading, readings
from safety.datasheet.pairs import Pair
from safety.datasheet.record import Draft, Value
from safety.datasheet.text import fold
from safety.datasheet.words_of_value import about, absent, mixed
from safety.files.spelling import RANGE
from safety.words import say

_LIGHT, _HEAVY = 300.0, 4000.0  # kg/m3: what the product file takes
_AGREE = 0.012
#: Beside air: that is the vapour's.
_VAPOUR = re.compile(r"\b(?:air|aire|luft)\s*=\s*1")
_PER_GALLON = re.compile(
    r"(?:lbs?\.?|pounds?)\s?(?:/|per)\s?(?:us )?gal|(?:weight|wt\.?) ?(?:per|/) ?(?:us )?gal|peso por galon"
)


def density(draft: Draft, found: list[Pair]) -> None:
    good: list[tuple[Pair, float, list[str]]] = []
    for pair in found:
        one = _density(draft, pair)
        if one:
            good.append((pair, *one))
    if not good:
        if not found:
            draft.missing(say("No {what} was found.", what=say("density")))
        return
    pair, value, remarks = good[0]
    apart = [other for other, figure, _ in good[1:] if abs(figure - value) > _AGREE * value]
    if apart:
        both = "; ".join(f'"{one.quote}"' for one in (pair, *apart))
        draft.contradictory(
            say("Two values of the {what}, left out: {both}. Ask which holds.", what=say("density"), both=both)
        )
        return
    for remark in remarks:
        draft.careful(remark)
    draft.values["density"] = Value("density", f"{value / 1000:.4g} g/mL", pair.page, pair.quote, remarks, value)


def _density(draft: Draft, pair: Pair) -> tuple[float, list[str]] | None:
    name, quote = say("density"), pair.quote
    if _VAPOUR.search(fold(pair.quote)):
        return None
    if absent(pair.value):
        draft.missing(say('The {what} is not given (not determined): "{quote}".', what=name, quote=quote))
        return None
    value = pair.value.lstrip("-–— ") if pair.dashed else pair.value  # nothing weighs less than nothing
    found = readings(value, DENSITY, draft.language)
    if not found:
        unit = _unit_of(pair.label)
        found = _bare(value, draft.language, unit)
    if not found:
        draft.missing(
            say('The {what} is given without a figure that can be read, left out: "{quote}".', what=name, quote=quote)
        )
        return None
    words = about(
        pair.label,
        value,
        [(one.start, one.end) for one in found],
        r"\b(?:lbs?|pounds?|us|gal(?:lon)?s?|kg|g|ml|l|cm3|relative)\b",
    )
    if words.other or words.mixed:
        draft.not_of_the_product(name, quote)
        return None
    values = []
    for one in found:
        low, high = _plausible(one.low), _plausible(one.high)
        if low is None or high is None:
            draft.contradictory(
                say('The {what} cannot be right as printed, left out: "{quote}".', what=name, quote=quote)
            )
            return None
        values.append((low, high, one))
    if max(v[1] for v in values) > (1 + _AGREE) * min(v[1] for v in values):
        draft.contradictory(
            say(
                'Several values of the {what}, left out: "{quote}". Ask which holds for this can.',
                what=name,
                quote=quote,
            )
        )
        return None
    low, high, one = values[0]
    if one.bound in ("<", ">"):
        draft.missing(say('The {what} is only given as an end, left out: "{quote}".', what=name, quote=quote))
        return None
    return high, _density_remarks(name, quote, low, high, one)


#: A second figure right beside the first: that of another product, or of another column.
_BESIDE = re.compile(r"\d[.,]\d+\s+\d[.,]\d+\s*")


def _bare(text: str, language: str, unit: str) -> list[Reading]:
    """The first figure without a unit, or the range that it begins."""
    found = readings(text, DENSITY, language, unit)[:2]
    if len(found) == 2 and re.fullmatch(rf"\s*{RANGE}\s*", fold(text[found[0].end : found[1].start])):
        return [replace(found[0], high=found[1].high, end=found[1].end)]
    beside = len(found) == 2 and _BESIDE.fullmatch(text[found[0].start : found[1].end])
    return found if beside else found[:1]


def _density_remarks(name: str, quote: str, low: float, high: float, one: Reading) -> list[str]:
    """What a person has to know of how the figure was read."""
    remarks = []
    if high > low * 1.001:
        remarks.append(say('The {what} is a range; the upper end was taken: "{quote}".', what=name, quote=quote))
    if not one.plain and one.low[0] != low:
        remarks.append(
            say(
                'The mark in this figure parts thousands or decimals; only one reading is possible: "{quote}".',
                quote=quote,
            )
        )
    return remarks


def _unit_of(label: str) -> str:
    low = fold(label)
    if _PER_GALLON.search(low):
        return "lb/US_gal"
    for pattern, (name, _) in DENSITY.items():
        if re.search(pattern, low):
            return name
    return "g/mL"  # relative density, specific gravity: beside water


def _plausible(values: tuple[float, ...]) -> float | None:
    fitting = [value for value in values if _LIGHT <= value <= _HEAVY]
    return fitting[0] if len(fitting) == 1 else None


# ---------------------------------------------------------------- VOC

_Kind = Literal["content", "actual", "less", "limit", "mixed", "solids", "share"]
_LESS = re.compile(
    r"less|minus|exclud|exempt(?!,)|regulatory|coating|sin (?:el )?agua|ohne wasser|abzuglich|menos agua|net of"
)
_LIMIT = re.compile(r"limit|grenzwert|maximum permitted|valor maximo permitido|permitido|allowed|zulassig")
_CONTENT = re.compile(r"cont(?:ains?|ent|enido|iene)|enthalt|gehalt|max(?:imum|imal|imo)? (?:voc|cov)")
_ACTUAL = re.compile(r"actual|material|as (?:supplied|packaged|sold|delivered)|suministro|lieferzustand|total")
_SOLIDS = re.compile(r"solids|solidos|festkorper|of solid")


@dataclass(frozen=True, slots=True)
class _Voc:
    kind: _Kind
    low: float
    high: float
    bound: str
    pair: Pair


def voc(draft: Draft, found: list[Pair]) -> None:
    """The mass of VOC in a litre of the can. Draws on the density: put that in first."""
    seen = [one for pair in found for one in _vocs(draft, pair)]
    own = [one for one in seen if one.kind == "actual"] or [one for one in seen if one.kind == "content"]
    quotes = "; ".join(dict.fromkeys(f'"{one.pair.quote}"' for one in seen))
    if not own:
        _say_no_voc(draft, found, seen, quotes)
        return
    first = own[0]
    if any(abs(one.high - first.high) > max(1.0, 0.015 * first.high) for one in own):
        draft.contradictory(
            say("Several VOC contents, left out: {both}. Ask which is that of the can as sold.", both=quotes)
        )
        return
    remarks = []
    if any(one.kind in ("less", "limit", "mixed") for one in seen):
        remarks.append(
            say(
                "Of several VOC figures that of the can as sold was taken, not the one less water and exempt solvents, mixed, or a legal limit: {both}.",
                both=quotes,
            )
        )
    if first.bound == ">":
        draft.missing(
            say(
                "The {what} is only given as more than a figure, left out: {quote}.",
                what=say("VOC content"),
                quote=quotes,
            )
        )
        return
    if first.bound == "<" or first.high > first.low:
        remarks.append(say("The VOC content is a range or an end; the upper end was taken: {both}.", both=quotes))
    heavy = draft.values.get("density")
    if heavy and heavy.size and first.high > 1.015 * heavy.size:
        draft.contradictory(
            say(
                'The VOC content is more than the density, left out: {both}; "{quote}".', both=quotes, quote=heavy.quote
            )
        )
        return
    for remark in remarks:
        draft.careful(remark)
    draft.values["voc"] = Value("voc", f"{first.high:.4g} g/L", first.pair.page, first.pair.quote, remarks, first.high)


def _say_no_voc(draft: Draft, found: list[Pair], seen: list[_Voc], quotes: str) -> None:
    kinds = {one.kind for one in seen}
    if "mixed" in kinds:
        draft.missing(
            say("The VOC content is of the product mixed or thinned, not of this can; left out: {both}.", both=quotes)
        )
    elif "share" in kinds:
        draft.missing(say("The VOC content is only given as a percentage; left out: {both}.", both=quotes))
    elif kinds:
        draft.missing(say("The VOC content is not given for the can as sold; left out: {both}.", both=quotes))
    elif found:
        draft.missing(
            say('The {what} is not given (not determined): "{quote}".', what=say("VOC content"), quote=found[0].quote)
        )
    else:
        draft.missing(say("No {what} was found.", what=say("VOC content")))


def _vocs(draft: Draft, pair: Pair) -> Iterator[_Voc]:
    if absent(pair.value) == "absent":
        return
    default = next((name for pattern, (name, _) in DENSITY.items() if re.search(pattern, fold(pair.label))), "")
    found = readings(pair.value, DENSITY, draft.language, default)
    begin = 0
    for one in found:
        if re.match(r"\s*%", pair.value[one.end :]) or pair.value[one.start : one.end].rstrip().endswith("%"):
            continue  # the unit of the next figure is not this one's
        words = f"{pair.label} {pair.value[begin : one.start]} {_after(pair.value, one, found)}"
        begin = one.end
        low, high = _volatile(one.low, draft), _volatile(one.high, draft)
        if low is not None and high is not None:
            yield _Voc(_kind(words, pair.label), low, high, one.bound, pair)
    if not found and "%" in pair.value:
        yield _Voc("mixed" if mixed(pair.quote) else "share", 0, 0, "", pair)


def _after(text: str, one: Reading, found: list[Reading]) -> str:
    nearest = min((other.start for other in found if other.start > one.start), default=len(text))
    after, depth = re.split(r"[.;](?:\s|$)", text[one.end : nearest])[0], 0
    for at in range(len(after) - 1, -1, -1):  # what begins in brackets that are still open speaks of the next figure
        depth += {")": 1, "(": -1}.get(after[at], 0)
        if depth < 0:
            return after[:at] if nearest < len(text) else after
    return after


def _volatile(values: tuple[float, ...], draft: Draft) -> float | None:
    """The one value that a VOC content can have; two make it unreadable."""
    heavy = draft.values.get("density")
    most = 1.015 * heavy.size if heavy and heavy.size else 1800.0
    fitting = [value for value in values if 0 <= value <= most]
    if len(values) == 1:
        return values[0]
    return fitting[0] if len(fitting) == 1 else None


def _kind(words: str, label: str) -> _Kind:
    low = fold(words)
    if mixed(low):
        return "mixed"
    if _SOLIDS.search(low):
        return "solids"
    if re.search(r"exempt", low) and not re.search(r"less|minus|exclud", low):
        return "content"  # "0 g/L (exempt)"
    if _ACTUAL.search(low) and not re.search(r"less|minus", low):
        return "actual"
    if _LESS.search(low):
        return "less"
    limit, content = list(_LIMIT.finditer(low)), list(_CONTENT.finditer(low))
    if limit and (not content or limit[-1].start() > content[-1].start()):
        return "limit"
    return "content"
