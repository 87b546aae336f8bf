"""Runs: a job that is being done, and every tap made in it. Lines are added and never changed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timezone
from typing import Any, Literal

from sqlalchemy import ColumnElement, Connection, Select, func, select

from safety.ledger import chain
from safety.ledger.address import surely_none
from safety.ledger.lots import all_lots, labels_of
from safety.ledger.read import entries_where, readable
from safety.ledger.store import Ledger, has_ledger, open_ledger, reading, writing
from safety.ledger.tables import audit as audit_table
from safety.ledger.tables import entry
from safety.ledger.tables import run as run_table
from safety.ledger.tables import tap as tap_table
from safety.model import Entry, Lot, Shop
from safety.problems import Problem, Problems
from safety.words import say

#: What is done once in a run, or once in each of its stretches, until it is taken back.
ONCE = ("begin", "end", "coat", "close")
UNDO, CLOSE = "undo", "close"


@dataclass(frozen=True, slots=True)
class Run:
    """One doing of a job. ``started`` has the shop's own zone offset: clock times of the day are in it."""

    key: str
    job: str
    title: str
    unit: str
    sheet: str  # id of the frozen sheet it was started with; "" where none was kept
    started: datetime
    who: str
    checks: str = ""  # what was ticked before the start, as JSON
    anyway: str = ""  # why it was started with something unknown, and by whom


@dataclass(frozen=True, slots=True)
class TapLine:
    """One tap as it is kept. ``at`` and ``heard`` are aware; they come back in UTC."""

    key: str
    run: str
    kind: str
    at: datetime
    heard: datetime
    step: int = -1
    coat: int = 0
    value: str = ""  # of an undo the key of the tap it takes back
    who: str = ""
    device: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Audit:
    """Who did what from where: for everything that is no tap and no amount."""

    at: datetime
    device: str
    who: str
    address: str
    what: str
    object: str = ""
    before: str = ""  # hash
    after: str = ""


Row = dict[str, Any]

#: What became of a tap: it is new, was there already (the same key), or somebody else's like it was first.
Became = Literal["new", "there", "first"]


def begin_run(ledger: Ledger, run: Run) -> tuple[Run, bool]:
    """Begin a run and say whether it is new; one with the same key is given back as it is kept. Raises Problems."""
    row = {name: getattr(run, name) for name in ("key", "job", "title", "unit", "sheet", "who", "checks", "anyway")}
    row |= {"shop": ledger.shop, "started": run.started.isoformat(timespec="seconds"), "recorded": _now()}
    with writing(ledger) as connection:
        there = connection.execute(select(run_table).where(run_table.c.key == run.key)).mappings().first()
        if there is not None:
            return _run(there), False
        chain.add(connection, run_table, row)
    return _run(row), True


def runs(ledger: Ledger, open_only: bool = False) -> tuple[Run, ...]:
    """Every run of the shop, the newest first; with ``open_only`` those that nobody has closed. Raises Problems."""
    wanted = select(run_table).where(run_table.c.shop == ledger.shop)
    if open_only:
        undone = tap_table.alias()
        closed = select(tap_table.c.id).where(
            tap_table.c.run == run_table.c.id,
            tap_table.c.kind == CLOSE,
            ~select(undone.c.id).where(undone.c.undoes == tap_table.c.id).exists(),
        )
        wanted = wanted.where(~closed.exists())
    with reading(ledger) as connection, readable():
        return tuple(map(_run, connection.execute(wanted.order_by(run_table.c.id.desc())).mappings()))


def add_tap(ledger: Ledger, tap: TapLine) -> tuple[TapLine, Became]:
    """Keep a tap, and return the line that stands: this one, or the one that was there first.

    Of taps that can be made once in a stretch the first standing one wins. Raises Problems.
    """
    with writing(ledger) as connection:
        run = connection.scalar(select(run_table.c.id).where(run_table.c.key == tap.run))
        if run is None:
            raise _wrong(ledger, say('there is no run "{key}"', key=tap.run), say("start the job first"))
        there = _with_run(connection, tap_table.c.key == tap.key)
        if there is not None:
            return _tap(there), "there"
        row: dict[str, Any] = {
            name: getattr(tap, name) for name in ("key", "kind", "step", "coat", "value", "who", "device", "note")
        }
        row |= {"run": run, "at": _utc(tap.at), "heard": _utc(tap.heard), "turn": None, "undoes": None}
        if tap.kind in ONCE:
            row["turn"], standing = _turn(connection, row)
            if standing is not None:
                return _tap({**standing, "run_key": tap.run}), "first"
        elif tap.kind == UNDO:
            row["undoes"], other = _undone(connection, ledger, run, tap.value)
            if other is not None:
                return _tap(other), "first"
        chain.add(connection, tap_table, row)
    return _tap({**row, "run_key": tap.run}), "new"


def taps_of(ledger: Ledger, run: str) -> tuple[TapLine, ...]:
    """Every tap of a run, as they were heard. Raises Problems."""
    wanted = _taps().where(run_table.c.key == run).order_by(tap_table.c.id)
    with reading(ledger) as connection, readable():
        return tuple(map(_tap, connection.execute(wanted).mappings()))


