"""The controls that are tried: what each changes in a job, how far it can go, and how it is said."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from typing import TypeVar

from safety.cited import Unknown
from safety.compare.changes import Kind
from safety.model import AirState, Carried, Job, Leftover, Place, Range, Step, Use
from safety.units import significant
from safety.words import say

#: As far as each control is tried. Our judgement of what can be done at all; no source.
MOST_AIR = 60 / 3600  # 1/s, upper end of the air changes
MOST_CAPTURE = 99.0  # %
LEAST_AMOUNT = 2.0  # %
SHORTEST = 0.05  # of a step's time
LONGEST_PAUSE = 480.0  # min

Wet = TypeVar("Wet", Use, Leftover, Carried)


@dataclass(frozen=True, slots=True)
class Lever:
    """One control, from ``planned`` to ``limit`` in the unit in which ``says`` says it."""

    name: str
    kind: Kind
    planned: float
    limit: float
    apply: Callable[[Job, float], Job]
    says: Callable[[float], str]
    stepless: bool = True  # False: all or nothing

    @property
    def settings(self) -> tuple[float, ...]:
        """The settings from the plan on, the least change first: of one figure, as they are said, and the limit."""
        if not self.stepless:
            return (self.limit,)
        low, high = sorted((self.planned, self.limit))
        begin = math.floor(math.log10(low)) if low > 0 else 0
        figures = (d * 10.0**e for e in range(begin, math.floor(math.log10(high)) + 1) for d in range(1, 10))
        between = [float(f"{x:.6g}") for x in figures]
        inside = [x for x in between if low < x < high]
        return (*(inside if self.limit > self.planned else reversed(inside)), self.limit)


def levers(job: Job, step: int | None) -> Iterator[Lever]:
    """The controls that could help in one step; in the whole job for None."""
    place = job.place if step is None else job.steps[step].place
    yield _amount(job, step)
    for state in dict.fromkeys(s.air for s in job.steps if s.place.id == place.id):
        if step is not None and state != job.steps[step].air:
            continue
        if place.kind != "outdoor" and 0 < state.air_changes.high < MOST_AIR:
            yield _changes(place, state)
        if place.kind != "booth" and state.capture.low * 100 < MOST_CAPTURE:
            yield _capture(place, state)
    yield from _states(place, job, step)
    if step is not None:
        yield from _of_step(job, step)


def _amount(job: Job, step: int | None) -> Lever:
    only = step if step is not None and job.steps[step].wet_things else None

    def less(one: Step, share: float) -> Step:
        uses = tuple(_scaled(u, share) for u in one.uses)
        return replace(one, uses=uses, leaves_wet=tuple(_scaled(x, share) for x in one.leaves_wet))

    def apply(job: Job, percent: float) -> Job:
        share = percent / 100
        steps = tuple(less(s, share) if only in (None, i) else s for i, s in enumerate(job.steps))
        carried = tuple(_scaled(c, share) for c in job.carried) if only is None else job.carried
        return replace(job, steps=steps, carried=carried)

    where = say("in the whole job") if only is None else say("in step {number}", number=only + 1)
    return Lever(
        say("using less {where}", where=where),
        "substitution",
        100.0,
        LEAST_AMOUNT,
        apply,
        lambda percent: say("use at most {share:g} % of the amounts {where}", share=percent, where=where),
    )


def _scaled(thing: Wet, share: float) -> Wet:
    return thing if isinstance(thing.mass, Unknown) else replace(thing, mass=_times(thing.mass, share))


def _changes(place: Place, state: AirState) -> Lever:
    def says(factor: float) -> str:
        span = _times(state.air_changes, factor)
        low, high = (significant(v * 3600, 3) for v in (span.low, span.high))
        return say(
            "{factor:g} times the clean air in {place} with “{state}”: {numbers} air changes an hour",
            factor=factor,
            place=place.name or place.id,
            state=state.state,
            numbers=low if span.exact else say("{low} to {high}", low=low, high=high),
        )

    return Lever(
        say("more clean air in {place}", place=place.name or place.id),
        "engineering",
        1.0,
        MOST_AIR / state.air_changes.high,
        lambda job, x: _with_air(job, place, replace(state, air_changes=_times(state.air_changes, x))),
        says,
    )


def _capture(place: Place, state: AirState) -> Lever:
    return Lever(
        say("catching vapour at the source in {place}", place=place.name or place.id),
        "engineering",
        state.capture.low * 100,
        MOST_CAPTURE,
        lambda job, x: _with_air(job, place, replace(state, capture=Range(x / 100, x / 100))),
        lambda x: say("a hood that catches {share:g} % of the vapour at the source", share=x),
    )


def _states(place: Place, job: Job, step: int | None) -> Iterator[Lever]:
    """The place's other doors and fans: all its steps that have this step's air get the other one."""
    now = {s.air.state for s in job.steps if s.place.id == place.id} if step is None else {job.steps[step].air.state}
    for other in place.airs:
        if other.state not in now:
            yield _switch(
                say("{place} with “{state}”", place=place.name or place.id, state=other.state), place, now, other
            )


def _switch(name: str, place: Place, now: set[str], other: AirState) -> Lever:
    def apply(job: Job, x: float) -> Job:
        steps = (replace(s, air=other) if s.place.id == place.id and s.air.state in now else s for s in job.steps)
        return replace(job, steps=tuple(steps)) if x else job

    return Lever(name, "engineering", 0.0, 1.0, apply, lambda x: name, stepless=False)


def _of_step(job: Job, index: int) -> Iterator[Lever]:
    step, number = job.steps[index], index + 1

    def put(job: Job, **new: object) -> Job:
        changed = replace(job.steps[index], **new)  # type: ignore[arg-type]
        return replace(job, steps=(*job.steps[:index], changed, *job.steps[index + 1 :]))

    yield Lever(
        say("shortening step {number}", number=number),
        "administrative",
        step.duration / 60,
        step.duration / 60 * SHORTEST,
        lambda job, x: put(job, duration=x * 60, lasts=step.lasts and _times(step.lasts, x * 60 / step.duration)),
        lambda x: say("do step {number} in {minutes:g} min", number=number, minutes=x),
    )
    if index:
        yield Lever(
            say("waiting before step {number}", number=number),
            "administrative",
            0.0,
            LONGEST_PAUSE,
            lambda job, x: _pause(job, index, x * 60),
            lambda x: say("wait {minutes:g} min before step {number}, out of the place", minutes=x, number=number),
        )
    if step.people == "near":
        text = say("standing off in the place in step {number}", number=number)
        yield Lever(
            text,
            "administrative",
            0.0,
            1.0,
            lambda job, x: put(job, people="far") if x else job,
            lambda x: text,
            stepless=False,
        )


def _pause(job: Job, index: int, seconds: float) -> Job:
    """The job with a wait before a step. What must join in time still joins what it did."""
    if seconds <= 0:
        return job
    before, after = job.steps[index - 1], job.steps[index]
    windowed = [u.product.id for u in before.uses if u.product.application]
    if windowed and not after.joins:
        after = replace(after, joins=windowed[0])
    wait = Step(say("Wait before “{step}”", step=after.name), seconds, "away", after.place, after.air)
    return replace(job, steps=(*job.steps[:index], wait, after, *job.steps[index + 1 :]))


def _with_air(job: Job, place: Place, new: AirState) -> Job:
    steps = (replace(s, air=new) if s.place.id == place.id and s.air.state == new.state else s for s in job.steps)
    return replace(job, steps=tuple(steps))


def _times(span: Range, factor: float) -> Range:
    return replace(span, low=span.low * factor, high=span.high * factor)
