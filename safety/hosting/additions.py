"""What a plugin adds beside data: topics, sentences, formulas; whether it goes with what is there."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from functools import wraps
from string import Formatter
from typing import Any

import numpy as np

from safety import units
from safety.calc.call import WORDS
from safety.files.notation import nearest
from safety.formulas import Formula, catalogue
from safety.model import TITLES, Contribution
from safety.reference.row_shapes import KINDS
from safety.words import ENGLISH, LANGUAGES, say

_WORD = re.compile(r"[a-z][a-z0-9-]*")
_REPORT = re.compile(r"[a-z][a-z-]{0,39}", re.ASCII)
_PARTS = re.compile(r"[:|]")


def fault(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> str:
    """What is wrong with what a plugin adds beside data, given what those before it add, or ""."""
    return next(
        (wrong for find in (_topics, _messages, _formulas, _keys, _reports) for wrong in find(added, others)), ""
    )


def _topics(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> Iterator[str]:
    for word, title in added.topics.items():
        if not _WORD.fullmatch(word) or not title.strip():
            yield say('the topic "{word}" needs a title, and a word of small letters', word=word)
        if word in TITLES:
            yield say('the topic "{word}" is there already', word=word)
        for name, other in others:
            if other.topics.get(word, title) != title:
                yield say('the topic "{word}" has another title in the plugin {name}', word=word, name=name)


def _reports(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> Iterator[str]:
    for one in added.reports:
        if not _REPORT.fullmatch(one.name) or not one.title:
            yield say('the report "{name}" needs a title, and a name of small letters and hyphens', name=one.name)
        for name, other in others:
            if one.name in {its.name for its in other.reports}:
                yield say('the report "{report}" is made by the plugin {name} already', report=one.name, name=name)


def _messages(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> Iterator[str]:
    for language, sentences in added.messages.items():
        if language == ENGLISH or language not in LANGUAGES:
            known = [one for one in LANGUAGES if one != ENGLISH]
            yield say('no sheet is printed in "{language}"; {near}', language=language, near=nearest(language, known))
        for english, said in sentences.items():
            if _fields(english) != _fields(said):
                yield say('"{said}" must have the fields of "{english}"', said=said[:200], english=english[:200])
            for name, other in others:
                if other.messages.get(language, {}).get(english, said) != said:
                    yield say('the plugin {name} says "{english}" in other words', name=name, english=english[:200])


def _fields(template: str) -> frozenset[str] | None:
    """The fields of a template; None where it is none."""
    try:
        return frozenset(name for _, name, _, _ in Formatter().parse(template) if name is not None)
    except ValueError:
        return None


def _formulas(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> Iterator[str]:
    known = {*catalogue(), *(one.name for _, other in others for one in other.formulas)}
    for one in added.formulas:
        if type(one) is not Formula:
            yield say("{got} is no formula; make it with safety.formulas.described", got=type(one).__name__)
            continue
        if one.name in known:
            yield say('there is already a formula called "{name}"', name=one.name)
        known.add(one.name)
        given = [(key, part) for key, kind in one.inputs for part in _PARTS.split(kind.removesuffix(", ..."))]
        for key, kind in (*given, *([] if one.gives == "text" else [("gives", one.gives)])):
            kinds = units.KINDS if key == "gives" else {**units.KINDS, **WORDS}
            if kind not in kinds:
                near = nearest(kind, kinds)
                yield say('{name}, {key}: no kind is called "{kind}"; {near}', name=one.name, key=key, kind=kind,
                          near=near)  # fmt: skip


def _keys(added: Contribution, others: Sequence[tuple[str, Contribution]]) -> Iterator[str]:
    for one in added.keys:
        names = [key.name for key in one.keys]
        if len(set(names)) < len(names) or [own.of for own in added.keys].count(one.of) > 1:
            yield say("keys of a {what} are declared twice", what=one.of)
        for key in one.keys:
            if not key.one_of and key.kind not in KINDS and key.kind not in units.KINDS:
                near = nearest(key.kind, (*KINDS, *units.KINDS))
                yield say('{name}, {key}: no kind is called "{kind}"; {near}', name=one.of, key=key.name, kind=key.kind,
                          near=near)  # fmt: skip


def guarded(formula: Formula, plugin: str, watched: Callable[[Callable[[], Any]], Any]) -> Formula:
    """A plugin's formula that fails like one of ours: with a ValueError that says who and why."""

    @wraps(formula.function)
    def asked(*args: Any, **values: Any) -> Any:
        try:
            result = watched(lambda: formula.function(*args, **values))
            return str(result) if formula.gives == "text" else np.asarray(result, dtype=float)[()]
        except Exception as error:
            wrong = say("the plugin {plugin} did not answer: {why}", plugin=plugin, why=error)
            raise ValueError(wrong) from error

    return replace(formula, group=plugin, function=asked)
