"""What is in a waste container by the records, for what speaks against a collection."""

from __future__ import annotations

from sqlalchemy import Connection, bindparam, or_, select

from safety.ledger import quick
from safety.ledger.amounts import kilograms
from safety.ledger.drafts import Draft, Mistake, on_purpose
from safety.ledger.tables import entry, standing
from safety.units import show
from safety.words import say

#: Times by which a container may hold more than was collected of it before that counts as a part (common practice, no
#: source).
PART = 2

_MOVED = (
    select(entry.c.kind, entry.c.rest, entry.c.mass_ug, entry.c.shop, entry.c.day, entry.c.happened)
    .where(
        entry.c.container == bindparam("container"),
        entry.c.container != "",
        or_(entry.c.kind == "waste", entry.c.kind == "ship"),
        entry.c.day <= bindparam("day"),
        *standing(),
    )
    .order_by(entry.c.day, entry.c.happened, entry.c.id)
)


def held(connection: Connection, draft: Draft, shops: frozenset[str]) -> int | None:
    """Micrograms in the container of a draft when it happens; None where a line without a mass is among them."""
    mass: int | None = 0
    for line in quick.rows(connection, _MOVED, {"container": draft.container, "day": draft.day}):
        later = line["day"] == draft.day and draft.happened and line["happened"] > draft.happened
        if line["shop"] not in shops or later:
            continue
        if line["kind"] == "ship" and not line["rest"]:
            mass = 0
        elif mass is not None:
            known = line["mass_ug"]
            mass = None if known is None else mass + (known if line["kind"] == "waste" else -known)
    return mass


def refusal(connection: Connection, draft: Draft, mass: int | None, shops: frozenset[str]) -> Mistake | None:
    """What speaks against the amount of a collection: a part of what is in it, or more than that."""
    if draft.kind != "ship" or draft.amount is None or mass is None:
        return None
    there = held(connection, draft, shops)
    if there is None or there <= 0:
        return None
    shown = show(kilograms(there), "mass", "kg")
    if not draft.rest and mass * PART <= there:
        wrong = say("{container} holds {held} by the records, far more than {typed}",
                    container=draft.container, held=shown, typed=draft.amount.typed)  # fmt: skip
        here = say("add --rest stays where the container stays with the rest; else say on purpose why: --anyway reason")
        row = say("write stays in the column rest where the container stays; else give the reason in the column anyway")
        return Mistake("amount", wrong, here, row)
    if draft.rest and mass > there:
        wrong = say("{container} holds {held} by the records, less than {typed}",
                    container=draft.container, held=shown, typed=draft.amount.typed)  # fmt: skip
        return Mistake("amount", wrong, *on_purpose())
    return None
