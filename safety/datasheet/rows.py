"""Words to rows of cells, as a person sees them across the page."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from operator import attrgetter

from safety.datasheet.page import Page, Word

#: A gap wider than this share of the letters' size parts two cells.
_CELL = 1.15
#: Words whose feet are this close (share of the larger size) stand on one line: a raised figure does.
_LINE = 0.42
#: Cells of so many rows that begin at one place are a column.
_COLUMN = 3
_CONTINUED = re.compile(
    r"[-(\[ ]*(to be continued|continued (on|from) (the )?(next |previous )?page|fortsetzung (auf|von) seite"
    r"|contin[uú]a en la p[aá]gina|(fin|end|ende) (de la ficha|of (the )?(safety data )?sheet|des sicherheitsdatenblatt))",
    re.IGNORECASE,
)
_PAGE_NUMBER = re.compile(
    r"[-– ]*((page|p[aá]gina|seite|p[aá]g\.?|p\.)[\s:.]*)?\d{1,3}\s*((/|of|de|von|out of)\s*\d{1,3})?[-– ]*",
    re.IGNORECASE,
)


@dataclass(slots=True)
class Cell:
    text: str
    left: float
    right: float


@dataclass(slots=True)
class Row:
    page: int
    base: float
    size: float
    words: list[Word]  # from left to right
    cells: list[Cell]
    #: Distance to the row above on the page, 0 for the first; and whether a drawn line lies between.
    gap: float = 0.0
    ruled: bool = False

    @property
    def left(self) -> float:
        return self.cells[0].left

    @property
    def text(self) -> str:
        return " ".join(cell.text for cell in self.cells)


def rows(pages: list[Page]) -> tuple[list[Row], list[Row]]:
    """All rows in reading order, and apart from them those that head or foot the pages."""
    found = [list(_page_rows(page)) for page in pages]
    repeated = _repeated(found)
    body: list[Row] = []
    margin: list[Row] = []
    for page in found:
        last = None
        for row in page:
            aside = _key(row) in repeated or _CONTINUED.match(row.text) or _PAGE_NUMBER.fullmatch(row.text)
            (margin if aside else body).append(row)
            if not aside:
                row.gap = row.base - last.base if last else 0.0
                last = row
    return body, margin


def _page_rows(page: Page) -> Iterator[Row]:
    lines: list[list[Word]] = []
    heights: list[tuple[float, float]] = []  # foot and size of each line's largest word
    for word in sorted(page.words, key=attrgetter("base", "left")):
        for at in range(len(lines) - 1, max(-1, len(lines) - 6), -1):
            base, size = heights[at]
            if abs(word.base - base) <= _LINE * max(size, word.size):
                lines[at].append(word)
                if word.size > size:
                    heights[at] = (word.base, word.size)
                break
        else:
            lines.append([word])
            heights.append((word.base, word.size))
    above = 0.0
    for line, (base, size) in sorted(zip(lines, heights, strict=True), key=lambda pair: pair[1]):
        ruled = any(above < at < base - 0.1 for _, _, at in page.rules) if above else False
        words = sorted(line, key=attrgetter("left"))
        yield Row(page.number, base, size, words, _cells(words), 0.0, ruled)
        above = base


def in_columns(rows: list[Row], edges: Iterable[float] = ()) -> list[Row]:
    """The rows cut also where a column begins: where the cells of several rows do."""
    begins: Counter[int] = Counter(round(cell.left) for row in rows for cell in row.cells[1:])
    common = [at for at in begins if begins[at] + begins[at + 1] >= _COLUMN]
    return [replace(row, cells=_cells(row.words, [*edges, *common])) for row in rows]


def _cells(words: list[Word], edges: list[float] | None = None) -> list[Cell]:
    cells: list[Cell] = []
    size = 0.0
    for word in words:
        gap = word.left - cells[-1].right if cells else 0.0
        begins = cells and any(cells[-1].right - 1 <= edge and abs(word.left - edge) < 2.5 for edge in edges or ())
        if cells and gap < _CELL * max(size, word.size) and not begins:
            joint = "" if gap < 0.12 * max(size, word.size) and _sticks(cells[-1].text, word) else " "
            cells[-1].text += joint + word.text
            cells[-1].right = max(cells[-1].right, word.right)
        else:
            cells.append(Cell(word.text, word.left, word.right))
        size = word.size
    return cells


def _sticks(before: str, word: Word) -> bool:
    """Whether two pieces printed without a gap are one word: a raised figure after its unit, a cut word."""
    return before[-1:].isalnum() and word.text[:1].isalnum()


def _key(row: Row) -> str:
    """The row with its figures taken out, so that page numbers do not tell two headers apart."""
    return re.sub(r"\d+", "#", row.text.casefold())


def _repeated(pages: list[list[Row]]) -> set[str]:
    if len(pages) < 2:
        return set()
    seen: Counter[str] = Counter()
    for page in pages:
        edge = [*page[:6], *page[-5:]]
        seen.update({f"{_key(row)}" for row in edge})
    return {key for key, count in seen.items() if count >= 2 and count > len(pages) / 2}
