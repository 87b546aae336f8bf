"""Plugins: found, admitted and asked one at a time. Every failure is named, none is fatal.

pluggy marks and validates implementations; it does not keep one plugin's failure from the
others, so loading and calling are done here.
"""

from __future__ import annotations

import importlib.util
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from importlib.metadata import entry_points
from pathlib import Path
from typing import Any

from pluggy import PluginManager

from safety import HOOKS_VERSION, hookspecs
from safety.model import Chart, Contribution, Failure, Finding, Grid, Lines
from safety.words import say

GROUP = "hazstep.plugins"

#: Plugins a sheet is not whole without, unless the shop says which it expects.
BUILT_IN = ("ignition", "properties", "protection", "solvent", "ventilation", "waste")

#: A plugin may neither end the program nor take it down.
CAUGHT = (Exception, SystemExit)

#: A call that has not come back by then counts as a failure [s]; its thread is left behind.
PATIENCE = 60.0

#: Attribute in which a plugin may say which version of the hooks it was written for.
VERSION_MARK = "hazstep_hooks"

#: What each hook must hand back: one record, or a list of such records.
ANSWERS: dict[str, tuple[type, ...]] = {
    "contribute": (Contribution,),
    "assess": (Finding,),
    "sheet_blocks": (Lines, Grid, Chart),
    "log_blocks": (Lines, Grid, Chart),
}


@dataclass(frozen=True, slots=True)
class Listed:
    """One line of ``hazstep plugins``."""

    name: str
    distribution: str
    version: str
    hooks: tuple[str, ...]
    failure: str


class Host:
    """The admitted plugins, and what went wrong with the others."""

    def __init__(self) -> None:
        self._manager = PluginManager("hazstep")
        self._manager.add_hookspecs(hookspecs)
        self._origins: dict[str, tuple[str, str]] = {}
        self._failures: list[Failure] = []
        self._lost: set[str] = set()  # hung once: not asked again

    @property
    def failures(self) -> tuple[Failure, ...]:
        return tuple(self._failures)

    @property
    def names(self) -> tuple[str, ...]:
        """The admitted plugins in alphabetical order."""
        return tuple(sorted(name for name, _ in self._manager.list_name_plugin()))

    def admit(self, name: str, load: Callable[[], object], distribution: str, version: str) -> None:
        """Load one plugin and register it; whatever goes wrong becomes a failure of that name."""
        if self._manager.has_plugin(name):
            self.fail(name, "load", ValueError(say("another plugin is already called {name}", name=name)))
            return
        self._origins[name] = (distribution, version)
        try:
            plugin = load()
            wants = getattr(plugin, VERSION_MARK, HOOKS_VERSION)
            if wants != HOOKS_VERSION:
                raise ValueError(
                    say("it was written for hooks version {its}; this is {ours}", its=wants, ours=HOOKS_VERSION)
                )
            self._manager.register(plugin, name=name)
            self._check_hooks(name, plugin)
        except CAUGHT as error:
            if self._manager.has_plugin(name):  # pluggy leaves a refused plugin half-registered
                self._manager.unregister(name=name)
            self.fail(name, "load", error)

    def _check_hooks(self, name: str, plugin: object) -> None:
        callers = self._manager.get_hookcallers(plugin) or []
        if not callers:
            raise TypeError(say("it answers no hook"))
        for caller in callers:
            if not caller.has_spec():
                raise TypeError(say("there is no hook called {hook}", hook=caller.name))
            if any(i.wrapper or i.hookwrapper for i in caller.get_hookimpls() if i.plugin_name == name):
                raise TypeError(say("{hook} may not be wrapped", hook=caller.name))

    def fail(self, plugin: str, hook: str, error: BaseException) -> None:
        """Note that a plugin did not answer."""
        reason = f"{type(error).__name__}: {error}" if str(error) else type(error).__name__
        self._failures.append(Failure(plugin, hook, " ".join(reason.split())))

    def ask(self, hook: str, **arguments: Any) -> Iterator[tuple[str, Any]]:
        """Ask every plugin in alphabetical order; yield (plugin, answer) of those that answer soundly."""
        implementations = getattr(self._manager.hook, hook).get_hookimpls()
        for implementation in sorted(implementations, key=lambda i: i.plugin_name):
            name = implementation.plugin_name
            if name in self._lost:
                continue
            try:
                values = [arguments[a] for a in implementation.argnames]
                answer = self._within_patience(name, implementation.function, values)
                _check_answer(hook, answer)
            except CAUGHT as error:
                self.fail(name, hook, error)
                continue
            if os.environ.get("HAZSTEP_TRACE"):
                print(f"hazstep: {hook} answered by {name}", file=sys.stderr)
            yield name, answer

    def _within_patience(self, name: str, function: Callable[..., Any], values: list[Any]) -> Any:
        """Call a plugin in a thread of its own, so that one that hangs does not hang the sheet."""
        outcome: list[tuple[bool, Any]] = []

        def run() -> None:
            try:
                outcome.append((True, function(*values)))
            except BaseException as error:
                outcome.append((False, error))

        thread = threading.Thread(target=run, name=f"plugin {name}", daemon=True)
        thread.start()
        thread.join(PATIENCE)
        if not outcome:
            self._lost.add(name)
            raise TimeoutError(say("no answer within {seconds} s", seconds=f"{PATIENCE:g}"))
        sound, value = outcome[0]
        if sound:
            return value
        raise value if isinstance(value, CAUGHT) else RuntimeError(repr(value))

    def gaps(self, expects: Sequence[str] | None) -> Iterator[str]:
        """Sentences for every plugin that did not answer and every expected one that is not there.

        ``expects`` None: the built-in ones.
        """
        for failure in self.failures:
            yield say(
                "The plugin {plugin} did not answer ({hook}: {reason}).",
                plugin=failure.plugin,
                hook=failure.hook,
                reason=failure.reason,
            )
        failed = {f.plugin for f in self.failures}
        for name in BUILT_IN if expects is None else expects:
            if name not in self.names and name not in failed:
                yield say("The plugin {plugin} is expected and is not installed.", plugin=name)

    def listing(self) -> tuple[Listed, ...]:
        """Every plugin that was found, admitted or not, in alphabetical order."""
        hooks: dict[str, list[str]] = {}
        for hook in ANSWERS:
            for implementation in getattr(self._manager.hook, hook).get_hookimpls():
                hooks.setdefault(implementation.plugin_name, []).append(hook)
        reasons = {f.plugin: f.reason for f in reversed(self._failures)}
        return tuple(
            Listed(name, *self._origins.get(name, ("", "")), tuple(hooks.get(name, ())), reasons.get(name, ""))
            for name in sorted({*self._origins, *reasons})
        )


