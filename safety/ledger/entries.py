"""Recording: every line is added once, checked against the ledger, and never changed."""

from __future__ import annotations

import json
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timezone
from decimal import Decimal
from functools import lru_cache
from typing import Any

from sqlalchemy import Connection, bindparam, select

from safety import units
from safety.cited import Unknown
from safety.ledger import chain, containers, described, quick
from safety.ledger.amounts import Amount, both
from safety.ledger.drafts import ANYWAY, Draft, Mistake, on_purpose
from safety.ledger.lots import labels_of
from safety.ledger.plans import Plans, estimated
from safety.ledger.plausible import Stock
from safety.ledger.read import as_entry, entry_at, read_editions
from safety.ledger.store import Ledger, writing
from safety.ledger.tables import container_edition, edition, entry, standing
from safety.ledger.twins import Pairs, Twins
from safety.model import Edition, Entry
from safety.words import message, say

_FIRST = {"receive": 0, "open": 1}  # of one file, what came in is taken before what was used of it
_LETTERS = "0123456789abcdefghjkmnpqrstvwxyz"  # none is taken for another when a key is read out

_USE = entry.alias()
BY_KEY = select(entry).where(entry.c.key == bindparam("key"))
_TWIN = select(entry.c.key, entry.c.happened, entry.c.shop).where(
    entry.c.content == bindparam("content"), entry.c.day == bindparam("day"), *standing()
)
_EDITION = select(edition.c.id).where(edition.c.hash == bindparam("hash"))
_CONTAINER = select(container_edition.c.id).where(container_edition.c.hash == bindparam("hash"))
_WEIGHED_OUT = (
    select(entry)
    .where(
        entry.c.product == bindparam("product"),
        entry.c.lot == bindparam("lot"),
        entry.c.kind == "weigh",
        entry.c.way == "out",
        ~select(_USE.c.id).where(_USE.c.closes == entry.c.id).exists(),
        *standing(),
    )
    .order_by(entry.c.day.desc(), entry.c.happened.desc(), entry.c.id.desc())
)


@dataclass(frozen=True, slots=True)
class Stored:
    """A line of the ledger, and whether it is new."""

    entry: Entry
    new: bool


class Refused(Exception):
    """The ledger does not take these drafts: their place in the list, and why. Nothing was stored."""

    def __init__(self, mistakes: Sequence[tuple[int, Mistake]]):
        self.mistakes = tuple(sorted(mistakes, key=lambda m: m[0]))
        super().__init__("; ".join(mistake.wrong for _, mistake in self.mistakes))


class _DryRun(Exception):
    pass


def record(ledger: Ledger, drafts: Sequence[Draft], *, dry_run: bool = False, twins: Twins = "") -> tuple[Stored, ...]:
    """Store all drafts, or none of them.

    ``twins``: what is said of rows of a file that may stand in the ledger already, in other words.

    A draft whose key the ledger has already is not stored again: its line is given back with
    ``new`` False. Raises Refused with every draft the ledger does not take, Problems where the
    ledger cannot be written.
    """
    stored: dict[int, Stored] = {}
    refused: list[tuple[int, Mistake]] = []
    order = sorted(
        range(len(drafts)), key=lambda i: (_FIRST.get(drafts[i].kind, 2), drafts[i].day, drafts[i].happened, i)
    )
    numbers = dict(ledger.editions)
    try:
        with writing(ledger) as connection:
            stock = Stock(connection, ledger.names)
            pairs = Pairs(connection, ledger.names, {draft.key for draft in drafts if draft.key})
            for index in order:
                answer = _record(stock, pairs, ledger, drafts[index], numbers, twins)
                if isinstance(answer, Mistake):
                    refused.append((index, answer))
                else:
                    stored[index] = answer
            if refused:
                raise Refused(refused)
            if dry_run:
                raise _DryRun
        ledger.editions.update(numbers)
    except _DryRun:
        pass
    return tuple(stored[index] for index in range(len(drafts)))


