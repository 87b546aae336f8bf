"""Second names: what a shop calls its own things in the other languages a sheet is printed in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from safety.files.notation import Miswritten, nearest, squeezed
from safety.files.toml import At, Document, plain, problem
from safety.problems import Problem
from safety.words import LANGUAGES, say, spoken


def language(value: object) -> str:
    """One of the languages a sheet is printed in."""
    if value not in LANGUAGES:
        wrong = say('no sheet is printed in "{language}"', language=plain(value))
        raise Miswritten(wrong, nearest(value, LANGUAGES))
    return str(value)


def called(names: Mapping[str, str], typed: str) -> str:
    """What a thing is called in the language being spoken; without a name in it, as it was typed."""
    return names.get(spoken(), typed)


def alike(document: Document, steps: Iterable[tuple[At, dict[str, Any]]]) -> list[Problem]:
    """A mistake for each step that has the name of another one in some language: other keys name steps."""
    steps = list(steps)
    found = []
    for one in LANGUAGES:
        seen: set[str] = set()
        for at, step in steps:
            names = step.get("names")
            own = squeezed(names.get(one)) if isinstance(names, dict) else ""
            name = own or squeezed(step.get("name"))
            if own and own in seen:
                wrong = say('"{word}" is there twice', word=own)
                found.append(problem(document, (*at, "names", one), wrong, say("give each its own {key}", key="name")))
            seen.add(name)
    return found
