"""CAS and EC numbers among the other numbers of a data sheet."""

from __future__ import annotations

import re
from collections.abc import Iterable

from safety.files.notation import Miswritten, cas

_CAS = re.compile(r"(?<![\d-])(?<!\d\.)0*(\d{2,7})\s?-\s?(\d{2})\s?-\s?(\d)(?![\d]|-\d)")
_EC = re.compile(r"(?<![\d-])(\d{3}-\d{3}-\d)(?![\d]|-\d)")
_DASH = str.maketrans("–—−‐‑", "-----")
#: Numbers and their labels that stand in the cell of a name and are no part of it.
_NOT_NAME = (
    r"(?:[-–;,]\s*)?(?:reach|registr\w*|reg\.?)[^\d:]{0,45}:?\s*(?:01-\s?\d{10}-\s?\d{2}(?:-\s?[\dX]{4})?)?",
    r"01-\s?\d{10}-\s?\d{2}(?:-\s?[\dX]{4})?",
    r"\(?(?:ec[ -]?)?(?:index|indice|índice)[^\d]{0,14}\d{3}-\d{3}-\s?\d{2}-[\dX]",
    r"\d{3}-\d{3}-\s?\d{2}-[\dX]",
    r"(?:\(?(?:ec|ce|eg|einecs|elincs|nlp|list)\b[^\d(]{0,14})?(?<![\d-])\d{3}-\d{3}-\d(?![\d-])\)?",
    r"(?:\(?cas\b[^\d(]{0,14})?(?<![\d-])\d{2,7}-\d{2}-\d(?![\d-])\)?",
    r"\b(?:cas|ec|ce|eg|einecs|elincs|index|reach)(?:[ -]?(?:no|nr|number|nummer|n\.?º|n\.?°)\.?)?\s*:\s*(?:-|–|n/?a\.?|not available|none)?",
)
_STRIP = re.compile("|".join(_NOT_NAME), re.IGNORECASE)


def joined(lines: Iterable[str]) -> str:
    """The lines of one cell: a number or word broken at a hyphen is put together."""
    text = ""
    for line in lines:
        line = line.strip().translate(_DASH) if re.fullmatch(r"[\d\s–—−‐‑-]+", line) else line.strip()
        if text.endswith(("-", "–")) and line[:1].isalnum() and text[-2:-1].isalnum():
            text += line
        else:
            text = f"{text} {line}" if text else line
    return text


def cas_numbers(text: str) -> list[str]:
    """What is written like a CAS number, right or wrong, without blanks and leading zeros."""
    return list(dict.fromkeys("-".join(found) for found in _CAS.findall(text.translate(_DASH))))


def ec_numbers(text: str) -> list[str]:
    return list(dict.fromkeys(_EC.findall(text.translate(_DASH))))


def apart_from_numbers(text: str) -> str:
    """A text without the CAS and EC numbers in it."""
    return _EC.sub(" ", _CAS.sub(" ", text.translate(_DASH)))


def is_cas(text: str) -> bool:
    try:
        return cas(text) == text
    except Miswritten:
        return False


def last_digit(text: str) -> str:
    """What the last digit of a mistyped CAS number would have to be."""
    return next((digit for digit in "0123456789" if is_cas(text[:-1] + digit)), "?")


def without_numbers(text: str) -> str:
    """A name without the numbers and their labels that stand in its cell."""
    return _STRIP.sub(" ", text.translate(_DASH))