def audit(ledger: Ledger, line: Audit) -> None:
    """Keep a line of who did what. Raises Problems."""
    names = ("device", "who", "address", "what", "object", "before", "after")
    with writing(ledger) as connection:
        row = {name: getattr(line, name) for name in names}
        chain.add(connection, audit_table, {"at": _utc(line.at), **row})


def audits(ledger: Ledger, newest: int = 200) -> tuple[Audit, ...]:
    """The newest lines of who did what, the newest first. Raises Problems."""
    wanted = select(audit_table).order_by(audit_table.c.id.desc()).limit(newest)
    names = ("device", "who", "address", "what", "object", "before", "after")
    with reading(ledger) as connection, readable():
        rows = connection.execute(wanted).mappings()
        return tuple(Audit(datetime.fromisoformat(row["at"]), **{name: row[name] for name in names}) for row in rows)


def last_entry(shop: Shop, wait: float) -> str:
    """What tells the records of a shop from those with one line more; "" where there is no ledger.

    ``wait`` as for ``open_ledger``. Raises Problems.
    """
    if surely_none(shop) or not has_ledger(shop):
        return ""
    with open_ledger(shop, wait=wait) as ledger, reading(ledger) as connection:
        return str(connection.scalar(select(func.max(entry.c.id))) or 0)


# ---------------------------------------------------------------- rows


def _taps() -> Select[Any]:
    return select(tap_table, run_table.c.key.label("run_key")).join_from(
        tap_table, run_table, tap_table.c.run == run_table.c.id
    )


def _with_run(connection: Connection, condition: ColumnElement[bool]) -> Row | None:
    row = connection.execute(_taps().where(condition)).mappings().first()
    return None if row is None else dict(row)


def _turn(connection: Connection, row: Mapping[Any, Any]) -> tuple[int, Row | None]:
    """How often a tap like this one was taken back, and the one that stands."""
    same = (tap_table.c[name] == row[name] for name in ("run", "kind", "step", "coat"))
    undone = tap_table.alias()
    wanted = (
        select(tap_table, undone.c.id.label("undone"))
        .outerjoin(undone, undone.c.undoes == tap_table.c.id)
        .where(*same)
        .order_by(tap_table.c.id)
    )
    found = connection.execute(wanted).mappings().all()
    standing = next((dict(one) for one in found if one["undone"] is None), None)
    return len(found), standing


def _undone(connection: Connection, ledger: Ledger, run: int, key: str) -> tuple[int, Row | None]:
    """The line that an undo takes back, and the undo that took it back already."""
    line = _with_run(connection, tap_table.c.key == key)
    if line is None or line["run"] != run or line["kind"] == UNDO:
        raise _wrong(ledger, say('there is no tap "{key}" to take back in this run', key=key), say("look at it again"))
    return line["id"], _with_run(connection, tap_table.c.undoes == line["id"])


def _run(row: Mapping[Any, Any]) -> Run:
    names = ("key", "job", "title", "unit", "sheet", "who", "checks", "anyway")
    return Run(started=datetime.fromisoformat(row["started"]), **{name: row[name] for name in names})


def _tap(row: Mapping[Any, Any]) -> TapLine:
    at, heard = (datetime.fromisoformat(row[name]) for name in ("at", "heard"))
    names = ("key", "kind", "step", "coat", "value", "who", "device", "note")
    return TapLine(run=row["run_key"], at=at, heard=heard, **{name: row[name] for name in names})


def _utc(moment: datetime) -> str:
    return moment.astimezone(timezone.utc).isoformat(timespec="milliseconds")


def _now() -> str:
    return datetime.now(timezone.utc).isoformat(timespec="microseconds")


def _wrong(ledger: Ledger, wrong: str, write: str) -> Problems:
    return Problems([Problem(ledger.where, 0, "", wrong, write)])


# ---------------------------------------------------------------- what was used in a run


def used_in(ledger: Ledger, prefix: str) -> dict[str, Entry]:
    """The records that stand and whose keys begin so, by the key each was first written down with. Raises Problems."""
    with reading(ledger) as connection, readable():
        found = entries_where(connection, entry.c.key.startswith(prefix, autoescape=True), entry.c.sign == 1)
    return {one.key.partition("~")[0]: one for one in found if not one.reversed_by}


def lots_of(ledger: Ledger, product: str) -> tuple[Lot, ...]:
    """Every lot of a product that was received. Raises Problems."""
    with reading(ledger) as connection, readable():
        lots = all_lots(connection, products=(product,))
        return tuple(one for one in lots if labels_of(connection, product, one.lot).received)


def last_lot(ledger: Ledger, product: str) -> str:
    """The lot that a product was last taken from; "" where nobody took any. Raises Problems."""
    taken = select(entry.c.lot).where(entry.c.product == product, entry.c.kind == "use", entry.c.sign == 1)
    with reading(ledger) as connection:
        return str(connection.scalar(taken.order_by(entry.c.id.desc()).limit(1)) or "")
