"""Writing down what came in, went out and was thrown away, and correcting a line: one form, by the kind of record."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from safety.ledger.corrections import correct, draft_of
from safety.ledger.drafts import SHAPES, Draft, Mistake, read_draft
from safety.ledger.entries import Refused as NotTaken
from safety.ledger.entries import record
from safety.ledger.store import open_ledger
from safety.model import FATES, Shop
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import WAIT
from safety.serve.screens.shown import shown
from safety.words import message, say, term

#: What the desk writes down, in the order of the page; what is used is written down where it is used.
KINDS: Mapping[str, str] = {
    "receive": message("A delivery came in"),
    "open": message("A lot was opened"),
    "return": message("Something went back"),
    "waste": message("Waste went into a container"),
    "ship": message("A container was collected"),
}
_LABELS: Mapping[str, str] = {
    "product": message("Product"),
    "amount": message("Amount, such as 250 mL or 1.2 lb"),
    "container": message("Container"),
    "way": message("Which way"),
    "lot": message("Lot on the label"),
    "expires": message("Expires: a date, none or unknown"),
    "basis": message("How the amount is known"),
    "job": message("Job"),
    "step": message("Step"),
    "operation": message("What it was used for"),
    "area": message("Area treated, such as 1.5 m^2"),
    "density": message("Density of mixed waste"),
    "solvent": message("How much of it is solvent, as measured"),
    "tare": message("What holds the solvent, weighed dry"),
    "fate": message("What becomes of it"),
    "rest": message("Does the container stay?"),
    "receiver": message("Who takes it"),
    "manifest": message("Number of the shipping paper"),
    "note": message("Note"),
    "anyway": message("Go on against a warning, for this reason"),
    "when": message("Day, if it was not today"),
}
_CHOICES: Mapping[str, str] = {
    "weighed": message("weighed"),
    "measured": message("measured"),
    "guessed": message("guessed"),
    "label": message("from the label"),
    "stock": message("stock"),
    "supplier": message("the supplier"),
    "job": message("a job"),
    "recovered": message("recovered"),
    "treated": message("treated"),
    "disposed": message("disposed of"),
    "laundered": message("laundered"),
    "stays": message("it stays, with what is not taken"),
}
_BASES = ("weighed", "measured", "guessed", "label")


@dataclass(frozen=True, slots=True)
class Field:
    """One thing to fill in."""

    name: str
    label: str
    value: str
    needed: bool
    choices: tuple[tuple[str, str], ...] = ()  # a value and its word; none = it is written
    wrong: str = ""  # what is wrong with what was filled in


def kinds() -> list[tuple[str, str]]:
    """What can be written down, and its words."""
    return [(kind, term(words)) for kind, words in KINDS.items()]


def show(desk: Desk, asked: Asked) -> Answer:
    return _page(desk, asked, _kind(asked), asked.form)


def write(desk: Desk, asked: Asked) -> Answer:
    """Write a record down; what is wrong with it stands under its field, and nothing was kept."""
    kind, shop = _kind(asked), desk.shop()
    texts = {name: asked.get(name) for name in (*SHAPES[kind].fields, "when", "key")}
    draft = read_draft(kind, {**texts, "who": asked.session.person}, shop, desk.local(asked.now))
    if isinstance(draft, list):
        return _page(desk, asked, kind, asked.form, draft)
    try:
        with open_ledger(shop, create=True, wait=WAIT) as ledger:
            (stored,) = record(ledger, [replace(draft, again=bool(asked.get("again")))])
    except NotTaken as refused:
        return _page(desk, asked, kind, asked.form, [mistake for _, mistake in refused.mistakes])
    return Answer(to=f"/month/{stored.entry.day:%Y-%m}/records")


def to_correct(desk: Desk, asked: Asked) -> Answer:
    with open_ledger(desk.shop(), wait=WAIT) as ledger:
        old = draft_of(ledger, asked.path["key"])
    return _correction(desk, asked, _found(old), asked.form)


def corrected(desk: Desk, asked: Asked) -> Answer:
    """Put what is right in the place of a line, or nothing where it never happened: both lines stay."""
    key, why, shop = asked.path["key"], asked.get("why").strip(), desk.shop()
    with open_ledger(shop, wait=WAIT) as ledger:
        old = _found(draft_of(ledger, key))
        given = {name: asked.get(name) for name in (*SHAPES[old.kind].fields, "when") if asked.get(name).strip()}
        withdraw = asked.get("do") == "withdraw"
        draft = None if withdraw else read_draft(old.kind, given, shop, desk.local(asked.now), old)
        mistakes = draft if isinstance(draft, list) else []
        if not why:
            mistakes = [*mistakes, Mistake("why", say("this is missing"))]
        if not withdraw and not given:
            mistakes = [*mistakes, Mistake("why", say("nothing is said to change"))]
        if mistakes or isinstance(draft, list):
            return _correction(desk, asked, old, asked.form, mistakes)
        try:
            correct(ledger, key, draft, asked.session.person, why)
        except NotTaken as refused:
            return _correction(desk, asked, old, asked.form, [mistake for _, mistake in refused.mistakes])
    return Answer(to=f"/month/{old.day[:7]}/records")


# ---------------------------------------------------------------- pages


def _kind(asked: Asked) -> str:
    if asked.path["kind"] not in KINDS:
        raise Refused(404, say("There is no such page here."))
    return asked.path["kind"]


def _found(old: Draft | None) -> Draft:
    if old is None:
        raise Refused(404, say("There is no such record."))
    return old


def _page(desk: Desk, asked: Asked, kind: str, given: Mapping[str, str], mistakes: Sequence[Mistake] = ()) -> Answer:
    shop = desk.shop()
    fields = [_field(name, kind, shop, desk, given, mistakes) for name in _names(kind)]
    values: dict[str, Any] = {"fields": fields, "others": _others(mistakes, fields), "correcting": None}
    again = any(one.field == "again" for one in mistakes)
    title, status = term(KINDS[kind]), 400 if mistakes else 200
    back = ("/stock", say("Stock"))
    to, key = f"/record/{kind}", asked.get("key")
    values |= {"again": again, "to": to, "key": key, "why": "", "here": "stock", "back": back}
    return shown(desk, asked, "record.html", title=title, status=status, **values)


def _correction(
    desk: Desk, asked: Asked, old: Draft, given: Mapping[str, str], mistakes: Sequence[Mistake] = ()
) -> Answer:
    """What a line says, and fields for what should stand there; an empty one stays as it is."""
    shop = desk.shop()
    own = [_field(name, old.kind, shop, desk, given, mistakes) for name in _names(old.kind)]
    fields = [replace(one, needed=False) for one in own]
    said = [old.day, old.product.name if old.product else "", old.container, old.lot]
    said += [old.amount.typed if old.amount else "", old.basis, old.job, old.who]
    values: dict[str, Any] = {"fields": fields, "others": _others(mistakes, fields), "again": False, "key": ""}
    values |= {"correcting": [text for text in said if text], "why": asked.get("why"), "here": "month"}
    values |= {"to": f"/correct/{asked.path['key']}", "back": (f"/month/{old.day[:7]}/records", say("Records"))}
    title, status = say("Correct a record"), 400 if mistakes else 200
    return shown(desk, asked, "record.html", title=title, status=status, **values)


def _names(kind: str) -> tuple[str, ...]:
    """Who it was is known already, and comes last of all what nobody has to say."""
    return tuple(name for name in (*SHAPES[kind].fields, "when") if name != "who")


def _field(
    name: str, kind: str, shop: Shop, desk: Desk, given: Mapping[str, str], mistakes: Sequence[Mistake]
) -> Field:
    own = [one for one in mistakes if one.field == name]
    wrong = "; ".join(filter(None, (own[0].wrong, own[0].in_a_file or own[0].write))) if own else ""
    needed = name in SHAPES[kind].needs and not (kind == "receive" and name == "basis")
    return Field(
        name, term(_LABELS.get(name, name)), given.get(name, ""), needed, _choices(name, kind, shop, desk), wrong
    )


def _choices(name: str, kind: str, shop: Shop, desk: Desk) -> tuple[tuple[str, str], ...]:
    if name == "product":
        return tuple((one.id, one.name or one.id) for one in shop.products.values())
    if name == "container":
        return tuple((one.id, one.id) for one in shop.containers)
    if name == "job":
        return tuple((id, id) for id in desk.ids())
    words = {
        "way": tuple(SHAPES[kind].ways or ()),
        "basis": _BASES,
        "fate": FATES[1:],
        "rest": ("stays",),
    }.get(name, ())
    return tuple((word, term(_CHOICES.get(word, word))) for word in words)


def _others(mistakes: Sequence[Mistake], fields: Sequence[Field]) -> list[str]:
    """What is wrong that belongs to no field of the page."""
    shown_there = {one.name for one in fields}
    return [one.wrong for one in mistakes if one.field not in shown_there]
