"""Ranges that a line's end cuts in two: "30 -", and "45 %" below it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from safety.datasheet.numbers import NUMBER
from safety.datasheet.rows import Row
from safety.datasheet.text import fold

#: A figure and what a range goes on with; no end of a CAS or EC number, which has a figure before its dash.
_OPEN = re.compile(r"(?<![\w.,-])\d{1,3}(?:[.,]\d+)?\s*%?\s*(?:[-–—]|\b(?:bis|to|hasta|a)\b)\s*[<≤]?\s*$")
_OTHER_END = re.compile(rf"\s*[<≤]?\s*{NUMBER}\s*(?:(?:gew|wt|vol|mass?e?)?\.?\s?-?\s?%)?(?:\s*(?:w/w|p/p|m/m))?\s*")


def is_open(text: str) -> bool:
    """Whether a cell ends in a range whose other end does not stand there."""
    return _OPEN.search(text) is not None


def whole_ranges(rows: list[Row]) -> Iterator[Row]:
    """The rows, with an end that stands alone in the next line put back behind its range."""
    held: Row | None = None
    for row in rows:
        if held is not None and is_open(held.text) and len(row.cells) == 1 and _OTHER_END.fullmatch(fold(row.text)):
            held = _behind(held, row)
            continue
        if held is not None:
            yield held
        held = row
    if held is not None:
        yield held


def _behind(row: Row, end: Row) -> Row:
    """A row with the words of another one behind its last."""
    last = row.cells[-1]
    move = last.right + row.size / 3 - end.left
    words = [replace(word, left=word.left + move, right=word.right + move) for word in end.words]
    cell = replace(last, text=f"{last.text} {end.text.strip()}", right=words[-1].right)
    return replace(row, words=[*row.words, *words], cells=[*row.cells[:-1], cell])
