"""The two words beneath each standard hazard symbol."""

from __future__ import annotations

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

#: Every symbol there is.
CODES = tuple(_WORDS)


def words(code: str) -> str:
    """The words beneath a symbol, in the language being spoken."""
    return term(_WORDS[code])
