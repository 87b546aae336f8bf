"""The questions about a product: its data sheet, section by section."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from typing import Any

from safety.cli.questions import parts
from safety.cli.questions.keys import as_it_is, codes, free_id, made, or_nothing, whole_number
from safety.cli.questions.talk import Answer, Choice, Talk
from safety.files.cross_checks import ONE_BY_ONE
from safety.files.notation import Miswritten, day
from safety.files.one_key import example_of
from safety.files.shape_kinds import COVERAGE, DRY
from safety.files.shapes import ApplicationTable, ProductTable
from safety.model import ANY
from safety.words import say


def ask(talk: Talk, taken: Collection[str], find: parts.Find) -> dict[str, Any]:
    """A new product, as its file has it."""
    name = talk.ask(
        say("What is the name on the can?"),
        say("The sheet prints it, so that people take the right can."),
        as_it_is(ProductTable, "name"),
        example=example_of(ProductTable, "name"),
        advice=say("Write what stands on the can."),
    )
    product: dict[str, Any] = {"id": Answer(free_id(name.value, taken)), "name": name} | _purpose(talk)
    product["emergency_telephone"] = _telephone(talk)
    product |= _section_two(talk)
    product |= _section_nine(talk)
    product["part"] = parts.ask(talk, find)
    application = _application(talk, known_density=product["density"].value != "unknown")
    return {"product": product | ({"application": application} if application else {})}


def _purpose(talk: Talk) -> dict[str, Any]:
    """What it is for, for the rules and for people."""
    purpose = talk.choose(
        say("What is it for?"),
        say("Rules for cleaning, for coatings and for waste go by it."),
        (
            Choice("cleaner", say("cleaner")),
            Choice("degreaser", say("degreaser")),
            Choice("thinner", say("thinner")),
            Choice("remover", say("stripper or remover")),
            Choice("softener", say("softener of old adhesive")),
            Choice("primer", say("primer")),
            Choice("adhesive", say("adhesive")),
            Choice("sealant", say("sealer")),
            Choice("coating", say("paint or coating")),
            Choice("ink", say("ink")),
            Choice("hardener", say("hardener")),
            Choice("other", say("something else")),
        ),
        unknown=Answer(None, say("unknown: what goes by it is said to be open")),
    )
    return {"role": Answer(purpose.value or "unknown"), "purpose": purpose}


def _telephone(talk: Talk) -> Answer:
    none = Answer(None, say("none: the sheet says the general lines"))
    return talk.ask(
        say("What is the maker's emergency telephone? Section 1."),
        say("It stands beside first aid and spill."),
        or_nothing(as_it_is(ProductTable, "emergency_telephone")),
        example=example_of(ProductTable, "emergency_telephone"),
        enter=none,
        unknown=none,
    )


def _unknown() -> Answer:
    return Answer("unknown", say("unknown: every sheet says so"))


def _section_two(talk: Talk) -> dict[str, Answer]:
    """The date of the sheet, and its H-codes."""

    revised = talk.ask(
        say("What date does the data sheet carry?"),
        say("An old sheet may hide what is known today."),
        day,
        example=example_of(ProductTable, "sds_revised"),
        unknown=_unknown(),
    )

    hazards = talk.ask(
        say("Which H-codes stand in section 2? Write none where there are none."),
        say("They decide the signs, the gloves, the eyes and who must not do the work."),
        or_nothing(made(ProductTable, "hazards", codes)),
        example=example_of(ProductTable, "hazards"),
        unknown=_unknown(),
    )
    if hazards.value is not None:
        return {"sds_revised": revised, "hazards": hazards}
    in_words = talk.yes(
        say("Does section 2 say in words that the product is not classified?"),
        say("No code and no such word means that nobody has looked."),
        unknown=False,
    )
    return {"sds_revised": revised, **({"not_classified": Answer(True)} if in_words else {"hazards": _unknown()})}


def _section_nine(talk: Talk) -> dict[str, Answer]:
    asked = {
        "density": (
            say("Density? Section 9."),
            say("A litre is only weighed with it, and vapour is counted by weight."),
        ),
        "flash_point": (
            say("Flash point? Section 9."),
            say("From there on a spark lights it. Without it, it counts as easy to light."),
        ),
        "boiling_point": (say("Where does it begin to boil? Section 9."), say("Waste and transport go by it.")),
        "voc": (say("VOC content? Section 9."), say("For the books only.")),
    }
    return {
        key: talk.ask(
            *asked[key], as_it_is(ProductTable, key), example=example_of(ProductTable, key), unknown=_unknown()
        )
        for key in asked
    }


# ---------------------------------------------------------------- coats and times


def _application(talk: Talk, known_density: bool) -> dict[str, Any]:
    """The times its maker sets, for what goes on in coats or is left to stand; nothing for a wipe."""
    if not talk.yes(
        say("Is it put on in coats, or left to stand?"),
        say("Primer, adhesive, sealer and stripper have waiting times. A cleaner that is wiped has none."),
        unknown=False,
    ):
        return {}
    found: dict[str, Any] = {}
    coats = talk.ask(
        say("How many coats? Write 0 for what is only left to stand."),
        say("A coat more is as much vapour again."),
        _coats,
        example="2",
        advice=say("Write the most that anybody puts on."),
    ).value
    if coats:
        found["coats"] = Answer({ANY: coats})
        found["coverage"] = _coverage(talk, known_density)
    keys = (("dry_between",) if coats > 1 else ()) + (("dry_final", "start_within", "recoat_within") if coats else ())
    return found | _times(talk, (*keys, "stand_at_least"))


def _coats(line: str) -> int:
    number = whole_number(line)
    if number == 0:
        return 0
    return int(made(ApplicationTable, "coats", lambda _: {ANY: number})(line)[ANY])


def _coverage(talk: Talk, known_density: bool) -> Answer:
    plain = as_it_is(ApplicationTable, "coverage")

    def read(line: str) -> str:
        plain(line)
        if not known_density and COVERAGE.amount(line).kind != "area_density":
            wrong = say("a coverage by volume needs the product's density")
            raise Miswritten(wrong, say('write the coverage by weight, such as "150 g/m^2", or "?"'))
        return line

    nothing = Answer(None, say("left out: each job says how much it uses"))
    return talk.ask(
        say("How much does one coat take?"),
        say("With it, a job needs only the area."),
        read,
        example=example_of(ApplicationTable, "coverage"),
        enter=nothing,
        unknown=nothing,
    )


def _times(talk: Talk, keys: tuple[str, ...]) -> dict[str, Answer]:
    no_wait = say("left out: no wait is planned, and the sheet says so")
    asked = {
        "dry_between": (say("How long does a coat dry before the next?"), no_wait),
        "dry_final": (say("How long does the last coat dry?"), no_wait),
        "start_within": (
            say("How soon after the last coat must the parts be joined?"),
            say("left out: no such time"),
        ),
        "recoat_within": (
            say("Until when does one more coat mend a missed start?"),
            say("left out: a missed start means starting again"),
        ),
        "stand_at_least": (say("How long must it stand before it is lifted or scraped?"), no_wait),
    }
    found: dict[str, Answer] = {}
    for key in keys:
        text, meaning = asked[key]
        nothing = Answer(None, meaning)
        read = _later(as_it_is(ApplicationTable, key), found, key)
        found[key] = talk.ask(
            text,
            say("The clock of the job goes by the maker's times."),
            read,
            example=example_of(ApplicationTable, key),
            enter=nothing,
            unknown=nothing,
        )
    return found


def _later(plain: Callable[[str], str], before: Mapping[str, Answer], key: str) -> Callable[[str], str]:
    """Reads a time that fits to those that are known."""

    def read(line: str) -> str:
        plain(line)
        times = {key: line} | {name: one.value for name, one in before.items() if one.value}
        for first, then in ONE_BY_ONE:
            if key in (first, then) and {first, then} <= set(times) and _time(times[first]) > _time(times[then]):
                wrong = say("{then} ends before {first}: it can never be met", then=times[then], first=times[first])
                raise Miswritten(wrong, say("check both times"))
        return line

    return read


def _time(text: str) -> float:
    return DRY.number(text)
