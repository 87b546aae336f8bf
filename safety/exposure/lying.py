"""What lies wet in the place of a step, and until when: of the job itself and of other jobs, by the slow bound."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from safety.exposure.result import Balance, Exposure, Neighbour, decisive
from safety.model import Job, Leftover, Product, Step, Timeline, Use
from safety.timeline import laid_in

NEVER = float("inf")


@dataclass(frozen=True, slots=True)
class Lying:
    """Something that is wet at some time in a step."""

    thing: Use | Leftover
    job: Job  # whose it is
    at: int  # the step of that job that put it there
    until: float  # s on this job's clock; NEVER where it stays or nobody can say
    own: bool  # put there in this very step
    beside: bool  # of another job

    @property
    def product(self) -> Product:
        return self.thing.product

    @property
    def step(self) -> Step:
        return self.job.steps[self.at]


def lying(exposure: Exposure, index: int) -> tuple[Lying, ...]:
    """Everything wet in the place at some time in step ``index``: put there in it, before it, or by another job."""
    job, timeline = exposure.job, exposure.timeline
    begin, end = timeline.possible(index)
    place = job.steps[index].place.id
    found = [
        Lying(thing, job, at, wet_until(job, timeline, exposure.balances, at, thing), at == index, False)
        for at, step in enumerate(job.steps[: index + 1])
        for thing in step.wet_things
        if at == index or still_wet(job, timeline, exposure.balances, at, thing, index)
        if step.place.id == place
    ]
    found += [
        Lying(thing, other.job, at, until, False, True)
        for other in exposure.neighbours
        for at, step in enumerate(other.job.steps)
        if step.place.id == place and other.timeline.possible(at)[0] < end
        for thing in step.wet_things
        if (until := wet_beside(other, at, thing)) > begin
    ]
    return tuple(found)


def stays(exposure: Exposure, index: int) -> tuple[Lying, ...]:
    """Everything that earlier steps put in the place and nobody has taken away, dry or not."""
    job, timeline = exposure.job, exposure.timeline
    return tuple(
        Lying(thing, job, at, until, False, False)
        for at, step in enumerate(job.steps[:index])
        if step.place.id == job.steps[index].place.id
        for thing in step.wet_things
        if (until := _taken(job, timeline, at, thing)) > timeline.span(index)[0]
    )


def wet_beside(other: Neighbour, at: int, thing: Use | Leftover) -> float:
    """When a thing of another job's step ``at`` is dry or taken away, on this job's clock [s]."""
    balances = () if other.alone is None else other.alone.balances
    return wet_until(other.job, other.timeline, balances, at, thing)


def wet_until(job: Job, timeline: Timeline, balances: Iterable[Balance], at: int, thing: Use | Leftover) -> float:
    """When a thing of step ``at`` is dry or taken away [s], by the slow bound and the slowest work.

    NEVER where nobody can say.
    """
    return max(_dry_on(job, clock, balances, at, thing) for clock in (timeline, *timeline.ends))


def still_wet(
    job: Job, timeline: Timeline, balances: Iterable[Balance], at: int, thing: Use | Leftover, index: int
) -> bool:
    """Whether a thing of step ``at`` may be wet when a later step begins, however quickly the work goes on."""
    return any(_dry_on(job, clock, balances, at, thing) > clock.span(index)[0] for clock in (timeline, *timeline.ends))


def _dry_on(job: Job, timeline: Timeline, balances: Iterable[Balance], at: int, thing: Use | Leftover) -> float:
    taken = _taken(job, timeline, at, thing)
    if taken < NEVER or isinstance(thing, Leftover):
        return taken
    if not thing.measured:  # the films of another use of the same product are not its own
        return NEVER
    films = [b for b in balances if (b.step, b.product, b.what) == (at, thing.product.id, thing.work)]
    if not films or not all(b.whole for b in films):
        return NEVER
    laid = max(s.end for s in laid_in(timeline, at, thing, job.surface))
    return max(timeline.span(at)[1], laid + max(float(decisive(b.dry_after)) for b in films))


def _taken(job: Job, timeline: Timeline, at: int, thing: Use | Leftover) -> float:
    """When a thing of step ``at`` is lifted or taken away [s]; NEVER where no step is named that does."""
    name = thing.lifted_by if isinstance(thing, Use) else thing.taken_away
    by = next((i for i in range(at, len(job.steps)) if name and job.steps[i].name == name), None)
    return NEVER if by is None else timeline.span(by)[1]
