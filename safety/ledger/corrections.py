"""Corrections: a line is taken back by its negative and another stands in for it. Nothing is edited."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Connection, or_, select

from safety.ledger.amounts import Amount
from safety.ledger.drafts import Draft, Mistake
from safety.ledger.entries import BY_KEY, Refused, Stored, add, now, row_of
from safety.ledger.plausible import Stock
from safety.ledger.read import entries_where, read_editions
from safety.ledger.store import Ledger, reading, writing
from safety.ledger.tables import entry
from safety.words import say


def correct(ledger: Ledger, key: str, draft: Draft | None, who: str, why: str) -> tuple[Stored, ...]:
    """Take back the line ``key`` and put ``draft`` in its place (None: nothing).

    The reversal stands in the month of the line it takes back, so totals come out as if the
    mistake had not been made. Returns the reversal and the new line. Said twice it counts once.
    Raises Refused and Problems.
    """
    with writing(ledger) as connection:
        old = connection.execute(BY_KEY, {"key": key}).mappings().first()
        if old is None:
            raise Refused([(0, no_record(key))])
        if old["shop"] not in ledger.names:
            wrong = say("this is a record of {shop}", shop=old["shop"])
            raise Refused([(0, Mistake("key", wrong, say("who keeps that shop's records corrects it there")))])
        if old["reverses"] is not None:
            wrong = say("this line is itself a reversal")
            raise Refused([(0, Mistake("key", wrong, say("record anew what was taken back by mistake")))])
        back = connection.execute(select(entry).where(entry.c.reverses == old["id"])).mappings().first()
        if back is not None:
            return _corrected(connection, dict(back), draft)
        if connection.scalar(select(entry.c.key).where(entry.c.closes == old["id"])):
            wrong = say("this weighing has been used to record a use")
            raise Refused([(0, Mistake("key", wrong, say("correct that use instead")))])
        stored = [Stored(add(connection, _reversal(dict(old), who, why), None), True)]
        if draft:
            stock = Stock(connection, ledger.names)
            stock.replaces(old["product"], old["kind"], (old["mass_ug"], old["volume_nl"]))
            row = row_of(stock, ledger.plans, old["shop"], draft, {})
            if isinstance(row, Mistake):
                raise Refused([(0, row)])
            row |= {"content": draft.content(), "key": _next(key), "replaces": old["id"]}
            stored.append(Stored(add(connection, row, draft.product), True))
        return tuple(stored)


def no_record(key: str) -> Mistake:
    """The mistake of naming a record that is not there."""
    return Mistake("key", say('there is no record "{key}"', key=key), say("look it up in the log"))


def weighings_of(ledger: Ledger, key: str) -> str:
    """Return what a use was worked out from, "478 g (1.512 kg out, 1.034 kg in)"; "" where it was not weighed so."""
    with reading(ledger) as connection:
        row = connection.execute(BY_KEY, {"key": key}).mappings().first()
    return str(row["typed"]) if row is not None and row["closes"] is not None else ""


def draft_of(ledger: Ledger, key: str) -> Draft | None:
    """Return the line ``key`` as a draft that a correction starts from; None where there is none.

    The product stays as it was described then.
    """
    with reading(ledger) as connection:
        row = connection.execute(BY_KEY, {"key": key}).mappings().first()
        if row is None:
            return None
        product = read_editions(connection)[row["edition"]] if row["edition"] else None
    number = row["mass_ug"] if row["typed_in"] == "mass" else row["volume_nl"]
    amount = Amount(row["typed"], row["typed_in"], number) if row["typed_in"] else None
    same = (
        "kind", "day", "happened", "lot", "job", "step", "way", "operation", "container", "who", "basis", "expires",
        "area", "receiver", "manifest", "note", "anyway", "solvent_basis", "fate", "rest",
    )  # fmt: skip
    low, high = row["solvent_low_ug"], row["solvent_high_ug"]
    return Draft(
        **{name: row[name] for name in same},
        container_edition=row["container_edition"],
        solvent=None if low is None or high is None else (low, high),
        product=product,
        amount=amount,
        density=None if product else row["density"],
    )


def _reversal(old: Mapping[str, Any], who: str, why: str) -> dict[str, Any]:
    return {
        **{name: old[name] for name in old if name != "id"},
        "key": f"not~{old['key']}",
        "sign": -1,
        "mass_ug": None if old["mass_ug"] is None else -old["mass_ug"],
        "volume_nl": None if old["volume_nl"] is None else -old["volume_nl"],
        **{name: old[name] and -old[name] for name in ("solvent_low_ug", "solvent_high_ug")},
        "recorded": now(),
        "who": who,
        "note": why,
        "reverses": old["id"],
        "replaces": None,
        "closes": None,
    }


def _next(key: str) -> str:
    """The key of the line that stands in for ``key``: a, a~2, a~3. People's keys hold no ~."""
    stem, _, count = key.partition("~")
    return f"{stem}~{int(count or 1) + 1}"


def _corrected(connection: Connection, back: Mapping[str, Any], draft: Draft | None) -> tuple[Stored, ...]:
    """The answer to a correction that has been made: the same again is a retry, anything else is refused."""
    new = connection.execute(select(entry).where(entry.c.replaces == back["reverses"])).mappings().first()
    if (new["content"] if new else "") != (draft.content() if draft else ""):
        wrong = say("this record has been corrected already")
        write = say('correct "{key}" instead', key=new["key"]) if new else say("it was taken back; record it anew")
        raise Refused([(0, Mistake("key", wrong, write))])
    lines = entries_where(connection, or_(entry.c.id == back["id"], entry.c.replaces == back["reverses"]))
    return tuple(Stored(line, False) for line in lines)
