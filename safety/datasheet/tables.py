"""A table without lines: its columns from what stands over them, its rows from gaps, lines and numbers."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from statistics import median
from typing import Literal

from safety.datasheet.identifiers import without_numbers
from safety.datasheet.rows import Cell, Row
from safety.datasheet.text import fold, squeezed

Kind = Literal["name", "cas", "ec", "share", "least", "most", "class", "limits", "other"]
_HEADS: tuple[tuple[Kind, str], ...] = (
    ("limits", r"specific|spezifische|especific|\bscl\b|m-?fact|\bate\b|\bpel\b|\btlv\b|\bstel\b|\boel|\bidlh|\bwel\b|\bagw\b|\bvla|exposure|limite|grenzwert|ceiling|\btwa\b"),
    ("class", r"classif|clasif|einstufung|\bghs\b|\bclp\b|hazards?$|\bh[- ](?:code|statement|phrase|satze)|h-?satz|symbol|phrases|frases|gefahr(?!lich)|peligros?$|risk|h-?statements|codes?$|kategorie|categor|pictogram|statements?"),
    ("least", r"^(?:%|wt\.?|weight|conc\.?)?[\s%]*(?:min(?:imum|\.)?|least|low(?:er)?|from|von|desde)[\s%.]*$|\bmin\.?\s*%|% ?min|(?:%|wt|weight|conc|share|content|gehalt|peso)[^a-z]*min(?:imum|imo|\.)?\)?$"),
    ("most", r"^(?:%|wt\.?|weight|conc\.?)?[\s%]*(?:max(?:imum|\.)?|most|high|upper|to|bis|hasta)[\s%.]*$|\bmax\.?\s*%|% ?max|(?:%|wt|weight|conc|share|content|gehalt|peso)[^a-z]*max(?:imum|imo|\.)?\)?$"),
    ("share", r"%|\bwt\b|weight|\bconc|percent|content|amount|anteil|gehalt|massen|\bgew\b|\bgew[.-]|porcentaje|contenido|proportion|\brange|\bpeso|rango|menge|vol\.?-|w/w|less than|quantity|cantidad|konz"),
    ("cas", r"\bcas\b|cas-?n"),
    ("ec", r"\bec\b|einecs|elincs|\beg\b|\bce\b|list no|index|reach|regist|ids?\b"),
    ("name", r"name|chemical|ingredient|component|substance|material|identi[fk]|stoff|bezeichnung|bestandteil|nombre|sustancia|denominacion|constituent|chemisch|hazardous|gefahrliche|product"),
    ("other", r"function|funktion|funcion|notes?|remarks?|purpose|\bun\b|formula|type|typ\b|tipo"),
)  # fmt: skip


@dataclass(slots=True)
class Column:
    kind: Kind
    head: str
    left: float
    right: float


@dataclass(slots=True)
class Block:
    """The rows of one entry of a table."""

    rows: list[Row]

    @property
    def page(self) -> int:
        return self.rows[0].page


#: What may stand in a second line of heads under a head that is not in the first: "min" and "max" under "weight".
_SHARED: tuple[Kind, ...] = ("least", "most")
#: What heads a column of names, whatever else stands in it.
_NAMED = re.compile(r"\bname|substance(?! data)|ingredient|component(?!s? of)|stoff|bezeichnung|nombre")


def head_kind(text: str) -> Kind | None:
    """What a head of a column says stands under it; the first of several things named together is the column's."""
    low = squeezed(re.sub(r"[\[\]()]", " ", fold(text)))
    if re.search(r"\bcas\b|\breach\b|\be[cg]\b|\bce\b|clasif|classif|einstufung", low) and _NAMED.search(low):
        return "name"
    found = [kind for kind, pattern in _HEADS if re.search(pattern, low)]
    if found[:1] == ["class"] and "share" in found:
        return "share"  # two heads that ran together: an empty column stands under the other
    return found[0] if found else None