def _record(
    stock: Stock, pairs: Pairs, ledger: Ledger, draft: Draft, numbers: dict[str, int], twins: Twins
) -> Stored | Mistake:
    connection, content, closes = stock.connection, draft.content(), None
    known = _known(connection, pairs, draft, content, twins)
    if known is not None:
        return known
    if draft.kind == "weigh" and draft.way == "in":
        weighed = _weighed_in(connection, draft)
        if isinstance(weighed, Mistake):
            return weighed
        draft, closes = weighed
    row = row_of(stock, ledger.plans, ledger.shop, draft, numbers)
    if isinstance(row, Mistake):
        return row
    row |= {"content": content, "closes": closes, "key": draft.key or _fresh_key()}
    return Stored(add(connection, row, draft.product), True)


def _known(connection: Connection, pairs: Pairs, draft: Draft, content: str, twins: Twins) -> Stored | Mistake | None:
    """The line this draft repeats, a mistake where that is not plain, or None for a new record."""
    if draft.key:
        found = quick.rows(connection, BY_KEY, {"key": draft.key})
        if not found:
            return _twin(connection, pairs, draft, twins) if draft.imported else None
        row = found[0]
        if row["shop"] not in pairs.shops:
            wrong = say('the key "{key}" belongs to a record of {shop}', key=draft.key, shop=row["shop"])
            return Mistake("key", wrong, say("give each record its own key"))
        if draft.imported:  # the same words of the same shop
            return Stored(entry_at(connection, row["id"]), False)
        if row["content"] != content or (draft.timed and draft.happened != row["happened"]):
            wrong = say('the key "{key}" belongs to another record', key=draft.key)
            return Mistake("key", wrong, say("give each record its own key"))
        return Stored(entry_at(connection, row["id"]), False)
    if draft.again:
        return None
    for twin in quick.rows(connection, _TWIN, {"content": content, "day": draft.day}):
        if twin["shop"] in pairs.shops and (not draft.timed or draft.happened == twin["happened"]):
            wrong = say('the same is recorded on that day already, with the key "{key}"', key=twin["key"])
            template = message("a retry needs nothing more; for a second one like it add {what}")
            return Mistake("again", wrong, say(template, what="--again"), say(template, what=say("a key of its own")))
    return _twin(connection, pairs, draft, twins)


def _twin(connection: Connection, pairs: Pairs, draft: Draft, twins: Twins) -> Stored | Mistake | None:
    """What is to become of a draft that may stand in the ledger in other words: nobody but a person can tell."""
    twin = None if twins == "second" else pairs.of(draft)
    if twin is None:
        return None
    pairs.taken.add(twin["key"])
    if twins == "same":
        return Stored(entry_at(connection, twin["id"]), False)
    wrong = say(
        'this may be the record "{key}" ({typed}, {when}, {who})',
        key=twin["key"], typed=twin["typed"], when=twin["happened"] or twin["day"], who=twin["who"],
    )  # fmt: skip
    template = message("if it is, it needs nothing more; if it is a second one add {what}")
    return Mistake(
        "again", wrong, say(template, what="--again"),
        say("say for all such rows: --twins same leaves them out, --twins second adds them"),
    )  # fmt: skip


def _weighed_in(connection: Connection, draft: Draft) -> tuple[Draft, int] | Mistake:
    """The use that a weighing-in ends, and the line of the weighing-out that began it."""
    amount = draft.amount
    assert draft.product  # the shape needs both
    assert amount
    this = {"product": draft.product.product, "lot": draft.lot}
    out = connection.execute(_WEIGHED_OUT, this).mappings().first()
    if out is None:
        wrong = say('nothing of lot "{lot}" is weighed out', lot=draft.lot)
        return Mistake("way", wrong, say("record the weighing out first, or record the use with its amount"))
    unit, other = (units.written_unit(typed) for typed in (out["typed"], amount.typed))
    if unit != other:
        wrong = say("it went out in {unit} and comes back in {other}", unit=unit, other=other)
        draft = replace(draft, doubt=Mistake("amount", wrong, *on_purpose()))
    used = out["mass_ug"] - amount.number
    if used <= 0:
        wrong = say("the can was lighter when it went out ({out})", out=out["typed"])
        return Mistake("amount", wrong, say("weigh it again, or correct the weighing out"))
    grams = format((Decimal(used) / 10**6).normalize(), "f")
    typed = say("{mass} g ({out} out, {back} in)", mass=grams, out=out["typed"], back=amount.typed)
    same = {name: getattr(draft, name) or out[name] for name in ("job", "step", "operation", "area", "anyway")}
    return replace(draft, kind="use", way="", amount=Amount(typed, "mass", used), **same), out["id"]


