"""The questions about what a product is made of: section 3 of its data sheet."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from typing import Any

from safety.cli.questions.keys import NOTHING, as_it_is, made, new_name, or_nothing, whole_numbers
from safety.cli.questions.talk import Answer, Choice, Talk
from safety.files.notation import Miswritten, Quantity
from safety.files.one_key import example_of, read_key
from safety.files.shape_parts import PartLimitTable, PartTable, TakenAsTable
from safety.model import Substance
from safety.units import UnitError, show
from safety.words import say

Find = Callable[[str], object]

_SHARE = Quantity(("fraction",))
#: What a data sheet says of a cut of petroleum, and which no table can say in its place.
_OF_A_CUT = ("boiling_range", "density", "flash_point", "carbon_numbers", "aromatics", "benzene")


def ask(talk: Talk, find: Find) -> list[dict[str, Any]]:
    """The parts of a product, one at least."""
    parts: list[dict[str, Any]] = []
    while True:
        number = _number(talk, parts)
        if number.value is None:
            return parts
        known = find(number.value) if number.value else None
        if isinstance(known, Substance) and not _is_it(talk, known):
            continue
        part: dict[str, Any] = {"cas": number} if number.value else {}
        part["name"] = Answer(known.name) if isinstance(known, Substance) else _name(talk, parts, number.value)
        part["weight"] = _weight(talk, parts)
        parts.append(part | _nature(talk, known))


def _number(talk: Talk, parts: list[dict[str, Any]]) -> Answer:
    """The CAS number of the next part; "" for one that has none, None where there is no next."""
    known = [str(part["cas"].value) for part in parts if "cas" in part]
    typed = new_name(known, as_it_is(PartTable, "cas"))

    def read(line: str) -> str:
        return "" if line.casefold() in NOTHING else typed(line)

    hidden = Answer("", say("the maker does not say it"))
    if not parts:
        return talk.ask(
            say("CAS number of the first part in section 3? Write none where there is none."),
            say("By it the program finds limits, vapour and gloves."),
            read,
            example=example_of(PartTable, "cas"),
            unknown=hidden,
        )
    enough = Answer(None, _left(parts))
    text = say("CAS number of part {number}? Write none where there is none.", number=len(parts) + 1)
    return talk.ask(text, say("A part that is missing counts as unknown vapour."), read, enter=enough, unknown=hidden)


def _left(parts: list[dict[str, Any]]) -> str:
    """What an end of the list leaves open."""
    shares = [_ends(part["weight"].value) for part in parts]
    most = 1.0 if None in shares else sum(one.high for one in shares if one)
    if most < 0.99:  # as reading does
        return say("that was all: at least {share} counts as unknown vapour", share=show(1 - most, "fraction", "%"))
    return say("that was all")


def _ends(weight: object) -> Any:
    try:
        return _SHARE.span(weight)
    except (Miswritten, UnitError):
        return None  # the balance


def _is_it(talk: Talk, known: Substance) -> bool:
    return bool(
        talk.yes(
            say("{cas} is {name}. Does the data sheet call it so, or by another word for it?", cas=known.cas,
                name=known.name),
            say("A mistyped number is another substance, with its gloves and limits."),
            unknown=False,
        )
    )  # fmt: skip


def _name(talk: Talk, parts: list[dict[str, Any]], number: str) -> Answer:
    taken = [str(part["name"].value) for part in parts]
    hidden = say("part {number}", number=len(parts) + 1)
    return talk.ask(
        say("What does the sheet call it?"),
        say("The program has no data on it. The sheet names what is unknown."),
        new_name(taken, as_it_is(PartTable, "name")),
        example=example_of(PartTable, "name"),
        unknown=Answer(number or hidden),
    )


def _weight(talk: Talk, parts: list[dict[str, Any]]) -> Answer:
    """Its share. Lowest shares that come to over 100 % are asked again."""
    others = [part["weight"].value for part in parts]
    least = sum(one.low for one in map(_ends, others) if one)

    def read(line: str) -> str:
        if line.casefold() in ("balance", "rest", "remainder"):
            if any(_ends(one) is None for one in others):
                wrong = say("another part is the balance already")
                raise Miswritten(wrong, say('write the least and the most it can be, such as "10 to 30 %"'))
            return line
        read_key(PartTable, "weight", line)
        if least + _SHARE.span(line).low > 1 + 1e-9:
            wrong = say(
                "the parts make up at least {share}", share=show(least + _SHARE.span(line).low, "fraction", "%")
            )
            raise Miswritten(wrong, say("the lowest weights together cannot be over 100 %"))
        return line

    return talk.ask(
        say("How much of it, by weight? Write it as the sheet does: 20-30 %, < 5 %, balance."),
        say("More of it is more vapour of it."),
        read,
        unknown=Answer(["0 %", "100 %"], say("not known: anything from nothing to all")),
    )


def _nature(talk: Talk, known: object) -> dict[str, Any]:
    """What nobody's data say of a part, and what only its data sheet can say of a cut of petroleum."""
    if isinstance(known, Substance):
        return _cut(talk) if known.is_cut or "boiling_end" in known.properties else {}
    kind = talk.choose(
        say("What is it?"),
        say("The program has no data on it. As long as nobody says, it counts as vapour that nobody knows."),
        (
            Choice("petroleum", say("a cut of petroleum: naphtha, white spirit, mineral spirits, kerosene")),
            Choice("solid", say("resin, rubber, pigment or filler: it stays, and has no known vapour pressure")),
            Choice("isocyanate", say("an isocyanate: MDI, TDI, HDI or a prepolymer of them")),
            Choice("chromate", say("a chromate: chromium VI")),
            Choice("liquid", say("another liquid")),
        ),
        enter=Answer("liquid", say("another liquid, unknown vapour")),
        unknown=Answer("liquid", say("unknown vapour")),
    ).value
    if kind == "petroleum":
        return _cut(talk)
    if kind == "solid":
        return {"volatile": Answer(False)}
    if kind == "liquid":
        return {**_taken_as(talk), **_limits(talk)}
    groups = {"isocyanate": ["NCO"], "chromate": ["Cr"]}.get(str(kind))
    return {"groups": Answer(groups)} if groups else {}


