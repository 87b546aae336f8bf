"""The whole way from a job on a clock to what people breathe, in chunks of draws."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import NamedTuple

import numpy as np

from safety.exposure import grid as grids
from safety.exposure.air import FAR, NEAR, Air, Zones
from safety.exposure.doors import Either, follow_together
from safety.exposure.draws import Draws
from safety.exposure.emission import given_off, given_off_near
from safety.exposure.evidence import error_of, learnt
from safety.exposure.grid import Grid
from safety.exposure.measure import Recorder
from safety.exposure.meetings import Meetings
from safety.exposure.model_error import drawn, width_of
from safety.exposure.plan import Plan, Wet, plan
from safety.exposure.result import Balance, Exposure, Floats, Learnt, Neighbour, sealed
from safety.exposure.sources import EmissionSource, Fill, Inputs, Spread, drawn_source, put, roomy, slower
from safety.formulas.air import near_field_exchange, stream_exchange
from safety.model import AirState, Job, Place, Timeline
from safety.reference import Reference, fractions
from safety.timeline import build, corners

#: Concentrations held at once (times, substances, draws): few enough to stay near the processor, and
#: to keep the memory of many draws to what the result itself needs.
CHUNK = 1_500_000


def compute(
    job: Job,
    timeline: Timeline,
    reference: Reference,
    *,
    draws: int = 2000,
    seed: int = 1,
    finest: float = grids.FINEST,
    neighbours: Sequence[Neighbour] = (),
    progress: Callable[[float], None] = lambda share: None,
    measured_at: MeasuredAt | None = None,
    beside: Collection[str] = (),
) -> Exposure:
    """Compute the air of a job, with what ``neighbours`` give off in the same places.

    A neighbour's vapour comes into the far field: its work is taken to be further away than the
    near field reaches.

    ``draws`` even draws from ``seed``; ``finest`` [s] is the longest cell while the job
    runs. Raises nothing for missing data: what could not be computed stands in ``unknowns`` and
    in the steps it touches. ``progress`` hears the share of the draws that are done. Where results
    measured at this work count, it is computed twice: without them, and with what they say. They were
    taken at ``measured_at`` where that is not the job itself but the one it is a change of.
    Of the places ``beside``, by id, the air is kept over the clock as of the job's own.
    """

    def run(one: Job, clock: Timeline, found: tuple[Learnt, ...] = ()) -> Exposure:
        return _run(one, clock, reference, Draws(draws, seed), finest, neighbours, progress, found, beside)

    chance = Draws(draws, seed)
    if not job.measurements:
        return sealed(run(job, timeline))
    if measured_at is not None and measured_at.job != job:
        found = measured_at.learnt(job, chance, run)
        return sealed(replace(run(job, timeline, found), learnt=found))
    prior = run(job, timeline)
    found = learnt(prior, chance)
    return sealed(replace(run(job, timeline, found), learnt=found) if found else prior)


@dataclass(frozen=True, slots=True)
class MeasuredAt:
    """The job at which results were measured that count for changes of it too, in the same company.

    What they say is worked out once for all the changes.
    """

    job: Job
    _learnt: dict[tuple[int, int], tuple[Learnt, ...]] = field(default_factory=dict)

    def learnt(self, job: Job, chance: Draws, run: Callable[[Job, Timeline], Exposure]) -> tuple[Learnt, ...]:
        """What the results say of a change of the job; nothing where its steps are others."""
        if [s.name for s in self.job.steps] != [s.name for s in job.steps]:
            return ()
        key = chance.count, chance.seed
        if key not in self._learnt:
            self._learnt[key] = learnt(run(self.job, build(self.job)), chance)
        return self._learnt[key]


def _run(
    job: Job,
    timeline: Timeline,
    reference: Reference,
    chance: Draws,
    finest: float,
    neighbours: Sequence[Neighbour],
    progress: Callable[[float], None],
    known: tuple[Learnt, ...],
    beside: Collection[str],
) -> Exposure:
    """The air with what is ``known`` of the model error; the error of the exposure itself stays the one before it."""
    draws = chance.count
    reference = fractions.known([p for one in (job, *(n.job for n in neighbours)) for p in one.products], reference)
    meets = Meetings.of(job, timeline, neighbours)
    planned = _Course.of(job, timeline, reference, finest, neighbours, meets)
    courses = _courses(planned, job, timeline, reference, finest, neighbours, meets)
    recorder = Recorder(job, timeline, planned.grid, planned.wet, draws, chance.seed, neighbours, beside=beside)
    widths = [width_of(one) for one in (job, *(n.job for n in neighbours))]

    def between(part: slice) -> list[Balance]:
        """The same on every clock the work may keep, into the recorder of the plan: of each figure the higher."""
        some = chance.of(part)
        errors = [drawn(some, width) for width in widths]

        def error(one: Wet) -> Floats:
            own = error_of(known, one.step) if one.own else None
            return errors[one.number[0]] if own is None else own[part]

        if courses == (planned,):
            return _follow(planned, job, Inputs(some, planned.wet), recorder, part, error)
        found: list[Balance] = []
        whole, spread = slice(0, part.stop - part.start), dict[tuple[int, int], Spread]()
        for course in courses:
            own = recorder.on(course.timeline, course.grid, course.wet, whole.stop)
            balances = _follow(course, job, Inputs(some, course.wet, spread), own, whole, error)
            found = [slower(*pair) for pair in zip(found or balances, balances, strict=True)]
            recorder.raise_to(own, part)
        return found

    wet = planned.wet
    widest = max(1, len(wet.substances), *(len(one.liquid.parts) for one in wet.wets))
    size = max(1, CHUNK // (max(len(course.grid.nodes) for course in courses) * widest))
    parts = [slice(first, min(first + size, draws)) for first in range(0, draws, size)]
    balances: list[Balance] = []
    for part in parts:
        found = between(part)
        balances = balances or [roomy(piece, draws) for piece in found]
        for piece, whole in zip(found, balances, strict=True):
            put(piece, part, whole)
        progress(part.stop / draws)
    result = recorder.result(tuple(balances))
    return replace(result, width=widths[0], error=drawn(chance, widths[0]))


@dataclass(frozen=True, slots=True)
class _Course:
    """The work on one clock: what lies wet when, the cells, and the state of each place's air in them."""

    timeline: Timeline
    wet: Plan
    grid: Grid
    states: dict[str, list[_State]]
    own: frozenset[str]  # the places the job works in, by id

    @classmethod
    def of(
        cls,
        job: Job,
        timeline: Timeline,
        reference: Reference,
        finest: float,
        neighbours: Sequence[Neighbour],
        meets: Meetings,
    ) -> _Course:
        wet = plan(job, timeline, reference, neighbours)
        grid = grids.build(timeline, job.shift, finest, [n.timeline for n in neighbours])
        own = frozenset(p.id for p in job.places)
        return cls(timeline, wet, grid, {p.id: _states(p, job, grid, neighbours, meets) for p in wet.places}, own)


