"""A day in a place: several jobs on one clock, each judged with the others' vapour in its air."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from safety import timeline
from safety.assessment import DRAWS, SEED, Progress, assess, part_of, silent
from safety.cited import Unknown
from safety.exposure import Exposure, Neighbour
from safety.exposure.engine import compute
from safety.exposure.grid import FOLLOWED
from safety.exposure.lying import wet_beside
from safety.exposure.plan import behind
from safety.model import Asked, Job, Report, Timeline
from safety.problems import Problem, Problems
from safety.words import say
from safety.workplace import Workplace


def assess_day(
    workplace: Workplace,
    jobs: Iterable[Path | str],
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress = silent,
) -> tuple[Report, ...]:
    """Assess several jobs of one shop, by their files or ids, in order of their start.

    Jobs that share a place breathe each other's vapour. A job that was over a day before counts only where something
    of it may still be wet. Raises Problems for anything wrong with the files, and where two jobs want the air of
    one place in two states at one time. ``progress`` hears how far it has come.
    """
    planned = sorted(workplace.planned(jobs), key=lambda one: _in_order(one.job))
    everybody = [one.job for one in planned]
    homes = {one.place.id for one in everybody}
    _agree(everybody)
    reports = []
    alone: dict[tuple[str, date], Exposure] = {}  # the air of each job as if nobody else worked, computed once
    with workplace.records(workplace.shop) as ledger:
        for at, (job, data, plugins) in enumerate((one.job, one.reference, one.plugins) for one in planned):
            neighbours = []
            for other, clock in _beside(job, everybody):
                key = other.id, job.start.date()  # rules and data have dates
                if key not in alone:
                    alone[key] = compute(other, timeline.build(other), data, draws=draws, seed=seed, beside=homes)
                neighbour = Neighbour(other, clock, alone[key])
                if clock.end + FOLLOWED > 0 or _still_wet(neighbour, job):
                    neighbours.append(neighbour)
            so_far = part_of(progress, at, len(everybody))
            reports.append(
                assess(
                    job, data, plugins, draws=draws, seed=seed, ledger=ledger, neighbours=neighbours, progress=so_far
                )
            )
    return tuple(replace(report, asked=Asked(as_of=workplace.rules_of)) for report in reports)


def _in_order(job: Job) -> tuple[Any, ...]:
    """By start, then by what the jobs are: the names of two that begin together must not number their draws."""
    amounts = [
        tuple((t.mass.low, t.mass.high) for t in s.wet_things if not isinstance(t.mass, Unknown)) for s in job.steps
    ]
    return job.start, [step.duration for step in job.steps], amounts, job.id


def _beside(job: Job, jobs: Iterable[Job]) -> Iterator[tuple[Job, Timeline]]:
    """The other jobs that can have left something in this one's places, their timelines on its clock."""
    end, places = timeline.build(job).end, _places(job)
    for other in jobs:
        clock = timeline.moved(timeline.build(other), (other.start - job.start).total_seconds())
        if other is not job and clock.segments[0].start < end + FOLLOWED and _places(other) & places:
            yield other, clock


def _still_wet(other: Neighbour, job: Job) -> bool:
    """Whether a thing of a job of days ago may still be wet in the places of this one when it begins."""
    places = _places(job)
    return any(
        wet_beside(other, at, thing) > 0
        for at, step in enumerate(other.job.steps)
        if step.place.id in places
        for thing in step.wet_things
    )


def _places(job: Job) -> set[str]:
    """Those whose air is in the job's: where it is done, and what doors join to them."""
    return {place.id for place in (*job.places, *behind(job))}


def _agree(jobs: Sequence[Job]) -> None:
    """Raise Problems where two jobs want the air of one place in two states at one time."""
    found = []
    for at, job in enumerate(jobs):
        clock = timeline.build(job)
        for other in jobs[at + 1 :]:
            theirs = timeline.moved(timeline.build(other), (other.start - job.start).total_seconds())
            found += [
                Problem(
                    other.file,
                    0,
                    say("[[step]] {number}, air", number=second + 1),
                    say(
                        "“{step}” of “{job}” has {place} with “{state}” "
                        "while “{step2}” of “{job2}” has it with “{state2}”",
                        step=other.steps[second].name,
                        job=other.id,
                        place=other.steps[second].place.id,
                        state=other.steps[second].air.state,
                        step2=job.steps[first].name,
                        job2=job.id,
                        state2=job.steps[first].air.state,
                    ),
                    say("give both the same air, or move the start of one"),
                )
                for first in range(len(job.steps))
                for second in range(len(other.steps))
                if _clash(job, clock, first, other, theirs, second)
            ]
    if found:
        raise Problems(found)


def _clash(job: Job, clock: Timeline, first: int, other: Job, theirs: Timeline, second: int) -> bool:
    one, two = job.steps[first], other.steps[second]
    begin, end = clock.span(first)
    start, stop = theirs.span(second)
    return one.place.id == two.place.id and one.air.state != two.air.state and begin < stop and start < end
