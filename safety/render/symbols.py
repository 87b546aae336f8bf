"""Which standard hazard symbols a product carries, and the two words beneath each.

Links from hazard statement to symbol follow the Globally Harmonized System, annex 3 and
chapters 2 and 3, as taken over in 29 CFR 1910.1200 appendix C.
"""

from __future__ import annotations

from collections.abc import Iterable

from safety.words import message, term

#: Symbol code -> two words. The picture never stands alone.
_WORDS = {
    "GHS01": message("May explode"),
    "GHS02": message("Catches fire"),
    "GHS03": message("Feeds fire"),
    "GHS04": message("Gas pressure"),
    "GHS05": message("Burns skin"),
    "GHS06": message("Acute poison"),
    "GHS07": message("Harmful, irritant"),
    "GHS08": message("Lasting harm"),
    "GHS09": message("Harms water"),
}

_CODES = {
    "GHS01": "H200 H201 H202 H203 H204 H205 H240 H241",
    "GHS02": "H206 H207 H208 H220 H221 H222 H223 H224 H225 H226 H228 H241 H242 H250 H251 H252 H260 H261",
    "GHS03": "H270 H271 H272",
    "GHS04": "H280 H281",
    "GHS05": "H290 H314 H318",
    "GHS06": "H300 H301 H310 H311 H330 H331",
    "GHS07": "H302 H312 H315 H317 H319 H332 H335 H336 H420",
    "GHS08": "H304 H334 H340 H341 H350 H351 H360 H361 H370 H371 H372 H373",
    "GHS09": "H400 H410 H411",
}
_OF = {
    code: {symbol for symbol, codes in _CODES.items() if code in codes.split()}
    for line in _CODES.values()
    for code in line.split()
}


#: Every symbol there is.
CODES = tuple(_WORDS)


def words(code: str) -> str:
    """The words beneath a symbol, in the language being spoken."""
    return term(_WORDS[code])


def symbols(hazards: Iterable[str]) -> tuple[str, ...]:
    """The symbols of one product's H-codes ("H225", "H361d"), in the order of their codes.

    Precedence: corrosion takes away the exclamation mark that stands for skin or eye
    irritation; the health hazard sign for breathing allergy takes it away for skin allergy and
    irritation; the skull takes it away for acute toxicity (29 CFR 1910.1200 appendix C, C.2.1).
    """
    codes = {code.strip()[:4] for hazard in hazards for code in hazard.split("+")}
    skin_and_eyes = {"H315", "H319"}
    dropped: set[str] = set()
    if codes & {"H314", "H318"}:
        dropped |= skin_and_eyes
    if "H334" in codes:
        dropped |= skin_and_eyes | {"H317"}
    if any("GHS06" in _OF.get(code, ()) for code in codes):
        dropped |= {"H302", "H312", "H332"}
    return tuple(sorted({symbol for code in codes - dropped for symbol in _OF.get(code, ())}))
