"""Plugins: found, admitted and asked one at a time. Every failure is named, none is fatal.

pluggy marks and validates implementations; it does not keep one plugin's failure from the
others, so loading and calling are done here.
"""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from contextvars import copy_context
from copy import copy
from dataclasses import dataclass, replace
from functools import partial
from importlib.metadata import entry_points
from pathlib import Path
from types import MappingProxyType, ModuleType
from typing import Any

from pluggy import HookImpl, PluginManager

from safety import HOOKS_VERSION, own_keys, words
from safety.cited import Unknown
from safety.files import trust
from safety.files.toml import plain
from safety.formulas import Formula, catalogue
from safety.hosting import additions, hookspecs, output
from safety.hosting.answers import ANSWERS, Unsound, check
from safety.hosting.kept import Kept
from safety.hosting.program import Program
from safety.model import TITLES, Block, Contribution, Failure, Finding, Key, ReportKind, Substance
from safety.reference import Reference, contributed
from safety.reference.data_files import DATA
from safety.words import say

GROUP = "hazstep.plugins"

#: Plugins a sheet is not whole without, unless the shop says which it expects. Written from the entry points this
#: package declares, and not asked of those that are installed: what is gone must be missed.
BUILT_IN = tuple((DATA / "plugins.txt").read_text("utf-8").split())

#: The name under which we are installed: what comes with us is the program itself.
DISTRIBUTION = "hazstep"

#: A load or a call that has not come back by then counts as a failure [s]; its thread is left behind.
PATIENCE = 60.0

#: Attribute in which a plugin may say which version of the hooks it was written for.
VERSION_MARK = "hazstep_hooks"

#: Letters of a plugin's own words about its failure that are printed.
_LONGEST_REASON = 400


