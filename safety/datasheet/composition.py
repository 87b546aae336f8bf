"""Section 3: which parts, with which numbers and shares."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import takewhile

from safety.datasheet.codes import codes_in
from safety.datasheet.entry import Entry
from safety.datasheet.identifiers import apart_from_numbers, cas_numbers, ec_numbers, joined, without_numbers
from safety.datasheet.loose import (
    MARKED,
    SHORT,
    after_words,
    clean_name,
    contested,
    fuller,
    inside,
    is_name,
    labelled,
    loose_name,
    one_each,
    rest,
    vertical,
)
from safety.datasheet.open_ranges import is_open, whole_ranges
from safety.datasheet.rows import Cell, Row, in_columns
from safety.datasheet.shares import WITHHELD, Share, legend, only_withheld, share
from safety.datasheet.tables import Block, Column, Kind, blocks, column_of, columns, unbroken, whole_heads
from safety.datasheet.text import fold, squeezed

_ASIDE = frozenset({"class", "limits", "other"})
_SHARES = frozenset({"share", "least", "most"})
_NO_NUMBER = frozenset({"class", "limits", "share", "least", "most"})
_ONLY_CAS = re.compile(r"\s*\d{2,7}\s?[-–]\s?\d{2}\s?[-–]\s?\d\s*")
_SHARE_SIGN = re.compile(r"[%<>≤≥±]|\d\s?(?:[-–]|to|a|bis)\s?\d")
_MARK = re.compile(r"[(\[]?\d[)\]]")
_LINE = re.compile(r"[\s_=*.–—-]+")
_INNER = re.compile(r"[\W]*3\.\d")


@dataclass(frozen=True, slots=True)
class Composition:
    entries: list[Entry]
    notes: str  # what stands beside the table
    upper_ends: bool = False  # the head says "less than"
    others: tuple[str, ...] = ()  # CAS numbers that stand there and are of no part


def composition(rows: list[Row], language: str) -> Composition:
    """The parts of section 3, as printed."""
    rows = [
        row for row in rows if not _LINE.fullmatch(row.text) and (not _INNER.match(row.text) or cas_numbers(row.text))
    ]
    rows = list(whole_ranges(rows))
    begins = {cell.left for row in rows if cas_numbers(row.text) for cell in row.cells[1:]}
    heads, used = columns(whole_heads(rows, in_columns(rows, begins)))
    cut = in_columns(rows, [column.left for column in heads])
    text = squeezed(" ".join(row.text for row in rows))
    table = _Table(heads, language, legend(text, language))
    cut = [row if heads and table.in_order(row) else pieces for row, pieces in zip(rows, cut, strict=True)]
    if not heads:
        cut = list(after_words(cut, table.anchors))
        table = replace(table, apart=table.has_cells_of_shares(cut), named=table.has_named_shares(cut))
    first = min(used, default=0)
    named = any(column.kind == "name" for column in heads)
    data = [row for at, row in enumerate(cut) if at not in used and (at > first or not named)]
    if data and heads and not table.anchors(data[0]):
        table = replace(table, above=True)
    entries = list(table.entries(data)) if heads else fuller(vertical(cut, language), table.entries(one_each(cut)))
    upper = any(re.search(r"less\s+than|<|≤", fold(column.head)) for column in heads if column.kind == "share")
    kept = [one for one in entries if one.name or one.cas or one.ec or one.share]
    contested(kept)
    taken = {number for one in kept for number in one.cas}
    others = tuple(dict.fromkeys(one for row in cut for one in cas_numbers(row.text) if one not in taken))
    return Composition(kept, text, upper, others)


@dataclass(frozen=True, slots=True)
class _Table:
    heads: list[Column]
    language: str
    letters: dict[str, Share]
    above: bool = False  # names stand in rows of their own, above their numbers
    apart: bool = False  # every share stands in a cell of its own, so that a percentage in a name is none
    named: bool = False  # every share is called one where it stands: "Content: 5 %"

    def entries(self, rows: list[Row]) -> Iterator[Entry]:
        held: Block | None = None  # a name that stands in a row of its own above its numbers
        last: Entry | None = None
        for block in unbroken(blocks(rows, self._single, self._begins), self._words):
            if not self._anchored(block):
                balance = rest(squeezed(" ".join(row.text for row in block.rows)), block.page)
                if balance:
                    yield from filter(None, (last, balance))
                    last = None
                elif self._is_name(block):
                    held = block if held is None else Block([*held.rows, *block.rows])
                continue
            if self._footnote(block):
                continue
            above = held.rows if held is not None and not self._has_name(block) else []
            held = None
            if last:
                yield last
            last = self._entry(Block([*above, *block.rows]), above)
        if last:
            yield last

    def anchors(self, row: Row) -> bool:
        """Whether a row has a number, a word for a withheld one, or a share of its own, even one nobody can read."""
        return (
            bool(self._cas(row)) or self._share(row) is not None or self._withheld(row) or self._unread(row) is not None
        )

    # ------------------------------------------------------------ one row

    def _cells(self, row: Row) -> Iterator[tuple[Kind, str, Cell]]:
        found = [column_of(cell, self.heads) for cell in row.cells]
        if self._pushed(row, found):
            found = list(self.heads[: len(row.cells)])
        cells: list[tuple[Kind, str, Cell]] = [
            (column.kind, column.head, cell) if column else ("other", "", cell)
            for cell, column in zip(row.cells, found, strict=True)
        ]
        return iter(self._by_content(row, cells) if self.heads else cells)

    def _pushed(self, row: Row, found: list[Column | None]) -> bool:
        """Whether a long name pushed the cells of a row out of their columns: then they count in their order."""
        if self.in_order(row):
            return True
        number = self._number_at(row)
        if number is None or len(row.cells) > len(self.heads):
            return False
        column = found[number]
        return column is not None and column.kind != "cas" and self.heads[number].kind == "cas"

    def in_order(self, row: Row) -> bool:
        """Whether a row has a cell for each head, and in their order a number and shares where the heads say so."""
        number = self._number_at(row)
        if number is None or len(row.cells) != len(self.heads) or self.heads[number].kind != "cas":
            return False
        shares = [(cell, head) for cell, head in zip(row.cells, self.heads, strict=True) if head.kind in _SHARES]
        return bool(shares) and all(self._printed(cell.text, head.head) for cell, head in shares)

    def _number_at(self, row: Row) -> int | None:
        """Which cell of a row is its number; in a full row a word for a withheld one counts too."""
        found = [at for at, cell in enumerate(row.cells) if _ONLY_CAS.fullmatch(cell.text)]
        if not found and len(row.cells) == len(self.heads):
            found = [
                at
                for at, cell in enumerate(row.cells)
                if only_withheld(cell.text) and (at or self.heads[0].kind == "cas")
            ]
        return found[0] if found else None

    def _by_content(self, row: Row, cells: list[tuple[Kind, str, Cell]]) -> list[tuple[Kind, str, Cell]]:
        """The cells of a row, those that say by themselves what they are put where they belong.

        A share beside its column is a share; a word like "proprietary" beside a share stands for the number.
        """
        figures = [at for at, (kind, _, cell) in enumerate(cells) if at and kind not in _ASIDE and self._figure(cell)]
        shown = any(cells[at][0] in _SHARES for at in figures)
        column = next((column for column in self.heads if column.kind == "share"), None)
        made: list[tuple[Kind, str, Cell]] = [
            ("class", "", cell) if kind in _SHARES and any(codes_in(cell.text)) else (kind, head, cell)
            for kind, head, cell in cells
        ]
        if column and not shown and len(figures) == 1:
            made[figures[0]] = ("share", column.head, cells[figures[0]][2])
        if cas_numbers(row.text):
            return made
        for at, (kind, _, cell) in enumerate(made):
            beside = any(other != at for other in figures)
            if at and only_withheld(cell.text) and kind not in _ASIDE and (kind not in _SHARES or beside):
                made[at] = ("cas", "", cell)
        return made

    def _figure(self, cell: Cell) -> bool:
        """Whether a cell holds a share and nothing else, and is no bare number."""
        text = cell.text
        if not _SHARE_SIGN.search(text) or cas_numbers(text) or ec_numbers(text) or list(codes_in(text)):
            return False
        found = share(text, self.language)
        return found is not None and found.kind not in ("balance", "withheld")

    def _withheld(self, row: Row) -> bool:
        """Whether a row says that a number is withheld: in the number's place, or in a name that stands alone."""
        if not self.heads:
            return False
        cells = list(self._cells(row))
        if any(kind == "cas" and WITHHELD.search(fold(cell.text)) for kind, _, cell in cells):
            return True
        (kind, _, cell), alone = cells[0], len(cells) == 1
        short = len(cell.text.split()) < 6 and self._is_name(Block([row])) and not cell.text.endswith(":")
        return alone and kind == "name" and short and WITHHELD.search(fold(cell.text)) is not None

    def _unread(self, row: Row) -> str | None:
        """What stands with figures in the place of a share, beside a name, and cannot be read as one."""
        if not self.heads or self._share(row) is not None or not self._has_name(Block([row])):
            return None
        for at, (kind, _, cell) in enumerate(self._cells(row)):
            if at and re.search(r"\d", cell.text) and (kind in _SHARES or (kind == "other" and self._figure(cell))):
                return cell.text
        return None

    def _cas(self, row: Row) -> list[str]:
        cells = list(self._cells(row))
        own = [one for kind, _, cell in cells if kind not in _NO_NUMBER for one in cas_numbers(cell.text)]
        # a column that was not told apart: a cell that is a CAS number and nothing else is one anywhere
        return own or [one for _, _, cell in cells if _ONLY_CAS.fullmatch(cell.text) for one in cas_numbers(cell.text)]

    def _share(self, row: Row) -> Share | None:
        found = self._shown(row)
        return found[0] if found else None

    def _shown(self, row: Row) -> tuple[Share, str] | None:
        """The share of a row and how it is printed: under its head, or in a cell that holds nothing else."""
        for kind, head, cell in self._cells(row):
            if kind in _SHARES and (found := self._printed(cell.text, head)):
                return found, cell.text
        if any(column.kind in _SHARES for column in self.heads):
            return None
        if self.named:
            return labelled(row.text, self.language)
        for kind, _, cell in self._cells(row):
            if kind in ("class", "limits") or not _SHARE_SIGN.search(cell.text):
                continue
            if cas_numbers(cell.text) or ec_numbers(cell.text) or list(codes_in(cell.text)):
                continue
            found = share(cell.text, self.language)
            if found and (found.kind not in ("balance", "withheld") or len(cell.text) < SHORT):
                return found, cell.text
        if self.heads or self.apart:
            return None
        return next(filter(None, (inside(cell.text, self.language) for cell in row.cells)), None)

    def has_cells_of_shares(self, rows: list[Row]) -> bool:
        """Whether there is a cell with nothing but a share for every number."""
        numbers = {number for row in rows for number in cas_numbers(row.text)}
        return 0 < len(numbers) <= sum(any(map(self._figure, row.cells)) for row in rows)

    def has_named_shares(self, rows: list[Row]) -> bool:
        """Whether there is a share that is called one for every number."""
        numbers = {number for row in rows for number in cas_numbers(row.text)}
        return 0 < len(numbers) <= sum(labelled(row.text, self.language) is not None for row in rows)

    def _printed(self, text: str, head: str) -> Share | None:
        bare = apart_from_numbers(text).strip()  # two cells may run together
        return self.letters.get(bare) or share(bare, self.language, head)

    def _text(self, row: Row, *kinds: Kind) -> str:
        return " ".join(cell.text for kind, _, cell in self._cells(row) if kind in kinds)

    # ------------------------------------------------------------ blocks

    def _single(self, block: Block) -> bool:
        numbers = {one for row in block.rows for one in self._cas(row)}
        shares = sum(self._share(row) is not None for row in block.rows)
        return (
            len(numbers) <= 1
            and shares <= 1
            and not any(self._of_its_own(Block(block.rows[:at]), block.rows[at]) for at in range(1, len(block.rows)))
        )

    def _anchored(self, block: Block) -> bool:
        return any(self.anchors(row) or (ec_numbers(row.text) and self._has_name(block)) for row in block.rows)

    def _begins(self, block: Block, row: Row) -> bool:
        has_share, cas, printed = any(map(self._share, block.rows)), bool(self._cas(row)), self._share(row) is not None
        has_cas = any(map(self._cas, block.rows))
        again = ec_numbers(row.text) and any(ec_numbers(one.text) for one in block.rows)
        if (cas and (has_cas or again)) or (printed and has_share):
            goes_on = (
                not printed
                and not self._text(row, "name")
                and self._text(block.rows[-1], "cas")[-1:] in ("/", ";", ",", "&")
            )
            return not goes_on
        if self._of_its_own(block, row) or (cas and has_share and self._with_a_name(row)):
            return True
        name = self._words(row)
        if cas or printed or not name or list(codes_in(name)):
            return False
        if not (has_cas or has_share):
            return row.gap > 1.6 * row.size
        if not self.above and not self._has_name(block):
            return False  # the name stands below its numbers
        return not self._wraps(block, name)

    def _of_its_own(self, block: Block, row: Row) -> bool:
        """Whether a row is a part by itself below another: it has a name and a number or a share, as the block has."""
        return (
            any(column.kind == "name" for column in self.heads)
            and self.anchors(row)
            and any(map(self.anchors, block.rows))
            and self._has_name(Block([row]))
            and self._has_name(block)
            and not self._wraps(block, self._words(row))
        )

    def _with_a_name(self, row: Row) -> bool:
        """Whether a row of a table without heads holds a name besides its number: a part of its own."""
        return not self.heads and bool(clean_name(loose_name([row], self.language, self.apart or self.named)))

    def _wraps(self, block: Block, name: str) -> bool:
        """Whether a name is the next line of the block's."""
        before = without_numbers(self._words(block.rows[-1])).rstrip()
        return (
            name[:1].islower()
            or name[:1] in "(),;"
            or before[-1:] in ("-", "–", ",", "(", "/", "<", "≤", ">")
            or before.count("(") > before.count(")")
        )

    def _words(self, row: Row) -> str:
        """What could be a name in a row: of the names' column, or where there is none of any that holds no codes."""
        if any(column.kind == "name" for column in self.heads):
            return self._text(row, "name")
        cells = (cell.text for kind, _, cell in self._cells(row) if kind not in ("class", "limits"))
        return " ".join(text for text in cells if re.search(r"[^\W\d_]{3}", without_numbers(text)))

    def _footnote(self, block: Block) -> bool:
        """Whether a block below the heads is running text that names a substance, and no entry."""
        text = " ".join(row.text for row in block.rows)
        shares = [one.kind for one in map(self._share, block.rows) if one]
        if {*shares} - {"withheld", "balance"} or not self.heads or len(text.split()) <= 5:
            return False
        if MARKED.match(fold(text)) and not any(map(self._cas, block.rows)):
            return True
        return not shares and all(len(row.cells) == 1 for row in block.rows)

    def _is_name(self, block: Block) -> bool:
        return is_name(squeezed(" ".join(row.text for row in block.rows)))

    def _has_name(self, block: Block) -> bool:
        named = any(column.kind == "name" for column in self.heads)
        kinds: tuple[Kind, ...] = ("name",) if named else () if self.heads else ("other",)
        words = " ".join(self._text(row, *kinds) for row in block.rows) if kinds else ""
        return bool(re.search(r"[^\W\d_]{2}", without_numbers(words)))

    def _entry(self, block: Block, above: list[Row]) -> Entry:
        lines: dict[Kind, list[str]] = defaultdict(list)
        heads: dict[Kind, str] = {}
        for row in block.rows:
            for kind, head, cell in self._cells(row):
                lines[kind].append(cell.text)
                heads.setdefault(kind, head)
        entry = Entry(page=next((row.page for row in block.rows if self._cas(row)), block.page))
        entry.quote = squeezed(
            " | ".join(
                cell.text
                for row in block.rows
                for kind, _, cell in self._cells(row)
                if kind not in _ASIDE or not self.heads
            )
        )[:300]
        numbers = joined([*lines["cas"]]), joined(lines["name"]), joined(lines["ec"]), joined(lines["other"])
        entry.cas = list(dict.fromkeys(one for text in numbers for one in cas_numbers(text)))
        entry.cas = entry.cas or list(dict.fromkeys(one for row in block.rows for one in self._cas(row)))
        entry.ec = list(dict.fromkeys(one for text in numbers for one in ec_numbers(text)))
        entry.share, entry.printed = self._share_of(block, lines, heads)
        entry.withheld = not entry.cas and WITHHELD.search(fold(" ".join([*lines["cas"], *lines["name"]]))) is not None
        entry.name = self._name(block, lines, above)
        entry.codes = list(
            dict.fromkeys(
                code
                for line in map(joined, (lines["class"], lines["limits"], lines["name"]))
                for code in codes_in(line)
            )
        )
        return entry

    def _share_of(self, block: Block, lines: dict[Kind, list[str]], heads: dict[Kind, str]) -> tuple[Share | None, str]:
        least, most = (self._printed(joined(lines[kind]), "") if lines[kind] else None for kind in ("least", "most"))
        if least or most:
            printed = f"{joined(lines['least'])} - {joined(lines['most'])}"
            low = least.low if least else 0.0
            high = most.high if most and most.high else 100.0
            return (Share(low, high, "given") if low <= high else None), printed
        whole = joined(lines["share"])
        over = heads.get("share", "")
        if whole and (found := self._printed(whole, over)):
            return found, whole
        read = [(made, text) for text in lines["share"] if (made := self._printed(text, over))]
        texts = {text for _, text in read}
        if any(re.search(r"\d", text) and not _MARK.fullmatch(text) for text in lines["share"] if text not in texts):
            return None, whole  # figures beside the share that nobody can read may be its other end
        if read:
            return read[0]
        if not any(column.kind == "share" for column in self.heads):
            if left_open := next((cell.text for row in block.rows for cell in row.cells if is_open(cell.text)), ""):
                return None, left_open
            for row in block.rows:
                if shown := self._shown(row):
                    return shown
            for text in (*lines["other"], *lines["name"], *lines["cas"]):
                if not (self.apart or self.named or list(codes_in(text))) and (beside := inside(text, self.language)):
                    return beside
        return None, whole or next(filter(None, map(self._unread, block.rows)), "")

    def _name(self, block: Block, lines: dict[Kind, list[str]], above: list[Row]) -> str:
        if above:
            text = joined(row.text for row in above)
        elif any(column.kind == "name" for column in self.heads):
            text = joined(takewhile(lambda line: not list(codes_in(line)), lines["name"]))  # the classes stand below
        elif self.heads:
            rows = list(takewhile(lambda row: not self.anchors(row), block.rows))
            text = joined(row.text for row in rows) or joined(lines["other"])
        else:
            text = loose_name(block.rows, self.language, self.apart or self.named)
        return clean_name(text)
