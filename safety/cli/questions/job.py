"""The questions about a job: when and where, then step by step what is used and what is left wet."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

from safety.cited import Unknown
from safety.cli.questions.keys import as_it_is, free_id, made, new_name, or_nothing, whole_number
from safety.cli.questions.place import sources
from safety.cli.questions.talk import Answer, Choice, Talk
from safety.files.cross_checks import NEEDS_AREA
from safety.files.notation import Miswritten, moment
from safety.files.one_key import example_of
from safety.files.shapes import CarriedTable, JobTable, LeftoverTable, StepTable, UseTable
from safety.model import ANY, IN_A_VESSEL, Place, Product, Shop
from safety.words import say

Find = Callable[[str], object]
_LIES = ("soak", "gel", "pour", *IN_A_VESSEL)
_LEFT_IN_CLOTH = ("wipe", "brush", "soak", "gel")


def ask(talk: Talk, shop: Shop, taken: Collection[str], find: Find) -> dict[str, Any]:
    """A new job, as its file has it."""
    title = talk.ask(
        say("What is the job? A few words."),
        say("The sheet says it at its head."),
        as_it_is(JobTable, "title"),
        example=example_of(JobTable, "title"),
        advice=say("Write what you would call it."),
    )
    job: dict[str, Any] = {"id": Answer(free_id(title.value, taken)), "title": title}
    job["place"], place = _place(talk, shop)
    job["air"] = _air(talk, place)
    job |= _when_and_who(talk)
    steps = _steps(talk, shop)
    _gone(talk, steps)
    _around(talk, steps, find)
    job["surface"] = _surface(talk, shop, steps)
    if place.kind == "enclosed":
        job["carried"] = [*_carried(talk, shop)]
    return {"job": job, "step": steps}


def _place(talk: Talk, shop: Shop) -> tuple[Answer, Place]:
    found = talk.choose(
        say("Where is the work?"),
        say("A small or closed place holds more vapour. A new one: hazstep new place."),
        [Choice(place.id, place.name or place.id) for place in shop.places.values()],
        enter=None,
        advice=say("Choose the smallest it can be."),
    )
    return found, shop.places[str(found.value)]


def _air(talk: Talk, place: Place) -> Answer:
    states = [air.state for air in place.airs]
    if len(states) == 1:
        return Answer(None)
    return talk.choose(
        say("How are the doors and fans during the work?"),
        say("With the door shut the vapour climbs higher."),
        [Choice(state) for state in states],
        advice=say("Choose the one with the least air. For one day: hazstep sheet JOB --air STATE."),
    )


def _when_and_who(talk: Talk) -> dict[str, Answer]:
    tomorrow = datetime.combine(date.today() + timedelta(days=1), time(8))
    some_day = Answer(tomorrow, say("not fixed; for a day: hazstep sheet JOB --start now"))
    eight = Answer(None, say("counts as 8 h; on a longer shift the limits are lower"))
    stays = Answer(None, say("counts as staying in the place"))
    return {
        "start": talk.ask(
            say("When does it begin?"),
            say("The day decides which rules hold, the hour what the clock says."),
            moment,
            example=f"{tomorrow:%Y-%m-%d %H:%M}",
            enter=some_day,
            unknown=some_day,
        ),
        "crew": talk.ask(
            say("How many people do the work?"),
            say("Each of them needs gloves and a mask where one is asked for."),
            made(JobTable, "crew", whole_number),
            example=example_of(JobTable, "crew"),
            advice=say("Write the most it can be."),
        ),
        "shift": talk.ask(
            say("How long is their shift?"),
            say("Limits are for a whole shift."),
            as_it_is(JobTable, "shift"),
            example=example_of(JobTable, "shift"),
            enter=eight,
            unknown=eight,
        ),
        "afterwards": talk.choose(
            say("Where are they for the rest of the shift?"),
            say("Who stays breathes what is left."),
            (Choice("far", say("in the same place")), Choice("away", say("somewhere else"))),
            enter=stays,
            unknown=stays,
        ),
    }


# ---------------------------------------------------------------- steps


def _steps(talk: Talk, shop: Shop) -> list[dict[str, Any]]:
    steps: list[dict[str, Any]] = []
    while True:
        names = [str(step["name"].value) for step in steps]
        name = talk.ask(
            say("Step {number}: what is done?", number=len(steps) + 1),
            say("Each step has its own air, gloves and mask. Waiting and clearing up are steps, too."),
            new_name(names, as_it_is(StepTable, "name")),
            example=example_of(StepTable, "name"),
            enter=Answer(None, say("that was the last step")) if steps else None,
            unknown=Answer(None, say("that was the last step")) if steps else None,
            advice=say("Watch the work once, and write what is done first."),
        )
        if name.value is None:
            return steps
        steps.append({"name": name, **_step(talk, shop)})


def _step(talk: Talk, shop: Shop) -> dict[str, Any]:
    near = Answer(None, say("counts as close to the work"))
    step: dict[str, Any] = {
        "duration": talk.ask(
            say("How long does it take? With coats: for one coat."),
            say("What is breathed grows with the time."),
            as_it_is(StepTable, "duration"),
            example=example_of(StepTable, "duration"),
            advice=say("Write the longest it can take."),
        ),
        "people": talk.choose(
            say("Where are they meanwhile?"),
            say("The vapour is thickest at the work."),
            (
                Choice("near", say("at the work")),
                Choice("far", say("elsewhere in the place")),
                Choice("away", say("out of the place")),
            ),
            enter=near,
            unknown=near,
        ),
    }
    step["ignition_sources"] = sources(
        talk, StepTable, say("What in this step can light vapour: lamp, heat gun, drill?")
    )
    step["use"] = [*_uses(talk, shop)]
    step["leaves_wet"] = [*_left_wet(talk, shop)]
    return step


def _product(talk: Talk, shop: Shop, text: str, why: str, nothing: str) -> Product | None:
    choices = [Choice(product.id, product.name) for product in shop.products.values()]
    found = talk.choose(text, why, choices, enter=Answer(None, nothing),
                        advice=say("Look at the can. A new product: hazstep new product."))  # fmt: skip
    return None if found.value is None else shop.products[str(found.value)]


def _uses(talk: Talk, shop: Shop) -> Iterator[dict[str, Any]]:
    first = True
    while True:
        text = say("Which product is put on or opened in it?") if first else say("Which other product in this step?")
        product = _product(talk, shop, text, say("Its vapour starts here."), say("no more products in this step"))
        if product is None:
            return
        first = False
        yield _use(talk, product)


def _use(talk: Talk, product: Product) -> dict[str, Any]:
    work = talk.choose(
        say("How is it put on?"),
        say("A spray is in the air at once. A wipe dries slowly. A soak lies for long."),
        (
            Choice("wipe", say("wiped with a cloth")),
            Choice("brush", say("brush, roller, trowel or spatula")),
            Choice("soak", say("soaking cloth left on it")),
            Choice("gel", say("gel or paste left on it")),
            Choice("spray", say("sprayed")),
            Choice("pour", say("poured")),
            Choice("open", say("a can, cup or tray stands open")),
            Choice("wash", say("parts are washed in a tank or tray")),
        ),
        advice=say("Ask who does the work."),  # none is the worst of all for lungs, fire and the next step
    )
    use: dict[str, Any] = {"product": Answer(product.id), "work": work}
    stands = work.value in IN_A_VESSEL
    covered = product.application is not None and product.application.coverage is not None and not stands
    by_area = Answer(None, say("area times what a coat takes"))
    use["amount"] = talk.ask(
        say("How much stands open?") if stands else say("How much goes on? With coats: for one coat."),
        say("All of it can become vapour."),
        as_it_is(UseTable, "amount"),
        example=say("{low} to {high}", low="200 mL", high="300 mL"),
        enter=by_area if covered and work.value in NEEDS_AREA else None,
        unknown=Answer("unknown", say("unknown: the sheet cannot say what is in the air")),
    )
    if work.value in NEEDS_AREA:
        use["area"] = talk.ask(
            _HOW_LARGE.get(str(work.value), _wet_area)(),
            say("A larger area dries faster: more vapour in less time."),
            as_it_is(UseTable, "area"),
            example=example_of(UseTable, "area"),
            advice=say("Length times width. Write the largest it can be."),
        )
    if work.value in _LEFT_IN_CLOTH:
        nothing = Answer(None, say("nothing: all of it counts as vapour"))
        use["kept"] = talk.ask(
            say("What share stays in cloth, brush or scrapings that go into a closed bin?"),
            say("Only the rest becomes vapour here."),
            as_it_is(UseTable, "kept"),
            example=example_of(UseTable, "kept"),
            enter=nothing,
            unknown=nothing,
        )
    return use


def _wet_area() -> str:
    return say("How large is the wet area?")


_HOW_LARGE = {
    "open": lambda: say("How large is the opening?"),
    "wash": lambda: say("How large are the liquid and the wet parts together?"),
}


def _left_wet(talk: Talk, shop: Shop) -> Iterator[dict[str, Any]]:
    while True:
        nothing = Answer(None, say("nothing is left lying wet"))
        what = talk.ask(
            say("What is left lying wet after it: rags, a tray, scrapings?"),
            say("It goes on giving off vapour while nobody thinks of it."),
            or_nothing(as_it_is(LeftoverTable, "what")),
            example=example_of(LeftoverTable, "what"),
            enter=nothing,
            unknown=Answer(say("something wet"), say("counts as something wet of unknown amount")),
        )
        if what.value is None:
            return
        product = _product(talk, shop, say("Wet with which product?"), say("Each has its own vapour."), nothing.note)
        if product is None:
            return
        unknown = Answer("unknown", say("unknown: its vapour is not counted, and every later step says so"))
        yield {
            "what": Answer(what.value),
            "product": Answer(product.id),
            "amount": talk.ask(
                say("How much of it is in there?"),
                say("All of it can become vapour."),
                as_it_is(LeftoverTable, "amount"),
                example=example_of(LeftoverTable, "amount"),
                unknown=unknown,
            ),
            "area": talk.ask(
                say("How large is its wet surface?"),
                say("A larger one gives off more."),
                as_it_is(LeftoverTable, "area"),
                example=example_of(LeftoverTable, "area"),
                unknown=Answer(None, unknown.note),
            ),
        }


# ---------------------------------------------------------------- when all steps are known


def _gone(talk: Talk, steps: list[dict[str, Any]]) -> None:
    """When what lies wet goes: the steps to choose from are known only now."""
    for number, step in enumerate(steps):
        later = [Choice(str(one["name"].value)) for one in steps[number:]]
        stays = Answer(None, say("it stays until it is dry"))
        for use in step["use"]:
            if use["work"].value in _LIES:
                use["lifted_by"] = talk.choose(
                    say("At the end of which step is {product} lifted off or closed?", product=use["product"].value),
                    say("Till then it gives off vapour."),
                    later,
                    enter=stays,
                    unknown=stays,
                )
        for wet in step["leaves_wet"]:
            wet["taken_away"] = talk.choose(
                say("At the end of which step do these go into a closed bin: {what}?", what=wet["what"].value),
                say("Till then they give off vapour."),
                later,
                enter=stays,
                unknown=stays,
            )


def _around(talk: Talk, steps: list[dict[str, Any]], find: Find) -> None:
    """What only who stands there can know. It goes into every step."""

    def read(line: str) -> str:
        name = as_it_is(StepTable, "structure_holds")(line)
        if isinstance(find(name), Unknown):
            wrong = say('no loaded substance is called "{word}"', word=name)
            raise Miswritten(wrong, say('write its CAS number, or "?"'))
        return name

    beneath = talk.ask(
        say("Does the part worked on hold fuel or another liquid? Write its name."),
        say("Fuel beneath the work stops every flame, and heat."),
        or_nothing(read),
        example=say("kerosene"),
        enter=Answer(None, say("no liquid in it")),
        unknown=Answer("unknown", say("unknown: the sheet stops until somebody has looked")),
    )
    overhead = talk.yes(
        say("Is any of the work above the head?"), say("Drops fall into the face."), enter=False, unknown=True
    )
    as_air = Answer(None, say("as warm as the air"))
    warm = talk.ask(
        say("Is the surface warmer than the air? Write how warm."),
        say("A warm surface gives off more vapour."),
        as_it_is(StepTable, "surface_temperature"),
        example="35 degC",
        enter=as_air,
        unknown=as_air,
    )
    for step in steps:
        wet = bool(step["use"] or step["leaves_wet"])
        step["structure_holds"] = beneath
        step["overhead"] = Answer(overhead)
        step["surface_temperature"] = warm if wet else Answer(None)


def _carried(talk: Talk, shop: Shop) -> Iterator[dict[str, Any]]:
    """Cans that go into a small place, used or not."""
    while True:
        product = _product(
            talk,
            shop,
            say("Which product is carried in, in its can, used or not?"),
            say("If all of it spills in there, it must not fill the air with vapour that burns."),
            say("no more cans"),
        )
        if product is None:
            return
        yield {
            "product": Answer(product.id),
            "amount": talk.ask(
                say("How much of it is carried in?"),
                say("The whole can counts."),
                as_it_is(CarriedTable, "amount"),
                example=example_of(CarriedTable, "amount"),
                unknown=Answer("unknown", say("unknown: the sheet says so")),
            ),
        }


def _surface(talk: Talk, shop: Shop, steps: list[dict[str, Any]]) -> Answer:
    """What is coated, where the number of coats hangs on it."""
    used = {use["product"].value for step in steps for use in step["use"] if use["work"].value not in IN_A_VESSEL}
    counts: list[Mapping[str, int]] = [
        product.application.coats for id_, product in shop.products.items() if id_ in used and product.application
    ]
    named = sorted({surface for coats in counts for surface in coats if surface != ANY})
    if not named:
        return Answer(None)
    return talk.choose(
        say("What is coated?"),
        say("The number of coats hangs on it."),
        [Choice(name) for name in named],
        other=as_it_is(JobTable, "surface") if all(ANY in coats for coats in counts if coats) else None,
        advice=say("Look at the part, or ask whoever planned the work."),
    )