def _courses(
    planned: _Course,
    job: Job,
    timeline: Timeline,
    reference: Reference,
    finest: float,
    neighbours: Sequence[Neighbour],
    meets: Meetings,
) -> tuple[_Course, ...]:
    """The work at each end of its durations, with the neighbours' at the same end; the plan where it has none."""
    found = []
    for at, clock in enumerate(corners(job, timeline)):
        beside = [replace(n, timeline=n.timeline.ends[min(at, len(n.timeline.ends) - 1)]) for n in neighbours]
        found.append(planned if clock is timeline else _Course.of(job, clock, reference, finest, beside, meets))
    return tuple(found)


def _follow(
    course: _Course, job: Job, inputs: Inputs, recorder: Recorder, span: slice, error: Callable[[Wet], Floats]
) -> list[Balance]:
    """Measure the air of some of the draws into a span of the recorder; return where their liquids went."""
    wet, grid, states = course.wet, course.grid, course.states
    places = {p.id: _Ventilated.of(p, states[p.id], inputs) for p in wet.places}
    misty = {one.place.id for one in wet.wets if one.what == "spray"}
    room = len(grid.nodes), len(wet.substances), span.stop - span.start
    groups = [tuple(wet.places[number].id for number in group) for group in wet.groups]
    airs = {
        name: air
        for group in groups
        for name, air in zip(group, Air.shared(*room, [name in misty for name in group]), strict=True)
    }
    fills = {
        name: Fill.of([places[one].fill for one in group], places[name].fill) for group in groups for name in group
    }
    balances = []
    for one in wet.wets:
        thing = drawn_source(one, inputs, fills[one.place.id])
        gone = _give_off(thing, wet, grid, places[one.place.id].radius, job, airs[one.place.id], error(one))
        if one.own:
            balances.append(thing.balance(gone))
    heard: dict[str, Air | Either] = {}
    for group in groups:
        heard |= _followed({name: airs[name] for name in group}, places, course, inputs)
    away = {i: inputs.near_share(i, s.near_share) for i, s in enumerate(job.steps) if s.near_share.low < 1}
    recorder.take(span, heard, {name: place.temperature for name, place in places.items()}, away)
    return balances