def _taken_as(talk: Talk) -> dict[str, Answer]:
    """What an officer of the shop decided to take a part as that its maker does not name."""
    none = Answer(None, say("nobody did: it stays unknown vapour"))
    cas = talk.ask(
        say("Did somebody of the shop decide what to take it as? Write the CAS number."),
        say("The maker can say what is no milder. Every sheet names who decided."),
        or_nothing(as_it_is(TakenAsTable, "cas")),
        example=example_of(TakenAsTable, "cas"),
        enter=none,
        unknown=none,
    )
    asked = {
        "reason": (say("Why is that one no milder?"), say("The sheet prints the reason.")),
        "name": (say("Who decided so?"), say("The sheet prints the name.")),
    }
    found: dict[str, Any] = {"cas": cas.value}
    for key, question in asked.items() if cas.value else ():
        read = as_it_is(TakenAsTable, key)
        found[key] = talk.ask(*question, read, example=example_of(TakenAsTable, key), unknown=none).value
        if found[key] is None:
            return {}
    return {"taken_as": Answer({**found, "date": date.today()})} if cas.value else {}


def _limits(talk: Talk) -> dict[str, Any]:
    """The limits for the air that section 8 prints of a part that no rule of the shop knows."""
    found: list[dict[str, Any]] = []
    while True:
        none = Answer(None, say("that was all") if found else say("none: its share of the air stays unjudged"))
        value = talk.ask(
            say("Which limit for the air does section 8 give for it? Write none where there is none."),
            say("A DNEL is no limit. Without one its share of the air stays unjudged."),
            or_nothing(as_it_is(PartLimitTable, "value")),
            example=example_of(PartLimitTable, "value"),
            enter=none,
            unknown=none,
        )
        if value.value is None:
            return {"limit": found} if found else {}
        kind = talk.choose(
            say("Over what time does it hold?"),
            say("A figure over a short time is another one than over a shift."),
            (
                Choice("twa", say("average of a shift, 8 hours")),
                Choice("short-term", say("average of 15 minutes")),
                Choice("ceiling", say("never to be exceeded")),
            ),
            unknown=Answer("ceiling", say("counts as never to be exceeded")),
        )
        said = Answer(say("section 8"), say("the data sheet does not say whose"))
        whose = talk.ask(
            say("Whose limit is it?"),
            say("The sheet names it."),
            as_it_is(PartLimitTable, "list"),
            example=example_of(PartLimitTable, "list"),
            enter=said,
            unknown=said,
        )
        found.append({"value": value, "kind": kind, "list": whose})


def _cut(talk: Talk) -> dict[str, Answer]:
    """Sections 3 and 9 of a cut of petroleum."""
    asked = {
        "boiling_range": (
            say("From where to where does it boil? Section 9."),
            say("From this follow its vapour and how long its film stays wet."),
        ),
        "density": (say("Its density? Section 9."), say("It tells apart what is heavy with rings and what is not.")),
        "flash_point": (say("Its flash point? Section 9."), say("The lowest that anybody names is used.")),
        "carbon_numbers": (
            say("How many carbon atoms? Its name often says it, as C9-C11."),
            say("The limit for the air goes by it. With C6 there is none: that may be hexane."),
        ),
        "aromatics": (say("How much of it is aromatic? Section 3."), say("The limit for the air goes by it.")),
        "benzene": (
            say("How much benzene is in it? Section 3."),
            say("Under 0.1 % it need not count as a cause of cancer (note P)."),
        ),
    }
    left_out = {
        "density": say("left out: its vapour is drawn twice as wide"),
        "flash_point": say("left out: estimated, and 10 K lower"),
        "benzene": say("left out: it counts as a cause of cancer where the list says so"),
    }
    found = {}
    for key in _OF_A_CUT:
        number = key == "carbon_numbers"
        read = made(PartTable, key, whole_numbers) if number else as_it_is(PartTable, key)
        nothing = Answer(None, left_out.get(key, say("left out: unknown")))
        example = say("C{fewest}-C{most}", fewest=9, most=11) if number else example_of(PartTable, key)
        found[key] = talk.ask(*asked[key], read, example=example, enter=nothing, unknown=nothing)
    return found
