"""The ledger's schema, step by step. A new ledger takes every step, an older one the steps it lacks."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timezone

from sqlalchemy import Connection, Table, func, insert, inspect, select
from sqlalchemy.schema import CreateColumn

from safety.ledger import chain, tables
from safety.words import say


class NotALedger(Exception):
    """The database holds something else, or comes from a newer program. The text says which."""


def _make(connection: Connection, made: tuple[Table, ...]) -> None:
    tables.metadata.create_all(connection, tables=list(made), checkfirst=False)
    for table in made:
        for statement in tables.guards(table, connection.dialect.name):
            connection.exec_driver_sql(statement)


def _entries(connection: Connection) -> None:
    _make(connection, tables.ENTRIES)


def _sheets(connection: Connection) -> None:
    _make(connection, tables.SHEETS)


def _runs(connection: Connection) -> None:
    _make(connection, tables.RUNS)


def _meaning(connection: Connection) -> None:
    """What a record meant is kept with it, and each record holds on to the one before it."""
    if not inspect(connection).has_table(tables.container_edition.name):
        _make(connection, (tables.container_edition,))
    for table, names in ADDED:
        there = {column["name"] for column in inspect(connection).get_columns(table.name)}
        for name in names:
            if name not in there:
                column = CreateColumn(table.c[name]).compile(dialect=connection.dialect)
                points_to = "".join(f" REFERENCES {key.column.table.name} (id)" for key in table.c[name].foreign_keys)
                connection.exec_driver_sql(f"ALTER TABLE {table.name} ADD COLUMN {column}{points_to}")
    for index in tables.entry.indexes:
        if index.name in ("entry_day", "entry_container"):
            index.create(connection, checkfirst=True)
    _make(connection, (tables.chain,))
    chain.begin(connection)


def _sums(connection: Connection) -> None:
    """Lots and what a square metre took are added up from an index alone; deliveries and waste are found by one."""
    connection.exec_driver_sql("DROP INDEX IF EXISTS entry_lot")
    for index in tables.entry.indexes:
        if index.name in ("entry_of_lot", "entry_received", "entry_waste", "entry_weighed"):
            index.create(connection, checkfirst=True)


#: What the fourth step adds to tables of earlier ones. A ledger that is made now has it from the start.
ADDED = (
    (tables.edition, ("described", "since")),
    (
        tables.entry,
        ("container_edition", "solvent_low_ug", "solvent_high_ug", "solvent_basis", "fate", "rest"),
    ),
)

#: Step n takes a ledger from version n to n + 1. A step that has been released is never changed.
STEPS: tuple[Callable[[Connection], None], ...] = (_entries, _sheets, _runs, _meaning, _sums)


def version_of(connection: Connection) -> int:
    """Return the schema version; 0 for an empty database.

    Raises NotALedger where the database holds other tables or a version this program does not know.
    """
    there = set(inspect(connection).get_table_names())
    if tables.version.name not in there:
        if there & set(tables.metadata.tables) or (there and connection.dialect.name == "sqlite"):
            raise NotALedger(say("this database holds other tables and no ledger"))
        return 0
    version = connection.scalar(select(func.max(tables.version.c.version))) or 0
    if version > len(STEPS):
        raise NotALedger(
            say(
                "this ledger is of version {version} and this program knows versions up to {known}",
                version=version,
                known=len(STEPS),
            )
        )
    return version


def upgrade(connection: Connection, to: int | None = None) -> int:
    """Take the steps that lack and return the version reached. The caller holds the write lock and commits."""
    version = version_of(connection)
    to = len(STEPS) if to is None else to
    for number in range(version, to):
        STEPS[number](connection)
        now = datetime.now(timezone.utc).isoformat()
        connection.execute(insert(tables.version).values(version=number + 1, at=now))
    return max(version, to)
