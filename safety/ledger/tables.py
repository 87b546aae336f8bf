"""The tables, and the triggers by which the database itself refuses to change or delete a line.

Amounts are whole micrograms and nanolitres. NULL is unknown, never zero. Days are local
("2026-11-25"), ``recorded`` is UTC. Nothing here knows of records or files.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from sqlalchemy import (
    BigInteger,
    CheckConstraint,
    Column,
    ColumnClause,
    ColumnElement,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    SmallInteger,
    Table,
    Text,
    UniqueConstraint,
    and_,
    literal_column,
    select,
)

KINDS = ("receive", "open", "use", "return", "waste", "ship", "weigh")
WAYS = ("", "to stock", "to supplier", "from stock", "from job", "out", "count")
BASES = ("", "weighed", "measured", "guessed", "label")

metadata = MetaData()
#: A rising number the database gives; plain INTEGER is what SQLite counts up by itself.
_Number = BigInteger().with_variant(Integer, "sqlite")


def _text(name: str) -> Column[str]:
    return Column(name, Text, nullable=False, server_default="")


def _one_of(column: str, words: tuple[str, ...]) -> CheckConstraint:
    return CheckConstraint(f"{column} IN ({', '.join(repr(word) for word in words)})", name=f"{column}_known")


version = Table(
    "ledger_version",
    metadata,
    Column("version", Integer, primary_key=True, autoincrement=False),
    Column("at", Text, nullable=False),
)

# A product as its file described it, once for each wording: later edits of the file do not change history.
edition = Table(
    "product_edition",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("hash", Text, nullable=False, unique=True),
    Column("product", Text, nullable=False),
    _text("name"),
    _text("role"),
    Column("density", Float(53)),  # kg/m3
    Column("voc", Float(53)),  # kg/m3
    Column("sds_revised", Text),
    _text("described"),  # the whole product as JSON; "" where it was recorded before that was kept
    _text("since"),  # the day from which it holds, by its file; "" where the file says none
)

# A waste container as shop.toml described it, once for each wording.
container_edition = Table(
    "container_edition",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("hash", Text, nullable=False, unique=True),
    Column("container", Text, nullable=False),
    _text("described"),  # the whole container as JSON
)

part = Table(
    "product_part",
    metadata,
    Column("edition", ForeignKey(edition.c.id), primary_key=True, autoincrement=False),
    Column("place", Integer, primary_key=True, autoincrement=False),
    _text("name"),
    _text("cas"),
    Column("low", Float(53), nullable=False),  # weight fraction
    Column("high", Float(53), nullable=False),
    Column("volatile", Integer, nullable=False),
)

entry = Table(
    "entry",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    Column("content", Text, nullable=False),  # hash of what was said: tells a retry from another record
    Column("kind", Text, nullable=False),
    Column("way", Text, nullable=False),
    Column("sign", SmallInteger, nullable=False),  # -1 for a reversal
    Column("month", Text, nullable=False),
    Column("day", Text, nullable=False),
    _text("happened"),  # local time with its zone offset; "" where only the day is known
    Column("recorded", Text, nullable=False),
    _text("shop"),
    _text("who"),
    _text("product"),
    Column("edition", ForeignKey(edition.c.id)),
    _text("lot"),
    _text("job"),
    _text("step"),
    _text("operation"),
    _text("container"),
    Column("mass_ug", BigInteger),
    Column("volume_nl", BigInteger),
    Column("density", Float(53)),  # kg/m3, used for this line
    _text("typed"),
    _text("typed_in"),  # "mass" or "volume"
    _text("basis"),
    Column("area", Float(53)),  # m2
    _text("expires"),
    _text("receiver"),
    _text("manifest"),
    _text("note"),
    _text("anyway"),
    _text("against"),
    Column("reverses", ForeignKey("entry.id")),
    Column("replaces", ForeignKey("entry.id")),
    Column("closes", ForeignKey("entry.id")),  # the weighing-out this use ends
    Column("container_edition", ForeignKey(container_edition.c.id)),
    Column("solvent_low_ug", BigInteger),  # of waste: how much of its mass is solvent, at least and at most
    Column("solvent_high_ug", BigInteger),
    _text("solvent_basis"),  # "measured", "tare" or "plan"
    _text("fate"),  # of what was collected: what becomes of it
    _text("rest"),  # of a collection: "stays" where the container stayed with what was not taken
    _one_of("kind", KINDS),
    _one_of("way", WAYS),
    _one_of("basis", BASES),
    CheckConstraint("sign = CASE WHEN reverses IS NULL THEN 1 ELSE -1 END", name="sign_fits"),
    CheckConstraint("mass_ug * sign >= 0 AND volume_nl * sign >= 0", name="amounts_fit_sign"),
    # totals read this index alone and never the table
    Index(
        "entry_flow",
        "month",
        "kind",
        "way",
        "edition",
        "basis",
        "operation",
        "sign",
        "mass_ug",
        "volume_nl",
        "shop",
        "product",
    ),
    # and what is left of each lot this one
    Index(
        "entry_of_lot",
        "product",
        "lot",
        "kind",
        "way",
        "edition",
        "shop",
        "month",
        "day",
        "sign",
        "mass_ug",
        "volume_nl",
    ),
    Index("entry_content", "content", "day"),
    Index("entry_day", "day", "product", "kind"),
)


def _plain(value: str | int) -> ColumnClause[Any]:
    """A value that stands in the words themselves: a database takes an index of some lines for those words alone."""
    return literal_column(repr(value))


#: Uses that say what a square metre took: weighed, of a job, with an area.
WEIGHED = and_(
    entry.c.kind == _plain("use"),
    entry.c.basis == _plain("weighed"),
    entry.c.job != _plain(""),
    entry.c.area > _plain(0),
)
#: Deliveries: few, and a new one is held against them.
RECEIVED = entry.c.kind == _plain("receive")
_DELIVERY = ("product", "kind", "sign", "mass_ug", "volume_nl")
Index("entry_received", *(entry.c[name] for name in _DELIVERY), sqlite_where=RECEIVED, postgresql_where=RECEIVED)
#: Lines of waste: few, and followed from the first one.
OF_WASTE = entry.c.kind.in_([_plain("waste"), _plain("ship")])
Index("entry_waste", entry.c.day, entry.c.happened, sqlite_where=OF_WASTE, postgresql_where=OF_WASTE)
_RATE = ("product", "step", "job", "day", "shop", "sign", "mass_ug", "area", "kind", "basis")
Index("entry_weighed", *(entry.c[name] for name in _RATE), sqlite_where=WEIGHED, postgresql_where=WEIGHED)
# few lines are of a container
Index("entry_container", entry.c.container, entry.c.day,
      sqlite_where=entry.c.container != "", postgresql_where=entry.c.container != "")  # fmt: skip
for _name in ("reverses", "replaces", "closes"):
    # nothing is taken back, replaced or ended twice; most lines do none of it and are not in these indexes
    _there = entry.c[_name].is_not(None)
    Index(f"entry_{_name}", entry.c[_name], unique=True, sqlite_where=_there, postgresql_where=_there)

_BACK = entry.alias()


def standing(until: str = "") -> tuple[ColumnElement[bool], ...]:
    """Lines of the ledger that are no reversal and that nobody has taken back.

    ``until`` (as in ``recorded``): a reversal that was made later is not known yet.
    """
    known = (_BACK.c.recorded <= until,) if until else ()
    return entry.c.sign == 1, ~select(_BACK.c.id).where(_BACK.c.reverses == entry.c.id, *known).exists()


blob = Table(
    "text_blob",
    metadata,
    Column("hash", Text, primary_key=True),
    Column("content", Text, nullable=False),
)

frozen = Table(
    "frozen",
    metadata,
    Column("id", Text, primary_key=True),  # hash of all that follows but the time
    Column("what", Text, nullable=False),
    Column("title", Text, nullable=False),
    Column("version", Text, nullable=False),
    Column("seed", BigInteger, nullable=False),
    Column("draws", BigInteger, nullable=False),
    Column("result", ForeignKey(blob.c.hash), nullable=False),
    Column("at", Text, nullable=False),
)

frozen_input = Table(
    "frozen_input",
    metadata,
    Column("frozen", ForeignKey(frozen.c.id), primary_key=True),
    Column("name", Text, primary_key=True),
    Column("hash", ForeignKey(blob.c.hash), nullable=False),
)

sign_off = Table(
    "sign_off",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("frozen", ForeignKey(frozen.c.id), nullable=False),
    Column("name", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("at", Text, nullable=False),  # local time with its zone offset
    Column("recorded", Text, nullable=False),
    _text("note"),
    UniqueConstraint("frozen", "name", "role", "at"),
)

# One doing of a job, and what was tapped in it. ``turn`` counts how often a like tap was taken back before: so there is
# one standing line for each stretch and kind, whoever writes it. It is NULL for what may be tapped again and again.
run = Table(
    "run",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    _text("shop"),
    Column("job", Text, nullable=False),
    _text("title"),
    _text("unit"),
    _text("sheet"),
    Column("started", Text, nullable=False),  # local time with its zone offset
    Column("recorded", Text, nullable=False),
    _text("who"),
    _text("checks"),
    _text("anyway"),
)

tap = Table(
    "tap",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("key", Text, nullable=False, unique=True),
    Column("run", ForeignKey(run.c.id), nullable=False, index=True),
    Column("kind", Text, nullable=False),
    Column("step", Integer, nullable=False),
    Column("coat", Integer, nullable=False),
    Column("turn", Integer),
    Column("at", Text, nullable=False),  # UTC: when it was made
    Column("heard", Text, nullable=False),  # UTC
    _text("value"),
    _text("who"),
    _text("device"),
    _text("note"),
    Column("undoes", ForeignKey("tap.id"), unique=True),
    UniqueConstraint("run", "kind", "step", "coat", "turn"),
)

audit = Table(
    "audit",
    metadata,
    Column("id", _Number, primary_key=True),
    Column("at", Text, nullable=False),  # UTC
    _text("device"),
    _text("who"),
    _text("address"),
    Column("what", Text, nullable=False),
    _text("object"),
    _text("before"),
    _text("after"),
)

# What was written, in the order of writing: each line holds the hash of the one before it. One line for each row of
# the tables in CHAINED; the parts of a product stand with it, and the texts of a frozen page by their hashes.
chain = Table(
    "chain",
    metadata,
    Column("number", BigInteger, primary_key=True, autoincrement=False),
    Column("what", Text, nullable=False),  # name of a table, or BEGUN
    Column("of", Text, nullable=False),  # its key there
    Column("digest", Text, nullable=False),  # hash of that row
    Column("at", Text, nullable=False),  # UTC
    _text("computer"),
    _text("account"),  # of the operating system
    Column("hash", Text, nullable=False),  # of all of these, and of the line before
    UniqueConstraint("what", "of"),
)
#: What the first line of the chain is of: it says when the ledger was first covered.
BEGUN = "begun"

#: The tables of the first steps, as these made them; what came later is in COLUMNS and CHAIN.
ENTRIES = (version, edition, part, container_edition, entry)
SHEETS = (blob, frozen, frozen_input, sign_off)
RUNS = (run, tap, audit)
CHAINED = (edition, container_edition, entry, frozen, sign_off, run, tap, audit)


def guards(table: Table, dialect: str) -> Iterator[str]:
    """Yield the statements that make a table append-only."""
    name = table.name
    refusal = f"{name} is append-only: record a correction instead"
    if dialect == "sqlite":
        for action in ("UPDATE", "DELETE"):
            yield (
                f"CREATE TRIGGER {name}_no_{action.lower()} BEFORE {action} ON {name} "
                f"BEGIN SELECT RAISE(ABORT, '{refusal}'); END"
            )
        # INSERT OR REPLACE deletes the old line without asking the triggers above
        taken = " OR ".join(
            "(" + " AND ".join(f"{column} = NEW.{column}" for column in columns) + ")" for columns in _unique(table)
        )
        yield (
            f"CREATE TRIGGER {name}_no_replace BEFORE INSERT ON {name} "
            f"WHEN EXISTS (SELECT 1 FROM {name} WHERE {taken}) BEGIN SELECT RAISE(ABORT, '{refusal}'); END"
        )
    else:
        yield (
            f"CREATE FUNCTION {name}_refuse() RETURNS trigger LANGUAGE plpgsql AS "
            f"$$ BEGIN RAISE EXCEPTION '{refusal}'; END $$"
        )
        yield (
            f"CREATE TRIGGER {name}_no_change BEFORE UPDATE OR DELETE OR TRUNCATE ON {name} "
            f"FOR EACH STATEMENT EXECUTE FUNCTION {name}_refuse()"
        )


def _unique(table: Table) -> list[tuple[str, ...]]:
    found = [tuple(column.name for column in table.primary_key.columns)]
    found += [(column.name,) for column in table.columns if column.unique]
    by_name = sorted(table.indexes, key=lambda index: str(index.name))  # a set: else each program writes it otherwise
    found += [tuple(column.name for column in index.columns) for index in by_name if index.unique]
    found += [
        tuple(column.name for column in constraint.columns)
        for constraint in table.constraints
        if isinstance(constraint, UniqueConstraint) and len(constraint.columns) > 1
    ]
    return found
