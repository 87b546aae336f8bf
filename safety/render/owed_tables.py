"""An owed report as tidy tables: one CSV file a table, or one SQLite file. What is not known is empty, never zero."""

from __future__ import annotations

import csv
import io
import sqlite3
import tempfile
from collections.abc import Iterable, Iterator, Sequence
from contextlib import closing
from decimal import Decimal
from pathlib import Path

from safety.model import Cell, OwedReport
from safety.render.log_text import as_written, safe
from safety.render.owed import draft, facts, result, title
from safety.words import say

#: The file that explains the others, and the table of an SQLite file that does.
ABOUT = "about"
_MARK = b"\xef\xbb\xbf"  # of byte order, which spreadsheets need
_SQLITE = b"SQLite format 3\0"


def one_csv(report: OwedReport) -> bytes:
    """The whole report as one CSV: sections with a title line, an empty line between them."""
    head = [(title(report),), (draft(),), *facts(report), (result(report),), *((reason,) for reason in report.missing)]
    parts = [_rows(head)]
    for table in report.tables:
        columns = [column.title for column in table.columns]
        rows = ([_cell(cell) for cell in row] for row in table.rows)
        parts.append(_rows([(table.title,), columns]) + _rows(rows) + _rows((note,) for note in table.notes))
    return _MARK + b"\r\n".join(parts)


def csv_files(report: OwedReport) -> Iterator[tuple[str, bytes]]:
    """Name of each table, and the table as CSV: the names of the columns, then a line for each row."""
    for name, columns, rows in _all(report):
        yield name, _csv(columns, rows)


def is_csv(content: bytes) -> bool:
    """Whether a file is such a CSV, and nobody has changed it since."""
    return content.startswith(_MARK + b'"') and as_written(content)


def sqlite_file(report: OwedReport) -> bytes:
    """One SQLite file with a table for each of the report's, and one that explains the columns."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "report.db"
        with closing(sqlite3.connect(path)) as made:
            for name, columns, rows in _all(report):
                marks = ", ".join("?" * len(columns))
                made.execute(f'CREATE TABLE "{name}" ({", ".join(f"{chr(34)}{c}{chr(34)}" for c in columns)})')
                made.executemany(f'INSERT INTO "{name}" VALUES ({marks})', rows)
            made.execute("PRAGMA user_version = 1")
            made.execute(f"PRAGMA application_id = {_ID}")
            made.commit()
        return path.read_bytes()


#: By it a later file knows an earlier one: "hzst".
_ID = int.from_bytes(b"hzst", "big")


def is_sqlite(content: bytes) -> bool:
    """Whether a file is such an SQLite file: the number of its application is ours."""
    return content.startswith(_SQLITE) and content[68:72] == b"hzst"


def _all(report: OwedReport) -> Iterator[tuple[str, Sequence[str], Iterator[tuple[Cell, ...]]]]:
    for table in report.tables:
        yield table.name, [str(column.name) for column in table.columns], map(_plain, table.rows)
    yield ABOUT, ("table", "column", "title", "says"), iter(list(_about(report)))


def _plain(row: Sequence[Cell]) -> tuple[Cell, ...]:
    return tuple(str(cell) if isinstance(cell, str) else cell for cell in row)


def _about(report: OwedReport) -> Iterator[tuple[Cell, ...]]:
    yield "", "", title(report), draft()
    yield from (("", "", say("INCOMPLETE"), reason) for reason in report.missing)
    for table in report.tables:
        yield table.name, "", table.title, " ".join(map(str, table.notes))
        yield from ((table.name, column.name, column.title, column.says) for column in table.columns)


def _csv(columns: Sequence[str], rows: Iterator[tuple[Cell, ...]]) -> bytes:
    return _MARK + _rows([columns]) + _rows([_cell(cell) for cell in row] for row in rows)


def _rows(rows: Iterable[Sequence[str]]) -> bytes:
    out = io.StringIO(newline="")
    csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n").writerows(
        [safe(cell) for cell in row] for row in rows
    )
    return out.getvalue().encode()


def _cell(cell: Cell) -> str:
    """A number without an exponent, to its last digit."""
    if cell is None:
        return ""
    return str(cell) if isinstance(cell, str) else format(Decimal(repr(float(cell))).normalize(), "f")
