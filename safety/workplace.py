"""A shop, opened once for everybody who asks about its work: its files, its plugins, and the rules of each day.

What was read is kept and taken again as long as no file of it has changed, so a workplace may stay open for as long as
a program runs. It answers one question at a time.
"""

from __future__ import annotations

import os
import time
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, replace
from datetime import date, datetime
from hashlib import sha256
from pathlib import Path

from safety import own_keys, reference, timeline
from safety.assessment import DRAWS, SEED, Progress, Records, assess, reference_on, signs_of, silent
from safety.exposure.engine import MeasuredAt
from safety.files import trust
from safety.files.notation import nearest, squeezed
from safety.files.reading import Draft, Edit, OpenShop, unchanged
from safety.files.shop_files import ShopFiles
from safety.files.toml import At, Document, files_in, plain, tables
from safety.hosting import host
from safety.hosting.host import Host
from safety.ledger.recorded import recorded
from safety.model import Asked, Contribution, Job, Real, Report, Shop, Signs
from safety.problems import Problem, Problems
from safety.reference import Reference
from safety.reference.data_files import SOURCES
from safety.reference.rules_files import missing_packs
from safety.words import say, speaking, speech, spoken

#: A file that was changed so short a time [ns] before it was looked at may be changed again and show the same time,
#: which some file systems tell only every other second.
_YOUNG = 2_000_000_000


@dataclass(frozen=True, slots=True)
class InForce:
    """The plugins and the rules of a day. What goes wrong with a plugin is noted here and nowhere else."""

    plugins: Host
    reference: Reference

    def signs(self, statements: Mapping[str, tuple[str, ...]]) -> tuple[Signs, ...]:
        """What each thing carries for its hazard statements, by id."""
        return signs_of(statements, self.reference, self.plugins)


@dataclass(frozen=True, slots=True)
class Planned(InForce):
    """A job that has been read, with the plugins and the rules of its day."""

    job: Job


