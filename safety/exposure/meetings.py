"""When other jobs may be in a place at the time of a step, however quickly or slowly each is done."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from safety.exposure.result import Neighbour
from safety.model import AirState, Job, Place, Timeline

Span = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Meetings:
    """The earliest begin and the latest end of each step of a job, and of those of others, by place [s]."""

    own: tuple[Span, ...]
    theirs: tuple[tuple[str, Span, AirState], ...]

    @classmethod
    def of(cls, job: Job, timeline: Timeline, neighbours: Sequence[Neighbour]) -> Meetings:
        own = tuple(timeline.possible(index) for index in range(len(job.steps)))
        theirs = (
            (step.place.id, other.timeline.possible(index), step.air)
            for other in neighbours
            for index, step in enumerate(other.job.steps)
        )
        return cls(own, tuple(theirs))

    def there(self, place: Place, step: int | None, span: Span) -> tuple[AirState, ...]:
        """The airs others may give a place while a step of the job goes on, or in a stretch of the clock."""
        begin, end = span if step is None else self.own[step]
        found = (air for id, (first, last), air in self.theirs if id == place.id and first < end and last > begin)
        return tuple({air.state: air for air in found}.values())


def two_airs(job: Job, timeline: Timeline, other: Neighbour) -> Iterator[tuple[int, int]]:
    """The steps of a job, and of another, that may meet in a place and want its air in two states."""
    for index, step in enumerate(job.steps):
        begin, end = timeline.possible(index)
        for at, their in enumerate(other.job.steps):
            first, last = other.timeline.possible(at)
            meet = their.place.id == step.place.id and first < end and last > begin
            if meet and their.air.state != step.air.state:
                yield index, at
