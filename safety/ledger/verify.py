"""Whether the ledger is as it was written: every row against the chain, the chain against itself, and the triggers."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import count
from typing import Any

from sqlalchemy import Connection, Text, cast, func, select

from safety.ledger.chain import belonging, digest, hash_of, head
from safety.ledger.described import hash_of as hash_of_text
from safety.ledger.read import readable
from safety.ledger.store import Ledger, reading
from safety.ledger.tables import BEGUN, CHAINED, blob, chain, entry, guards, metadata
from safety.model import Chained
from safety.words import say

#: Lines up to which a log looks at every one of them; of more it looks at the last of them, and counts.
AT_ONCE = 20_000
_LAST = 5_000
_ONE_READ = 500
#: What is told one by one; of more only how many.
_TOLD = 12
#: Between what a record says of its time and what the chain says of it: more is no delay of a computer.
_SOON = timedelta(minutes=5)
#: After its day, a record is late papers (common practice, no source).
_LATE = timedelta(days=31)


@dataclass(slots=True)
class Verified:
    """What was found."""

    lines: int = 0
    head: str = ""
    at: str = ""  # of the last line, UTC
    covered: str = ""  # since when, UTC
    earlier: int = 0  # rows that were there before
    wrong: list[str] = field(default_factory=list)  # what does not match
    unguarded: list[str] = field(default_factory=list)  # triggers that are not there, or are not ours
    dated: list[str] = field(default_factory=list)  # what was dated back
    late: int = 0  # records that were made long after their day
    by: Counter[tuple[str, str]] = field(default_factory=Counter)  # (computer, account) -> lines
    heads: dict[str, str] = field(
        default_factory=dict
    )  # asked for -> when that line was written; "" where there is none

    @property
    def sound(self) -> bool:
        return not (self.wrong or self.unguarded or self.dated or "" in self.heads.values())


def verify(ledger: Ledger, heads: tuple[str, ...] = ()) -> Verified:
    """Look at the whole ledger. Each of ``heads``, printed or kept elsewhere, must be in the chain. Raises Problems."""
    with reading(ledger) as connection, readable():
        found = Verified(heads=dict.fromkeys(heads, ""))
        _walk(connection, found, 0)
        _counts(connection, found)
        _texts(connection, found)
        found.unguarded = list(_unguarded(connection))
    return found


def chained(ledger: Ledger) -> Chained:
    """What a log says of the chain: its line of the last record, and whether the ledger is as it was written.

    All of a large ledger is looked at by :func:`verify` alone. Raises Problems.
    """
    with reading(ledger) as connection, readable():
        number = head(connection)[0]
        found = Verified()
        _walk(connection, found, 0 if number <= AT_ONCE else number - _LAST)
        _counts(connection, found)
        found.unguarded = list(_unguarded(connection))
        of_records = select(chain.c.number, chain.c.hash).where(chain.c.what == entry.name)
        last = connection.execute(of_records.order_by(chain.c.number.desc()).limit(1)).first()
    wrong = (*found.wrong, *found.unguarded, *found.dated)
    return Chained(
        lines=last.number if last else 0,
        head=last.hash if last else "",
        covered=found.covered,
        earlier=found.earlier,
        wrong=wrong,
        all_of_it=number <= AT_ONCE,
    )


def _walk(connection: Connection, found: Verified, after: int) -> None:
    """Every line of the chain behind a number, and the rows they are of."""
    of_first = select(chain.c.at, chain.c.of).where(chain.c.number == 1, chain.c.what == BEGUN)
    begun = connection.execute(of_first).first()
    if begun:
        found.covered, found.earlier = begun.at, int(begun.of)
    before, at = "", ""
    if after:
        start = connection.execute(select(chain.c.hash, chain.c.at).where(chain.c.number == after)).first()
        before, at = (start.hash, start.at) if start else ("", "")
    numbers = count(after + 1)
    for lines in _lines(connection, after):
        rows = _rows(connection, lines)
        for line in lines:
            expected = next(numbers)
            if line["number"] != expected:
                _tell(found.wrong, say("line {number} of the chain is not there", number=expected))
                numbers = count(line["number"] + 1)
            if hash_of(line, before) != line["hash"]:
                number = line["number"]
                _tell(found.wrong, say("line {number} of the chain does not follow from the one before", number=number))
            row = rows.get((line["what"], line["of"]))
            if line["what"] != BEGUN:
                _held(connection, found, line, row)
            if at and line["at"] < at:
                told = {"number": line["number"], "at": line["at"]}
                _tell(found.dated, say("the clock was put back before line {number} ({at})", **told))
            before, at = line["hash"], line["at"]
            _note(found, line, row)
    found.lines, found.head, found.at = next(numbers) - 1, before, at


def _note(found: Verified, line: Mapping[str, Any], row: Mapping[str, Any] | None) -> None:
    """What a sound line tells beside."""
    found.by[line["computer"], line["account"]] += 1
    for asked in found.heads:
        if line["hash"].startswith(asked):
            found.heads[asked] = line["at"]
    if line["what"] == entry.name and row is not None:
        recorded = datetime.fromisoformat(row["recorded"])
        if abs(datetime.fromisoformat(line["at"]) - recorded) > _SOON and line["number"] > found.earlier + 1:
            told = {"key": row["key"], "said": row["recorded"], "at": line["at"]}
            _tell(found.dated, say("record {key} says it was made at {said}; it was written at {at}", **told))
        found.late += recorded.date() - datetime.fromisoformat(row["day"]).date() > _LATE


def _held(connection: Connection, found: Verified, line: Mapping[str, Any], row: Mapping[str, Any] | None) -> None:
    """Whether the row of a line is there, and as it was written."""
    table = metadata.tables.get(line["what"])
    if table is None or row is None:
        _tell(found.wrong, say("{what} {of} is gone", what=line["what"], of=line["of"]))
    elif digest(table, row, belonging(connection, table, row["id"])) != line["digest"]:
        name = row.get("key") or row.get("title") or line["of"]
        _tell(found.wrong, say("{what} {name} was changed after it was written", what=line["what"], name=name))


def _lines(connection: Connection, after: int) -> Iterator[list[dict[str, Any]]]:
    while True:
        some = select(chain).where(chain.c.number > after).order_by(chain.c.number).limit(_ONE_READ)
        lines = [dict(line) for line in connection.execute(some).mappings()]
        if not lines:
            return
        yield lines
        after = lines[-1]["number"]


def _rows(connection: Connection, lines: list[dict[str, Any]]) -> dict[tuple[str, str], Mapping[str, Any]]:
    """The rows that some lines of the chain are of."""
    found: dict[tuple[str, str], Mapping[str, Any]] = {}
    for table in CHAINED:
        keys: list[Any] = [line["of"] for line in lines if line["what"] == table.name]
        if not keys:
            continue
        if table.c.id.type.python_type is int:
            keys = [int(key) for key in keys if key.isdigit()]
        for row in connection.execute(select(table).where(table.c.id.in_(keys))).mappings():
            found[table.name, str(row["id"])] = dict(row)
    return found


def _counts(connection: Connection, found: Verified) -> None:
    """Rows that somebody put in beside the chain."""
    in_it = dict(map(tuple, connection.execute(select(chain.c.what, func.count()).group_by(chain.c.what))))
    for table in CHAINED:
        there = connection.scalar(select(func.count()).select_from(table)) or 0
        if there > in_it.get(table.name, 0):
            mine = select(chain.c.of).where(chain.c.what == table.name)
            strays = select(table.c.id).where(cast(table.c.id, Text).not_in(mine)).order_by(table.c.id)
            for (key,) in connection.execute(strays.limit(_TOLD)):
                _tell(found.wrong, say("{what} {of} is in no line of the chain", what=table.name, of=key))


def _texts(connection: Connection, found: Verified) -> None:
    """Texts of frozen pages that no longer fit their hashes."""
    last = ""
    while True:
        some = select(blob.c.hash, blob.c.content).where(blob.c.hash > last).order_by(blob.c.hash).limit(20)
        rows = connection.execute(some).all()
        for row in rows:
            if hash_of_text(row.content) != row.hash:
                _tell(found.wrong, say("a text of a frozen page was changed ({hash})", hash=row.hash[:12]))
        if not rows:
            return
        last = rows[-1].hash


def _tell(told: list[str], text: str) -> None:
    if len(told) < _TOLD:
        told.append(text)
    elif len(told) == _TOLD:
        told.append(say("and more"))


def _unguarded(connection: Connection) -> Iterator[str]:
    """Triggers that keep lines from being changed, and are not there or say something else."""
    sqlite = connection.dialect.name == "sqlite"
    there = _triggers(connection, sqlite=sqlite)
    for table in metadata.tables.values():
        for statement in guards(table, connection.dialect.name):
            words = statement.split()
            if words[1] != "TRIGGER":
                continue
            if _plain(there.get(words[2], "")) != _plain(statement if sqlite else f"{table.name}_refuse"):
                yield say("the trigger {name} is not there, or not ours", name=words[2])


def _plain(statement: str) -> tuple[str, ...]:
    """A trigger with its conditions sorted: which came first was once left to chance."""
    head, where, rest = statement.partition(" WHERE ")
    conditions, end, last = rest.partition(") BEGIN ")
    return (head, where, *sorted(conditions.split(" OR ")), end, last)


def _triggers(connection: Connection, *, sqlite: bool) -> dict[str, str]:
    """Name -> its statement; in PostgreSQL the function of each that is switched on and refuses."""
    if sqlite:
        made = connection.exec_driver_sql("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
    else:
        made = connection.exec_driver_sql(
            "SELECT t.tgname, p.proname FROM pg_trigger t JOIN pg_class c ON c.oid = t.tgrelid "
            "JOIN pg_proc p ON p.oid = t.tgfoid WHERE c.relnamespace = current_schema()::regnamespace "
            "AND t.tgenabled IN ('O', 'A') AND NOT t.tgisinternal AND p.prosrc LIKE '%%append-only%%'"
        )
    return dict(map(tuple, made))