class Workplace:
    """A shop that is open. Make one with :meth:`open`; every method raises Problems for mistakes in its files."""

    def __init__(
        self,
        files: ShopFiles,
        records: Records,
        edit: Edit = unchanged,
        of: Workplace | None = None,
        runs: bool = True,
    ) -> None:
        self.files = files
        self.records = records
        self._runs = runs  # whether the shop's own plugin files
        self._edit = edit
        self._of = of
        self.rules_of: date | None = of.rules_of if of else None  # None: each job by the rules of its own day
        self._given: dict[Path, Asked] = dict(of._given) if of else {}
        self._own_shop = True  # whether the shop and its products are read with the edit, and not the job alone
        self._known: dict[str, _Known] = {}  # by the language it was read in: records hold sentences too

    @classmethod
    def open(cls, path: Path = Path(), *, records: Records = recorded) -> Workplace:
        """The workplace of a shop, by its folder or any file in it. Raises Problems where there is none.

        ``records`` opens the shop's ledger for the time of one question.
        """
        return cls(ShopFiles.of(path), records)

    @classmethod
    def looking(cls, files: ShopFiles) -> Workplace:
        """The same for who looks for mistakes: no plugin file of the shop is run, and what only one of these can add is
        left out. What another plugin adds wrongly is a mistake, and not a note that its answers are missing.
        """
        return cls(files, recorded, runs=False)

    @classmethod
    def of(cls, job: str, folder: Path = Path()) -> tuple[Workplace, Path]:
        """The workplace of a job that is named by its file, or by its id in the shop of a folder; and its file."""
        files, path = ShopFiles.of_job(job, folder)
        return cls(files, recorded), path

    def edited(self, edit: Edit) -> Workplace:
        """The same with its files saying something else: what if. No file is changed."""

        def both(document: Document) -> Document:
            return edit(self._edit(document))

        return Workplace(self.files, self.records, both, self, self._runs)

    def given(self, job: Path | str, *, start: datetime | None = None, air: str = "") -> Workplace:
        """The same with a job that begins at another moment, or in another state of the air; sheets of it say so.

        ``air`` is what every step has that names no state of its own.
        """
        if not (start or air):
            return self
        path, asked = self.find(job), Asked(start, air)
        changed = self.edited(_changed(path, asked))
        changed._given[path.resolve()] = asked
        changed._own_shop = False
        (one,) = changed.planned([path])
        _heard(one.job, air)
        return changed

    def as_of(self, day: date | None) -> Workplace:
        """The same by the rules and lists of another day than that of each job; sheets of it say so."""
        changed = self.edited(unchanged)
        changed.rules_of, changed._own_shop = day, False
        return changed

    # ------------------------------------------------------------ what there is

    @property
    def file(self) -> Path:
        """The shop's own file."""
        return self.files.file

    @property
    def shop(self) -> Shop:
        return self._now().opened.sound()

    @property
    def plugins(self) -> Host:
        """The plugins the shop works with, asked for nothing but what they add to the data."""
        known = self._now()
        return known.loaded.plugins(known.opened.sound())[0].again()

    @property
    def contributions(self) -> list[tuple[str, Contribution]]:
        """What the plugins add to the data, each with its name."""
        known = self._now()
        return list(known.loaded.plugins(known.opened.sound())[1])

    @property
    def unheard(self) -> list[Problem]:
        """The rules the shop lists that nobody who was asked has: a plugin file of its own may, which was not run."""
        known = self._now()
        return list(known.loaded.missing(known.opened.sound()).values())

    def find(self, job: Path | str) -> Path:
        """The file of a job of this shop, by its path or id."""
        return job if isinstance(job, Path) else ShopFiles.of_job(job, self.files.folder)[1]

    def jobs(self) -> tuple[Job, ...]:
        """Every job in the shop's ``jobs/`` as it is written: substances it names in words stay words."""
        known = self._now()
        return tuple(map(known.opened.job, known.drafts(self.files.all("job"))))

    # ------------------------------------------------------------ what is judged

    def on(self, day: date) -> InForce:
        """The plugins and rules of a day, for one question."""
        known = self._now()
        return InForce(*known.loaded.on(known.opened.sound(), day))

    def planned(self, jobs: Iterable[Path | str]) -> tuple[Planned, ...]:
        """Some jobs of this shop, each with the plugins and rules of its day."""
        paths = self._own(jobs)
        known = self._now()
        drafts = known.drafts(paths)  # every mistake of the shop and the jobs at once
        shop = known.opened.sound()
        in_force = [known.loaded.on(shop, self.rules_of or draft.start.date()) for draft in drafts]
        found = []
        for draft, (plugins, data) in zip(drafts, in_force, strict=True):
            job, absent = known.opened.job(draft, data.find), any(plugins.gaps(shop.expects))
            job = own_keys.read(job, plugins.keys, absent, self._edit)
            found.append(Planned(plugins, data, job))
        return tuple(found)

    def assess(
        self,
        job: Path | str,
        *,
        start: datetime | None = None,
        air: str = "",
        language: str = "",
        draws: int = DRAWS,
        seed: int = SEED,
        progress: Progress = silent,
        measured_at: MeasuredAt | None = None,
        real: Real | None = None,
    ) -> Report:
        """Assess a job, by its file or id: as planned, or with another start or state of the air, in a language.

        ``start`` and ``air`` as for ``given``. ``progress`` hears how far the work has come.
        ``measured_at`` is the job at which its results were measured, where this workplace's is a change of that.
        ``real`` is what has been done of the job since its start: the rest is planned from there on.
        """
        with _said_in(language):
            path = self.find(job)
            place = self.given(path, start=start, air=air)
            (one,) = place.planned([path])
            done = timeline.as_done(one.job, real) if real else one.job
            with self.records(one.job.shop) as ledger:
                report = assess(
                    done,
                    one.reference,
                    one.plugins,
                    draws=draws,
                    seed=seed,
                    ledger=ledger,
                    progress=progress,
                    measured_at=measured_at or (MeasuredAt(one.job) if real else None),
                    clock=timeline.build(done, real),
                )
                asked = place._given.get(path.resolve(), Asked())
                return replace(report, asked=replace(asked, as_of=self.rules_of))

    # ------------------------------------------------------------ what is known so far

    def _own(self, jobs: Iterable[Path | str]) -> list[Path]:
        """The files of jobs, each once. Raises Problems where they are not all of this shop."""
        paths = list({path.resolve(): path for path in map(self.find, jobs)}.values())
        shops = {one.file.resolve(): one.file for one in (self.files, *map(ShopFiles.of, paths))}
        if len(shops) > 1:
            wrong = say("these jobs belong to different shops")
            write = say("print each shop's sheets apart")
            raise Problems(Problem(shop.as_posix(), 0, "", wrong, write) for shop in shops.values())
        return paths

    def _now(self) -> _Known:
        """What was read before, where no file of it has changed; else a new beginning."""
        of = self._of._now() if self._of else None
        known = self._known.get(spoken())
        if known is None or (known.loaded.watch.changed() if of is None else known.loaded is not of.loaded):
            opened = replace(of.opened, edit=self._edit) if of and not self._own_shop else None
            loaded = of.loaded if of else _Loaded(self.files.folder, self._runs)
            known = _Known(self.files, self._edit, loaded, opened)
            self._known[spoken()] = known
        return known