def lot_refusal(connection: Connection, draft: Draft) -> Mistake | None:
    """Return what speaks against taking from, or adding to, this lot on this day."""
    takes = draft.kind == "use" or (draft.kind, draft.way) == ("weigh", "out")
    if not draft.product or not (takes or draft.kind == "receive"):
        return None
    template = message("take another lot, or say on purpose why not: {how}")
    write = say(template, how=ANYWAY), say(template, how=say("give the reason in the column anyway"))
    if not draft.lot:
        return Mistake("lot", say("nobody knows which lot this is from"), *write)
    product, lot = draft.product.product, labels_of(connection, draft.product.product, draft.lot)
    if draft.kind == "receive":
        if lot.received and draft.expires not in lot.labels:
            wrong = say('lot "{lot}" came with the date {date}', lot=draft.lot, date=sorted(lot.labels)[0])
            return Mistake("expires", wrong, say("look at the label again, or correct that record"))
        return None
    if lot.empty and lot.empty <= draft.day:
        return Mistake("lot", say('lot "{lot}" was counted empty on {date}', lot=draft.lot, date=lot.empty), *write)
    if not lot.received:
        return Mistake(
            "lot", say('lot "{lot}" of {product} was never received', lot=draft.lot, product=product), *write
        )
    if lot.expires == "unknown":
        return Mistake("lot", say('nobody knows when lot "{lot}" expires', lot=draft.lot), *write)
    if lot.expires != "none" and draft.day > lot.expires:
        return Mistake("lot", say('lot "{lot}" expired on {date}', lot=draft.lot, date=lot.expires), *write)
    return None


# ---------------------------------------------------------------- one line


def row_of(stock: Stock, plans: Plans, shop: str, draft: Draft, numbers: dict[str, int]) -> dict[str, Any] | Mistake:
    """Return the columns of one line but for its key and content, or why the ledger does not take it.

    New products are added to ``numbers``.
    """
    then = _on_its_day(stock.connection, draft)
    unknown = then if isinstance(then, Mistake) else None
    if not isinstance(then, Mistake) and then is not draft.product:
        draft = replace(draft, product=then)
    density = draft.density
    if draft.product and not isinstance(draft.product.density, Unknown) and draft.way != "out":
        density = draft.product.density  # what is weighed out is can and all: it has no volume
    mass, volume = both(draft.amount, density) if draft.amount else (0, 0)
    doubts = [
        unknown,
        lot_refusal(stock.connection, draft),
        draft.doubt,
        stock.refusal(draft, (mass, volume)),
        containers.refusal(stock.connection, draft, mass, stock.shops),
    ]
    against = [doubt for doubt in doubts if doubt]
    for doubt in against:
        if not draft.anyway or (draft.in_general and doubt.field == "amount"):
            return doubt
    stock.add(draft, (mass, volume))
    draft = estimated(stock.connection, draft, mass, plans)
    return {
        **{name: getattr(draft, name) for name in _SAME},
        "sign": 1,
        "month": draft.day[:7],
        "recorded": now(),
        "shop": shop,
        "product": draft.product.product if draft.product else "",
        "edition": _edition(stock.connection, draft.product, numbers) if draft.product else None,
        "container_edition": _container(stock.connection, draft, numbers),
        "solvent_low_ug": draft.solvent and draft.solvent[0],
        "solvent_high_ug": draft.solvent and draft.solvent[1],
        "mass_ug": mass,
        "volume_nl": volume,
        "density": density,
        "typed": draft.amount.typed if draft.amount else "",
        "typed_in": draft.amount.kind if draft.amount else "",
        "against": "; ".join(doubt.wrong for doubt in against),
        "reverses": None,
        "replaces": None,
        "closes": None,
    }


