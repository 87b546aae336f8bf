"""What a person says about one record, from text to a draft or to every mistake in it.

The command line and the CSV file give the same fields and are read by the same functions.
"""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta, timezone
from typing import Any

from safety.cited import Unknown
from safety.files.notation import Miswritten, Quantity, day, moment, nearest, text
from safety.ledger.amounts import Amount, both, cubic_metres, read_amount
from safety.model import FATES, WATER, Container, Edition, Fate, Product, Rest, Shop, SolventBasis
from safety.units import UnitError, show
from safety.wall import fixed, meanings, zone_of
from safety.words import message, say


@dataclass(frozen=True, slots=True)
class Shape:
    """The fields of one kind of record."""

    needs: tuple[str, ...]
    asks: tuple[str, ...] = ()  # also asked for at a terminal, where Enter leaves them out
    may: tuple[str, ...] = ()
    ways: Mapping[str, str] | None = None  # word a person writes -> Entry.way

    @property
    def fields(self) -> tuple[str, ...]:
        return (*self.needs, *self.asks, *self.may)


SHAPES: dict[str, Shape] = {
    "receive": Shape(("product", "amount", "lot", "expires", "who"), (), ("basis", "note", "anyway")),
    "open": Shape(("product", "lot", "who"), (), ("expires", "note")),
    "use": Shape(
        ("product", "amount", "basis", "lot", "who"), ("job", "step"), ("operation", "area", "note", "anyway")
    ),
    "return": Shape(
        ("product", "amount", "basis", "lot", "way", "who"), (), ("job", "step", "note", "anyway"),
        {"stock": "to stock", "supplier": "to supplier"},
    ),
    "waste": Shape(
        ("container", "amount", "basis", "way", "who"), ("product", "job"),
        ("lot", "step", "density", "solvent", "tare", "note", "anyway"), {"stock": "from stock", "job": "from job"},
    ),
    "ship": Shape(
        ("container", "amount", "basis", "receiver", "who"), ("manifest",),
        ("density", "fate", "rest", "note", "anyway"),
    ),
    "weigh": Shape(
        ("way", "product", "lot", "amount", "who"), ("job", "step"), ("operation", "area", "note", "anyway"),
        {"out": "out", "in": "in", "count": "count"},
    ),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Mistake:
    """What is wrong with one field."""

    field: str
    wrong: str
    write: str = ""
    in_a_file: str = ""  # what to write instead in a row of a file, where that is something else


@dataclass(frozen=True, slots=True)
class Draft:
    """One record that is sound in itself. Whether the ledger takes it is for ``entries`` to say."""

    kind: str
    day: str
    happened: str = ""
    timed: bool = False  # a person gave the time: it tells two like records apart
    key: str = ""
    imported: bool = False  # ``key`` was made from the words of a row of a file
    again: bool = False  # said on purpose: a second record like one of that day
    product: Edition | None = None
    amount: Amount | None = None
    lot: str = ""
    job: str = ""
    step: str = ""
    way: str = ""
    operation: str = ""
    container: str = ""
    who: str = ""
    basis: str = ""
    expires: str = ""
    area: float | None = None
    density: float | None = None
    receiver: str = ""
    manifest: str = ""
    note: str = ""
    anyway: str = ""
    in_general: bool = False  # ``anyway`` was not said of this amount: it does not excuse one that may be a slip
    held: Container | None = None  # the container as shop.toml describes it now
    container_edition: int | None = None  # the container as it was, of a record that is corrected
    solvent: tuple[int, int] | None = None  # of waste: micrograms of solvent, at least and at most
    solvent_basis: SolventBasis = ""
    fate: Fate = ""
    rest: Rest = ""  # of a collection: "stays" where the container stays, with what is not taken
    doubt: Mistake | None = None  # what speaks against it by the shop's files, which ``anyway`` overrules

    def content(self) -> str:
        """A hash of what was said to have happened, without the time and without the reason for going on."""
        amount = self.amount and [self.amount.kind, self.amount.number]
        said: list[Any] = [self.kind, self.product and self.product.product, amount]
        said += [getattr(self, name) for name in _SAID]
        said += [[name, getattr(self, name)] for name in _SAID_LATER if getattr(self, name)]
        return hashlib.sha256(_JSON(said).encode()).hexdigest()


_JSON = json.JSONEncoder(ensure_ascii=False).encode
_SAID = (
    "lot", "job", "step", "way", "operation", "container", "who", "basis", "expires", "area", "density",
    "receiver", "manifest", "note",
)  # fmt: skip
#: What no record said once: left out where it is empty, or every older hash would change.
_SAID_LATER = ("solvent", "solvent_basis", "fate", "rest")
#: What the key of a row begins with that gave none of its own.
IMPORTED = "csv-"
_KEY = re.compile(r"[A-Za-z0-9][A-Za-z0-9._:-]{0,79}", re.ASCII)
_AREA = Quantity(("area",), between=(("0.1 cm2", "100000 m2"),), positive=True)
_DENSITY = Quantity(("density",), between=(("0.3 g/mL", "5 g/mL"),), positive=True)
#: Density [kg/m3] above which no waste is taken to be, so that a mass says at least how large it is.
DENSEST = 5000.0
#: Density [kg/m3] below which no liquid product is taken to be, as in the files of products.
LIGHTEST = 300.0
#: Full containers of one kind that are taken to be collected together at most (common practice, no source).
TOGETHER = 10
_BASES = ("weighed", "measured", "guessed", "label")


#: How a person goes on against what speaks against a record, on the command line.
ANYWAY = '--anyway "reason"'


def edition_of(product: Product) -> Edition:
    """Return a product as it is described now, not yet numbered by a ledger."""

    def plain(value: Any) -> Any:
        return Unknown("") if isinstance(value, Unknown) else value  # the reason is no part of the product

    return Edition(
        0,
        product.id,
        product.name,
        product.role,
        plain(product.density),
        plain(product.voc),
        plain(product.sds_revised),
        product.parts,
        product,
        since=product.since,
    )


def read_field(name: str, line: str, kind: str, shop: Shop) -> Any:
    """Read the text of one field. Raises Miswritten or UnitError."""
    return _READERS[name](line, kind, shop)


def read_draft(
    kind: str, texts: Mapping[str, str], shop: Shop, now: datetime, base: Draft | None = None
) -> Draft | list[Mistake]:
    """Read the fields of one record; what is empty counts as not given. ``now`` is aware, in local time.

    ``base`` holds the values of the record that this one corrects.
    """
    shape = SHAPES[kind]
    given = {name: line.strip() for name, line in texts.items() if line and line.strip()}
    values: dict[str, Any] = {}
    mistakes = [
        Mistake(name, say("a {kind} record takes no {field}", kind=kind, field=name), say("leave it out"))
        for name in given
        if name not in (*shape.fields, "when", "key")
    ]
    for name, line in given.items():
        if name in (*shape.fields, "when", "key"):
            try:
                values[name] = read_field(name, line, kind, shop)
            except (Miswritten, UnitError) as error:
                mistakes.append(Mistake(name, error.wrong, error.write))
    if base is None:
        mistakes += _missing(shape, given)
    if mistakes:
        return mistakes
    when = values.pop("when", None)
    if base is None:
        local = now.replace(microsecond=0)
        draft = Draft(kind, local.date().isoformat(), local.isoformat(), basis=_basis(kind, values.get("amount")))
    else:
        changed = not {"amount", "lot", "product", "container", "density"}.isdisjoint(given)
        draft = replace(base, in_general=changed and "anyway" not in given)
    if isinstance(when, datetime):
        draft = replace(draft, day=when.date().isoformat(), happened=when.isoformat(), timed=True)
    elif when is not None:
        draft = replace(draft, day=when.isoformat(), happened="")
    if draft.solvent_basis == "tare" and "amount" in given and given.keys().isdisjoint(("solvent", "tare")):
        return [Mistake("tare", say("the solvent in it was reckoned from the old amount"), say("give the tare again"))]
    solvent = _solvent(values.pop("solvent", None), values.pop("tare", None), values.get("amount", draft.amount))
    if isinstance(solvent, Mistake):
        return [solvent]
    if draft.solvent_basis == "plan" and not solvent:  # estimated anew, of what the record says now
        solvent = {"solvent": None, "solvent_basis": ""}
    draft = _with_solids(replace(draft, **values, **solvent))
    if "container" in values:
        held = next(one for one in shop.containers if one.id == draft.container)
        draft = replace(draft, held=held, container_edition=None)
    return list(_at_odds(draft, now, shop)) or replace(draft, doubt=_overfull(draft, shop))


def _solvent(measured: Amount | None, tare: Amount | None, whole: Amount | None) -> dict[str, Any] | Mistake:
    """How much of a waste is solvent: as measured, or what is left of it without what was weighed empty."""
    if measured is not None and tare is not None:
        return Mistake("tare", say("the solvent is given already"), say("give one of the two"))
    given, name = (measured, "solvent") if measured is not None else (tare, "tare")
    if given is None:
        return {}
    if given.kind != "mass" or (tare is not None and (whole is None or whole.kind != "mass")):
        field = name if given.kind != "mass" else "amount"
        return Mistake(field, say("what is solvent of a waste goes by mass"), say('write for example "1.512 kg"'))
    if whole is not None and whole.kind == "mass" and given.number > whole.number:
        wrong = say("{part} is more than all of the waste, {whole}", part=given.typed, whole=whole.typed)
        return Mistake(name, wrong, say("look at the two numbers again"))
    assert whole is not None or tare is None
    much = given.number if tare is None or whole is None else whole.number - given.number
    return {"solvent": (much, much), "solvent_basis": "measured" if tare is None else "tare"}


def _with_solids(draft: Draft) -> Draft:
    """What is left without the tare may be paint or water as well, and then nobody knows how much of it is solvent."""
    if draft.solvent_basis != "tare" or draft.solvent is None or draft.product is None:
        return draft
    pure = all(part.volatile and part.cas != WATER for part in draft.product.parts if part.high > 0)
    return draft if pure else replace(draft, solvent=(0, draft.solvent[1]))


def on_purpose() -> tuple[str, str]:
    """Advice on an amount that may be a slip, on the command line and in a file."""
    template = message("look at the number and its unit again, or say on purpose why it is so: {how}")
    return say(template, how=ANYWAY), say(template, how=say("give the reason in the column anyway"))


def _overfull(draft: Draft, shop: Shop) -> Mistake | None:
    """What speaks against an amount of waste: more than the container holds, or than a collection takes of its kind."""
    container = draft.held or next((one for one in shop.containers if one.id == draft.container), None)
    if container is None or draft.amount is None or draft.kind not in ("waste", "ship"):
        return None
    known = draft.density if draft.product is None else draft.product.density
    density = DENSEST if known is None or isinstance(known, Unknown) else known
    _, volume = both(draft.amount, density)
    full = container.size * (TOGETHER if draft.kind == "ship" else 1)
    if volume is None or cubic_metres(volume) <= full:
        return None
    wrong = say("{typed} is more than {id} holds, {size}",
                typed=draft.amount.typed, id=container.id, size=show(container.size, "volume", "L"))  # fmt: skip
    return Mistake("amount", wrong, *on_purpose())


def _missing(shape: Shape, given: Mapping[str, str]) -> list[Mistake]:
    found = []
    for name in shape.needs:
        if name in given or (name == "lot" and "anyway" in given and "anyway" in shape.may):
            continue
        write = {
            "lot": say("give it, or say with anyway why nobody knows it") if "anyway" in shape.may else "",
            "basis": say("write one of: {words}", words=", ".join(_BASES)),
            "way": say("write one of: {words}", words=", ".join(shape.ways or ())),
            "expires": say("write a date, none where the maker sets no date, or unknown"),
        }.get(name, "")
        found.append(Mistake(name, say("this is missing"), write))
    return found


def _basis(kind: str, amount: Amount | None) -> str:
    """What goes without saying: a delivery is taken from the label, and weighing is weighing."""
    if kind == "receive":
        return "label"
    if kind == "weigh" and amount:
        return "weighed" if amount.kind == "mass" else "measured"
    return ""


def _at_odds(draft: Draft, now: datetime, shop: Shop) -> list[Mistake]:
    """Fields that are sound one by one and do not go together."""
    found = []
    if draft.day > now.date().isoformat() or (
        draft.happened and datetime.fromisoformat(draft.happened) > now + timedelta(minutes=10)
    ):
        found.append(Mistake("when", say("this day or time has not come yet"), say("record what has happened")))
    if draft.product and draft.density is not None:
        wrong = say("the density of a product is read from its file")
        found.append(Mistake("density", wrong, say("give it only for mixed waste")))
    if draft.kind == "waste":
        if draft.way == "from stock" and not (draft.product and draft.lot):
            found.append(Mistake("lot", say("waste from stock needs a product and its lot"), say("give both")))
        if draft.lot and draft.way == "from job":
            wrong = say("waste of a job has left its lot already, as use")
            found.append(Mistake("lot", wrong, say("leave it out, or say that it comes from stock")))
    if draft.kind == "weigh" and draft.way != "count" and draft.amount and draft.amount.kind != "mass":
        found.append(Mistake("amount", say("what a balance shows is a mass"), say('write for example "1.512 kg"')))
    if draft.amount and not draft.amount.number and draft.way != "count":
        found.append(Mistake("amount", say('"{text}" is zero', text=draft.amount.typed), say("write more than zero")))
    return found


# ---------------------------------------------------------------- one function a field


def _product(line: str, kind: str, shop: Shop) -> Edition:
    if line not in shop.products:
        raise Miswritten(say('there is no product "{id}"', id=line), nearest(line, shop.products))
    return edition_of(shop.products[line])


def _container(line: str, kind: str, shop: Shop) -> str:
    name = text(line)
    known = [container.id for container in shop.containers]
    if name not in known:
        raise Miswritten(say('there is no container "{id}"', id=name), nearest(name, known))
    return name


def _choice(words: tuple[str, ...]) -> Callable[[str, str, Shop], str]:
    def read(line: str, kind: str, shop: Shop) -> str:
        if line not in words:
            raise Miswritten(say('"{word}" is not a word for this', word=line), nearest(line, words))
        return line

    return read


def _way(line: str, kind: str, shop: Shop) -> str:
    ways = SHAPES[kind].ways or {}
    return ways[_choice(tuple(ways))(line, kind, shop)]


def _when(line: str, kind: str, shop: Shop) -> object:
    """A day, or a moment by the clock on the shop's wall. A time with an offset is turned into that clock."""
    if re.fullmatch(r"\d{4}-\d\d-\d\d", line, re.ASCII):
        return day(line)
    if ":" not in line:
        write = say("write for example 2026-03-02 or 2026-03-02 07:30")
        raise Miswritten(say('"{line}" is not a date', line=line), write)
    zone, given = zone_of(shop), _OFFSET.fullmatch(line)
    if given:
        return fixed(moment(given[1]).replace(tzinfo=_offset(given[2])), zone)
    wall = moment(line)
    found = meanings(wall, zone)
    if not found:
        wrong = say("the clocks went over {time} on that day: it was never that time", time=wall.strftime("%H:%M"))
        raise Miswritten(wrong, say("look at the paper again, and write a time that was"))
    if len(found) > 1:
        which = (say("{time}", time=one.isoformat(" ", "minutes")) for one in found)
        wrong = say("it was {time} twice on that day", time=wall.strftime("%H:%M"))
        raise Miswritten(wrong, say("write which: {first} or {second}", first=next(which), second=next(which)))
    return found[0]


#: A time with how far it is ahead of UTC behind it.
_OFFSET = re.compile(r"(.*\d\d:\d\d(?::\d\d)?) ?(Z|[+-]\d\d:\d\d)", re.ASCII)


def _offset(written: str) -> timezone:
    if written == "Z":
        return timezone.utc
    ahead = timedelta(hours=int(written[1:3]), minutes=int(written[4:6]))
    if ahead > timedelta(hours=14):
        raise Miswritten(say('no clock is "{offset}" off', offset=written), say("write for example +01:00"))
    return timezone(-ahead if written[0] == "-" else ahead)


def _expires(line: str, kind: str, shop: Shop) -> str:
    return line if line in ("none", "unknown") else day(line).isoformat()


def _key(line: str, kind: str, shop: Shop) -> str:
    if not _KEY.fullmatch(line):
        wrong = say("a key has letters, digits, points, colons and hyphens only, at most 80")
        raise Miswritten(wrong, say('write for example "2026-11-25-a1"'))
    return line


def _line(line: str, kind: str, shop: Shop) -> str:
    return text(line)


_READERS: dict[str, Callable[[str, str, Shop], Any]] = {
    "product": _product,
    "amount": lambda line, kind, shop: read_amount(line, none=kind == "weigh"),
    "solvent": lambda line, kind, shop: read_amount(line, none=True),
    "tare": lambda line, kind, shop: read_amount(line),
    "fate": _choice(FATES[1:]),
    "rest": _choice(("stays",)),
    "container": _container,
    "basis": _choice(_BASES),
    "way": _way,
    "when": _when,
    "expires": _expires,
    "key": _key,
    "area": lambda line, kind, shop: _AREA.number(line),
    "density": lambda line, kind, shop: _DENSITY.number(line),
    **dict.fromkeys(("lot", "job", "step", "operation", "who", "receiver", "manifest", "note", "anyway"), _line),
}