def assess_job(
    path: Path, *, draws: int = DRAWS, seed: int = SEED, records: Records = recorded, progress: Progress = silent
) -> Report:
    """Assess the job in a file, of whatever shop it belongs to: for who asks once. Raises Problems."""
    return Workplace.open(path, records=records).assess(path, draws=draws, seed=seed, progress=progress)


def _said_in(language: str) -> AbstractContextManager[None]:
    return speaking(speech(language)) if language else nullcontext()


def _changed(path: Path, asked: Asked) -> Edit:
    """Plans a job for another moment, or with another state of the air."""
    new = {key: value for key, value in (("start", asked.start), ("air", asked.air)) if value}
    given: dict[At, str] = {("job", key): f"--{key}" for key in new}

    def edit(document: Document) -> Document:
        table = document.data.get("job")
        if document.path.resolve() != path.resolve() or not isinstance(table, dict):
            return document
        data = {**document.data, "job": {**table, **new}}
        if asked.air and isinstance(data.get("measurement"), list):
            data["measurement"] = [*_as_taken(document, squeezed(table.get("air")))]
        return replace(document, data=data, given=given)

    return edit


def _as_taken(document: Document, air: str) -> Iterator[object]:
    """The results of a job: one that names no state of the air was taken in that of its file, not in another's."""
    own = {squeezed(step.get("name")) for _, step in tables(document.data, "step") if step.get("air")}
    for one in document.data["measurement"]:
        steps = one.get("step", []) if isinstance(one, dict) else []
        covered = {squeezed(name) for name in (steps if isinstance(steps, list) else [steps])}
        unsaid = isinstance(one, dict) and not one.get("air") and not (covered and covered <= own)
        yield {**one, "air": air} if unsaid and air else one


def _heard(job: Job, air: str) -> None:
    """Raise Problems where a state of the air was asked for that no step is in: the sheet would not be on it."""
    states = dict.fromkeys(step.air.state for step in job.steps)
    if air and squeezed(air) not in states:
        wrong = say('no step would be in the air state "{state}": each names its own', state=plain(air))
        raise Problems([Problem("--air", 0, "", wrong, nearest(air, states))])


# ---------------------------------------------------------------- what is kept


class _Watch:
    """The files that have been read, as they were before they were."""

    def __init__(self, paths: Iterable[Path] = ()) -> None:
        self._seen: dict[Path, tuple[object, object]] = {}
        self.look(paths)

    def look(self, paths: Iterable[Path]) -> None:
        for path in paths:
            if path not in self._seen:
                self._seen[path] = _state(path), _content(path) if _is_young(path) else None

    def changed(self) -> bool:
        """Whether one of them is not what it was; one that is gone is not, nor is one that was not there."""
        return any(
            _state(path) != state or (content is not None and _content(path) != content)
            for path, (state, content) in self._seen.items()
        )


