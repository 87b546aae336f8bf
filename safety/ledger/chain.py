"""The chain: every row that is written holds on to the one before it, so that what is changed later is found out.

Each row of the ledger has one line in the chain: a hash of the row, and a hash of that, of the time, of the computer
and of the line before. Who writes holds the lock of the ledger, so lines come one after the other.
"""

from __future__ import annotations

import getpass
import hashlib
import json
import os
import platform
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import datetime, timezone
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, Float, Select, Table, func, insert, literal_column, select

from safety.ledger import quick
from safety.ledger.tables import BEGUN, CHAINED, chain, edition, frozen, frozen_input, part

Row = Mapping[str, Any]

_JSON = json.JSONEncoder(sort_keys=True, separators=(",", ":")).encode
_HEAD = "head of the chain"  # where a connection remembers it during one transaction
#: What is hashed with a row, because it stands in a table of its own: the table, and its column that names the row.
_WITH = {edition.name: (part, "edition"), frozen.name: (frozen_input, "frozen")}
_ONE_READ = 2000  # rows
_LAST = select(chain.c.number, chain.c.hash).order_by(chain.c.number.desc()).limit(1)


def add(connection: Connection, table: Table, row: Row, with_it: Sequence[Row] = ()) -> Any:
    """Write a row with its line in the chain, and return its number. The caller holds the write lock.

    ``with_it``: the rows that belong to it in a table of their own.
    """
    key = row.get("id")
    if key is None:
        key = quick.add(connection, table, row)
    else:
        connection.execute(insert(table).values(**row))
    if with_it:
        other, name = _WITH[table.name]
        connection.execute(insert(other), [{**one, name: key} for one in with_it])
    hold(connection, table, {**row, "id": key}, with_it)
    return key


def hold(connection: Connection, table: Table, row: Row, with_it: Iterable[Row] = ()) -> None:
    """Put a row that has just been written into the chain."""
    _link(connection, table.name, str(row["id"]), digest(table, row, with_it))


def begin(connection: Connection) -> None:
    """Start the chain, and take in all rows that are there already: from now on no change of theirs goes unseen."""
    earlier = sum(connection.scalar(select(func.count()).select_from(table)) or 0 for table in CHAINED)
    _link(connection, BEGUN, str(earlier), _hash(str(earlier)))
    for table in CHAINED:
        for row in every_row(connection, table):
            hold(connection, table, row, belonging(connection, table, row["id"]))


def every_row(connection: Connection, table: Table) -> Iterator[Row]:
    """All rows of a table by their keys, some at a time: a ledger may be larger than the memory."""
    last: Any = None
    while True:
        later = () if last is None else (table.c.id > last,)
        rows = _read(connection, _all_of(table).where(*later).order_by(table.c.id).limit(_ONE_READ))
        yield from rows
        if len(rows) < _ONE_READ:
            return
        last = rows[-1]["id"]


def belonging(connection: Connection, table: Table, key: Any) -> list[Row]:
    """The rows that belong to a row in a table of their own."""
    if table.name not in _WITH:
        return []
    other, name = _WITH[table.name]
    rows = _read(connection, _all_of(other).where(other.c[name] == key))
    return [{column: value for column, value in row.items() if column != name} for row in rows]


def _all_of(table: Table) -> Select[Any]:
    """Every column a table has in this ledger, be it older or newer than this program knows."""
    return select(literal_column("*")).select_from(table)


def _read(connection: Connection, wanted: Select[Any]) -> list[Row]:
    return [dict(row) for row in connection.execute(wanted).mappings()]


def head(connection: Connection) -> tuple[int, str]:
    """The number and the hash of the last line; 0 and "" where there is none."""
    last = quick.rows(connection, _LAST, {})
    return (int(last[0]["number"]), str(last[0]["hash"])) if last else (0, "")


def forget(connection: Connection) -> None:
    """Another may have written since."""
    connection.info.pop(_HEAD, None)


def digest(table: Table, row: Row, with_it: Iterable[Row] = ()) -> str:
    """The hash of a row. What is empty is left out: a column that a later step adds changes no older hash."""
    rest = sorted(_JSON(_said(_WITH[table.name][0], one)) for one in with_it)
    return _hash(_JSON([table.name, _said(table, row), rest]))


def hash_of(line: Row, before: str) -> str:
    """The hash of a line of the chain, from its columns and the hash of the line before."""
    names = ("number", "what", "of", "digest", "at", "computer", "account")
    return _hash(_JSON([before, *(line[name] for name in names)]))


def _link(connection: Connection, what: str, of: str, own: str) -> None:
    number, before = connection.info.get(_HEAD) or head(connection)
    line = {
        "number": number + 1, "what": what, "of": of, "digest": own,
        "at": datetime.now(timezone.utc).isoformat(timespec="microseconds"),
        "computer": _computer(), "account": _account(),
    }  # fmt: skip
    line["hash"] = hash_of(line, before)
    quick.put(connection, chain, line)
    connection.info[_HEAD] = line["number"], line["hash"]


def _said(table: Table, row: Row) -> dict[str, Any]:
    return {
        name: float(value) if name in _floats(table) else value
        for name, value in row.items()
        if value is not None and value != ""
    }


@lru_cache(32)
def _floats(table: Table) -> frozenset[str]:
    return frozenset(column.name for column in table.columns if isinstance(column.type, Float))


def _hash(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


@lru_cache(1)
def _computer() -> str:
    return platform.node()


@lru_cache(1)
def _account() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):  # a number that no list of names has
        return f"uid {os.getuid()}" if hasattr(os, "getuid") else ""
