"""The questions about a place, and the place as a table of ``shop.toml``."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from safety.cli.questions.keys import as_it_is, free_id, made, names, new_name, or_nothing
from safety.cli.questions.talk import Answer, Choice, Talk
from safety.files.exhaust_checks import too_far
from safety.files.notation import Miswritten, day
from safety.files.one_key import example_of
from safety.files.shape_air import AirTable, HoodTable
from safety.files.shape_doors import DoorTable
from safety.files.shape_places import PlaceTable
from safety.model import Place
from safety.units import UnitError
from safety.words import say

#: How often the air is replaced and how fast it moves: our guesses, as in the shop that ``hazstep new DIR`` writes.
_GUESSES = {
    "shut": (["0.3 /hour", "2 /hour"], ["0.03 m/s", "0.2 m/s"]),
    "open": (["2 /hour", "8 /hour"], ["0.1 m/s", "0.4 m/s"]),
}
_STATE = {"outdoor": lambda: say("open air"), "booth": lambda: say("fan on")}
#: Taken where nobody knows: wide, and air that never goes.
_ANY_SPEED = ["0.03 m/s", "0.5 m/s"]
_NEVER = "0 /hour"


def ask(talk: Talk, places: Mapping[str, Place]) -> dict[str, Any]:
    """A new place: the table as it goes into the file. ``places``: those that are there, by id."""
    name = talk.ask(
        say("What do people call the place?"),
        say("Jobs and sheets name it."),
        as_it_is(PlaceTable, "name"),
        example=example_of(PlaceTable, "name"),
        advice=say("Make up a name."),
    )
    kind = talk.choose(
        say("What sort of place is it?"),
        say("It decides how the air moves, and whether it may be a trap."),
        (
            Choice("room", say("room")),
            Choice("hangar", say("hangar or large hall")),
            Choice("booth", say("spray booth or cabin with a fan")),
            Choice("enclosed", say("enclosed: tank, hull, crawl space, pit")),
            Choice("outdoor", say("outdoors")),
        ),
        unknown=Answer("enclosed", say("counts as enclosed, the worst")),
    )
    place: dict[str, Any] = {"id": Answer(free_id(name.value, places)), "name": name, "kind": kind}
    if kind.value != "outdoor":
        place["volume"] = talk.ask(
            say("How large is the air in it? Length times width times height."),
            say("The less air, the more vapour in each breath."),
            as_it_is(PlaceTable, "volume"),
            example=example_of(PlaceTable, "volume"),
            advice=say("Pace it out, and take the smaller figure where you are not sure."),
        )
    place["temperature"] = talk.ask(
        say("How warm is it, from the coldest to the warmest day of work?"),
        say("Warm solvent dries faster and gives off more."),
        as_it_is(PlaceTable, "temperature"),
        example=say("{low} to {high}", low="18 degC", high="28 degC"),
        advice=say("Write a wide range."),
    )
    humid = Answer(None, say("counts as humid: cartridges last half as long"))
    place["humidity"] = talk.ask(
        say("How humid is it?"),
        say("Water in the air fills the cartridges of a mask."),
        as_it_is(PlaceTable, "humidity"),
        example=example_of(PlaceTable, "humidity"),
        enter=humid,
        unknown=humid,
    )
    place["ignition_sources"] = sources(
        talk, PlaceTable, say("What is always here, or next door, that can light vapour?")
    )
    place["air"] = _states(talk, str(kind.value))
    if kind.value != "outdoor":
        place["door"] = _doors(talk, [one.id for one in places.values() if one.kind != "outdoor"])
    return place


def sources(talk: Talk, table: Any, text: str) -> Answer:
    """Ask for ignition sources. Who does not know has one."""
    return talk.ask(
        text,
        say("Vapour runs along the floor to it. Heater, pilot light, motor, switch, charger, welding."),
        or_nothing(made(table, "ignition_sources", names)),
        example=example_of(table, "ignition_sources"),
        enter=Answer(None, say("no ignition source")),
        unknown=Answer([say("unknown source (nobody has looked)")], say("counts as an ignition source")),
    )


def _states(talk: Talk, kind: str) -> list[dict[str, Any]]:
    """The states of its doors and fans, one at least."""
    states: list[dict[str, Any]] = []
    while True:
        known = [str(one["state"].value) for one in states]
        state = talk.ask(
            say("Another state of the doors and fans?") if states else say("How are the doors and fans during work?"),
            say("The air is another one with the door open. The job says which it is."),
            new_name(known, as_it_is(AirTable, "state")),
            example=_STATE[kind]() if kind in _STATE else say("doors shut"),
            enter=Answer(None, say("there is no other")) if states else None,
            unknown=Answer(None, say("there is no other")) if states else Answer(say("as it is"), say("one state")),
        )
        if state.value is None:
            return states
        states.append({"state": Answer(state.value), **_air(talk, kind), **_hood(talk, kind)})


def _air(talk: Talk, kind: str) -> dict[str, Any]:
    """How often the air is replaced, how fast it moves, and what that rests on."""
    found: dict[str, Any] = {}
    guess = Answer(say("our guess (replace by a measurement)"))
    if kind != "outdoor":
        found["air_changes"] = _changes(talk, kind)
        if str(found["air_changes"].value) in _GUESSES:
            often, fast = _GUESSES[str(found["air_changes"].value)]
            return {"air_changes": Answer(often), "air_speed": Answer(fast), "basis": guess}
    anything = Answer(_ANY_SPEED, say("counts as anything from still air to a breeze"))
    found["air_speed"] = talk.ask(
        say("How fast does the air move over the work?"),
        say("Moving air dries a film faster: more vapour in less time."),
        as_it_is(AirTable, "air_speed"),
        example=say("{low} to {high}", low="0.1 m/s", high="0.3 m/s"),
        enter=anything,
        unknown=anything,
    )
    if kind == "booth":
        found["face_velocity"] = talk.ask(
            say("How fast is the stream of the booth, measured over its face?"),
            say("It carries the vapour away from the face, or not."),
            as_it_is(AirTable, "face_velocity"),
            example=example_of(AirTable, "face_velocity"),
            unknown=Answer("unknown", say("unknown: the booth counts for nothing")),
        )
    found["basis"] = talk.ask(
        say("Where are these figures from?"),
        say("The sheet says what it rests on."),
        as_it_is(AirTable, "basis"),
        example=example_of(AirTable, "basis"),
        enter=guess,
        unknown=guess,
    )
    assumed = Answer(None, say("counts as assumed"))
    found["measured"] = talk.ask(
        say("On which day were they measured in this place?"),
        say("What nobody measured here is marked on every sheet."),
        day,
        example=example_of(AirTable, "measured"),
        enter=assumed,
        unknown=assumed,
    )
    return found


def _changes(talk: Talk, kind: str) -> Answer:
    never = Answer(_NEVER, say("counts as air that is never replaced"))
    why = say("It decides how high the vapour climbs, and when the air is clear.")
    read = as_it_is(AirTable, "air_changes")
    if kind == "booth":
        return talk.ask(say("How often does the fan replace the air?"), why, read, example="20-40 /hour", unknown=never)
    return talk.choose(
        say("How often is the air replaced? Choose a guess, or write what was measured, such as 4-6 /hour."),
        why,
        (
            Choice("shut", say("doors and windows shut, no fan: our guess of 0.3 to 2 in an hour")),
            Choice("open", say("a door or window open, or a fan runs: our guess of 2 to 8 in an hour")),
        ),
        other=read,
        unknown=never,
    )


def _doors(talk: Talk, places: Sequence[str]) -> list[dict[str, Any]]:
    """The doors to places that are there already. Who does not know has one to each, and both sides are one air."""
    doors: list[dict[str, Any]] = []
    while left := [one for one in places if one not in {str(door["to"].value) for door in doors}]:
        to = talk.choose(
            say("Another door, or another opening?")
            if doors
            else say("Which place is behind a door that may be open?"),
            say("Vapour goes through it to the people behind."),
            [Choice(one) for one in left],
            enter=Answer(None, say("there is no other")) if doors else Answer(None, say("there is no door")),
            unknown=Answer("?", say("counts as a door to each place, and all of them as one air")),
        )
        if to.value is None:
            return doors
        if to.value == "?":
            return [*doors, *({"to": Answer(one)} for one in left)]
        doors.append({"to": to, **_opening(talk)})
    return doors


def _opening(talk: Talk) -> dict[str, Any]:
    """What says how much air goes over; with one of them missing the rest says nothing."""
    found: dict[str, Any] = {}
    one_air = Answer(None, say("not known: both places count as one air"))
    for key, text in _of_a_door():
        why = say("It says how much vapour goes over.")
        read = as_it_is(DoorTable, key)
        found[key] = talk.ask(text, why, read, example=example_of(DoorTable, key), enter=one_air, unknown=one_air)
        if found[key].value is None:
            break
    return found


def _of_a_door() -> list[tuple[str, str]]:
    return [
        ("area", say("How large is the opening, the door wide open?")),
        ("height", say("How high is the opening?")),
        ("open_share", say("How much of the time does it stand open?")),
        ("temperature_difference", say("How much warmer may one place be than the other?")),
    ]


def _speed_or_airflow(line: str) -> tuple[str, str]:
    """A hood by the air speed measured at the work, or by the air it draws: the unit tells which."""
    try:
        return "capture_velocity", as_it_is(AirTable, "capture_velocity")(line)
    except (Miswritten, UnitError):
        return "airflow", as_it_is(HoodTable, "airflow")(line)


def _hood(talk: Talk, kind: str) -> dict[str, Any]:
    """A hood at the work. One that nobody can describe counts for nothing."""
    if kind == "booth":
        return {}
    none = Answer(None, say("no hood counts"))
    drawn = talk.ask(
        say("Does a hood draw the vapour away at the work? Write the air speed measured there, or the air it draws."),
        say("A hood takes vapour before anybody breathes it."),
        or_nothing(_speed_or_airflow),
        example=say("{one} or {other}", one="0.4 m/s", other="500 cfm"),
        enter=none,
        unknown=none,
    )
    if drawn.value is None:
        return {}
    key, line = drawn.value
    airflow = Answer(line)
    if key == "capture_velocity":
        return {key: airflow}
    opening = talk.ask(
        say("How large is its opening?"),
        say("The same air through a larger one is slower."),
        as_it_is(HoodTable, "opening"),
        example=example_of(HoodTable, "opening"),
        unknown=none,
    )
    if opening.value is None:
        return {}
    plain = as_it_is(HoodTable, "distance")

    def read(line: str) -> str:
        plain(line)
        if too_far({"opening": opening.value, "distance": line}):
            wrong = say("that is too far from this opening: no equation holds there")
            raise Miswritten(wrong, say('write how close the hood can come, or "?"'))
        return line

    distance = talk.ask(
        say("How far is it from where the vapour comes off?"),
        say("Twice as far takes a quarter."),
        read,
        example=example_of(HoodTable, "distance"),
        unknown=none,
    )
    if distance.value is None:
        return {}
    return {"hood": {"airflow": airflow, "opening": opening, "distance": distance}}
