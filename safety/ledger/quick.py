"""Statements of recording, put together by SQLAlchemy once and then run on the driver itself.

Taking each of them through all of SQLAlchemy for every record takes longer than the disk does.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Insert, Select

from safety.ledger.tables import entry

_COLUMNS = tuple(column.name for column in entry.columns if column.name != "id")


def rows(connection: Connection, statement: Select[Any], values: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the rows of a statement as mappings. ``values`` are those of its bindparams."""
    cursor = _run(connection, statement, values)
    found = cursor.fetchall()
    if not found:
        return []
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in found]


def add(connection: Connection, row: Mapping[str, Any]) -> int:
    """Add a line to the table of entries and return its number."""
    if connection.dialect.name == "sqlite":
        return int(_run(connection, _INSERT, row).lastrowid)
    return int(_run(connection, _INSERT_RETURNING, row).fetchone()[0])


_INSERT = entry.insert()
_INSERT_RETURNING = _INSERT.returning(entry.c.id)


def _run(connection: Connection, statement: Select[Any] | Insert, values: Mapping[str, Any]) -> Any:
    text, own, order = _compiled(statement, connection.dialect)
    given = {**own, **values}
    cursor = connection.connection.cursor()
    cursor.execute(text, given if order is None else [given[name] for name in order])
    return cursor


@lru_cache(64)
def _compiled(
    statement: Select[Any] | Insert, dialect: Dialect
) -> tuple[str, Mapping[str, Any], tuple[str, ...] | None]:
    """The text of a statement, the values it brings along, and the order of values where the driver wants a list."""
    keys = list(_COLUMNS) if isinstance(statement, Insert) else None
    compiled = statement.compile(dialect=dialect, column_keys=keys)
    order = tuple(compiled.positiontup) if compiled.positional and compiled.positiontup else None
    return str(compiled), {name: value for name, value in compiled.params.items() if value is not None}, order
