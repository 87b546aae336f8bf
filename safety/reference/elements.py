"""Elements by their symbols, and those of a molecular formula."""

from __future__ import annotations

import re

from safety.files.notation import Miswritten
from safety.words import say

_SYMBOL = re.compile(r"[A-Z][a-z]?")
_FORMULA = re.compile(r"(?:[A-Z][a-z]?[0-9]*)+")

#: Symbols of the elements that things people work with are made of.
ELEMENTS = frozenset(_SYMBOL.findall("HLiBCNOFNaMgAlSiPSClKCaTiVCrMnFeCoNiCuZnGeAsSeBrSrZrMoAgCdSnSbTeIBaWPtAuHgPbBi"))


def formula(value: object) -> tuple[str, ...]:
    """The elements of a molecular formula such as "C2Cl4", each once. Raises Miswritten."""
    if not isinstance(value, str) or not _FORMULA.fullmatch(value):
        raise Miswritten(say("this is not a molecular formula"), say('write for example "C2Cl4"'))
    return symbols(_SYMBOL.findall(value))


def symbols(value: object) -> tuple[str, ...]:
    """A list of symbols, each once. Raises Miswritten."""
    if not isinstance(value, list) or not value:
        raise Miswritten(say("this must be a list of elements"), say('write for example elements = ["C", "H"]'))
    for symbol in value:
        if symbol not in ELEMENTS:
            wrong = say('"{symbol}" is no element', symbol=symbol)
            raise Miswritten(wrong, say("write its symbol with a capital, such as Cl"))
    return tuple(dict.fromkeys(value))