def _state(path: Path) -> object:
    try:
        known = os.stat(path)
    except (OSError, ValueError):
        return None
    return known.st_mtime_ns, known.st_ctime_ns, known.st_size, known.st_ino


def _is_young(path: Path) -> bool:
    """Whether a file was changed so lately that a further change may not be told by its time."""
    try:
        return time.time_ns() - os.stat(path).st_mtime_ns < _YOUNG
    except (OSError, ValueError):
        return False


def _content(path: Path) -> object:
    """What tells what a file says, or which names are in a folder."""
    try:
        return sorted(os.listdir(path)) if path.is_dir() else sha256(path.read_bytes()).digest()
    except (OSError, ValueError):
        return None


class _Loaded:
    """The plugins and the rules of a shop, in one language: those of what its files say, and of what if."""

    def __init__(self, folder: Path, runs: bool) -> None:
        self.watch = _Watch()
        self._runs = runs
        self._folder = folder
        self._plugins: dict[tuple[str, ...], tuple[Host, list[tuple[str, Contribution]]]] = {}
        self._in_force: dict[object, tuple[Host, Reference]] = {}

    def plugins(self, shop: Shop) -> tuple[Host, list[tuple[str, Contribution]]]:
        """The plugins, and what they add to the data."""
        if shop.plugin_files not in self._plugins:
            store = trust.store()
            self.watch.look([*(self._folder / name for name in shop.plugin_files), *([store] if store else [])])
            plugins = host.load(shop.plugin_files, self._folder, run=self._runs)
            self._plugins[shop.plugin_files] = plugins, plugins.contributions()
        plugins, contributions = self._plugins[shop.plugin_files]
        plugins.speak()
        return plugins, contributions

    def on(self, shop: Shop, day: date) -> tuple[Host, Reference]:
        """The plugins and rules of a day, each time apart."""
        plugins, contributions = self.plugins(shop)
        key = shop.plugin_files, shop.rules, shop.expects, day
        if key not in self._in_force:
            self.watch.look(self._folder / name for name in (*shop.rules, SOURCES, "substances"))
            self.watch.look(files_in(self._folder / "substances"))
            plugins = plugins.again()
            data = reference_on(shop, day, plugins, list(contributions)) if self._runs else self._as_written(shop, day)
            self._in_force[key] = plugins, data
        plugins, data = self._in_force[key]
        plugins = plugins.again()
        return plugins, data.asking(plugins.substance)

    def missing(self, shop: Shop) -> dict[str, Problem]:
        """The rules a shop lists that only a plugin file of its own can add, where none of these was run."""
        if self._runs or not shop.plugin_files:
            return {}
        return missing_packs(shop.rules, self._folder, self.plugins(shop)[1])

    def _as_written(self, shop: Shop, day: date) -> Reference:
        """The rules of a day for who looks for mistakes. Raises Problems."""
        plugins, contributions = self.plugins(shop)
        missing = self.missing(shop)
        rules = [name for name in shop.rules if name not in missing]
        absent = any(plugins.gaps(shop.expects))
        return reference.load(rules, self._folder, day, contributions, absent, plugins.substance)


class _Known:
    """What a workplace has read, in one language."""

    def __init__(self, files: ShopFiles, edit: Edit, loaded: _Loaded, opened: OpenShop | None) -> None:
        self.loaded = loaded
        loaded.watch.look([files.file, files.folder / "products", *files.all("product")])
        self.opened = opened or files.opened(edit)
        self._drafts: dict[tuple[Path, ...], tuple[_Watch, list[Draft]]] = {}  # those asked for together

    def drafts(self, paths: Sequence[Path]) -> list[Draft]:
        """The files of some jobs, read once unless one of them has changed."""
        key = tuple(paths)
        if key not in self._drafts or self._drafts[key][0].changed():
            self._drafts[key] = _Watch(paths), self.opened.drafts(paths)
        return self._drafts[key][1]