class Hangs(TimeoutError):
    """A plugin did not come back."""


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
        self._substances: dict[str, Substance | Unknown] = {}  # what was answered, by CAS number
        self._conflicts: list[str] = []
        self._lost: set[str] = set()  # hung once, or changed what is not its own: not asked again
        self._program: Program | None = None  # as it was before the first stranger was let in
        self._watching = False
        self._added: list[tuple[str, Contribution]] = []
        self._modules: dict[str, object] = {}

    def again(self) -> Host:
        """The same plugins with what went wrong so far: what goes wrong from here on is noted apart."""
        other = copy(self)
        other._failures, other._conflicts = [*self._failures], [*self._conflicts]
        other._added = [*self._added]
        other._substances, other._lost = dict(self._substances), set(self._lost)
        return other

    @property
    def failures(self) -> tuple[Failure, ...]:
        return tuple(self._failures)

    @property
    def conflicts(self) -> tuple[str, ...]:
        """Sentences: where two plugins do not agree on a substance they were asked for."""
        return tuple(self._conflicts)

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
        if distribution != DISTRIBUTION and self._program is None:
            catalogue()  # whole: a stranger who looks something up in it adds nothing to it
            self._program = Program({"safety", *(f"safety_{one}" for one in BUILT_IN)})
        try:
            self._watched(name, partial(self._register, name, load))
        except Exception as error:
            if self._manager.has_plugin(name):  # pluggy leaves a refused plugin half-registered
                self._manager.unregister(name=name)
            if isinstance(error, Hangs):
                self._manager.set_blocked(name)  # it comes too late, should its loading end after all
            self.fail(name, "load", error)
            return
        if self._program and self._is_stranger(name):
            self._program.take_in_plugin(i.function for i in self._implementations(*ANSWERS) if i.plugin_name == name)

    def _register(self, name: str, load: Callable[[], object]) -> None:
        plugin = load()
        wants = getattr(plugin, VERSION_MARK, HOOKS_VERSION)
        if wants != HOOKS_VERSION:
            raise Unsound(
                say(
                    "it was written for hooks version {its}; this is {ours}. Compare it with docs/plugins.md, "
                    "then write hazstep_hooks = {ours}",
                    its=wants,
                    ours=HOOKS_VERSION,
                )
            )
        self._manager.register(plugin, name=name)
        self._check_hooks(name, plugin)
        self._modules[name] = plugin

    def _implementations(self, *hooks: str) -> list[HookImpl]:
        return [one for hook in hooks for one in getattr(self._manager.hook, hook).get_hookimpls()]

    def _is_stranger(self, name: str) -> bool:
        return self._origins[name][0] != DISTRIBUTION

    def _watched(self, name: str, call: Callable[[], Any]) -> Any:
        """Call into a plugin. A stranger that changes the program has failed, and the program is made as it was.

        What a stranger is the first to load of the program is loaded again for everybody else.
        """
        if self._program is None or self._watching or not self._is_stranger(name):
            return _within_patience(name, call)  # of one asked on behalf of a stranger, that one is answerable
        self._program.take_in()
        restored, lost = self._program.restored, self._lost.add  # not what may stand there afterwards
        self._watching = True
        try:
            return _within_patience(name, call)
        finally:
            self._watching = False
            if restored():
                lost(name)
                raise Unsound(say("it changed the program"))

    def _check_hooks(self, name: str, plugin: object) -> None:
        callers = self._manager.get_hookcallers(plugin) or []
        if not callers:
            raise Unsound(say("it answers no hook"))
        for caller in callers:
            if not caller.has_spec():
                raise Unsound(say("there is no hook called {hook}", hook=caller.name))
            if any(i.wrapper or i.hookwrapper for i in caller.get_hookimpls() if i.plugin_name == name):
                raise Unsound(say("{hook} may not be wrapped", hook=caller.name))

    def fail(self, plugin: str, hook: str, error: BaseException) -> None:
        """Note that a plugin did not answer."""
        kind = type(error).__name__
        try:
            text = str(error)
        except Exception:  # a plugin's own exception may fail at this too
            text = say("it cannot say why")
        reason = " ".join(
            (text if text and isinstance(error, Unsound | Hangs) else f"{kind}: {text}" if text else kind).split()
        )
        self._failures.append(Failure(plain(plugin), hook, plain(reason, _LONGEST_REASON)))

    def ask(
        self, hook: str, kept: Kept | None = None, only: Collection[str] | None = None, **arguments: Any
    ) -> Iterator[tuple[str, Any]]:
        """Ask every plugin in alphabetical order; yield (plugin, answer) of those that answer soundly.

        One that changes the program, what it is given, or what another has answered, has failed and is not asked again.
        The others find all as it was. ``kept`` is that of an earlier question on the same things; ``only`` names those
        to ask where not all of them are.
        """
        kept = Kept() if kept is None else kept
        strange = self._program is not None
        if strange:
            kept.add(*arguments.values())
        for implementation in sorted(self._implementations(hook), key=lambda i: i.plugin_name):
            name = implementation.plugin_name
            if name in self._lost or (only is not None and name not in only):
                continue
            fault: Exception | None = None
            try:
                answer = self._watched(name, partial(_asked, hook, implementation, arguments, self.titles))
            except Exception as error:
                fault = error
            if strange and kept.changed():
                kept.put_back()
                fault = Unsound(say("it changed what it was given"))
                self._lost.add(name)
            if fault is not None:
                if isinstance(fault, Hangs):
                    self._lost.add(name)
                self.fail(name, hook, fault)
                continue
            if strange:
                kept.add(answer)
            if os.environ.get("HAZSTEP_TRACE"):
                print(f"hazstep: {hook} answered by {name}", file=sys.stderr)
            yield name, [_signed(one, name) for one in answer] if hook == "assess" else answer

    def contributions(self) -> list[tuple[str, Contribution]]:
        """What each plugin adds, asked for once. What does not go with the others' is the later-named one's failure."""
        for name, added in self.ask("contribute"):
            if wrong := additions.fault(added, self._added):
                self.fail(name, "contribute", Unsound(wrong))
                added = Contribution(tables=added.tables)  # so that nobody else fails who has rows in them
            self._added.append((name, added))
        return list(self._added)

    @property
    def titles(self) -> Mapping[str, str]:
        """Every topic with its title, in the order of reading: ours, then those of plugins."""
        return {**TITLES, **{word: title for _, added in self._added for word, title in added.topics.items()}}

    @property
    def reports(self) -> tuple[ReportKind, ...]:
        """The reports that plugins make."""
        return tuple(one for _, added in self._added for one in added.reports)

    @property
    def formulas(self) -> Mapping[str, Formula]:
        """What plugins add to the catalogue of formulas, by name: for who asks for nothing else afterwards."""
        return {
            one.name: additions.guarded(one, name, partial(_within_patience, name))
            for name, added in self._added
            for one in added.formulas
        }

    @property
    def keys(self) -> Mapping[tuple[str, str], tuple[Key, ...]]:
        """What plugins ask for in a shop's files, by plugin and by what it is of."""
        return own_keys.asked(self._added)

    def speak(self) -> None:
        """Have what plugins say said in the language being spoken, as far as they bring it."""
        for _, added in self._added:
            words.learn(added.messages)

    def data(self) -> Iterator[tuple[str, Path | None, Contribution | None]]:
        """Each plugin with the folder of its package, where it is one, and, of a stranger's, what it adds."""
        added = dict(self._added)
        for name in self.names:
            folders = list(getattr(self._modules[name], "__path__", ()))
            folder = Path(folders[0]) if folders else None
            yield name, folder, added.get(name) if self._is_stranger(name) else None

    def substance(self, cas: str) -> Substance | Unknown:
        """What plugins know of a substance nobody else has data on. Each is asked for a CAS number once."""
        if cas not in self._substances:
            self._substances[cas] = self._look_up(cas)
        return self._substances[cas]

    def _look_up(self, cas: str) -> Substance | Unknown:
        found: Substance | None = None
        first, reasons = "", []
        for name, answer in self.ask("substance", cas=cas):
            if isinstance(answer, Unknown):
                reasons.append(answer.reason)
                continue
            one, faults = contributed.usable(cas, replace(answer, origin=f"plugin {name}"))
            for fault in faults:
                self.fail(name, "substance", Unsound(fault))
            if one is not None and found is not None:
                found, differ = contributed.both(found, one)
                self._conflicts += [contributed.disagreement(first, name, differ, cas)] if differ else []
            elif one is not None:
                found, first = one, name
        return Unknown("; ".join(reasons)) if found is None else found

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
            for implementation in self._implementations(hook):
                hooks.setdefault(implementation.plugin_name, []).append(hook)
        reasons = {f.plugin: f.reason for f in reversed(self._failures)}
        return tuple(
            Listed(name, *self._origins.get(name, ("", "")), tuple(hooks.get(name, ())), reasons.get(name, ""))
            for name in sorted({*self._origins, *reasons})
        )


