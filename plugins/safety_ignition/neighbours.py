"""Another job in the same place at the same time: what of it can light this job's vapour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from safety.model import Job, Step
from safety.words import say
from safety_ignition.sources import Source, named
from safety_ignition.task import FireTask


def neighbouring_sources(task: FireTask, index: int, rows: Iterable[Mapping[str, Any]]) -> list[Source]:
    """Ignition sources of other jobs used in the place at some time in a step."""
    begin, end = task.exposure.timeline.possible(index)
    rows = tuple(rows)
    return [
        replace(source, name=say("{source} of “{job}”", source=source.name, job=job.title), called_so=False)
        for job, step in _steps(task, task.job.steps[index].place.id, begin, end)
        for source in named(step.ignition_sources, rows)
    ]


def _steps(task: FireTask, place: str, begin: float, end: float) -> Iterator[tuple[Job, Step]]:
    for other in task.exposure.neighbours:
        for at, step in enumerate(other.job.steps):
            first, last = other.timeline.possible(at)
            if step.place.id == place and first < end and last > begin:
                yield other.job, step
