"""Mistakes in how a file describes a can that stands open. Works on plain data, as cross_checks does."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from safety.files.notation import Miswritten, Quantity
from safety.files.toml import At, Document, problem
from safety.problems import Problem
from safety.units import UnitError
from safety.words import say


def check_vessel(document: Document, at: At, use: Mapping[str, Any]) -> list[Problem]:
    """What is wrong in what a use says of its can."""
    if "freeboard" not in use and "can_depth" not in use:
        return []
    if use.get("work") != "open":
        key = "freeboard" if "freeboard" in use else "can_depth"
        wrong = say('{key} stands beside work = "{work}"', key=key, work=str(use.get("work", "")))
        return [problem(document, (*at, key), wrong, say('take it out; it is for work = "open"'))]
    for key, other in (("can_depth", "freeboard"), ("freeboard", "can_depth")):
        if key not in use:
            wrong = say('"{key}" is missing: it goes with {other}', key=key, other=other)
            return [problem(document, (*at, key), wrong, say('write for example {key} = "30 cm"', key=key))]
    if not _holds(use):
        wrong = say("the freeboard is as large as the can is deep, so nothing is in it")
        write = say("measure from the rim down to the liquid; can_depth goes from the rim to the bottom")
        return [problem(document, (*at, "freeboard"), wrong, write)]
    return []


def _holds(use: Mapping[str, Any]) -> bool:
    """Whether the liquid stands above the bottom; what cannot be read is a mistake of its own."""
    try:
        freeboard, depth = (Quantity(("length",)).number(use.get(key)) for key in ("freeboard", "can_depth"))
    except (Miswritten, UnitError):
        return True
    return freeboard < depth
