"""Small readings of text that every part of the reader needs."""

from __future__ import annotations

import re

from safety.files.spelling import fold as fold

#: Marks before a label: bullets, marks of changed lines; numbers of sub-sections.
_NUMBER = re.compile(
    r"[\s•·▪■●►*|#–-]*(?:\(?\d{1,2}(?:\.\d{1,2})+\.?\)?\s+|\(?[a-z]\)\s*|\d{1,2}[.)]\s+|[ivx]{1,4}\)\s*)?[\s•·*|#:–-]*(?=[^\W\d]|%)"
)

_LETTER = re.compile(r"[\s•·▪■●►*|#–-]*(?:(?:\(?[a-z]\)|\d{1,2}(?:\.\d{1,2}){2,3}\.?)\s+(?=[^\W\d]|%))?")


def lead(text: str, first: bool) -> int:
    """How many signs of bullets and numbering stand before the words. Only the first cell of a row has short numbers."""
    found = (_NUMBER if first else _LETTER).match(fold(text))
    return found.end() if found else 0


def squeezed(text: str) -> str:
    """``text`` with single blanks."""
    return " ".join(text.split())


def key(text: str) -> str:
    """Letters and figures only, for comparing what was printed in two places."""
    return re.sub(r"[^a-z0-9]+", " ", fold(text)).strip()
