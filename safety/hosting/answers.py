"""Whether what a plugin hands back is what its hook says: sound records that can be printed and drawn.

Only the first fault is told: a plugin with one is not used at all.
"""

from __future__ import annotations

import math
import re
from collections.abc import Collection, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from gc import get_referents
from numbers import Real
from types import MappingProxyType, NoneType, UnionType
from typing import Any, Literal, NamedTuple, TypeAlias, Union, get_args, get_origin, get_type_hints

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
    DataTable,
    ExplosiveShare,
    Figure,
    Finding,
    Grid,
    Lines,
    LogRole,
    OpenPoint,
    Planned,
    Range,
    Role,
    Signs,
    Substance,
    Tally,
    TallyLimit,
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
    "report_tables": (DataTable,),
}

#: Names that a file, a column and a table of a database may bear.
_NAME = re.compile(r"[a-z][a-z0-9_]{0,59}", re.ASCII)
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
        elif isinstance(item, DataTable):
            _table(item, at)
        elif isinstance(item, (Lines, Grid)) and not all(map(_tallied, item.roles)):
            raise Unsound(say("{at}: a role without a name, or with a number that cannot be", at=at))


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


def _table(one: DataTable, at: str) -> None:
    names = [one.name, *(column.name for column in one.columns)]
    wrong = next((name for name in names if not _NAME.fullmatch(name)), None)
    if wrong is not None or len(set(names[1:])) < len(one.columns):
        raise Unsound(say("{at}: a name is written with small letters, digits and _, and stands once", at=at))
    if any(len(row) != len(one.columns) for row in one.rows):
        raise Unsound(say("{at}: a row has not as many values as there are columns", at=at))


def _sound(role: Role) -> bool:
    if isinstance(role, AgainstLimit):
        return role.ratio >= 0
    if isinstance(role, ExplosiveShare):
        return role.percent >= 0
    if isinstance(role, Planned):
        return role.mass >= (role.middle or 0.0) >= 0
    return not isinstance(role, ClockSpan) or role.end is None or role.begin <= role.end <= LATEST


