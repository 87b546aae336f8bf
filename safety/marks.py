"""What a finding rests on that nobody has checked: a number from outside takes its mark to where it decides."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Cited
from safety.formulas import catalogue
from safety.model import Classification, Composition, Figure, Finding, Limit, Threshold
from safety.words import say, term


@dataclass(frozen=True, slots=True)
class Mark:
    """Something nobody has checked, and what it is used for."""

    name: str  # the figure it was read for, or the value itself
    source: str
    why: str

    def __str__(self) -> str:
        if not self.name:
            return say("{source}: {why}", source=self.source, why=self.why)
        return say("{name}, {source}: {why}", name=self.name, source=self.source, why=self.why)


#: The marks of what was looked through before, by its identity and what it is used for: figures share what they are
#: made from, and a page of nine steps would look through the same value hundreds of times.
_Seen = dict[tuple[int, str], tuple[Mark, ...]]


def unchecked(finding: Finding) -> tuple[Mark, ...]:
    """Each value, limit, rule and equation behind a finding that carries a mark.

    Looks through the finding's figures down to what they were made from, and through its grounds.
    """
    return _of(finding, "", {})


def of_each(findings: Iterable[Finding]) -> Mapping[int, tuple[Mark, ...]]:
    """The marks of many findings, by the identity of each: a page looks at them again and again."""
    seen: _Seen = {}
    return {id(finding): _of(finding, "", seen) for finding in findings}


def each_once(marks: Iterable[Mark]) -> tuple[Mark, ...]:
    """One mark for each thing that nobody has checked, whatever it is used for; the first use is named."""
    found: dict[tuple[str, str], Mark] = {}
    for mark in marks:
        found.setdefault((mark.source, mark.why), mark)
    return tuple(found.values())


def _of(value: Any, name: str, seen: _Seen) -> tuple[Mark, ...]:
    """The marks of a value, each once; ``name`` says what a value read from a source is used for."""
    if (id(value), name) not in seen:
        seen[id(value), name] = tuple(dict.fromkeys(_found(value, name, seen)))
    return seen[id(value), name]


def _found(value: Any, name: str, seen: _Seen) -> Iterator[Mark]:
    if isinstance(value, Finding):
        for rests_on in (*value.figures, *value.grounds):
            yield from _of(rests_on, "", seen)
    elif isinstance(value, Figure):
        formula = catalogue().get(value.formula)
        if formula and formula.unverified:
            yield Mark("", say("the equation of {source}", source=formula.source), term(formula.unverified))
        for _, made_from in value.inputs:
            yield from _of(made_from, value.name, seen)
    elif isinstance(value, (Cited, Classification, Composition, Limit, Threshold)):
        if value.unverified:
            yield Mark(*_named(value, name), term(value.unverified))
    elif isinstance(value, Mapping) and value.get("unverified"):  # a row of a rules pack
        yield Mark("", value.get("citation", ""), term(value["unverified"]))


def _named(value: Cited | Classification | Composition | Limit | Threshold, name: str) -> tuple[str, str]:
    """What a value is, and where it was read."""
    if isinstance(value, Cited):
        return name or value.written, value.source.title
    if isinstance(value, Classification):
        return value.code, value.source.title if value.source else ""
    if isinstance(value, Composition):
        return value.written, value.source.title
    return value.written, value.list if isinstance(value, Limit) else value.citation
