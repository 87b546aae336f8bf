"""Mistakes in how a file says what draws vapour away from the work. Works on plain data, as cross_checks does."""

from __future__ import annotations

from collections.abc import Mapping
from math import pi, sqrt
from typing import Any

from safety.files.notation import Miswritten, Quantity
from safety.files.toml import At, Document, problem
from safety.problems import Problem
from safety.units import UnitError
from safety.words import say

#: Ways to say what a hood takes.
WAYS = ("capture", "capture_velocity", "hood")
#: Diameters of an opening as far as which its equation goes.
REACH = 1.5


def check_exhaust(document: Document, at: At, air: Mapping[str, Any], kind: object) -> list[Problem]:
    """What is wrong in how one state of the air says what draws vapour away."""
    given = [key for key in WAYS if key in air]
    if kind == "booth":
        missing = [] if "face_velocity" in air else [_no_face_velocity(document, at)]
        return missing + [_not_in_a_booth(document, at, key) for key in given]
    found = []
    if "face_velocity" in air:
        write = say('write kind = "booth", or capture_velocity where a hood draws the vapour away')
        found.append(problem(document, (*at, "face_velocity"), say("only a booth has a face velocity"), write))
    for key in given[1:]:
        wrong = say("{first} and {second} both say what the hood takes", first=given[0], second=key)
        found.append(problem(document, (*at, key), wrong, say("keep the one that was measured")))
    if isinstance(air.get("hood"), dict) and too_far(air["hood"]):
        wrong = say("the work is more than one and a half diameters of the opening away: no equation holds there")
        write = say("measure the air speed at the work and write capture_velocity, or take the hood out")
        found.append(problem(document, (*at, "hood", "distance"), wrong, write))
    return found


def _no_face_velocity(document: Document, at: At) -> Problem:
    write = say('write face_velocity = "0.5 m/s" as measured over its face, or "unknown"')
    return problem(document, (*at, "face_velocity"), say('"face_velocity" is missing: this place is a booth'), write)


def _not_in_a_booth(document: Document, at: At, key: str) -> Problem:
    write = say("take it out: face_velocity says what the air of a booth does")
    return problem(document, (*at, key), say("{key} stands beside a booth's air", key=key), write)


def too_far(hood: Mapping[str, Any]) -> bool:
    """Whether no equation says how fast the air is at the work."""
    try:
        farthest = Quantity(("length",)).span(hood.get("distance")).high
        opening = Quantity(("area",)).number(hood.get("opening"))
    except (Miswritten, UnitError):
        return False
    return farthest > REACH * sqrt(4 * opening / pi)
