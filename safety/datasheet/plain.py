"""A plain text to words with their places, on the grid of a typewriter."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterator

from safety.datasheet.page import MOST_SIGNS, Page, Source, Word, too_much
from safety.datasheet.refused import Refused
from safety.words import say

#: Signs this wide and lines this high [points].
GRID, LINE = 5.0, 10.0


def read_plain(raw: bytes) -> Source:
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
    # a tab parts two cells, also behind a text that ends just before its stop; so does an upright stroke
    for at, line in enumerate(page.replace("|", " ").replace("\t", " \t").expandtabs(8).split("\n"), 1):
        column = 0
        for piece in unicodedata.normalize("NFC", line).split(" "):
            if piece:
                yield Word(piece, column * GRID, (column + len(piece)) * GRID, at * LINE, 0.8 * LINE)
            column += len(piece) + 1
