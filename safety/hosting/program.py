"""The program itself, as it was: whether a plugin has changed it, and how it is put back.

A plugin is code in the same process. It can put a function of its own in the place of one of ours, or other code into
one that is there, and whoever is asked after it would work with that. So what there is to run is compared with what
there was.
"""

from __future__ import annotations

import builtins
import sys
from collections.abc import Callable, Iterable, Iterator, Mapping
from functools import cache, partial
from gc import get_referents
from itertools import chain, repeat
from operator import attrgetter, is_
from types import CellType, FunctionType, MethodType, ModuleType
from typing import Any

import numpy as np

from safety.hosting.kept import Kept

#: Packages of others that our figures come from.
_LEANT_ON = frozenset({"numpy"})
#: What holds functions, and under which names.
_AROUND: dict[type, tuple[str, ...]] = {
    staticmethod: ("__func__",),
    classmethod: ("__func__",),
    MethodType: ("__func__",),
    property: ("fget", "fset", "fdel"),
    type(cache(len)): ("__wrapped__",),
    type(np.percentile): ("__wrapped__",),
}
#: Beginnings of names that Python adds by itself when it comes to need them.
_OF_PYTHON = ("__annot", "__slotnames__", "__warningregistry__")
_MISSING = object()

#: What is looked at of each function and each class.
_OF_FUNCTIONS, _OF_CLASSES = ("__code__", "__defaults__", "__kwdefaults__"), ("__bases__",)

# Bare tuples: a class of ours could be changed too.
#: A module or a class: its names, what they stood for, whether none may be added, what puts one back and takes one off.
_Space = tuple[
    dict[str, Any], tuple[str, ...], tuple[Any, ...], bool, Callable[[str, Any], None], Callable[[str], None]
]
#: All dictionaries of them, all names in one row, and all they stood for, to be looked at in one go.
_Row = tuple[list[dict[str, Any]], list[str], list[Any]]
#: An attribute, what reads it, of which things, and what it was.
_Attribute = tuple[str, Callable[[Any], Any], list[Any], list[Any]]


class Program:
    """The modules of our packages, and what they work with, as they were when they were taken in."""

    def __init__(self, ours: Iterable[str]) -> None:
        self._ours = frozenset(ours)
        self._loaded: set[str] = set()  # names of all modules that were there
        self._known: dict[int, Any] = {}
        self._spaces: list[_Space] = []
        self._row: _Row = [], [], []
        self._of_functions, self._of_classes = _attributes(_OF_FUNCTIONS), _attributes(_OF_CLASSES)
        self._cells: list[CellType] = []  # what a function holds of the one that made it
        self._contents: list[Any] = []
        self._data = Kept()
        there = self._spaces, self._row, (*self._of_functions, *self._of_classes), self._cells, self._contents
        #: Puts back what was changed, takes out what was loaded, and says whether anything was changed.
        self.restored: Callable[[], bool] = partial(_alone()["_restored"], there, self._data, self._unload)
        self._take([builtins])

    def take_in(self) -> None:
        """Take in what has been loaded since the last time, as it is now."""
        fresh = sys.modules.keys() - self._loaded
        if not fresh:
            return
        self._loaded |= fresh
        ours = {name: sys.modules[name] for name in sorted(fresh) if _package(name) in self._ours}
        if ours:
            self._names_of(sys.modules, ours, closed=False)
        self._take([*ours.values(), *(sys.modules[name] for name in fresh if _package(name) in _LEANT_ON)])

    def take_in_plugin(self, functions: Iterable[Callable[..., Any]]) -> None:
        """Take in what a plugin that is not ours is asked with: what can be called in its modules."""
        for one in functions:
            function = one.__func__ if isinstance(one, MethodType) else one
            there = getattr(function, "__globals__", {})
            if id(there) not in self._known:
                self._known[id(there)] = there
                self._names_of(there, _callable(there), closed=False)
                self._take(one for one in (function, *there.values()) if type(one) is FunctionType)

    def _unload(self) -> None:
        """Forget what of ours has been loaded since: the program loads it again, as it is written."""
        for name in sys.modules.keys() - self._loaded:
            if _package(name) in self._ours:
                above, _, last = name.rpartition(".")
                del sys.modules[name]
                if above in sys.modules:
                    vars(sys.modules[above]).pop(last, None)

    def _take(self, things: Iterable[Any]) -> None:
        """Take in the modules, classes and functions among these, and those they are made of."""
        waiting = list(things)
        while waiting:
            one = waiting.pop()
            if id(one) in self._known:
                continue
            kind = type(one)
            more: Iterable[Any] = ()
            if kind is ModuleType:
                more = self._module(one)
            elif kind is FunctionType:
                more = self._function(one)
            elif kind is CellType:
                more = get_referents(one)
                self._cells += [one] if more else []
                self._contents += more
            elif kind in _AROUND:
                more = [getattr(one, name, None) for name in _AROUND[kind]]
            elif isinstance(one, type) and _package(one.__module__) in self._ours | _LEANT_ON:
                more = self._class(one)
            else:
                continue
            self._known[id(one)] = one
            waiting += more

    def _function(self, function: FunctionType) -> Iterable[Any]:
        _note(self._of_functions, function)
        if function.__kwdefaults__:
            self._names_of(function.__kwdefaults__, function.__kwdefaults__)
        return function.__closure__ or ()

    def _class(self, kind: type) -> Iterable[Any]:
        _note(self._of_classes, kind)
        (there,) = get_referents(kind.__dict__)
        self._names_of(there, there, True, partial(type.__setattr__, kind), partial(type.__delattr__, kind))
        return list(there.values())

    def _module(self, module: ModuleType) -> Iterable[Any]:
        there, package = vars(module), _package(module.__name__)
        if package in self._ours:
            self._names_of(there, there)
            self._data.add(*(one for name, one in there.items() if not name.startswith("__")))
            return list(there.values())
        held = _callable(there)  # all else of others may be their notes
        self._names_of(there, held, closed=False)
        return held.values() if package in _LEANT_ON else ()

    def _names_of(
        self,
        there: dict[str, Any],
        held: Mapping[str, Any],
        closed: bool = True,
        put: Callable[[str, Any], None] | None = None,
        drop: Callable[[str], None] | None = None,
    ) -> None:
        put, drop = put or there.__setitem__, drop or there.__delitem__
        self._spaces.append((there, tuple(held), tuple(held.values()), closed, put, drop))
        dicts, names, values = self._row
        dicts.append(there)
        names.extend(there)
        values.extend(there.values())