def _check_answer(hook: str, answer: Any) -> None:
    kinds = ANSWERS[hook]
    if hook == "contribute":
        if not isinstance(answer, kinds):
            raise TypeError(say("{hook} gave {got} instead of a Contribution", hook=hook, got=type(answer).__name__))
        return
    if not isinstance(answer, list):
        raise TypeError(say("{hook} gave {got} instead of a list", hook=hook, got=type(answer).__name__))
    for item in answer:
        if not isinstance(item, kinds):
            wanted = " or ".join(k.__name__ for k in kinds)
            got = type(item).__name__
            wrong = say("{hook} gave a list with {got} in it instead of {wanted}", hook=hook, got=got, wanted=wanted)
            raise TypeError(wrong)


def load(plugin_files: Sequence[str] = (), folder: Path = Path()) -> Host:
    """Admit every installed plugin, and those a shop lists by path relative to its folder.

    Plugins come only from entry points of the group ``hazstep.plugins`` and from these paths.
    """
    host = Host()
    found = sorted(entry_points(group=GROUP), key=lambda e: (e.name, e.value))
    for entry in found:
        dist = entry.dist
        host.admit(entry.name, entry.load, dist.name if dist else "", dist.version if dist else "")
    for text in plugin_files:
        path = folder / text
        host.admit(path.stem, lambda path=path: _from_file(path), text, "")  # type: ignore[misc]
    return host


def _from_file(path: Path) -> object:
    if not path.is_file():
        raise FileNotFoundError(say("there is no file {path}", path=path))
    spec = importlib.util.spec_from_file_location(f"hazstep_plugin_{path.stem}", path)
    if spec is None or spec.loader is None:
        raise ImportError(say("{path} is not a Python file", path=path))
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module
