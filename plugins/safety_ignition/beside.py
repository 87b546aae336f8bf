"""Another job in the same place at the same time: what of it is wet, and what of it can light this job's vapour."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Any

from safety.exposure.beside import wet_until
from safety.model import Job, Leftover, Step, Use
from safety.words import say
from safety_ignition.bench import Bench
from safety_ignition.sources import Source, named
from safety_ignition.wet import Wet


def wet_beside(bench: Bench, index: int) -> list[Wet]:
    """Products of other jobs that lie wet in the place at some time in a step."""
    begin, end = bench.exposure.timeline.span(index)
    return [
        Wet(thing.product, _how(thing), False, step, other.job.title)
        for other in bench.exposure.neighbours
        for at, step in enumerate(other.job.steps)
        if step.place.id == bench.job.steps[index].place.id and other.timeline.span(at)[0] < end
        for thing in step.wet_things
        if wet_until(other, at, thing) > begin
    ]


def sources_beside(bench: Bench, index: int, rows: Iterable[Mapping[str, Any]]) -> list[Source]:
    """Ignition sources of other jobs used in the place at some time in a step."""
    begin, end = bench.exposure.timeline.span(index)
    rows = tuple(rows)
    return [
        replace(source, name=say("{source} of “{job}”", source=source.name, job=job.title))
        for job, step in _steps(bench, bench.job.steps[index].place.id, begin, end)
        for source in named(step.ignition_sources, rows)
    ]


def _steps(bench: Bench, place: str, begin: float, end: float) -> Iterator[tuple[Job, Step]]:
    for other in bench.exposure.neighbours:
        for at, step in enumerate(other.job.steps):
            first, last = other.timeline.span(at)
            if step.place.id == place and first < end and last > begin:
                yield other.job, step


def _how(thing: Use | Leftover) -> str:
    return thing.work if isinstance(thing, Use) else say("left lying")