def _callable(there: Mapping[str, Any]) -> dict[str, Any]:
    return {name: one for name, one in there.items() if callable(one)}


def _attributes(names: Iterable[str]) -> tuple[_Attribute, ...]:
    return tuple((name, attrgetter(name), [], []) for name in names)


def _note(attributes: Iterable[_Attribute], one: Any) -> None:
    for _, read, things, were in attributes:
        things.append(one)
        were.append(read(one))


def _package(module: str) -> str:
    return module.partition(".")[0]


def _alone() -> dict[str, Any]:
    """The functions of this module with names of their own: what is done to ours does not reach them."""
    world = {**globals(), "__builtins__": dict(vars(builtins))}
    for name, one in globals().items():
        if isinstance(one, FunctionType):
            world[name] = FunctionType(one.__code__, world, name, one.__defaults__, one.__closure__)
    return world


def _restored(there: Any, data: Kept, unload: Callable[[], None]) -> bool:
    changed: bool = _is_changed(*there)
    if changed:
        _put_back(*there)
    if data.changed():  # by now this is our own code again
        data.put_back()
        changed = True
    unload()
    return changed


def _is_changed(
    spaces: list[_Space],
    row: _Row,
    attributes: tuple[_Attribute, ...],
    cells: list[CellType],
    contents: list[Any],
) -> bool:
    if not all(all(map(is_, map(read, things), were)) for _, read, things, were in attributes):
        return True
    if not _same(get_referents(*cells), contents):
        return True
    dicts, names, held = row
    now = list(chain.from_iterable(dicts)), list(chain.from_iterable(map(dict.values, dicts)))
    if _same(now[0], names) and _same(now[1], held):
        return False
    for there, these, those, closed, _, _ in spaces:
        if not all(map(is_, map(there.get, these, repeat(_MISSING)), those)) or (closed and any(_added(there, these))):
            return True
    names[:], held[:] = now  # nothing but what may come to them
    return False


def _same(now: list[Any], then: list[Any]) -> bool:
    return len(now) == len(then) and all(map(is_, now, then))


def _put_back(
    spaces: list[_Space],
    row: _Row,
    attributes: tuple[_Attribute, ...],
    cells: list[CellType],
    contents: list[Any],
) -> None:
    for name, read, things, were in attributes:
        for one, was in zip(things, were, strict=True):
            if read(one) is not was:
                setattr(one, name, was)
    for there, these, those, closed, put, drop in spaces:
        for name, was in zip(these, those, strict=True):
            if there.get(name, _MISSING) is not was:
                put(name, was)
        for name in list(_added(there, these)) if closed else ():
            drop(name)
    for cell, content in zip(cells, contents, strict=True):
        cell.cell_contents = content


def _added(there: Mapping[str, Any], names: tuple[str, ...]) -> Iterator[str]:
    """What has come to a module or class, but for modules that were loaded into their package."""
    for name in there.keys() - set(names):
        one = there[name]
        loaded = type(one) is ModuleType and one.__name__ == f"{there.get('__name__')}.{name}"
        if not loaded and not name.startswith(_OF_PYTHON):
            yield name