def _followed(
    airs: Mapping[str, Air], places: Mapping[str, _Ventilated], course: _Course, inputs: Inputs
) -> dict[str, Air | Either]:
    """Follow the air of a place, or of several that doors join together: as it counts for those who are in each."""
    (first, air), *others = airs.items()
    if not others:
        places[first].follow(air, course.grid)
        return {first: air}
    heard: dict[str, Air | Either] = dict(airs)
    for name in course.own & airs.keys():
        shut = airs[name].apart()
        places[name].follow(shut, course.grid)
        heard[name] = Either(airs[name], shut)
    inside = {p.id: list(airs).index(p.id) for p in course.wet.places if p.id in airs}
    flows = [
        (inside[a], inside[b], inputs.over(number))
        for number, passage in enumerate(course.wet.passages)
        for a, b in [[course.wet.places[end].id for end in passage.ends]]
        if a in inside
    ]
    follow_together([*airs.values()], [places[name].airs for name in airs], flows, course.grid)
    return heard


def _give_off(
    thing: EmissionSource, wet: Plan, grid: Grid, radius: Floats, job: Job, air: Air, error: Floats
) -> Floats:
    """Put into the air what one wet thing gives off; return how much of each part in the end [kg], (parts, draws).

    ``error`` (draws,) multiplies what the air takes in, and not what is returned: it is one of the prediction.
    """
    laying = thing.laying
    window = laying.window(grid)
    cells = slice(window.start, window.stop - 1)
    total = given_off(laying, grid.nodes[window])
    parts = [(column, masses * error) for column, masses in zip(wet.columns(thing.wet.liquid), total, strict=True)]
    if thing.spray_share is not None:
        assert air.thrown is not None
        for column, masses in parts:
            if column >= 0:
                air.masses[cells, NEAR, column] += masses * thing.spray_share
                air.masses[cells, FAR, column] += masses * (1.0 - thing.spray_share)
                air.thrown[cells, column] += masses * (1.0 - thing.spray_share)
    elif thing.wet.hand_speed is None:
        for column, masses in parts:
            if column >= 0:
                air.masses[cells, NEAR if thing.wet.near else FAR, column] += masses
    else:
        near = given_off_near(laying, grid.nodes[window], total, _within_reach(radius, grid, job)[cells])
        for (column, masses), part in zip(parts, near, strict=True):
            if column >= 0:
                close = part * error
                air.masses[cells, NEAR, column] += close
                air.masses[cells, FAR, column] += masses - close
    return np.asarray(total.sum(axis=1))


def _within_reach(radius: Floats, grid: Grid, job: Job) -> Floats:
    """Share of a travelled part that lies within the near field while later steps go along it, (cells + 1, draws)."""
    share = np.ones((len(grid.nodes), len(radius)))
    for stretch in grid.stretches:
        length = None if stretch.step is None else job.steps[stretch.step].length
        if length is not None:
            share[stretch.span] = np.minimum(1.0, 2 * radius / length)
    return share


#: The zones of a place's air, and what local exhaust lets through [share], (draws,).
_Clearing = tuple[Zones, Floats]


