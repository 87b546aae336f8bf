"""Frozen sheets: what a sheet was made from and what it said, kept for good, and who signed it."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timezone

from sqlalchemy import Connection, func, insert, select

from safety.ledger import chain
from safety.ledger.read import readable
from safety.ledger.store import Ledger, reading, writing
from safety.ledger.tables import blob, frozen_input, sign_off
from safety.ledger.tables import frozen as frozen_table
from safety.problems import Problem, Problems
from safety.words import say

_SHOWN = 8  # pages in the answer to an id that is not there


@dataclass(frozen=True, slots=True)
class SignOff:
    """Who signed a frozen sheet, as what, and when by the clock on the wall."""

    name: str
    role: str
    at: datetime
    note: str = ""


@dataclass(frozen=True, slots=True)
class Frozen:
    """A sheet (or a log) as it was. ``inputs`` are all texts it was made from, by name."""

    id: str
    what: str
    title: str
    version: str
    seed: int
    draws: int
    inputs: Mapping[str, str]
    result: str
    at: datetime
    signed: tuple[SignOff, ...] = ()


def freeze(
    ledger: Ledger, inputs: Mapping[str, str], result: str, *, version: str, seed: int, draws: int,
    title: str = "", what: str = "sheet",
) -> str:  # fmt: skip
    """Keep a sheet for good and return its id, the hash of all that is kept. The same sheet again has the same id.

    Raises Problems where the ledger cannot be written.
    """
    hashes = {name: _hash(content) for name, content in inputs.items()}
    number = _id(what, title, version, seed, draws, _hash(result), hashes)
    with writing(ledger) as connection:
        if connection.scalar(select(frozen_table.c.id).where(frozen_table.c.id == number)):
            return number
        for content in {result, *inputs.values()}:
            _keep(connection, content)
        row = {"id": number, "what": what, "title": title, "version": version, "seed": seed, "draws": draws}
        lines = [{"name": name, "hash": digest} for name, digest in sorted(hashes.items())]
        chain.add(connection, frozen_table, {**row, "result": _hash(result), "at": _now()}, lines)
    return number


def sign(ledger: Ledger, id: str, name: str, role: str, at: datetime, note: str = "") -> SignOff:
    """Sign a frozen sheet. ``at`` is aware. The same signature again counts once. Raises Problems."""
    stamp = at.isoformat(timespec="seconds")
    with writing(ledger) as connection:
        number = _find(connection, ledger, id)
        row = {"frozen": number, "name": name, "role": role, "at": stamp}
        there = select(sign_off.c.id).where(*(sign_off.c[column] == value for column, value in row.items()))
        if connection.scalar(there) is None:
            chain.add(connection, sign_off, {**row, "note": note, "recorded": _now()})
    return SignOff(name, role, datetime.fromisoformat(stamp), note)


@dataclass(frozen=True, slots=True)
class Listed:
    """A frozen page in a list."""

    id: str
    what: str
    title: str
    at: datetime
    signatures: int


def newest(ledger: Ledger, most: int = 60) -> tuple[Listed, ...]:
    """The frozen sheets and logs, the newest first, and how often each is signed. Raises Problems."""
    signed = select(func.count()).where(sign_off.c.frozen == frozen_table.c.id).scalar_subquery()
    table = frozen_table.c
    wanted = select(table.id, table.what, table.title, table.at, signed.label("signatures"))
    with reading(ledger) as connection, readable():
        rows = connection.execute(wanted.order_by(table.at.desc(), table.id).limit(most))
        moment = datetime.fromisoformat
        return tuple(Listed(row.id, row.what, row.title, moment(row.at), row.signatures) for row in rows)


def frozen(ledger: Ledger, id: str) -> Frozen:
    """Return a frozen sheet by its id or the first 8 or more letters of it.

    Raises Problems where there is none, or where what is kept no longer fits its id.
    """
    with reading(ledger) as connection, readable():
        number = _find(connection, ledger, id)
        row = connection.execute(select(frozen_table).where(frozen_table.c.id == number)).one()
        kept = (
            select(frozen_input.c.name, blob.c.content)
            .join(blob, blob.c.hash == frozen_input.c.hash)
            .where(frozen_input.c.frozen == number)
            .order_by(frozen_input.c.name)
        )
        inputs = {line.name: line.content for line in connection.execute(kept)}
        result = connection.scalar(select(blob.c.content).where(blob.c.hash == row.result)) or ""
        at = datetime.fromisoformat(row.at)
        signed = tuple(
            SignOff(s.name, s.role, datetime.fromisoformat(s.at), s.note)
            for s in connection.execute(select(sign_off).where(sign_off.c.frozen == number).order_by(sign_off.c.id))
        )
    hashes = {name: _hash(content) for name, content in inputs.items()}
    if _id(row.what, row.title, row.version, row.seed, row.draws, _hash(result), hashes) != number:
        wrong = say("the frozen sheet {id} is damaged: its content does not fit its id", id=number[:12])
        raise Problems([Problem(ledger.where, 0, "", wrong, say("put the backup in its place"))])
    return Frozen(number, row.what, row.title, row.version, row.seed, row.draws, inputs, result, at, signed)


def frozen_called(ledger: Ledger, what: str, title: str, most: int = 3) -> tuple[Frozen, ...]:
    """The newest frozen pages of a kind and a title, the newest first. Raises Problems."""
    of = frozen_table.c
    wanted = select(of.id).where(of.what == what, of.title == title).order_by(of.at.desc(), of.id).limit(most)
    with reading(ledger) as connection:
        ids = connection.scalars(wanted).all()
    return tuple(frozen(ledger, str(id)) for id in ids)


def _id(what: str, title: str, version: str, seed: int, draws: int, result: str, inputs: Mapping[str, str]) -> str:
    return _hash(json.dumps([what, title, version, seed, draws, result, sorted(inputs.items())], ensure_ascii=False))


def _hash(content: str) -> str:
    return hashlib.sha256(content.encode()).hexdigest()


def _now() -> str:
    return datetime.now(timezone.utc).isoformat(timespec="microseconds")


def _keep(connection: Connection, content: str) -> None:
    digest = _hash(content)
    if connection.scalar(select(blob.c.hash).where(blob.c.hash == digest)) is None:
        connection.execute(insert(blob).values(hash=digest, content=content))


def _find(connection: Connection, ledger: Ledger, id: str) -> str:
    like = frozen_table.c.id.startswith(id, autoescape=True)
    found = connection.scalars(select(frozen_table.c.id).where(like).limit(2)).all() if len(id) >= 8 else []
    if len(found) == 1:
        return str(found[0])
    if found:
        wrong = say('several frozen sheets begin with "{id}"', id=id)
        raise Problems([Problem(ledger.where, 0, "", wrong, say("give more letters of its id"))])
    wrong = say('there is no frozen sheet or log "{id}"', id=id)
    raise Problems([Problem(ledger.where, 0, "", wrong, _known(connection, id))])


def _known(connection: Connection, asked: str) -> str:
    """The newest frozen pages: those whose title holds what was asked for, or else any."""
    rows = connection.execute(select(frozen_table).order_by(frozen_table.c.at.desc(), frozen_table.c.id)).all()
    if not rows:
        return say("nothing is frozen yet: hazstep sheet JOB --freeze, or hazstep log --month 2026-11 --freeze")
    named = [row for row in rows if asked.casefold() in row.title.casefold()]
    shown = [
        say("{id} ({what}, {title}, frozen {day})", id=row.id[:12], what=row.what, title=row.title, day=row.at[:10])
        for row in (named or rows)[:_SHOWN]
    ]
    return say("give 8 or more letters of an id; the newest: {pages}", pages="; ".join(shown))
