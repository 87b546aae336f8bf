"""How data sheets print the share of a part, and what that says of its ends."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal

from safety.datasheet.numbers import NUMBER, number
from safety.datasheet.text import fold
from safety.files.spelling import ABOUT, ABOVE, BELOW, FROM

Kind = Literal["given", "about", "upper", "lower", "balance", "withheld", "volume", "letter"]
BALANCE = re.compile(
    r"\b(?:balance|remainder|rest\b|resto|q\.?\s?s\.?(?:\s?p\.?)?|to 100|ad 100|hasta 100|bis 100|auf 100|up to 100 ?%|c\.?s\.?p\.?|restlich\w*|bal\.?$)"
)
WITHHELD = re.compile(
    r"trade secret|proprietary|confidential|withheld|not disclosed|secreto|confidencial|betriebsgeheimnis|geschaftsgeheimnis|vertraulich|nicht angegeben|njts|propietario|reservado"
)
#: What may stand beside such a word where a cell says that and nothing else.
_BESIDE_WITHHELD = re.compile(
    r"\b(?:comercial|industrial|empresarial|business|company|information|informacion|cas|no|nr|number|numero|nummer|identity|as|claim(?:ed)?)\b"
)
_TRACE = re.compile(r"^(?:traces?|trazas|spuren)\b")
_VALUE = rf"(?P<{{0}}>{NUMBER})"
_UNIT = r"(?:\s*(?:%|ppm|wt\.?|w/w|gew\.?-?%?|peso|p/p|m/m|by weight|en peso|masse-?%?|vol\.?-?%?|v/v|\(w/w\)|by vol\.?(?:ume)?))*"
_LESS, _MORE = r"(?:<\s?=?|≤|=<)", r"(?:>\s?=?|≥|=>)"
_VAR = r"(?:[xc]|conc\.?)?"
_RANGE = re.compile(
    rf"(?:between|entre|zwischen|from|von|ab|de|desde)?\s*(?P<about>{ABOUT})?\s*(?P<more>{ABOVE}|{_MORE})?\s*(?P<a>{NUMBER}){_UNIT}\s*(?:{_LESS}\s*{_VAR}\s*)?(?:[-–—]|\bto\b|\ba\b|\bbis\b|\by\b|\band\b|\bund\b|\.\.\.?|…|;|,\s)?\s*(?P<less>{BELOW}|{_LESS})?\s*(?P<b>{NUMBER}){_UNIT}"
)
_ONE = re.compile(rf"(?P<sign>{BELOW}|bis|{ABOVE}|{FROM}|{ABOUT}|{_LESS}|{_MORE})?\s*(?P<a>{NUMBER}){_UNIT}")
#: "20 (±2)".
_AROUND = re.compile(rf"(?P<a>{NUMBER}){_UNIT}\s*\(?\s*(?:±|\+\s?/\s?[-–−])\s*(?P<b>{NUMBER}){_UNIT}\)?{_UNIT}")
#: "10 -": an end left open.
_PRINTED = re.compile(r"^[\s*†‡()a-z]*$")


@dataclass(frozen=True, slots=True)
class Share:
    low: float  # %
    high: float
    kind: Kind


def share(text: str, language: str, head: str = "") -> Share | None:
    """The share printed in a cell; None where the cell holds none. ``head`` is what stands over its column."""
    low = fold(text).strip().strip("*†‡#¹²³ ")
    low = re.sub(r"(?<=[\d%])\s*(?:[*†‡]+|\(\d\)|\[\d\])|(?<=%)\d$", "", low).strip()
    if not low:
        return None
    over = fold(head)
    if BALANCE.search(low):
        return Share(0, 100, "balance")
    if WITHHELD.search(low):  # beside figures it says why they are a range
        low = WITHHELD.sub(" ", low).strip(" *†‡#()[],;:")
        if not re.search(r"\d", low):
            return Share(0, 100, "withheld")
    if _TRACE.match(low):
        return Share(0, 100, "withheld")
    volume = re.search(r"vol\.?(?:ume)?\b|v/v|\bmol\b|mol[ .-]?%", f"{low} {over}") is not None and "weight" not in low
    made = _made(low, language, over)
    if made is None:
        return None
    return Share(made.low, made.high, "volume") if volume else made


def only_withheld(text: str) -> bool:
    """Whether a cell says that something is withheld, and nothing else: "proprietary", "secreto comercial"."""
    rest, words = WITHHELD.subn(" ", fold(text))
    return words > 0 and not re.search(r"\w", _BESIDE_WITHHELD.sub(" ", rest))


def _made(low: str, language: str, over: str) -> Share | None:
    factor = 1e-4 if "ppm" in low or ("ppm" in over and "%" not in low) else 1.0
    two = _RANGE.fullmatch(low)
    if two and (
        two["less"] or re.search(r"[-–—…;]|\.\.|to|\ba\b|bis|\by\b|and|und|<|≤|, ", low[two.end("a") : two.start("b")])
    ):
        a, b = _figure(two["a"], language, factor), _figure(two["b"], language, factor)
        if a is None or b is None:
            return None
        a, b = a * factor, b * factor
        return Share(a, b, "about" if two["about"] else "given") if 0 <= a <= b <= 100 else None
    around = _AROUND.fullmatch(low)
    if around:
        middle, off = (_figure(around[name], language, factor) for name in ("a", "b"))
        if middle is None or off is None or not 0 <= (middle - off) * factor <= (middle + off) * factor <= 100:
            return None
        return Share((middle - off) * factor, (middle + off) * factor, "given")
    one = _ONE.fullmatch(low)
    if not one:
        return None
    value = _figure(one["a"], language, factor)
    if value is None or not 0 <= value * factor <= 100:
        return None
    value *= factor
    sign = one["sign"] or ""
    if re.fullmatch(rf"{BELOW}|bis|{_LESS}", sign) or (
        not sign and re.search(r"less than|<|≤|\bmax|up to|hasta|bis\b|hochst", over)
    ):
        return Share(0, value, "upper")
    if re.fullmatch(rf"{ABOVE}|{FROM}|{_MORE}", sign) or (not sign and re.search(r"more than|>|≥|\bmin", over)):
        return Share(value, 100, "lower")
    return Share(value, value, "about" if sign else "given")


def _figure(text: str, language: str, factor: float) -> float | None:
    """A share: where a mark can part decimals or thousands, the likelier reading that is no more than everything."""
    found = number(text, language)
    fitting = [value for value in found if value * factor <= 100] or list(found)
    return fitting[0] if fitting else None


def legend(text: str, language: str) -> dict[str, Share]:
    """Letters or stars that stand for ranges: "A: 1 - 5 %; B: 5 - 10 %"."""
    found: dict[str, Share] = {}
    for letter, printed in re.findall(
        rf"(?<![A-Za-z])([A-Z]|\*{{1,4}})\s*[=:]\s*((?:[<>≤≥]\s?=?\s*)?{NUMBER}[^A-Z;*]{{0,22}}%)", text
    ):
        one = share(printed.strip(" ,;"), language)
        if one:
            found[letter] = one
    return found