@dataclass(frozen=True, slots=True)
class _Ventilated:
    """A place with its numbers drawn, and its air in each stretch; each of them (draws,)."""

    temperature: Floats
    radius: Floats
    airs: tuple[_Clearing, ...]
    fill: Fill  # by what clears it best

    @classmethod
    def of(cls, place: Place, states: Sequence[_State], inputs: Inputs) -> _Ventilated:
        drawn = {
            s: [
                (_zones(place, s._replace(air=air), inputs), 1.0 - inputs.capture(place, air))
                for air in (s.air, *s.others)
            ]
            for s in states
        }
        worst = {s: _worst(several) for s, several in drawn.items()}
        zones, let_through = zip(*(one for several in drawn.values() for one in several), strict=True)
        best = Fill(
            np.max([z.airflow for z in zones], axis=0),
            zones[0].far_volume,
            np.min(let_through, axis=0),
        )
        temperature = inputs.temperature(place, place.temperature)
        return cls(temperature, inputs.radius(place), tuple(worst[s] for s in states), best)

    def follow(self, air: Air, grid: Grid) -> None:
        for stretch, (zones, let_through) in zip(grid.stretches, self.airs, strict=True):
            duration = (grid.nodes[stretch.last] - grid.nodes[stretch.first]) / stretch.cells
            air.follow(zones.cell(duration, let_through), stretch.span)
            air.settle(zones, duration, let_through, stretch.span)


class _State(NamedTuple):
    air: AirState
    stirred: bool  # the worker is in the near field and moves the air there
    others: tuple[AirState, ...] = ()  # that another job may have there at the time, if one is quick and one slow


def _states(place: Place, job: Job, grid: Grid, neighbours: Sequence[Neighbour], meets: Meetings) -> list[_State]:
    """The air state of a place in each stretch: that of the step done in it, else as it was last; its own at night.

    A place no step is in has the least air it ever has until the night.

    Jobs that by the plan are in the place at one time must agree on it; that is for the caller to see to. Where they
    may meet though the plan keeps them apart, the states of both are kept.
    """
    theirs = [
        (s.start, s.end, n.job.steps[s.step].air)
        for n in neighbours
        for s in n.timeline.segments
        if n.job.steps[s.step].place.id == place.id
    ]
    current = next((s.air for s in job.steps if s.place.id == place.id), place.least_air)
    if grid.nodes[0] < 0 and theirs:
        current = min(theirs, key=lambda one: one[0])[2]
    night = max(job.shift, *(grid.nodes[s.last] for s in grid.stretches if s.step is not None))
    states = []
    for stretch in grid.stretches:
        middle = (grid.nodes[stretch.first] + grid.nodes[stretch.last]) / 2
        step = None if stretch.step is None else job.steps[stretch.step]
        if step is not None and step.place.id == place.id:
            current = step.air
        else:
            step = None
            left = current if middle < night else place.at_night
            current = next((air for start, end, air in theirs if start < middle < end), left)
        span = grid.nodes[stretch.first], grid.nodes[stretch.last]
        others = meets.there(place, None if step is None else stretch.step, (float(span[0]), float(span[1])))
        different = tuple(air for air in others if air.state != current.state)
        states.append(_State(current, step is not None and step.people == "near", different))
    return states


def _worst(several: Sequence[_Clearing]) -> _Clearing:
    """Of several airs that may be, what clears the place least: zones, and what local exhaust lets through."""
    zones, let_through = zip(*several, strict=True)
    least = replace(
        zones[0],
        exchange=np.min([one.exchange for one in zones], axis=0),
        airflow=np.min([one.airflow for one in zones], axis=0),
    )
    return least, np.max(let_through, axis=0)


def _zones(place: Place, state: _State, inputs: Inputs) -> Zones:
    changes = inputs.changes(place, state.air)
    if place.kind == "enclosed":
        volume = np.full(len(changes), place.volume)
        return Zones(volume, volume, np.full(len(changes), np.inf), changes * volume)
    radius = inputs.radius(place)
    near = 2 / 3 * np.pi * radius**3
    stream = inputs.stream(place, state.air)
    exchange = np.asarray(
        near_field_exchange(radius, inputs.speed(place, state.air, state.stirred))
        if stream is None
        else stream_exchange(radius, stream)
    )
    if place.kind == "outdoor":
        return Zones(near, np.full(len(changes), np.inf), exchange, np.zeros(len(changes)))
    volume = np.full(len(changes), place.volume)
    near = np.minimum(near, volume / 2)
    return Zones(near, volume - near, exchange, changes * volume)
