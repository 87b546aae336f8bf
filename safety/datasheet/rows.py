"""Words to rows of cells, as a person sees them across the page."""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from operator import attrgetter
from statistics import median

from safety.datasheet.headings import heading
from safety.datasheet.page import Page, Word

#: A gap wider than this share of the letters' size parts two cells.
_CELL = 1.15
#: Words whose feet are this close (share of the larger size) stand on one line: a raised figure does.
_LINE = 0.42
#: Cells of so many rows that begin at one place are a column.
_COLUMN = 3
#: How far two headings of a column may begin from each other [points].
_SIDE = 3.0
#: So many times the usual size of letters is no text.
_HUGE = 3.2
#: A header may stand so much higher or lower from page to page [points].
_SAME_PLACE = 4.0
#: So far above or below the text stands the number of a page, in sizes of its letters.
_APART_FROM = 1.8
#: So many letters, each by itself and no farther apart than this share of their size, are a word printed wide.
_LETTERS, _APART = 5, 0.95
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
    pages = [replace(page, words=_no_stamp(page.words)) for page in pages]
    found = [[row for column in _columns(page) for row in _page_rows(column)] for page in pages]
    repeated = _repeated(found)
    body: list[Row] = []
    margin: list[Row] = []
    for page in found:
        last = None
        edges = _edges(page, repeated)
        for at, row in enumerate(page):
            numbered = _PAGE_NUMBER.fullmatch(row.text) and _alone(page, at)
            aside = at in edges or _CONTINUED.match(row.text) or numbered
            (margin if aside else body).append(row)
            if not aside:
                row.gap = row.base - last.base if last else 0.0
                last = row
    return body, margin


def _edges(page: list[Row], repeated: set[tuple[str, int]]) -> set[int]:
    """Which rows head or foot a page: what comes again, from its edge to the first row that does not or that heads a
    section. Two parts of a kit have the same lines at the same places, and each is its own.
    """

    def run(order: Iterable[int]) -> list[int]:
        return list(itertools.takewhile(lambda at: _key(page[at]) in repeated and not _heads(page[at]), order))

    foot = run(range(len(page) - 1, -1, -1))
    while foot and foot[-1] and page[foot[-1]].base - page[foot[-1] - 1].base <= _APART_FROM * page[foot[-1]].size:
        foot.pop()  # what follows the text at once belongs to it
    return {*run(range(len(page))), *foot}


def _heads(row: Row) -> bool:
    found = heading(row.text)
    return found is not None and bool(found[2])


def _alone(page: list[Row], at: int) -> bool:
    """Whether a row stands apart at the head or foot of its page: a figure there counts pages, elsewhere it is a value."""
    row = page[at]
    if at == len(page) - 1:
        return at == 0 or row.base - page[at - 1].base > _APART_FROM * row.size
    return at == 0 and page[1].base - row.base > _APART_FROM * row.size


def _no_stamp(words: list[Word]) -> list[Word]:
    """Without what is printed so large that it lies across the lines: a stamp, a watermark."""
    usual = median([word.size for word in words]) if words else 0.0
    return [word for word in words if word.size <= _HUGE * usual]


def _columns(page: Page) -> list[Page]:
    """A page, or its two columns of text side by side: where numbered headings begin in its right half."""
    rows = list(_page_rows(page))
    width = max((word.right for word in page.words), default=0.0)
    lefts = sorted(
        cell.left
        for row in rows
        for cell in row.cells
        if cell.left > 0.4 * width and (found := heading(cell.text)) is not None and found[2]
    )
    gutter = next((left for left in lefts if sum(abs(other - left) < _SIDE for other in lefts) >= 2), None)
    if gutter is None:
        return [page]
    apart = [word for word in page.words if word.left >= gutter - _SIDE]
    beside = [word for word in page.words if word.left < gutter - _SIDE]
    if any(word.right > gutter + _SIDE for word in beside if word.size < 14):
        return [page]  # words run through: a table
    # a table that goes on at the head of the next column keeps its places
    aside = min(word.left for word in apart) - min((word.left for word in beside), default=0.0)
    moved = [replace(word, left=word.left - aside, right=word.right - aside) for word in apart]
    return [replace(page, words=beside), replace(page, words=moved)]


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
        words = _together(sorted(line, key=attrgetter("left")))
        yield Row(page.number, base, size, words, _cells(words), 0.0, ruled)
        above = base


def _together(words: list[Word]) -> list[Word]:
    """Words printed with their letters apart, put together: "F l a s h  p o i n t"."""
    made: list[Word] = []
    run: list[Word] = []
    for word in [*words, None]:
        near = run and word and word.left - run[-1].right < _APART * word.size
        if word and len(word.text) == 1 and (near or not run):
            run.append(word)
            continue
        made += _joined(run)
        run = [word] if word and len(word.text) == 1 else []
        if word and not run:
            made.append(word)
    return made


def _joined(run: list[Word]) -> list[Word]:
    if len(run) < _LETTERS or sum(word.text.isalpha() for word in run) < 0.7 * len(run):
        return run
    gaps = [after.left - before.right for before, after in itertools.pairwise(run)]
    usual = median(gaps)
    made = [replace(run[0])]
    for word, gap in zip(run[1:], gaps, strict=True):
        if gap <= 1.6 * usual + 0.1:
            made[-1].text += word.text
            made[-1].right = word.right
        else:
            made.append(replace(word))
    return made


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
        begins = (
            cells
            and not (_GOES_ON.search(cells[-1].text) and _FIGURE.match(word.text))
            and not (_TO.match(word.text) and re.search(r"\d\s*%?$", cells[-1].text))
            and any(cells[-1].right - 1 <= edge and abs(word.left - edge) < 2.5 for edge in edges or ())
        )
        if cells and gap < _CELL * max(size, word.size) and not begins:
            joint = "" if gap < 0.12 * max(size, word.size) and _sticks(cells[-1].text, word) else " "
            cells[-1].text += joint + word.text
            cells[-1].right = max(cells[-1].right, word.right)
        else:
            cells.append(Cell(word.text, word.left, word.right))
        size = word.size
    return cells


#: The beginning of a range, whose end stands in the same cell wherever other columns begin: "40 -".
_GOES_ON = re.compile(r"\d\s*%?\s*(?:[-–—]|to|bis|a|hasta)\s*(?:[<≤]\s?=?)?$")
_FIGURE = re.compile(r"[<≤≥>=]|\d|%")
#: And what goes on behind its first figure: "- 30".
_TO = re.compile(r"(?:[-–—]|to|bis|a|hasta|%)$")


def _sticks(before: str, word: Word) -> bool:
    """Whether two pieces printed without a gap are one word: a raised figure after its unit, a cut word."""
    return before[-1:].isalnum() and word.text[:1].isalnum()


def _key(row: Row) -> tuple[str, int]:
    """The row with its figures taken out, so that page numbers do not tell two headers apart, and its place."""
    return re.sub(r"\d+", "#", row.text.casefold()), round(row.base / _SAME_PLACE)


def _repeated(pages: list[list[Row]]) -> set[tuple[str, int]]:
    """What stands at one place at the head or foot of most pages. The head of a table comes again elsewhere."""
    if len(pages) < 2:
        return set()
    seen = Counter(key for page in pages for key in {_key(row) for row in (*page[:6], *page[-5:])})
    found = set()
    for text, place in seen:
        count = sum(seen[text, near] for near in (place - 1, place, place + 1))
        if count >= 2 and count > len(pages) / 2:
            found.add((text, place))
    return found
