"""Words with their places on the pages of a data sheet, and how much of them there may be."""

from __future__ import annotations

from dataclasses import dataclass, field

from safety.datasheet.refused import Refused
from safety.words import say

MOST_PAGES = 120
MOST_SIGNS = 1_500_000  # in all pages together
#: A file with fewer letters is a picture, and a stamp on it.
LEAST_LETTERS = 200


@dataclass(slots=True)
class Word:
    text: str
    left: float
    right: float
    base: float  # of its line, counted from the top of the page
    size: float


@dataclass(slots=True)
class Page:
    number: int  # from 1
    words: list[Word]
    rules: list[tuple[float, float, float]] = field(default_factory=list)  # level lines: left, right, base


@dataclass(slots=True)
class Source:
    """What a file holds, and what has to be said of how it was read."""

    pages: list[Page]
    remarks: list[str] = field(default_factory=list)


def too_much() -> Refused:
    return Refused(say("it holds far more text than a data sheet; save the sheet alone as a file"))
