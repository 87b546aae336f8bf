"""Statements of recording, put together by SQLAlchemy once and then run on the driver itself.

Taking each of them through all of SQLAlchemy for every record takes longer than the disk does.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Dialect, Insert, Select, Table, bindparam


def rows(connection: Connection, statement: Select[Any], values: Mapping[str, Any]) -> list[dict[str, Any]]:
    """Return the rows of a statement as mappings. ``values`` are those of its bindparams."""
    cursor = _run(connection, statement, values)
    found = cursor.fetchall()
    if not found:
        return []
    names = [column[0] for column in cursor.description]
    return [dict(zip(names, row, strict=True)) for row in found]


def add(connection: Connection, table: Table, row: Mapping[str, Any]) -> int:
    """Add a row to a table that counts its rows, and return its number. A column that is left out takes its default."""
    names = tuple(name for name in row if name != "id")
    if connection.dialect.name == "sqlite":
        return int(_run(connection, _insert(table, names), row).lastrowid)
    return int(_run(connection, _insert(table, names, True), row).fetchone()[0])


def put(connection: Connection, table: Table, row: Mapping[str, Any]) -> None:
    """Add a row whose key is given."""
    _run(connection, _insert(table, tuple(row)), row)


@lru_cache(64)
def _insert(table: Table, names: tuple[str, ...], number: bool = False) -> Insert:
    """The statement that adds a row with these columns; with ``number`` it gives back the number of the row."""
    statement = table.insert().values({name: bindparam(name) for name in names})
    return statement.returning(table.c.id) if number else statement


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
    compiled = statement.compile(dialect=dialect)
    order = tuple(compiled.positiontup) if compiled.positional and compiled.positiontup else None
    return str(compiled), {name: value for name, value in compiled.params.items() if value is not None}, order
