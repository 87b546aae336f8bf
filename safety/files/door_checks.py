"""Mistakes in how a place says what it opens on. Works on plain data, as cross_checks does."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from safety.files.notation import Miswritten, Quantity, nearest, squeezed
from safety.files.toml import At, Document, problem, tables
from safety.problems import Problem
from safety.units import UnitError
from safety.words import say

#: What a measured flow stands in place of.
OPENING = ("area", "height", "open_share", "temperature_difference")
#: Nothing people call a place is less deep behind its wall [m].
SHALLOWEST = 1.0


def check_doors(document: Document, places: list[tuple[At, dict[str, Any]]]) -> Iterator[Problem]:
    """What is wrong in the doors of a shop's places."""
    known = {squeezed(place.get("id")): place for _, place in places}
    for at, place in places:
        here = squeezed(place.get("id"))
        for inner, door in tables(place, "door", at):
            to = squeezed(door.get("to"))
            if to == here:
                wrong = say("the door leads from {place} into itself", place=here)
                yield problem(document, (*inner, "to"), wrong, say("name the place behind it"))
            elif to and to not in known:
                wrong = say('there is no place "{place}" in {file}', place=to, file=document.shown)
                yield problem(document, (*inner, "to"), wrong, nearest(to, [one for one in known if one != here]))
            elif to:
                yield from _ends(document, inner, door, (place, known[to]))


def _ends(
    document: Document, at: At, door: Mapping[str, Any], ends: tuple[Mapping[str, Any], Mapping[str, Any]]
) -> Iterator[Problem]:
    here, there = (squeezed(place.get("id")) for place in ends)
    for place in ends:
        if place.get("kind") == "outdoor":
            wrong = say("the door leads into the open air, or stands in it")
            write = say("take it out: air_changes says how much outside air comes in")
            yield problem(document, (*at, "to"), wrong, write)
            return
    back = [squeezed(one.get("to")) for _, one in tables(ends[1], "door", ())]
    if here in back and here > there:
        wrong = say("{place} has a door to {other} already, and it goes both ways", place=there, other=here)
        yield problem(document, (*at, "to"), wrong, say("write a door in one of the two places, once"))
    if "airflow" in door:
        for key in OPENING:
            if key in door:
                wrong = say("{first} and {second} both say how much air goes over", first="airflow", second=key)
                yield problem(document, (*at, key), wrong, say("keep the one that was measured"))
        return
    opening = _number("area", door.get("area"))
    volumes = [volume for place in ends if (volume := _number("volume", place.get("volume"))) is not None]
    if opening is not None and volumes and opening * SHALLOWEST > min(volumes):
        wrong = say("the opening is larger than the wall can be: the place would be under 1 m deep behind it")
        yield problem(document, (*at, "area"), wrong, say("check the area and its unit, and the volume of both places"))


def _number(kind: str, value: object) -> float | None:
    try:
        return Quantity((kind,)).number(value)
    except (Miswritten, UnitError):
        return None
