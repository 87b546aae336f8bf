"""A CSV file of past records, row by row into drafts, or every bad row with its line."""

from __future__ import annotations

import csv
import io
import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from difflib import get_close_matches
from pathlib import Path

from safety.files.notation import nearest
from safety.ledger.drafts import IMPORTED, SHAPES, Draft, Mistake, read_draft
from safety.model import Shop
from safety.problems import Problem, Problems
from safety.words import say

COLUMNS = (
    "kind", "when", "product", "amount", "basis", "lot", "job", "step", "operation", "area", "container", "way", "who",
    "expires", "density", "solvent", "tare", "receiver", "manifest", "fate", "rest", "note", "anyway", "key",
)  # fmt: skip
LARGEST = 20_000_000  # bytes; a hundred thousand records
_MOST = 50  # mistakes shown for one file
_NEEDED = ("kind", "when")
_NUMBERS = ("amount", "area", "density", "solvent", "tare")
_COMMA = re.compile(r"([+-]?)(\d*),(\d+)(?![\d.,])(.*)", re.DOTALL | re.ASCII)


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a file as drafts, each with the line it stands on."""

    drafts: tuple[Draft, ...]
    lines: tuple[int, ...]


def read_csv(path: Path, shop: Shop, now: datetime, anyway: str = "") -> Rows:
    """Read a whole file. ``anyway`` is the reason taken for every row that gives none of its own.

    A row without a key gets one made from the shop, its words and how many rows like it stand above it,
    so the same file, however and wherever it was saved, is never counted twice. Raises Problems with every bad row.
    """
    name = path.as_posix()
    lines = list(_cells(_text(path), name))
    if not lines:
        names = say("the first line names the columns: {names}", names=", ".join(COLUMNS))
        raise _one(name, 1, say("the file is empty"), names)
    header, problems = _header(lines[0][1][: 2 * len(COLUMNS)], name)
    if problems:
        raise Problems(problems)
    drafts: list[Draft] = []
    numbers: list[int] = []
    seen: Counter[str] = Counter()
    for number, cells in lines[1:]:
        if not any(cell.strip() for cell in cells):
            continue
        answer = _row(header, cells, shop, now, anyway)
        if isinstance(answer, list):
            problems += [Problem(name, number, m.field, m.wrong, m.write) for m in answer]
            if len(problems) > _MOST:
                more = say("there are more mistakes than these {most}", most=_MOST)
                raise Problems([*problems[:_MOST], Problem(name, 0, "", more, say("mend these first"))])
            continue
        draft, words = answer
        if not draft.key:
            seen[words] += 1
            draft = replace(draft, key=f"{IMPORTED}{_short(f'{shop.name} {words}')}-{seen[words]}", imported=True)
        drafts.append(draft)
        numbers.append(number)
    if problems:
        raise Problems(problems)
    return Rows(tuple(drafts), tuple(numbers))


def _short(said: str) -> str:
    import hashlib

    return hashlib.sha256(said.encode()).hexdigest()[:20]


def _row(
    header: list[str], cells: list[str], shop: Shop, now: datetime, anyway: str
) -> tuple[Draft, str] | list[Mistake]:
    """A row as a draft, and its words by which it is known again: whatever zone the computer is in."""
    if len(cells) > len(header) and any(cell.strip() for cell in cells[len(header) :]):
        wrong = say(
            "the row has {count} cells and the first line names {columns}", count=len(cells), columns=len(header)
        )
        return [Mistake("", wrong, say("put a cell with a comma in it into quotes"))]
    texts = {name: cell.strip() for name, cell in zip(header, cells, strict=False) if name and cell.strip()}
    kind = texts.pop("kind", "")
    if kind not in SHAPES:
        wrong = say('"{kind}" is no kind of record', kind=kind) if kind else say("this is missing")
        return [Mistake("kind", wrong, nearest(kind, SHAPES))]
    mistakes = []
    if "when" not in texts:
        mistakes.append(
            Mistake("when", say("this is missing"), say("write for example 2026-03-02 or 2026-03-02 07:30"))
        )
    for name in _NUMBERS:
        if name in texts:
            texts[name] = _pointed(texts[name])
    words = json.dumps(
        [kind, {name: " ".join(word.split()) for name, word in sorted(texts.items()) if name != "anyway"}]
    )
    in_general = bool(anyway) and "anyway" in SHAPES[kind].fields and "anyway" not in texts
    if in_general:
        texts["anyway"] = anyway
    draft = read_draft(kind, texts, shop, now)
    if isinstance(draft, list):
        return mistakes + draft
    # the time tells two like rows apart, as it stands in the file
    return mistakes or (replace(draft, timed=bool(draft.happened), in_general=in_general), words)


def _pointed(number: str) -> str:
    """A decimal comma as a point, where it cannot mean thousands: "1,500" stays and is refused."""
    match = _COMMA.fullmatch(number)
    if not match:
        return number
    sign, whole, decimals, rest = match.groups()
    if len(decimals) == 3 and whole not in ("", "0"):
        return number
    return f"{sign}{whole or '0'}.{decimals}{rest}"


def _text(path: Path) -> str:
    save = say("save it as CSV in UTF-8")
    if path.exists() and not path.is_file():
        raise _one(path.as_posix(), 0, say("this is not an ordinary file"), say("name one CSV file"))
    with path.open("rb") as stream:  # never more than the limit, however long the file says it is
        content = stream.read(LARGEST + 1)
    if len(content) > LARGEST:
        raise _one(path.as_posix(), 0, say("the file is larger than 20 MB"), say("split it by months"))
    if content.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\0" in content:
        raise _one(path.as_posix(), 0, say("this is not a text file in UTF-8"), save)
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content.count(b"\n", 0, error.start) + 1
        raise _one(path.as_posix(), line, say("this is not UTF-8"), save) from None


def _cells(text: str, name: str) -> Iterator[tuple[int, list[str]]]:
    """Yield each row with the line it begins on."""
    first = text.split("\n", 1)[0]
    mark = max(",;\t", key=lambda m: sum(_plain(cell) in COLUMNS for cell in first.split(m)))
    rows = csv.reader(io.StringIO(text, newline=""), delimiter=mark, strict=True)
    begins = 1
    try:
        for row in rows:
            yield begins, row
            begins = rows.line_num + 1
    except csv.Error as error:
        wrong = say("the row cannot be read ({reason})", reason=error)
        raise _one(name, begins, wrong, say("look for a quote that is not closed")) from None


def _plain(cell: str) -> str:
    return cell.strip().strip('"').strip().lower()


def _header(cells: list[str], name: str) -> tuple[list[str], list[Problem]]:
    header = [_plain(cell) for cell in cells]
    names = say("the first line names the columns: {names}", names=", ".join(COLUMNS))
    if not any(column in COLUMNS for column in header):
        return header, [Problem(name, 1, "", say("the first line names no column that is known"), names)]
    problems = [
        Problem(name, 1, "", say('there is no column "{column}"', column=cell.strip()), _meant(column) or names)
        for cell, column in zip(cells, header, strict=True)
        if column and column not in COLUMNS
    ]
    problems += [
        Problem(name, 1, "", say('the column "{column}" is there twice', column=column), say("take one out"))
        for column, count in Counter(header).items()
        if column and count > 1
    ]
    if not problems:
        problems = [
            Problem(name, 1, "", say('the column "{column}" is missing', column=column), say("add it"))
            for column in _NEEDED
            if column not in header
        ]
    return header, problems


def _meant(column: str) -> str:
    """The column a name was meant for; "" where none is like it."""
    word = "when" if column in ("date", "day", "time") else column
    return nearest(word, COLUMNS) if get_close_matches(word, COLUMNS, 1, 0.6) else ""


def _one(name: str, line: int, wrong: str, write: str) -> Problems:
    return Problems([Problem(name, line, "", wrong, write)])
