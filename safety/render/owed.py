"""An owed report as text and as plain records. What is not known is a word in print and null in JSON, never zero."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import islice
from typing import Any

from safety import units
from safety.model import Cell, DataTable, Grid, OwedReport
from safety.render.log import named
from safety.render.text import WIDTH, grid, heading, wrapped
from safety.words import say

#: Rows of one table that are printed; all of them are in the files of tables.
PRINTED = 400
#: Columns that have room beside each other on paper.
WIDE = 13


def draft() -> str:
    """What stands on every report: who answers for it."""
    return say(
        "DRAFT for the responsible person. This program adds up and flags. What is reported, and whether it is owed, "
        "is for the facility and its authority to say."
    )


def title(report: OwedReport) -> str:
    return say("{title}, {period}", title=report.kind.title, period=named(report.period))


def result(report: OwedReport) -> str:
    if report.complete:
        return say("Everything recorded in this period is counted.")
    return say("INCOMPLETE: not everything is counted. The totals are at least what is shown.")


def facts(report: OwedReport) -> list[tuple[str, str]]:
    found = [(say("Shop"), report.shop.name), (say("Period"), named(report.period))]
    rules = "; ".join(say("{title}, {edition}", title=p.title, edition=p.edition) for p in report.packs)
    found.append((say("Rules"), rules))
    if report.chained and report.chained.head:
        found.append((say("Head of the ledger"), report.chained.head))
    return found


def text(report: OwedReport) -> str:
    """The whole report as text, ending in a line break."""
    return "\n".join(str(line).rstrip() for line in _lines(report)) + "\n"


def _lines(report: OwedReport) -> Iterator[str]:
    yield from wrapped(title(report))
    yield "=" * WIDTH
    yield from wrapped(draft(), "*** ")
    for label, value in facts(report):
        yield from wrapped(value, say("{label:<20} ", label=label))
    if report.kind.says:
        yield from wrapped(report.kind.says)
    yield ""
    yield from wrapped(result(report), "*** ")
    for reason in report.missing:
        yield from wrapped(reason, "###   - ", "###     ")
    for table in report.tables:
        yield from heading(table.title)
        if printed(table):
            yield from grid(as_grid(table))
        for note in notes(table):
            yield from wrapped(note, "  - ", "    ")
    yield ""
    yield from wrapped(report.shop.notice)
    yield from wrapped(say("hazstep {version}", version=report.version))


def printed(table: DataTable) -> int:
    """How many rows of a table are printed."""
    return min(len(table.rows), PRINTED) if len(table.columns) <= WIDE else 0


def notes(table: DataTable) -> tuple[str, ...]:
    """What is said beneath a table; of one that is long or wide, how much of it is not printed."""
    if not table.rows:
        return (*table.notes, say("No row: nothing of this is recorded."))
    if printed(table) == len(table.rows):
        return table.notes
    more = say(
        "{count} rows, of which {printed} are printed: --tables, --sqlite and --csv write all of them.",
        count=len(table.rows),
        printed=printed(table),
    )
    return (*table.notes, more)


def as_grid(table: DataTable) -> Grid:
    rows = tuple(tuple(map(shown, row)) for row in islice(table.rows, printed(table)))
    return Grid(table.title, tuple(column.title for column in table.columns), rows, table.name)


def shown(cell: Cell) -> str:
    if cell is None:
        return say("UNKNOWN")
    return cell if isinstance(cell, str) else units.significant(cell, 4)


def record(report: OwedReport) -> dict[str, Any]:
    """All a report says, for programs; numbers to their last digit."""
    return {
        "report": report.kind.name,
        "title": title(report),
        "draft": draft(),
        "says": report.kind.says,
        "shop": report.shop.name,
        "period": {"first": report.period.first, "last": report.period.last},
        "complete": report.complete,
        "result": result(report),
        "missing": report.missing,
        "tables": [_table(table) for table in report.tables],
        "packs": [{"id": p.id, "title": p.title, "edition": p.edition} for p in report.packs],
        "head": report.chained.head if report.chained else None,
        "notice": report.shop.notice,
        "version": report.version,
    }


def _table(table: DataTable) -> dict[str, Any]:
    names = [column.name for column in table.columns]
    return {
        "name": table.name,
        "title": table.title,
        "columns": [{"name": c.name, "title": c.title, "says": c.says} for c in table.columns],
        "rows": [dict(zip(names, row, strict=True)) for row in table.rows],
        "notes": list(table.notes),
    }