def is_head(row: Row) -> bool:
    """Whether a row heads a table of parts."""
    if re.search(r"(?<!\d)\d{2,7}-\d{2}-\d(?!\d)|\d\s*%|[<>≤≥]\s?\d", row.text) or len(row.cells) < 2:
        return False
    kinds = [head_kind(cell.text) for cell in row.cells]
    known = {kind for kind in kinds if kind}
    return len(known) >= 2 and bool(known & {"share", "cas", "most", "least"}) and kinds.count(None) <= len(kinds) / 2


def whole_heads(rows: list[Row], cut: list[Row]) -> list[Row]:
    """``cut`` with each head whole again that was cut where some row's cell began: "CAS" and "No." are one head.

    Two heads that ran together stay apart: each says something of its own.
    """
    return [
        replace(after, cells=[cell for whole in before.cells for cell in _pieces(whole, after.cells)])
        if is_head(before) or is_head(after)
        else after
        for before, after in zip(rows, cut, strict=True)
    ]


def _pieces(whole: Cell, cut: list[Cell]) -> list[Cell]:
    made: list[Cell] = []
    for cell in cut:
        if not whole.left <= cell.left < whole.right:
            continue
        if made and head_kind(cell.text) in (None, head_kind(made[-1].text)):
            made[-1] = Cell(f"{made[-1].text} {cell.text}", made[-1].left, cell.right)
        else:
            made.append(cell)
    return made


#: What stands in no head: a share, or a hazard code.
_OF_A_PART = re.compile(r"\d\s*%|[<>≤≥]\s?\d|\d\s?(?:[-–]|bis|to|a)\s?\d|\b(?:EU)?H\d{3}")


def columns(rows: list[Row]) -> tuple[list[Column], set[int]]:
    """The columns of a section's table, and which rows are heads."""
    heads = [at for at, row in enumerate(rows) if is_head(row)]
    if not heads:
        return [], set()
    used = set(heads)
    made = [Column("other", cell.text, cell.left, cell.right) for cell in rows[heads[0]].cells]
    size = rows[heads[0]].size
    for at in range(heads[0] + 1, len(rows)):  # a head of several lines
        row = rows[at]
        if row.page != rows[heads[0]].page or row.gap > 1.35 * size or re.search(r"\d-\d\d-\d", row.text) or row.ruled:
            break
        if _OF_A_PART.search(row.text):
            break
        _begin_names(made, row)
        new = [cell for cell in row.cells if _under(cell, made) is None]
        if any(head_kind(cell.text) not in _SHARED for cell in new) or re.fullmatch(
            r"[\s\d<>≤≥%.,–-]+", row.cells[-1].text
        ):
            break
        made += [Column("other", "", cell.left, cell.right) for cell in new]
        made.sort(key=lambda column: column.left)
        _two_ends(made, row)
        for cell in row.cells:
            column = _under(cell, made)
            assert column is not None
            column.head += f" {cell.text}"
            column.right = max(column.right, cell.right)
        used.add(at)
    for column in made:
        column.kind = head_kind(column.head) or "other"
    _one_name(made)
    _beside_the_heads(made, [row for at, row in enumerate(rows) if at > heads[0] and at not in used])
    for at in heads[1:]:
        used.add(at)
    return made, used


def _two_ends(made: list[Column], row: Row) -> None:
    """One head over two, "min" and "max": each has a column of its own."""
    for column in list(made):
        below = [cell for cell in row.cells if _under(cell, made) is column]
        if {head_kind(cell.text) for cell in below} >= {"least", "most"}:
            at = made.index(column)
            made[at : at + 1] = [Column("other", column.head, cell.left, cell.right) for cell in below]


def _begin_names(made: list[Column], row: Row) -> None:
    """A head of names that stands lower than the others, left of them: its line belongs to the heads."""
    first, *others = row.cells
    lower = others and first.right < min(column.left for column in made) and all(_under(one, made) for one in others)
    if lower and head_kind(first.text) == "name":
        made.insert(0, Column("other", "", first.left, first.right))


