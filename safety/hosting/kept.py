"""What plugins are given, kept as it was: whether one has changed it, and how it is put back.

Nothing in Python is closed to one who means to change it: a frozen record is written past its class, a read-only array
is opened or reached by its address. So what was given is compared with what it was.
"""

from __future__ import annotations

import gc
import operator
from collections.abc import Callable, Iterable
from dataclasses import fields, is_dataclass
from functools import cache
from itertools import chain, compress, repeat
from types import MappingProxyType
from typing import Any

import numpy as np

#: Holders that are looked into beside our own records. All else is plain, or its own business (a path, a connection).
_FIXED = (tuple, frozenset, MappingProxyType)
_CHANGEABLE: dict[type, Callable[[Any], Any]] = {dict: dict.copy, list: list.copy, set: set.copy}
_DIFFERS = np.not_equal  # before any plugin could put something in its place

_PLAIN = 0  # holds nothing that could be changed


class Kept:
    """All that can be reached from some things, as it was when they were added."""

    def __init__(self) -> None:
        self._known: dict[int, Any] = {}
        self._holders: list[Any] = []  # whatever holds other things and can be changed
        self._held: list[Any] = []  # what they all held, in one row
        self._mappings: list[dict[Any, Any]] = []  # those among the holders
        self._keys: list[Any] = []  # of them all, in one row: not always among what they hold
        self._states: list[tuple[type, Any]] = []  # the class of each holder, and what puts it back
        self._arrays: list[tuple[np.ndarray[Any, Any], np.ndarray[Any, Any], tuple[Any, ...]]] = []

    def add(self, *things: Any) -> None:
        """Keep these too, and all they hold."""
        begun = len(self._holders)
        level: Iterable[Any] = things
        while level:
            holding = list(compress(level, map(_holds, map(type, level))))  # most things are plain
            fresh = {id(one): one for one in holding if id(one) not in self._known}
            self._known |= fresh
            by_kind: dict[type, list[Any]] = {}
            for one in fresh.values():
                by_kind.setdefault(type(one), []).append(one)
            for array in by_kind.pop(np.ndarray, ()):
                self._arrays.append((array, _bits(array).copy(), _form(array)))
            for kind, ones in by_kind.items():
                read = _reader(kind)
                if read is not None:
                    self._holders += ones
                    self._states += zip(repeat(kind), map(read, ones))
                if kind is dict:
                    self._mappings += ones
                    self._keys += chain.from_iterable(ones)
            level = gc.get_referents(*chain.from_iterable(by_kind.values()))
        self._held += gc.get_referents(*self._holders[begun:])

    def changed(self) -> bool:
        """Whether anything is not as it was."""
        for now, then in (
            (gc.get_referents(*self._holders), self._held),
            (list(chain.from_iterable(self._mappings)), self._keys),
        ):
            if len(now) != len(then) or not all(map(operator.is_, now, then)):
                return True
        return any(_form(one) != form or _DIFFERS(_bits(one), content).any() for one, content, form in self._arrays)

    def put_back(self) -> None:
        """Make everything as it was, in its place."""
        for one, (kind, state) in zip(self._holders, self._states, strict=True):
            if kind is list:
                one[:] = state
            elif kind in _CHANGEABLE:
                one.clear()
                one.update(state)
            else:
                object.__setattr__(one, "__class__", kind)
                for name, value in zip(_fields(kind), state, strict=False):
                    object.__setattr__(one, name, value)
        for array, content, (shape, kind, writeable) in self._arrays:
            array.__setstate__((1, shape, kind, False, content.tobytes()))  # type: ignore[arg-type]
            array.setflags(write=writeable)
        self._held = gc.get_referents(*self._holders)  # a set filled again may stand in another order


def _bits(array: np.ndarray[Any, Any]) -> np.ndarray[Any, Any]:
    """The array as whole numbers, of which each is equal to itself."""
    return array.view(f"u{array.itemsize}")


def _form(array: np.ndarray[Any, Any]) -> tuple[Any, ...]:
    return array.shape, array.dtype, array.flags.writeable


@cache
def _reader(kind: type) -> Any:
    """What reads the state of things of a class; _PLAIN where they hold nothing, None where it cannot be changed."""
    if kind in _CHANGEABLE:
        return _CHANGEABLE[kind]
    if kind in _FIXED or kind is np.ndarray:
        return None
    if not kind.__module__.startswith("safety"):
        return _PLAIN
    names = _fields(kind)
    return operator.attrgetter(*names, names[0]) if names else None  # a row also of a single one


@cache
def _holds(kind: type) -> bool:
    return _reader(kind) is not _PLAIN


@cache
def _fields(kind: type) -> tuple[str, ...]:
    if is_dataclass(kind):
        return tuple(field.name for field in fields(kind))
    return tuple(name for base in kind.__mro__ for name in base.__dict__.get("__slots__", ()))
