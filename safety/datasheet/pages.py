"""A data sheet's file to words with their places: a PDF with a text layer, or a plain text."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from safety.datasheet.refused import Refused
from safety.words import say

LARGEST = 60_000_000  # bytes
MOST_PAGES = 120
MOST_SIGNS = 1_500_000  # in all pages together
#: A plain text is laid on a grid of signs this wide and lines this high [points].
GRID, LINE = 5.0, 10.0
#: A page of a form feed or of this many lines: what a typewriter had.
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


def read(path: Path) -> Source:
    """The pages of a PDF or a plain text. Raises Refused where there is no text to trust."""
    with path.open("rb") as stream:
        raw = stream.read(LARGEST + 1)
    if len(raw) > LARGEST:
        raise Refused(say("it is larger than 60 MB, and a data sheet is not; save the sheet alone as a file"))
    if not raw.strip():
        raise Refused(say("the file is empty"))
    if b"%PDF-" not in raw[:1024]:
        return _plain(raw)
    from safety.datasheet.pdf import read_pdf

    return read_pdf(raw)


def too_much() -> Refused:
    return Refused(say("it holds far more text than a data sheet; save the sheet alone as a file"))


def _plain(raw: bytes) -> Source:
    text = _decoded(raw)
    if len(text) > MOST_SIGNS:
        raise too_much()
    odd = sum(not c.isprintable() and c not in "\n\t\f" for c in text)
    if odd > len(text) / 50:
        raise Refused(say("it is neither a PDF nor plain text; save the data sheet as PDF"))
    return Source([Page(n, list(_grid(page))) for n, page in enumerate(text.split("\f"), 1)])


def _decoded(raw: bytes) -> str:
    wide = raw[:2] in (b"\xff\xfe", b"\xfe\xff")
    for coding in ("utf-16",) if wide else ("utf-8-sig", "cp1252", "latin-1"):
        try:
            return raw.decode(coding).replace("\r\n", "\n").replace("\r", "\n")
        except UnicodeDecodeError:
            continue
    raise Refused(say("it is neither a PDF nor plain text; save the data sheet as PDF"))


def _grid(page: str) -> Iterator[Word]:
    for at, line in enumerate(page.expandtabs(8).split("\n"), 1):
        column = 0
        for piece in unicodedata.normalize("NFC", line).split(" "):
            if piece:
                yield Word(piece, column * GRID, (column + len(piece)) * GRID, at * LINE, 0.8 * LINE)
            column += len(piece) + 1