def _one_name(made: list[Column]) -> None:
    """A table whose first column nobody knows has its names there; beside names identifiers are numbers."""
    named = [column for column in made if column.kind == "name"]
    for column in named:
        if len(named) > 1 and not _NAMED.search(fold(column.head)) and re.search(r"identi[fk]", fold(column.head)):
            column.kind = "cas"
    if made and all(column.kind != "name" for column in made) and made[0].kind in ("other", "class"):
        made[0].kind = "name"


def _beside_the_heads(made: list[Column], rows: list[Row]) -> None:
    """Names that stand left of every head have a column too, though nothing is written over it."""
    first = min(column.left for column in made)
    lefts = [row.left for row in rows if row.left < first - 6 and re.search(r"[^\W\d_]{3}", row.cells[0].text)]
    if len(lefts) > 1 and all(column.kind != "name" for column in made):
        made.insert(0, Column("name", "", min(lefts), first - 1))


def _under(cell: Cell, made: list[Column]) -> Column | None:
    fitting = [column for column in made if cell.left < column.right + 2 and column.left - 2 < cell.right]
    return min(fitting, key=lambda column: abs(column.left - cell.left), default=None)


def column_of(cell: Cell, made: list[Column]) -> Column | None:
    """The column a cell stands in: by its edges or its middle, whichever fits best."""
    if not made:
        return None

    def far(column: Column) -> float:
        middle = abs((column.left + column.right) - (cell.left + cell.right)) / 2
        return min(abs(column.left - cell.left), middle, abs(column.right - cell.right))

    nearest = min(made, key=far)
    if far(nearest) < 6:
        return nearest
    over = [column for column in made if cell.left < column.right and column.left < cell.right]
    if len(over) == 1:
        return over[0]  # heads in the middle of their columns
    left = [column for column in made if column.left <= cell.left + 6]
    return left[-1] if left else nearest


def blocks(rows: list[Row], single: Callable[[Block], bool], begins: Callable[[Block, Row], bool]) -> list[Block]:
    """The entries of a table: cut at drawn lines or at gaps where that leaves one entry in each, else at their numbers.

    ``single`` says whether a block can be one entry; ``begins`` whether a row begins another one.
    """
    for cut in (_by_rules, _by_gaps):
        made = cut(rows)
        if len(made) > 1 and all(map(single, made)):
            return made
    return _by_numbers(rows, begins)


def unbroken(found: list[Block], words: Callable[[Row], str]) -> list[Block]:
    """The blocks, each with the next where its name ends in the sign of a figure that stands there: "C6, <"."""
    made: list[Block] = []
    for block in found:
        if made and without_numbers(words(made[-1].rows[-1])).rstrip()[-1:] in ("<", "≤"):
            made[-1].rows.extend(block.rows)
        else:
            made.append(block)
    return made


def _by_rules(rows: list[Row]) -> list[Block]:
    if sum(row.ruled for row in rows) < 2:
        return []
    return _cut(rows, lambda row: row.ruled)


def _by_gaps(rows: list[Row]) -> list[Block]:
    gaps = sorted(row.gap / row.size for row in rows[1:] if row.gap > 0)
    if len(gaps) < 2:
        return []
    wide = max(1.25 * gaps[0], min(gaps[0] + 0.3, median(gaps) + 0.3))
    return _cut(rows, lambda row: row.gap == 0 or row.gap / row.size > wide)


def _cut(rows: list[Row], before: Callable[[Row], bool]) -> list[Block]:
    made: list[Block] = []
    for row in rows:
        if not made or before(row):
            made.append(Block([row]))
        else:
            made[-1].rows.append(row)
    return made


def _by_numbers(rows: list[Row], begins: Callable[[Block, Row], bool]) -> list[Block]:
    made: list[Block] = []
    for row in rows:
        if made and not begins(made[-1], row):
            made[-1].rows.append(row)
        else:
            made.append(Block([row]))
    return made
