"""Rows to pairs of a label and its value, however they are laid out."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from safety.datasheet.labels import label
from safety.datasheet.rows import Cell, Row, in_columns
from safety.datasheet.text import fold, lead, squeezed

_NEAR = 4.0  # points: two things that begin at one edge
_LEADING = 1.5  # of the letters' size: rows of one entry lie no farther apart
_INSIDE = re.compile(r"(?:(?<=\s{2})|(?<=[;,.] ))(?=\S)|(?<=\s)(?=\S[^:;.]{2,40}:)")


#: The end of a line whose label goes on below.
_OPEN = re.compile(r"(?:\b(?:and|or|and/or|of|initial|y|e|o|de|oder|und|bzw\.?|inicial|relative)|[/,&(-])\s*$")


@dataclass(slots=True)
class Pair:
    key: str
    label: str
    value: str
    page: int
    left: float
    value_left: float | None
    bottom: float = 0.0
    size: float = 0.0
    rows: int = 1
    dashed: bool = False  # a dash between label and figure, that may be a minus or a mere mark
    more: list[str] = field(default_factory=list)

    @property
    def quote(self) -> str:
        return squeezed(f"{self.label} {self.value}")


def pairs(rows: list[Row], section: str) -> list[Pair]:
    """The labelled values of a section, in reading order."""
    found: list[Pair] = []
    open_: list[Pair] = []  # of the last row: what the next row may go on with
    for row in _unstacked(in_columns(rows), section):
        begun = list(_begun(row, section))
        if begun:
            found += begun
            # a column whose value is empty so far, or that stands beside the new label, may still go on below
            open_ = begun
        elif _parts_off(row, open_):
            open_ = []
        elif open_:
            _go_on(open_, row)
    for pair in found:
        pair.label, pair.value = squeezed(pair.label), squeezed(pair.value).lstrip(": ")
    filled = {pair.key for pair in found if pair.value}
    return [pair for pair in found if pair.value or pair.key not in filled]


def _parts_off(row: Row, open_: list[Pair]) -> bool:
    """Whether a row begins something else: a sub-section, or a label nobody knows with a value of its own."""
    if re.match(r"[\s•·*|#]*\d{1,2}\.\d{1,2}\.?\s", row.text):
        return True
    first = row.cells[0]
    return len(row.cells) > 1 and any(
        abs(first.left - pair.left) < _NEAR
        and first.text[:1].isupper()
        and pair.value_left is not None
        and any(abs(cell.left - pair.value_left) < _NEAR for cell in row.cells[1:])
        for pair in open_
    )


def _unstacked(rows: list[Row], section: str) -> list[Row]:
    """The rows with labels of several lines put on the first of them."""
    rows = [replace(row, cells=list(row.cells)) for row in rows]
    for at, row in enumerate(rows):
        for index, cell in enumerate(row.cells):
            below = list(_below(rows, at, cell))
            text, best = cell.text, 0
            whole = text
            for count, (_, under) in enumerate(below, 1):
                if (
                    _heads(under.text, section, not index)
                    and _heads(text, section, not index)
                    and not _OPEN.search(fold(whole))
                ):
                    break  # the label of the next entry
                whole = f"{whole} {under.text}"
                start = lead(whole, not index)
                if start >= len(cell.text):  # a value, and a label below it
                    break
                found = label(fold(whole), section, start)
                if found and found[1] > len(whole) - len(under.text):
                    text, best = whole, count
            if best:
                row.cells[index] = replace(cell, text=text)
                for line, under in below[:best]:
                    line.cells.remove(under)
    return [row for row in rows if row.cells]


def _below(rows: list[Row], at: int, cell: Cell) -> Iterator[tuple[Row, Cell]]:
    """The cells that go on right below another one."""
    for row in rows[at + 1 : at + 4]:
        under = next((one for one in row.cells if abs(one.left - cell.left) < _NEAR), None)
        if row.page != rows[at].page or row.gap > _LEADING * row.size or row.ruled or under is None:
            return
        yield row, under


def _begun(row: Row, section: str) -> Iterator[Pair]:
    current: Pair | None = None
    for index, cell in enumerate(row.cells):
        following = row.cells[index + 1].text if index + 1 < len(row.cells) else ""
        alone = bool(following) and not _heads(following, section, False)
        for count, (piece, left) in enumerate(_pieces(cell, section)):
            at = lead(piece, not index)
            found = label(fold(piece), section, at)
            if found and _is_label(piece, at, found[1], current):
                if current:
                    yield current
                current = _pair(found[0], piece, at, found[1], row, left, alone)
            elif current:
                current.value += ("  " if not count and current.value else " ") + piece
                if current.value_left is None:
                    current.value_left = left
    if current:
        yield current


def _heads(text: str, section: str, numbered: bool) -> bool:
    return label(fold(text), section, lead(text, numbered)) is not None


def _pieces(cell: Cell, section: str) -> Iterator[tuple[str, float]]:
    """A cell, cut before each further label that has a colon behind it."""
    text, left = cell.text, cell.left
    folded, wide = fold(text), (cell.right - left) / max(1, len(text))
    cuts = [0]
    for place in re.finditer(r"(?<=[\s(])\S", folded):
        at = place.start()
        if at <= cuts[-1]:
            continue
        found = label(folded, section, at)
        if (
            found
            and (re.match(r"[^.;:]{0,30}:(?!\d)", folded[found[1] :]) or folded[:at].rstrip()[-1:] in (";", "|", "·"))
            and ":" in folded[:at]
        ):
            cuts.append(at)
    for begin, end in zip(cuts, [*cuts[1:], len(text)], strict=True):
        yield text[begin:end].strip(), left + begin * wide


def _is_label(piece: str, at: int, end: int, current: Pair | None) -> bool:
    """Whether a known word heads a value here, and is not one: after an empty label it needs a colon or stands alone."""
    if current is None or current.value.strip():
        return True
    rest = piece[end:]
    return ":" in rest[:40] or (not rest.strip() and not at)


def _pair(key: str, piece: str, at: int, end: int, row: Row, left: float, alone: bool) -> Pair:
    """Cut at the colon; without one a cell before a value cell is all label, unless a figure follows the label."""
    colon = re.compile(r"[^:]{0,70}?(?:\([^)]*\)[^:]{0,30})?:(?!\d\d)").match(piece, end)
    if colon:
        end = colon.end()
    elif alone and not re.match(r"[\s=–—-]*[<>≤≥~]?\s*[\d–-]", piece[end:]):
        end = len(piece)
    name, value = piece[at:end], piece[end:]
    mark = re.match(r"\s*[-–—=:]\s+", value)
    figure = mark is not None and re.match(r"\s*[-–—]\s+[\d.,]", value) is not None
    if mark and not figure:
        value = value[mark.end() :]
    begins: float | None = left + right_of(piece, value) if value.strip() else None
    return Pair(key, name, value, row.page, left, begins, row.base, row.size, dashed=figure and not colon)


def right_of(piece: str, value: str) -> float:
    """About how far into a piece its value begins [points]: enough to tell two columns apart."""
    return 4.0 * (len(piece) - len(value.lstrip()))


def _go_on(open_: list[Pair], row: Row) -> None:
    """Add a row without a label of its own to the pairs above it, by column."""
    close = [
        pair
        for pair in open_
        if pair.page != row.page or row.base - pair.bottom < _LEADING * max(pair.size, row.size) + 2
    ]
    for cell in row.cells:
        target = next((p for p in close if p.value_left is not None and abs(cell.left - p.value_left) < _NEAR), None)
        if target is None:
            under = [p for p in close if abs(cell.left - p.left) < _NEAR]
            beside = [] if under and not under[-1].value.strip() else [p for p in open_ if cell.left > p.left + _NEAR]
            if (
                under
                and under[-1].value_left is not None
                and under[-1].value_left > under[-1].left + 30
                and len(row.cells) == 1
            ):
                under[-1].label += f" {cell.text}"  # a label of two lines
                under[-1].bottom = row.base
                continue
            target = beside[-1] if beside and beside[-1] in close else under[-1] if under else None
            if target is None and open_[-1].value.strip() == "":
                target = open_[-1]
        if target is not None:
            target.value += f" {cell.text}"
            target.value_left = cell.left if target.value_left is None else target.value_left
            target.bottom, target.rows = row.base, target.rows + 1
