"""Whether what a plugin hands back is what its hook says: sound records that can be printed and drawn.

Only the first fault is told: a plugin with one is not used at all.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from gc import get_referents
from numbers import Real
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Literal, TypeAlias, Union, get_args, get_origin, get_type_hints

import numpy as np

from safety.cited import Unknown
from safety.clock import ClockTime
from safety.files.notation import nearest
from safety.files.toml import plain
from safety.model import (
    TITLES,
    AgainstLimit,
    Chart,
    ClockSpan,
    Contribution,
    ExplosiveShare,
    Figure,
    Finding,
    Grid,
    Lines,
    Planned,
    Range,
    Role,
    Signs,
    Substance,
)
from safety.words import Message, Text, say, steers

LONGEST = 20_000  # characters of one text
MOST = 20_000  # items of one list or table
ALL = 2_000_000  # characters and numbers of one answer, what its figures were made from left out
LARGEST = 1e30  # of a number: no figure of a job comes near it, and no change of units makes it endless
LATEST = 1e9  # s before or after the job's start
DEEPEST = 60  # records within records

#: What each hook must hand back: one record, or a list of such records.
ANSWERS: dict[str, tuple[type, ...]] = {
    "contribute": (Contribution,),
    "substance": (Substance, Unknown),
    "assess": (Finding, Lines, Grid, Chart),
    "signs": (Signs,),
    "sheet_blocks": (Lines, Grid, Chart),
    "log_blocks": (Lines, Grid, Chart),
}

#: Hooks that are answered with one record and not with a list.
_SINGLE = ("contribute", "substance")
#: Records in which a number may be endless: "no limit".
_ENDLESS = (Figure, Range)
#: Units in which nothing can be below zero.
_SHARES = ("%", "ppm")
#: Texts: plain ones, and ours that know what they were made of.
TEXTS = (str, Message, Text, ClockTime)
#: Kinds of text, numbers and mappings: one made of these could show another face to everybody who looks.
_PLAIN = frozenset({*TEXTS, bool, int, float, dict, *np.sctypeDict.values()} - {np.object_, np.void})
#: Sorts of what could be so: it is compared and printed as it stands.
_SHOWN = ("text", "truth", "number", "mapping")
_NOTHING = object()
#: A place in an answer: its name, or a field or number of the place around it.
_At: TypeAlias = "str | tuple[_At, str | int]"


class Unsound(TypeError):
    """A plugin, or an answer, that cannot be used. Its text says why; the name of this class says nothing."""


def check(hook: str, answer: Any, steps: int | None = None, topics: Collection[str] = TITLES) -> None:
    """Raise Unsound where ``answer`` is not what ``hook`` must hand back.

    ``steps``: how many steps the job has, where it is of a job. ``topics``: what a finding may be about.
    """
    kinds = ANSWERS[hook]
    got = type(answer).__name__
    if hook in _SINGLE:
        if type(answer) not in kinds:
            wanted = " or ".join(k.__name__ for k in kinds)
            raise Unsound(say("{hook} gave {got} instead of a {wanted}", hook=hook, got=got, wanted=wanted))
        _Walk().record(answer, hook)
        return
    if type(answer) is not list:
        raise Unsound(say("{hook} gave {got} instead of a list", hook=hook, got=got))
    walk = _Walk()
    for number, item in enumerate(answer, 1):
        if type(item) not in kinds:
            wanted = " or ".join(k.__name__ for k in kinds)
            got = type(item).__name__
            wrong = say("{hook} gave a list with {got} in it instead of {wanted}", hook=hook, got=got, wanted=wanted)
            raise Unsound(wrong)
        at = say("{kind} {number}", kind=type(item).__name__, number=number)
        walk.record(item, at)
        if isinstance(item, Finding):
            _finding(item, at, steps, topics)
        elif isinstance(item, Chart):
            _chart(item, at)


def _finding(one: Finding, at: str, steps: int | None, topics: Collection[str]) -> None:
    if one.topic not in topics:
        wrong = say(
            '{at}: no topic is called "{topic}"; {near}', at=at, topic=one.topic, near=nearest(one.topic, topics)
        )
        raise Unsound(wrong)
    if one.step is not None and not 0 <= one.step < (one.step + 1 if steps is None else steps):
        raise Unsound(say("{at}: the job has no step with index {step}", at=at, step=one.step))
    for figure in one.figures:
        if figure.unit in _SHARES and figure.value < 0:
            raise Unsound(say('{at}: "{name}" is below 0 {unit}', at=at, name=figure.name, unit=figure.unit))
    for role in one.roles:
        if not _sound(role):
            raise Unsound(say("{at}: a role with a number that cannot be", at=at))


def _sound(role: Role) -> bool:
    if isinstance(role, AgainstLimit):
        return role.ratio >= 0
    if isinstance(role, ExplosiveShare):
        return role.percent >= 0
    if isinstance(role, Planned):
        return role.mass >= (role.middle or 0.0) >= 0
    return not isinstance(role, ClockSpan) or role.end is None or role.begin <= role.end <= LATEST


def _chart(one: Chart, at: str) -> None:
    points = len(one.labels) or len(one.times)
    for curve in one.curves:
        if len(curve.low) != points or len(curve.high) != points:
            raise Unsound(say('{at}: the curve "{name}" has not one value for each time', at=at, name=curve.name))
    if list(one.times) != sorted(one.times) or any(abs(time) > LATEST for time in one.times):
        raise Unsound(say("{at}: its times do not run forward, or end in another age", at=at))


class _Walk:
    """One answer, looked through once: what many figures share is looked at the first time only."""

    def __init__(self) -> None:
        self._seen: set[int] = set()  # records
        self._sound: dict[int, int] = {}  # texts, each with the depth down from which all it was made of is sound
        self._same: dict[tuple[int, int, bool], int] = {}  # rows that do not count, by their type, the same
        self._left = ALL

    def record(self, record: Any, at: _At, depth: int = 0, counted: bool = True) -> None:
        if id(record) in self._seen:
            return
        self._seen.add(id(record))
        endless = isinstance(record, _ENDLESS)
        for name, hint in _hints(record.__class__).items():
            inputs = counted and (type(record), name) != (Figure, "inputs")
            self._value(getattr(record, name), hint, (at, name), depth + 1, endless, inputs)

    def _value(self, value: Any, hint: Any, at: _At, depth: int, endless: bool, counted: bool) -> None:
        if depth > DEEPEST:
            raise Unsound(say("{at} is nested too deep", at=_named(at)[:200]))
        kind = type(value)
        if kind is str and (hint is str or hint is Any):  # most of what there is
            self._text(value, at, counted)
            return
        same = (id(value), id(hint), endless) if kind is tuple and not counted else None
        if same and depth <= self._same.get(same, -1):
            return
        sort = _sort(value)
        if sort == "text" and kind in TEXTS:
            self._text(value, at, counted)
            self._made_of(value, at, depth)
            if hint is str or hint is Any:
                return
        elif sort in _SHOWN and not _plain(value):
            raise Unsound(say("{at} is {got}", at=_named(at), got=kind.__name__))
        elif sort == "text":
            self._text(value, at, counted)
        elif sort == "number":
            self._count(1, at, counted)
            size: Any = abs(value)
            if not (size <= LARGEST or (endless and size == math.inf)):  # NaN is neither
                raise Unsound(say("{at} is {value}, which no figure can be", at=_named(at), value=plain(value, 20)))
        elif sort in ("row", "mapping") and len(value) > MOST:
            raise Unsound(say("{at} has {count} items; {most} at most", at=_named(at), count=len(value), most=MOST))
        if not self._fits(value, hint, at, depth, endless, counted):
            raise Unsound(say("{at} is {got}", at=_named(at), got=kind.__name__))
        if same:
            self._same[same] = depth  # only now, as with texts

    def _fits(self, value: Any, hint: Any, at: _At, depth: int, endless: bool, counted: bool) -> bool:
        """Whether a value has the type of its field; all it holds is looked through on the way."""

        def held(values: Any, kinds: Any) -> bool:
            for number, (one, kind) in enumerate(zip(values, kinds, strict=True)):
                self._value(one, kind, (at, number), depth + 1, endless, counted)
            return True

        origin, inner, of_records = _form(hint)
        if hint is Any:
            return self._anything(value, at, depth, counted)
        if origin in (Union, UnionType):
            kind = next((kind for kind in inner if _outside(value, kind)), _NOTHING)
            return kind is not _NOTHING and self._fits(value, kind, at, depth, endless, counted)
        if origin is Literal:
            return type(value) is str and value in inner
        if origin is tuple:
            if type(value) is not tuple or (inner[-1] is not Ellipsis and len(inner) != len(value)):
                return False
            return held(value, [inner[0]] * len(value) if inner[-1] is Ellipsis else inner)
        if isinstance(origin, type) and issubclass(origin, Mapping):
            return (
                isinstance(value, Mapping)
                and held(value.keys(), [inner[0]] * len(value))
                and held(value.values(), [inner[1]] * len(value))
            )
        if of_records:
            if type(value) is not hint:
                return False
            self.record(value, at, depth, counted)
            return True
        return _outside(value, hint)

    def _anything(self, value: Any, at: _At, depth: int, counted: bool) -> bool:
        """What a record takes without saying of which type: our own records, text, numbers and lists of these."""
        sort = _sort(value)
        if sort == "record":
            self.record(value, at, depth, counted)
            return True
        if sort == "row":
            for number, one in enumerate(value):
                self._value(one, Any, (at, number), depth + 1, True, counted)
            return True
        if sort == "mapping":
            for key, one in value.items():
                self._value(key, str, at, depth + 1, True, counted)
                self._value(one, Any, (at, key), depth + 1, True, counted)
            return True
        return value is None or sort in _SHOWN or type(value).__module__ == "datetime"

    def _text(self, text: str, at: _At, counted: bool) -> None:
        self._count(len(text), at, counted)
        if len(text) > LONGEST:
            raise Unsound(
                say("{at} is a text of {count} letters; {most} at most", at=_named(at), count=len(text), most=LONGEST)
            )
        if steers(text, but="\t\n"):
            raise Unsound(say("{at} holds a sign that cannot be printed", at=_named(at)))

    def _made_of(self, text: str, at: _At, depth: int) -> None:
        """What a text was put together from is looked through too: a page may say it again with other times in it."""
        if type(text) is str or depth <= self._sound.get(id(text), -1):
            return
        if isinstance(text, Message):
            self._value(text.template, str, at, depth + 1, False, False)
            self._value(text.values, Mapping[str, Any], at, depth + 1, True, False)
        elif isinstance(text, Text):
            self._value(text.parts, tuple[str, ...], at, depth + 1, False, False)
            self._value(text.apart, str, at, depth + 1, False, False)
        self._sound[id(text)] = depth  # only now: one that is made of itself never is

    def _count(self, much: int, at: _At, counted: bool) -> None:
        self._left -= much if counted else 0
        if self._left < 0:
            raise Unsound(say("{at}: the answer is too large", at=_named(at)))


def _named(at: _At) -> str:
    """A place in words, put together only where there is a fault to tell."""
    if isinstance(at, str):
        return at
    around, inside = at
    return f"{_named(around)}[{inside}]" if isinstance(inside, int) else f"{_named(around)}.{inside}"


def _plain(value: Any) -> bool:
    """Whether text, a number or a mapping has nothing of its own to say when it is compared or printed."""
    held = get_referents(value)[0] if type(value) is MappingProxyType else value
    return type(held) in _PLAIN


def _sort(value: Any) -> str:
    """What a value is to be looked through as; "" where it is no text, number, row, mapping or record of ours."""
    kind: Any = type(value)
    return _sort_of(kind) if type(kind) is type else ""  # a class of another kind could pass for one of ours


@cache
def _sort_of(kind: Any) -> str:
    if issubclass(kind, str):
        return "text"
    if issubclass(kind, bool):
        return "truth"
    if issubclass(kind, Real):
        return "number"
    if issubclass(kind, Mapping):
        return "mapping"
    if issubclass(kind, (tuple, list)):
        return "row"
    return "record" if is_dataclass(kind) and kind.__module__.startswith("safety.") else ""


@cache
def _hints(kind: Any) -> dict[str, Any]:
    hints = get_type_hints(kind)
    return {one.name: hints[one.name] for one in fields(kind)}


@cache
def _form(hint: Any) -> tuple[Any, tuple[Any, ...], bool]:
    """What a type is made of, and whether it is a record."""
    return get_origin(hint), get_args(hint), is_dataclass(hint)


def _outside(value: Any, hint: Any) -> bool:
    """Whether a value is of a type on its outside; what it holds is not looked at."""
    if hint in (float, int):
        return _sort(value) == "number" and (hint is float or isinstance(value, int))
    origin, inner, _ = _form(hint)
    if origin is Literal:
        return value in inner
    kind = NoneType if hint is None else origin or hint
    return isinstance(value, kind) if isinstance(kind, type) else False
