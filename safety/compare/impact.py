"""What another day's rules, other packs or another edition of a product change in each job of a shop.

Each job is assessed twice with the same draws, as it is and by the change, in processes of their own.
"""

from __future__ import annotations

import multiprocessing
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor, as_completed
from copy import deepcopy
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from pathlib import Path

from safety.assessment import Progress, silent
from safety.compare.changes import Alternative
from safety.compare.outcome import Outcome, outcome
from safety.files.notation import nearest
from safety.files.toml import Document, open_document, problem
from safety.model import Finding, Report
from safety.model.sheets import in_turn
from safety.problems import Problems
from safety.words import say, speaking, speech, spoken
from safety.workplace import Workplace

#: How many draws the first pass takes: the sheet of a job that is touched takes more.
FIRST_PASS = 400
#: A change of the worst exposure by less than this is nothing of the rule.
_SAME = 0.005


@dataclass(frozen=True, slots=True)
class Changed:
    """What is otherwise: the day whose rules hold, the packs, the file of a product's other edition."""

    as_of: date | None = None
    rules: tuple[str, ...] = ()
    edition: Path | None = None

    def of(self, workplace: Workplace) -> Workplace:
        """The workplace with the change. No file is changed."""
        packs, shop = self.rules, workplace.file.resolve()
        other = open_document(self.edition) if self.edition else None
        if other and _id(other) not in workplace.shop.products:
            wrong = say('the shop has no product "{id}"', id=_id(other))
            write = nearest(_id(other), workplace.shop.products)
            raise Problems([problem(other, ("product", "id"), wrong, write)])

        def edit(document: Document) -> Document:
            if packs and document.path.resolve() == shop and isinstance(document.data.get("shop"), dict):
                data = {**document.data, "shop": {**document.data["shop"], "rules": list(packs)}}
                return replace(document, data=data)
            if other and _id(other) == _id(document) != "":
                return replace(document, data=deepcopy(other.data), text=other.text, shown=other.shown)
            return document

        changed = workplace.edited(edit) if packs or other else workplace
        return changed.as_of(self.as_of) if self.as_of else changed


def _id(document: Document) -> str:
    """The id a file gives the product it is of; "" where it is of none."""
    table = document.data.get("product")
    return str(table.get("id", "")) if isinstance(table, dict) else ""


@dataclass(frozen=True, slots=True)
class Verdict:
    """A finding that is not the same before and after, in its few words; "" where there is none."""

    key: str
    step: str  # name; "" = of the whole job
    before: str
    after: str
    level_before: str
    level_after: str


@dataclass(frozen=True, slots=True)
class Touched:
    """One job before and after, in plain numbers and texts: it comes out of another process."""

    job: str
    title: str
    stops: tuple[int, int]
    worst: tuple[float | None, float | None]  # the worst 95th percentile over its limit
    complete: tuple[bool, bool]
    verdicts: tuple[Verdict, ...]

    @property
    def touched(self) -> bool:
        one, other = self.worst
        moved = one != other if one is None or other is None else abs(other - one) > _SAME * max(one, other)
        return bool(self.verdicts) or self.stops[0] != self.stops[1] or self.complete[0] != self.complete[1] or moved


def impact(
    workplace: Workplace,
    jobs: Sequence[Path],
    changed: Changed,
    *,
    draws: int = FIRST_PASS,
    seed: int = 1,
    processes: int | None = None,
    progress: Progress = silent,
) -> list[Touched]:
    """What a change does to each job, in the order of the jobs. Raises Problems for every mistake before it begins."""
    workplace.planned(jobs)
    changed.of(workplace).planned(jobs)
    asked = (workplace.file, changed, draws, seed, spoken())
    several = processes or min(len(jobs), multiprocessing.cpu_count())
    found: dict[Path, Touched] = {}
    if several <= 1:
        for job in jobs:
            found[job] = _assess(job, *asked)
            progress(len(found) / len(jobs))
        return [found[job] for job in jobs]
    # spawned: a copy of this process would hold its plugins as they are by now
    with ProcessPoolExecutor(several, mp_context=multiprocessing.get_context("spawn")) as pool:
        waiting = {pool.submit(_assess, job, *asked): job for job in jobs}
        for done in as_completed(waiting):
            found[waiting[done]] = done.result()
            progress(len(found) / len(jobs))
    return [found[job] for job in jobs]


@cache
def _opened(shop: Path, changed: Changed, language: str) -> tuple[Workplace, Workplace]:
    """The shop as it is, and changed; read once in a process. Variables of a module are watched for strangers."""
    opened = Workplace.open(shop)
    return opened, changed.of(opened)


def _assess(job: Path, shop: Path, changed: Changed, draws: int, seed: int, language: str) -> Touched:
    with speaking(speech(language)):
        one, other = (place.assess(job, draws=draws, seed=seed) for place in _opened(shop, changed, language))
        return compared(outcome(Alternative(""), one), outcome(Alternative(""), other))


def compared(before: Outcome, after: Outcome) -> Touched:
    """Two outcomes of one job, in what differs."""
    job = before.report.job
    return Touched(
        job.id,
        str(job.title),
        (before.stops, after.stops),
        (before.worst, after.worst),
        (before.report.complete, after.report.complete),
        tuple(_verdicts(before.report, after.report)),
    )


def _verdicts(before: Report, after: Report) -> Iterator[Verdict]:
    """Findings that came, went, or are of another level or other words; notes and what stays the same are left out."""
    old, new = (in_turn(report.findings, _about) for report in (before, after))
    for key in dict.fromkeys((*new, *old)):
        one, other = old.get(key), new.get(key)
        was, now = (f.level if f else "" for f in (one, other))
        said, says = (str(f.short) if f else "" for f in (one, other))
        if (was, said) == (now, says) or {was, now} <= {"", "note"}:
            continue
        (_, about, step), _ = key
        yield Verdict(about, "" if step is None else str(before.job.steps[step].name), said, says, was, now)


def _about(finding: Finding) -> tuple[str, str, int | None]:
    return finding.plugin, finding.key or str(finding.short), finding.step