def _within_patience(name: str, call: Callable[[], Any]) -> Any:
    """Call into a plugin in a thread of its own, so that one that hangs does not hang the sheet.

    What it prints goes to standard error: standard output is the sheet's. Whatever it raises comes
    out as an Exception, since a plugin may neither end the program nor seem to be a person who does.
    """
    outcome: list[tuple[Any, BaseException | None]] = []

    def run() -> None:
        try:
            outcome.append((call(), None))
        except BaseException as error:
            outcome.append((None, error))

    inside = copy_context().run  # it speaks the language that is spoken here, and cannot change it
    thread = threading.Thread(target=inside, args=(run,), name=f"plugin {name}", daemon=True)
    with output.away():
        thread.start()
        thread.join(PATIENCE)
    if not outcome:
        raise Hangs(say("no answer within {seconds} s", seconds=f"{PATIENCE:g}"))
    answer, error = outcome[0]
    if error is None:
        return answer
    raise error if isinstance(error, Exception) else RuntimeError(repr(error))


def _asked(hook: str, implementation: HookImpl, arguments: Mapping[str, Any], topics: Mapping[str, str]) -> Any:
    """A plugin's answer, looked through; what it adds to the data is read once and for all."""
    given = {name: one.apart() if isinstance(one, Reference) else one for name, one in arguments.items()}
    answer = implementation.function(*(given[a] for a in implementation.argnames))
    if type(answer) is Contribution:  # its substances may be a mapping that makes them only now
        answer = replace(answer, substances=MappingProxyType(dict(answer.substances)))
    job = arguments.get("job")
    check(hook, answer, len(job.steps) if job else None, topics)
    return answer


def _signed(one: Finding | Block, plugin: str) -> Finding | Block:
    """A finding under the name of the plugin that really made it."""
    return replace(one, plugin=plugin) if isinstance(one, Finding) and one.plugin != plugin else one


def load(plugin_files: Sequence[str] = (), folder: Path = Path(), run: bool = True) -> Host:
    """Admit every installed plugin, and those files in a shop's folder that it lists and a person trusts.

    Plugins come only from entry points of the group ``hazstep.plugins`` and from these files. With ``run``
    false none of the files is run, and each stands among the failures.
    """
    host = Host()
    entries = entry_points(group=GROUP)
    # once for each that brings plugins: name and version are read from its file whenever they are asked for
    brought = {dist: (dist.name, dist.version) if dist else ("", "") for dist in {e.dist for e in entries}}
    found = [(*brought[e.dist], e) for e in entries]
    # ours first: what a stranger finds is the whole program
    for origin, version, entry in sorted(found, key=lambda one: (one[0] != DISTRIBUTION, one[2].name, one[2].value)):
        host.admit(entry.name, entry.load, origin, version)
    for name in plugin_files:
        host.admit(Path(name).stem, partial(_from_file, folder, name, run), name, "")
    return host


def _from_file(folder: Path, name: str, run: bool) -> object:
    if not run:
        raise Unsound(say("it was not run: it is one of the shop's own files"))
    code = trust.read(folder, name)
    if code is None:
        raise Unsound(say("there is no file {path} in the shop's folder", path=name))
    if not trust.is_trusted(code):
        raise Unsound(
            say(
                "nobody has trusted {path} on this computer; read it, then type in the shop's folder: hazstep trust",
                path=name,
            )
        )
    module = ModuleType(f"hazstep_plugin_{code.path.stem}")
    module.__file__ = str(code.path)
    # what was read, not what is there by now, and not what a __pycache__ beside it says it is
    exec(compile(code.text, code.path, "exec", dont_inherit=True), module.__dict__)
    return module
