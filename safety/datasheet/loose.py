"""Parts that stand in no table: one below the other, in lines, in running text."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from itertools import pairwise

from safety.datasheet.codes import codes_in
from safety.datasheet.entry import Entry
from safety.datasheet.identifiers import cas_numbers, ec_numbers, joined, without_numbers
from safety.datasheet.rows import Cell, Row
from safety.datasheet.shares import BALANCE, Share, share
from safety.datasheet.text import fold, squeezed

_VERTICAL_NAME = re.compile(
    r"(?:chemical |substance |component |ingredient |common )?name\b|substance\b|component\b|ingredient\b|stoff(?:name)?\b|nombre(?: quimico)?\b|sustancia\b|chemische bezeichnung|bezeichnung\b"
)
_VERTICAL_SHARE = re.compile(
    r"(?:weight|conc\w*|content|purity|percent\w*|anteil|gehalt|reinheit|concentracion|porcentaje|pureza|%)"
)
#: Labels of other lines of the same entry.
_OTHER_LINE = re.compile(
    r"\s*\(?(?:conc\w*|content|weight|classif\w*|clasif\w*|einstufung|cas\b|ec\b|ce\b|eg\b|einecs|reach|index|indice|note|m[- ]?factor|ate\b|specific|the full text|percent\w*|anteil|gehalt|%)",
)
_LABELS = re.compile(
    r"\(?\b(?:cas|ec|eg|ce|ec index|index|reach)(?:[ -]?(?:no|nr|number|nummer|rn)\b\.?)+:?\)?|\b(?:classification|concentration|ingredients?|components?|contains)\s*:?\s*$|^(?:ingredients?|components?|contains|enthalt|contiene)\s*:",
    re.IGNORECASE,
)
#: The end of a name that goes on in the next line.
_OPEN = re.compile(r"[<>≤≥(,–-]$")
#: A cell that says "balance" or "trade secret" and nothing else is shorter.
SHORT = 24
#: What begins a note below a table, and no name.
MARKED = re.compile(r"\W*(?:\*|†|the (?:exact|specific|remaining|full)|notes?\b|remarks?\b)")
_SPLIT = re.compile(r"(?<=[%)\]])\s*[,;]\s+|;\s+")


def after_words(rows: list[Row], anchors: Callable[[Row], bool]) -> Iterator[Row]:
    """The rows of a table without heads, less the sentences and titles above its first part."""
    begun = False
    for row in rows:
        begun = begun or anchors(row)
        if begun or not row.text.rstrip().endswith((".", ":")):
            yield row


def one_each(rows: list[Row]) -> list[Row]:
    """The rows, with a line that lists several parts cut into one row for each."""
    made: list[Row] = []
    for row in rows:
        pieces = [piece for piece in _SPLIT.split(row.text) if piece.strip()]
        numbers = [len(cas_numbers(piece)) for piece in pieces]
        if max(numbers, default=0) == 1 and numbers.count(1) > 1:
            made += [
                replace(row, cells=[Cell(piece, row.left, row.cells[-1].right)], gap=3 * row.size) for piece in pieces
            ]
        else:
            made.append(row)
    return made


def _only_share(text: str, language: str) -> bool:
    found = share(text, language)
    return found is not None and (found.kind not in ("balance", "withheld") or len(text) < SHORT)


def loose_name(rows: list[Row], language: str, apart: bool) -> str:
    """The name in an entry without heads: what stands before the first number, share or label of another line.

    ``apart``: shares stand in cells of their own, so that a percentage beside a name belongs to it.
    """
    lines: list[str] = []
    left: float | None = None
    for row in rows:
        words = [
            cell
            for cell in row.cells
            if not _only_share(cell.text, language)
            and not list(codes_in(cell.text))
            and not _OTHER_LINE.match(fold(cell.text))
            and re.search(r"[^\W\d_]{2}", without_numbers(cell.text))
        ]
        cell = next((one for one in words if left is None or abs(one.left - left) < 6), None)
        if cell is None:
            if lines:
                break
            continue
        left = cell.left
        text = re.split(r"[,;(\[]?\s*[(\[]?\bcas\b", cell.text, flags=re.IGNORECASE)[0]
        beside = None if apart else inside(text, language)
        lines.append(text.replace(beside[1], " ") if beside else text)
        if cas_numbers(row.text) and lines[-1].strip() and not _OPEN.search(lines[-1].rstrip()):
            break
    return joined(lines)


_NOTE = re.compile(
    r"^(?:\*|†|note|remark|full text|for the full|the (?:exact|specific|remaining|full)|see section|texto|texto completo|wortlaut|den wortlaut|el texto|all other|other ingredients|non-?hazardous|any concentration|legend|key|\(?\d\)|n\.[a-z]\. ?=|vollstandig\w*|die hier|substance with)"
)


def is_name(text: str) -> bool:
    """Whether a text may be the name of a part: no title, note or sentence."""
    return (
        bool(re.search(r"[A-Za-z]{3}", text))
        and len(text) < 160
        and not re.match(r"[\W]*3\.\d", text)
        and not _NOTE.match(fold(text))
        and not text.endswith(".")
    )


#: "The remainder is not hazardous" names nothing.
_ARTICLE = re.compile(r"(?:the|el|lo|la|der|die|das)")


def rest(text: str, page: int) -> Entry | None:
    """A part that is what is left: "Water, balance"."""
    found = BALANCE.search(fold(text))
    if not found or len(text) > 60 or not found.start():
        return None
    name = text[: found.start()].strip(" ,;:.-–")
    if not name or _ARTICLE.fullmatch(fold(name)):
        return None
    return Entry(name, share=Share(0, 100, "balance"), printed=text, quote=text, page=page)


def clean_name(text: str) -> str:
    """A name without numbers, footnote marks and loose ends."""
    name = squeezed(_LABELS.sub(" ", without_numbers(text)))
    name = re.sub(r"\s*(?:\(\s*\)|\[\s*\]|[*†‡]+)\s*$|^\s*[-–•·*]\s*", " ", name)
    return name.strip(" ,;:/|–-").removesuffix("(").strip()[:150]


#: What a figure in the name of a mixture is a share of: "Hydrocarbons, C9-C11, < 2 % aromatics".
_OF_A_NAME = re.compile(r"\s*(?:de |of )?(?:aromat|benz?[eo]|benceno|n-hexan|naphthal|naftal)")


#: "Naphtha, light (benzene < 0.1 %)".
_IN_BRACKETS = re.compile(r"\([^()]*[^\W\d_]{3}[^()]*$")


def inside(text: str, language: str) -> tuple[Share, str] | None:
    """A share within a cell that holds other things: only one with a percent sign."""
    if list(codes_in(text)):  # a specific limit beside a class
        return None
    for found in re.finditer(
        r"(?<![\d.,])(?:[<>≤≥]\s?=?\s*)?\d[\d.,]*\s*%?\s*(?:(?:[-–]|to|a|bis)\s*(?:[<≤]\s?=?\s*)?\d[\d.,]*\s*)?(?:(?:(?:wt|vol|gew)\.?\s?-?\s?)?%|ppm\b)(?:\s*\(?(?:by vol(?:ume)?|v/v|en volumen|vol\b\.?)\)?)?",
        text,
    ):
        before = text[: found.start()]
        if _OF_A_NAME.match(fold(text[found.end() :])) and re.search(r"[^\W\d_]{3}", before):
            continue
        if _IN_BRACKETS.search(before):
            continue
        if made := share(found[0], language):
            return made, found[0]
    return None


#: What says that a share follows, wherever it stands in a line.
_LABELLED = re.compile(
    r"(?<![a-z])(?:gehalt|anteil|massenanteil|konzentration(?:sbereich)?|konz\.|conc(?:\.|entration)?|content|amount|contenido|concentracion|proporcion)"
    r"(?:\s*(?:range|bereich|by weight|en peso|\(?(?:%|w/w|p/p|wt\.?\s?%|gew\.?-?\s?%)\)?))*\s*[:=]?\s*(?=[\d<>≤≥])"
)


def labelled(text: str, language: str) -> tuple[Share, str] | None:
    """The share that a line names as one: "Content: 60 - 80 %"."""
    found = _LABELLED.search(fold(text))
    return inside(text[found.end() :], language) if found else None


def vertical(rows: list[Row], language: str) -> Iterator[Entry]:
    """Parts written as labels and values one below the other: "Name | X", "CAS No. | Y", "Content | Z"."""
    entry = Entry()
    for row in rows:
        if len(row.cells) < 2 and ":" not in row.text:
            continue
        label, value = (
            (row.cells[0].text, " ".join(cell.text for cell in row.cells[1:]))
            if len(row.cells) > 1
            else row.text.split(":", 1)
        )
        low = fold(label).strip(" :.")
        if re.match(r"cas\b", low) and not cas_numbers(label) and cas_numbers(value):
            if entry.cas:
                yield entry
                entry = Entry()
            entry.cas = cas_numbers(value)
        elif re.match(r"(?:ec|ce|eg|einecs)\b", low) and ec_numbers(value):
            entry.ec = ec_numbers(value)
        elif _VERTICAL_NAME.match(low) and len(low) < 40:
            if entry.cas and entry.name:
                yield entry
                entry = Entry()
            entry.name = clean_name(value)
        elif _VERTICAL_SHARE.match(low) and len(low) < 40 and (found := share(value, language, label)):
            entry.share, entry.printed = found, value
        else:
            continue
        entry.page = entry.page or row.page
        entry.quote = squeezed(f"{entry.quote} {row.text}")
    if entry.cas:
        yield entry


def fuller(*readings: Iterable[Entry]) -> list[Entry]:
    """Of several readings of the same rows the one with the most numbers beside their shares, the first of equals."""

    def told(found: list[Entry]) -> tuple[int, int]:
        return sum(bool(one.cas and one.share) for one in found), sum(bool(one.cas) for one in found)

    return max(map(list, readings), key=told)


def contested(found: list[Entry]) -> None:
    """Take the share from what a bare share stands below: that may be its other end, or of a part without a name."""
    for one, below in pairwise(found):
        if below.share and not (below.name or below.cas or below.ec or below.withheld):
            one.share, one.printed = None, f"{one.printed} {below.printed}"
