"""What ``hazstep record`` answers: the lines it stored, what is left of the lot, and what looks wrong about it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields
from difflib import get_close_matches
from typing import TYPE_CHECKING, Any, Literal

import click

from safety import quantities
from safety.cited import Unknown
from safety.words import say

if TYPE_CHECKING:
    from safety.ledger.entries import Stored
    from safety.ledger.store import Ledger
    from safety.model import Entry, Lot, Shop


def print_stored(stored: Sequence[Stored], ledger: Ledger, shop: Shop, form: str) -> None:
    """Print the stored lines and the lot of the last one; what looks wrong goes to standard error."""
    from safety.ledger.lots import all_lots, labels_of, lot_of
    from safety.ledger.store import reading

    last = stored[-1].entry
    lot, received = None, True
    notes: list[str] = []
    if last.product and last.lot:
        with reading(ledger) as connection:
            lot = lot_of(connection, last.product, last.lot)
            received = labels_of(connection, last.product, last.lot).received
            others = () if received else all_lots(connection)
        in_stock = [o.lot for o in others if o.product == last.product and o.open]
        notes = list(_notes(last, lot, received, [name for name in in_stock if name != last.lot]))
    if form == "json":
        import json

        answer = {"records": [{"new": line.new, **_plain(line.entry)} for line in stored], "lot": lot and _plain(lot)}
        click.echo(json.dumps(answer, indent=2, ensure_ascii=False))
    else:
        for line in stored:
            click.echo("\n".join(_lines(line, shop)))
        if lot:
            click.echo("\n".join(_left(lot, last, received, shop)))
    for note in notes:
        click.echo(say("note: {wrong}", wrong=note), err=True)


def _lines(line: Stored, shop: Shop) -> Iterator[str]:
    entry = line.entry
    what = say("recorded") if line.new else say("recorded already, nothing was added")
    if entry.reverses:
        what = say("taken back") if line.new else say("taken back already, nothing was added")
    thing = entry.name or entry.container
    lot = say(", lot {lot}", lot=entry.lot) if entry.lot else ""
    yield say("{kind} {what}: {thing}{lot}, key {key}", kind=entry.kind, what=what, thing=thing, lot=lot, key=entry.key)
    if entry.way == "out":
        yield say("  {typed} with its can", typed=entry.typed)
    elif entry.typed:
        mass, volume = _amount(entry.mass, "mass", shop), _amount(entry.volume, "volume", shop)
        yield say("  {typed} = {mass} = {volume}", typed=entry.typed, mass=mass, volume=volume)
    if entry.against:
        yield say("  against: {against}; anyway: {reason}", against=entry.against, reason=entry.anyway)


def _left(lot: Lot, last: Entry, received: bool, shop: Shop) -> Iterator[str]:
    expires = say("no expiry date") if lot.expires is None else say("expires {day}", day=lot.expires)
    if isinstance(lot.expires, Unknown):
        expires = lot.expires.reason
    mass, volume = _amount(lot.mass, "mass", shop), _amount(lot.volume, "volume", shop)
    left = say("{volume} = {mass}", volume=volume, mass=mass) if received else say("UNKNOWN, no delivery is recorded")
    yield say("  left in lot {lot}: {left}; {expires}", lot=lot.lot, left=left, expires=expires)
    if received and last.way == "count" and not isinstance(last.mass, Unknown) and not isinstance(lot.mass, Unknown):
        apart = last.mass - lot.mass
        more = say("more than the records say") if apart > 0 else say("less than the records say")
        if apart:
            yield say("  counted: {apart} {more}", apart=_amount(abs(apart), "mass", shop), more=more)


def _notes(last: Entry, lot: Lot, received: bool, others: list[str]) -> Iterator[str]:
    """What looks wrong about a lot. Opening, counting or bringing back a can is a fact: it is kept, and remarked on."""
    if not received and not last.reverses and not last.against:
        near = get_close_matches(last.lot, others, 1)
        meant = say(' Did you mean "{lot}"?', lot=near[0]) if near else ""
        yield say(
            'lot "{lot}" of {product} was never received.{meant} Where the lot is wrong, write hazstep record correct '
            '{key} --lot "LOT". Where it is right, record its delivery: hazstep record receive {product}',
            lot=last.lot,
            product=last.product,
            meant=meant,
            key=last.key,
        )
    if any(not isinstance(left, Unknown) and left < 0 for left in (lot.mass, lot.volume)):
        yield say("more was taken from this lot than came in; a delivery is missing, or an amount is wrong")


def _amount(value: float | Unknown, kind: Literal["mass", "volume"], shop: Shop) -> str:
    """An amount in the units people of this shop pour and weigh in."""
    if isinstance(value, Unknown):
        return say("UNKNOWN {kind}", kind=kind)
    return quantities.mass(value, shop.print_units) if kind == "mass" else quantities.volume(value, shop.print_units)


def _plain(record: Any) -> dict[str, Any]:
    """A record as JSON; what is unknown is null, never zero."""
    values = {field.name: getattr(record, field.name) for field in fields(record)}
    return {
        name: None if isinstance(v, Unknown) else v.isoformat() if hasattr(v, "isoformat") else v
        for name, v in values.items()
    }