def _on_its_day(connection: Connection, draft: Draft) -> Edition | Mistake | None:
    """The product as it was on the day of a draft: of late papers, an edition of before the one in the file."""
    product = draft.product
    if product is None or product.id or product.since is None or draft.day >= product.since.isoformat():
        return product
    known = [e for e in read_editions(connection).values() if e.product == product.product]
    held = [e for e in known if e.since is None or e.since.isoformat() <= draft.day]
    if held:
        return max(held, key=lambda e: (e.since or date.min, e.id))
    template = message("put the file of that time in its place first, or say on purpose to take today's: {how}")
    return Mistake(
        "when",
        say("the file of {product} holds since {day}, and nothing is recorded of before",
            product=product.product, day=product.since.isoformat()),
        say(template, how=ANYWAY),
        say(template, how=say("give the reason in the column anyway")),
    )  # fmt: skip


_SAME = (
    "kind", "way", "day", "happened", "lot", "job", "step", "operation", "container", "who", "basis", "area",
    "expires", "receiver", "manifest", "note", "anyway", "solvent_basis", "fate", "rest",
)  # fmt: skip


def add(connection: Connection, row: dict[str, Any], product: Edition | None) -> Entry:
    """Add one line and return it as it stands in the ledger."""
    number = chain.add(connection, entry, row)
    if row["reverses"] or row["replaces"]:
        return entry_at(connection, number)
    return as_entry({**row, "id": number, "name": product.name if product else ""})


def _edition(connection: Connection, product: Edition, numbers: dict[str, int]) -> int:
    """The number of a product as it is described now, written down on first use."""
    if product.id:
        return product.id
    digest, row, parts = _described(product)
    if digest not in numbers:
        number = connection.scalar(_EDITION, {"hash": digest})
        if number is None:
            number = chain.add(connection, edition, {"hash": digest, **row}, parts)
        numbers[digest] = int(number)
    return numbers[digest]


def _container(connection: Connection, draft: Draft, numbers: dict[str, int]) -> int | None:
    """The number of a container as it is described now, written down on first use; as it was, where that is known."""
    if draft.held is None:
        return draft.container_edition
    text = _container_text(draft.held)
    digest = described.hash_of(text)
    if digest not in numbers:
        number = connection.scalar(_CONTAINER, {"hash": digest})
        if number is None:
            row = {"hash": digest, "container": draft.held.id, "described": text}
            number = chain.add(connection, container_edition, row)
        numbers[digest] = int(number)
    return numbers[digest]


_container_text = lru_cache(256)(described.as_text)


@lru_cache(256)
def _described(product: Edition) -> tuple[str, dict[str, Any], list[dict[str, Any]]]:
    """A product as rows, and their hash."""

    def known(value: Any) -> Any:
        return None if isinstance(value, Unknown) else value

    revised = known(product.sds_revised)
    row = {
        "product": product.product,
        "name": product.name,
        "role": product.role,
        "density": known(product.density),
        "voc": known(product.voc),
        "sds_revised": revised and revised.isoformat(),
        "described": described.as_text(product.whole) if product.whole else "",
        "since": product.since.isoformat() if product.since else "",
    }
    parts = [
        {"place": i, "name": p.name, "cas": p.cas, "low": p.low, "high": p.high, "volatile": int(p.volatile)}
        for i, p in enumerate(product.parts)
    ]
    told = row["described"] or json.dumps([row, parts], sort_keys=True, ensure_ascii=False)
    return described.hash_of(str(told)), row, parts


def now() -> str:
    """Return the time of recording, UTC."""
    return datetime.now(timezone.utc).isoformat(timespec="microseconds")


def _fresh_key() -> str:
    """Sixty random bits in fours, so that they can be read out."""
    letters = [_LETTERS[byte % 32] for byte in secrets.token_bytes(12)]
    return "-".join("".join(letters[i : i + 4]) for i in (0, 4, 8))
