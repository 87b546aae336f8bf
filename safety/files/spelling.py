"""How people write figures, ranges and ends of ranges, in three languages: our signs for theirs, and nothing milder.

The words are shared with the reader of data sheets. They are patterns over folded text (see :func:`fold`).
"""

from __future__ import annotations

import re
import unicodedata
from functools import lru_cache
from typing import Literal, NoReturn

from safety.files.toml import plain
from safety.words import joined, say

#: What stands before a number that is an end and not the value itself.
BELOW = r"(?:<|≤|=<|&lt;|less than(?: or equal to)?|lower than|below|under|not more than|no more than|max(?:imum|imal|imo)?\.?:?|up to|at most|(?:menor|inferior)(?: o igual)?(?: (?:de|que|al?))?|menos del?|por debajo del?|hasta|unter|kleiner(?: (?:oder )?gleich)?(?: als)?|bis zu|hochstens|weniger als)=?"
ABOVE = r"(?:>|≥|=>|&gt;|greater than(?: or equal to)?|more than|higher than|above|over|at least|not less than|min(?:imum|imal|imo)?\.?:?|(?:mayor|superior)(?: o igual)?(?: (?:de|que|al?))?|mas del?|por encima del?|al menos|uber|gros(?:s)?er(?: (?:oder )?gleich)?(?: als)?|mehr als|mindestens|mind\.)=?"
ABOUT = r"(?:~|≈|ca\.?|circa|approx(?:imately|\.)?|about|around|aprox(?:imadamente|\.)?|alrededor de|etwa|ungefahr|typ(?:ical(?:ly)?|\.)?)"
FROM = r"(?:from|starting at|desde|a partir de|ab|von)"
RANGE = r"(?:-|–|—|\bto\b|\ba\b|\bbis\b|\.\.\.?|…|\bhasta\b|\band\b|\bund\b|\by\b)"
_STRICT = re.compile(
    r"<(?!=)|&lt;(?!=)|less than(?! or)|lower than|below|under|(?:menor|inferior)(?! o)|menos de|por debajo|unter|kleiner(?! (?:oder )?gleich)|weniger"
)
_END = re.compile(rf"\s*(?:(?P<below>{BELOW}|bis)|(?P<above>{ABOVE})|(?P<about>{ABOUT}))\s*(?=-?\d)")
_FIGURE = r"-?\d[\d.]*"
_TWO = re.compile(
    rf"\s*(?:(?:between|entre|zwischen|{FROM})\s+|{ABOVE}\s*)?(?P<low>{_FIGURE})\s*(?P<unit>[^\d\s<≤–—-]*?)\s*{RANGE}"
    rf"\s*(?P<end>{BELOW})?\s*(?P<high>{_FIGURE})\s*(?P<last>\S.*?)\s*"
)
_COMMA = re.compile(r"\s*[+-]?[\d.]*,\d")
_COMMAS = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")
#: A small unit with three figures behind a point: in half of the languages spoken here that point parts thousands.
_POINT = re.compile(r"(?<![\d.,])([1-9]\d{0,2})\.(\d{3})(?=\s*(?:ml|cm3|cm\^3|cm³|mg|g)(?![\w/*^·]))", re.IGNORECASE)
#: Signs that keyboards and data sheets have for ours.
_SIGNS = str.maketrans({"\u2212": "-", "\u2010": "-", "\u2011": "-", "º": "°", "˚": "°", "\u00a0": " ", "\u202f": " "})
_DASH = re.compile(r"\A\s*[–—-]\s*(?=\d)")


class Miswritten(ValueError):
    """A value that cannot be read. ``wrong`` says why, ``write`` what to write instead ("" = the key's example)."""

    def __init__(self, wrong: str, write: str):
        self.wrong, self.write = wrong, write
        super().__init__(joined((wrong, write), "; "))


@lru_cache(8192)
def fold(text: str) -> str:
    """``text`` in small letters without accents, sign for sign: a place in it is a place in ``text``."""
    return "".join(map(_fold, text))


@lru_cache(1024)
def _fold(sign: str) -> str:
    if sign in "ºª":  # else letters
        return "°"
    low = unicodedata.normalize("NFD", sign)[0].lower()
    return low if len(low) == 1 else sign


def with_points(text: str) -> str:
    """A text with our signs and a point for each decimal comma. Raises Miswritten where a mark may part thousands."""
    text = _DASH.sub("-", text.translate(_SIGNS))
    if found := _POINT.search(text):
        _ask(text, found[1], found[2], ".")
    for whole, part in _COMMAS.findall(text):
        if len(part) == 3 and len(whole) <= 3 and not whole.startswith("0"):
            _ask(text, whole, part, ",")
    made = _COMMAS.sub(r"\1.\2", text)
    if _COMMA.match(made):
        write = say("write a point before decimals and nothing between thousands")
        raise Miswritten(say('"{value}" has a comma in the number', value=plain(text)), write)
    return made


def _ask(text: str, whole: str, part: str, mark: str) -> NoReturn:
    """Raise Miswritten: both readings are offered, each in a form that is not asked about again."""
    rest = text.replace(f"{whole}{mark}{part}", "{}", 1)
    readings = [rest.replace("{}", number, 1) for number in (f"{whole}.{part}", whole + part)]
    if _POINT.search(readings[0]):
        readings[0] = rest.replace("{}", f"{whole}.{part}0", 1)
    first, second = (plain(one).strip() for one in readings)
    wrong = say('"{text}" can be read in two ways', text=plain(text))
    raise Miswritten(wrong, say('write "{first}" or "{second}"', first=first, second=second))


def two_ends(text: str) -> tuple[str, str, str, str, bool] | None:
    """Low and high end of a range in one text, each with its unit, and whether the high end itself is not meant."""
    found = _TWO.fullmatch(fold(text))
    if not found:
        return None
    low, unit, high, last = (text[slice(*found.span(name))] for name in ("low", "unit", "high", "last"))
    return low, unit, high, last, bool(found["end"] and _STRICT.match(found["end"]))


def one_end(text: str) -> tuple[Literal["<", "≤", ">", "~"], str] | None:
    """The one end a text gives, and which; "~" where it only says about how much."""
    found = _END.match(fold(text))
    if not found:
        return None
    rest = text[found.end() :].strip()
    if found["below"]:
        return "<" if _STRICT.match(found["below"]) else "≤", rest
    return ">" if found["above"] else "~", rest