def _tallied(role: LogRole) -> bool:
    """Whether a role can stand on the office's page. A correction can leave less than nothing of an amount."""
    if isinstance(role, TallyLimit):
        return bool(role.name) and role.limit >= 0 and role.ahead >= 0
    if isinstance(role, Tally):
        return bool(role.name) or role.of != "other"
    return not isinstance(role, OpenPoint) or (bool(role.text) and role.count >= 1)


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
        for name, wanted in _wanted_of(record.__class__):
            inputs = counted and (type(record), name) != (Figure, "inputs")
            self._value(getattr(record, name), wanted, (at, name), depth + 1, endless, inputs)

    def _value(self, value: Any, wanted: _Wanted, at: _At, depth: int, endless: bool, counted: bool) -> None:
        if depth > DEEPEST:
            raise Unsound(say("{at} is nested too deep", at=_named(at)[:200]))
        kind = type(value)
        if kind is str and wanted.text:  # most of what there is, and most of it short and plain
            self._left -= len(value) if counted else 0
            if len(value) > LONGEST or self._left < 0 or not value.isprintable():
                self._text(value, at, False)
                self._count(0, at, counted)
            return
        same = (id(value), id(wanted), endless) if kind is tuple and not counted else None
        if same and depth <= self._same.get(same, -1):
            return
        sort = _sort(value)
        if sort == "text" and kind in TEXTS:
            self._text(value, at, counted)
            self._made_of(value, at, depth)
            if wanted.text:
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
        if not self._fits(value, wanted, at, depth, endless, counted):
            raise Unsound(say("{at} is {got}", at=_named(at), got=kind.__name__))
        if same:
            self._same[same] = depth  # only now, as with texts

    def _fits(self, value: Any, wanted: _Wanted, at: _At, depth: int, endless: bool, counted: bool) -> bool:
        """Whether a value has the type of its field; all it holds is looked through on the way."""
        form, inner = wanted.form, wanted.inner
        if form == "any":
            return self._anything(value, at, depth, counted)
        if form == "one of":
            kind = next((kind for kind in inner if _outside(value, kind)), None)
            return kind is not None and self._fits(value, kind, at, depth, endless, counted)
        if form == "record":
            if type(value) is not wanted.of:
                return False
            self.record(value, at, depth, counted)
            return True
        if form in ("rows", "row"):
            if type(value) is not tuple or (form == "row" and len(inner) != len(value)):
                return False
            kinds = inner * len(value) if form == "rows" else inner
            for number, (one, kind) in enumerate(zip(value, kinds, strict=True)):
                self._value(one, kind, (at, number), depth + 1, endless, counted)
            return True
        if form == "table":
            if not isinstance(value, Mapping):
                return False
            for side, kind in zip((value, value.values()), inner, strict=True):
                for number, one in enumerate(side):
                    self._value(one, kind, (at, number), depth + 1, endless, counted)
            return True
        return (form != "words" or type(value) is str) and _outside(value, wanted)

    def _anything(self, value: Any, at: _At, depth: int, counted: bool) -> bool:
        """What a record takes without saying of which type: our own records, text, numbers and lists of these."""
        sort = _sort(value)
        if sort == "record":
            self.record(value, at, depth, counted)
            return True
        if sort == "row":
            for number, one in enumerate(value):
                self._value(one, _ANYTHING, (at, number), depth + 1, True, counted)
            return True
        if sort == "mapping":
            for key, one in value.items():
                self._value(key, _LETTERS, at, depth + 1, True, counted)
                self._value(one, _ANYTHING, (at, key), depth + 1, True, counted)
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
            self._value(text.template, _LETTERS, at, depth + 1, False, False)
            self._value(text.values, _VALUES, at, depth + 1, True, False)
        elif isinstance(text, Text):
            self._value(text.parts, _PARTS, at, depth + 1, False, False)
            self._value(text.apart, _LETTERS, at, depth + 1, False, False)
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


class _Wanted(NamedTuple):
    """A type of a field, taken apart once: to compare types as they are written takes long."""

    form: Literal["any", "one of", "record", "rows", "row", "table", "words", "other"]
    of: Any  # the type itself, and the class of what has no type within
    inner: tuple[Any, ...] = ()  # the types within, each taken apart; of words the words
    text: bool = False  # whether it is content with any text


@cache
def _wanted_of(kind: type) -> tuple[tuple[str, _Wanted], ...]:
    """The fields of a record, each with its type."""
    hints = get_type_hints(kind)
    return tuple((one.name, _wanted(hints[one.name])) for one in fields(kind))


@cache
def _wanted(hint: Any) -> _Wanted:
    origin, inner = get_origin(hint), get_args(hint)
    if hint is Any or hint is str:
        return _Wanted("any" if hint is Any else "other", hint, text=True)
    if origin is Literal:
        return _Wanted("words", hint, inner)
    if is_dataclass(hint):
        return _Wanted("record", hint)
    if origin in (Union, UnionType):
        return _Wanted("one of", hint, tuple(map(_wanted, inner)))
    if origin is tuple and inner[-1] is Ellipsis:
        return _Wanted("rows", tuple, (_wanted(inner[0]),))
    if origin is tuple:
        return _Wanted("row", tuple, tuple(map(_wanted, inner)))
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return _Wanted("table", origin, tuple(map(_wanted, inner)))
    return _Wanted("other", NoneType if hint is None else origin or hint)


_ANYTHING, _LETTERS, _PARTS, _VALUES = map(_wanted, (Any, str, tuple[str, ...], Mapping[str, Any]))


def _outside(value: Any, wanted: _Wanted) -> bool:
    """Whether a value is of a type on its outside; what it holds is not looked at."""
    if wanted.form == "words":
        return value in wanted.inner
    kind = wanted.of
    if kind is float or kind is int:
        return _sort(value) == "number" and (kind is float or isinstance(value, int))
    return isinstance(value, kind) if isinstance(kind, type) else False
