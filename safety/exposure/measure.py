"""From air at every node to what a person breathed: peaks, averages, fractions, curves."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import fields, replace
from typing import Any

import numpy as np

from safety.cited import Cited, Unknown
from safety.exposure import courses
from safety.exposure.air import FAR, NEAR, Air
from safety.exposure.courses import Courses
from safety.exposure.doors import Either
from safety.exposure.dose import Dose
from safety.exposure.grid import SAME, Grid
from safety.exposure.liquids import Antoine
from safety.exposure.plan import Plan, behind
from safety.exposure.result import (
    ANOTHER_SEED,
    COMPARED,
    DECIDES,
    Afterwards,
    Balance,
    Curves,
    Decisive,
    Exposure,
    FarAir,
    Floats,
    Metrics,
    Neighbour,
    NextDoor,
    StepAir,
    above,
    ordered,
)
from safety.formulas.air import ppm_from_mass, saturation_concentration
from safety.model import ANTOINE, Job, Place, Substance, Timeline
from safety.words import say


class Recorder:
    """Takes the air of one chunk of draws after another and keeps what the result needs.

    Inside, draws come last in memory, (substances, draws); the result shows them first.
    """

    def __init__(
        self,
        job: Job,
        timeline: Timeline,
        grid: Grid,
        plan: Plan,
        draws: int,
        seed: int,
        neighbours: Sequence[Neighbour] = (),
        times: Floats | None = None,
        beside: Collection[str] = (),
    ):
        self.job, self.timeline, self.grid, self.plan, self.seed = job, timeline, grid, plan, seed
        self.neighbours = tuple(neighbours)
        count = len(plan.substances)
        self.molar_mass = np.array([_value(s, "molar_mass") for s in plan.substances])
        self.antoine = Antoine(*(np.array([_value(s, x) for s in plan.substances])[:, None] for x in ANTOINE))
        self.lower = explosive_limits(plan.substances)
        self.present_until = max(timeline.end, job.shift)
        self.temperature = np.zeros(draws)
        self.worker = _empty_metrics(draws, count)
        self.bystander = _empty_metrics(draws, count)
        stations = {name for m in job.measurements if m.position == "far" for name in m.steps}
        self.next_door = [
            NextDoor(place, _empty_metrics(draws, count), _empty_fraction(draws, self.lower), plan.known_to(place))
            for place in behind(job)
        ]
        self.uncounted = _uncounted(job, plan)
        self.until = [_next_in_place(job, timeline, index) for index in range(len(job.steps))]
        self.steps = [
            replace(
                _empty_step(draws, count, self.lower, step.people, unknown, step.name in stations),
                after=_empty_after(draws, count, self.lower) if until > timeline.span(index)[1] + SAME else None,
            )
            for index, (step, unknown, until) in enumerate(zip(job.steps, plan.unknown_steps, self.until, strict=True))
        ]
        self.times = courses.shown(grid, timeline) if times is None else times
        stands_for = courses.stretches(grid, self.times)
        self.course = Courses.empty(2, stands_for, count, draws)
        self.elsewhere = {
            place.id: Courses.empty(1, stands_for, count, draws)
            for place in plan.places
            if place.id in beside and place.id != job.place.id
        }

    def on(self, timeline: Timeline, grid: Grid, plan: Plan, draws: int) -> Recorder:
        """A recorder of so many draws of the same work done in other times; its curves are at the same points of it."""
        times = np.array([self.timeline.on(float(t), timeline) for t in self.times])
        return Recorder(self.job, timeline, grid, plan, draws, self.seed, self.neighbours, times, self.elsewhere)

    def raise_to(self, other: Recorder, part: slice) -> None:
        """Take of some draws of another recorder, all it has, whatever is higher there."""
        self.temperature[part] = other.temperature
        pairs = [(self.worker, other.worker), (self.bystander, other.bystander)]
        beyond = zip(self.next_door, other.next_door, strict=True)
        for own, its in (*pairs, *zip(self.steps, other.steps, strict=True), *beyond):
            _raise(own, its, part)
        self.course.raise_to(other.course, part)
        for place, course in self.elsewhere.items():
            course.raise_to(other.elsewhere[place], part)

    def take(
        self,
        span: slice,
        airs: Mapping[str, Air | Either],
        temperatures: dict[str, Floats],
        near_shares: dict[int, Floats],
    ) -> None:
        """Measure one chunk: the places' airs, their temperatures, and of some steps the share of the time spent near.

        Each (draws of the chunk,). Averages over a step or a shift go by that share. When in the step somebody is
        near is not known, so the worst 15 minutes count as near.
        """
        home = self.job.place.id
        self.temperature[span] = temperatures[home]
        ceilings = {p: self._saturated(t) for p, t in temperatures.items()}
        close = self._breathed(airs, {})
        breathed = self._breathed(airs, near_shares) if near_shares else close
        far = {p: self._stayed(air) for p, air in airs.items()}
        zones = {p: (air.thickest, air.far) for p, air in airs.items()}  # at one moment
        for index, step in enumerate(self.job.steps):
            place = step.place.id
            self._step(index, span, zones[place], temperatures[place], (breathed, close), far[place], ceilings[place])
        self._person(self.worker, span, breathed, close, ceilings[home])
        self._person(self.bystander, span, far[home], far[home], ceilings[home])
        self.worker.peak[span] = np.max([s.peak[span] for s in self.steps], axis=0)
        if self.job.afterwards == "far":
            afterwards = _highest(
                airs[home].far, self.grid.nodes_of(self.timeline.end, self.present_until), ceilings[home]
            )
            np.maximum(self.worker.peak[span], afterwards.T, out=self.worker.peak[span])
        self.bystander.peak[span] = _highest(
            airs[home].far, self.grid.nodes_of(0.0, self.present_until), ceilings[home]
        ).T
        for one in self.next_door:
            self._beyond(one, span, airs[one.place.id].far, far[one.place.id], temperatures[one.place.id])
        self.course.take(span, zones[home], ceilings[home], temperatures[home])
        for place, course in self.elsewhere.items():
            course.take(span, (airs[place].far,), ceilings[place], temperatures[place])

    def _saturated(self, temperature: Floats) -> Floats:
        """No air holds more of a vapour than this [kg/m3], (substances, draws)."""
        pressure = self.antoine.pressure(temperature)
        return np.asarray(saturation_concentration(pressure, self.molar_mass[:, None], temperature))

    def _breathed(self, airs: Mapping[str, Air | Either], near_shares: dict[int, Floats]) -> Dose:
        """What the worker breathes, from the beginning of the job to the end of the shift."""
        places = [
            (self.job.place.id, str(self.job.afterwards))
            if s.step is None
            else (self.job.steps[s.step].place.id, self.job.steps[s.step].people)
            for s in self.grid.stretches
        ]
        at_face = [(None if z == "away" else airs[p], NEAR if z == "near" else FAR) for p, z in places]
        shares = [None if s.step is None else near_shares.get(s.step) for s in self.grid.stretches]
        return self._dose(at_face, airs[self.job.place.id].draws, shares)

    def _stayed(self, air: Air | Either) -> Dose:
        """What somebody breathes who stays in a far field."""
        return self._dose([(air, FAR)] * len(self.grid.stretches), air.draws)

    def _dose(
        self, airs: Sequence[tuple[Air | Either | None, int]], draws: int, near_shares: Sequence[Floats | None] = ()
    ) -> Dose:
        """What is breathed of one air and zone for each stretch; None is clean air."""
        present = self.grid.nodes_of(0.0, self.present_until)
        taken = np.zeros((present.stop - present.start, len(self.molar_mass), draws))
        for at, (stretch, (air, zone)) in enumerate(zip(self.grid.stretches, airs, strict=True)):
            if air is not None and present.start <= stretch.first and stretch.last < present.stop:
                cells = slice(stretch.first + 1 - present.start, stretch.last + 1 - present.start)
                taken[cells] = air.doses(zone, at, stretch.span)
                share = near_shares[at] if near_shares else None
                if share is not None:
                    taken[cells] = share * taken[cells] + (1 - share) * air.doses(FAR, at, stretch.span)
        return Dose.summed(self.grid.nodes[present], taken)

    def _person(self, metrics: Metrics, span: slice, dose: Dose, close: Dose, ceiling: Floats) -> None:
        metrics.worst_15min[span] = np.minimum(close.worst_15min(), ceiling).T
        metrics.shift_average[span] = np.minimum(dose.worst_shift(), ceiling).T

    def _beyond(self, one: NextDoor, span: slice, air: Floats, dose: Dose, temperature: Floats) -> None:
        """What whoever stays next door breathes, and how near that air comes to its lower explosive limit."""
        ceiling = self._saturated(temperature)
        self._person(one.people, span, dose, dose, ceiling)
        one.people.peak[span] = _highest(air, self.grid.nodes_of(0.0, self.present_until), ceiling).T
        if not isinstance(one.explosive_fraction, Unknown):
            share = self._fraction(np.minimum(air[self.grid.begin :], ceiling), temperature, one.place.air_pressure)
            one.explosive_fraction[span] = share.max(axis=0)

    def _step(
        self,
        index: int,
        span: slice,
        zones: tuple[Floats, Floats],
        temperature: Floats,
        worker: tuple[Dose, Dose],
        far: Dose,
        ceiling: Floats,
    ) -> None:
        breathed, close = worker
        result = self.steps[index]
        pressure = self.job.steps[index].place.air_pressure
        start, end = self.timeline.span(index)
        at = self.grid.nodes_of(start, end)
        thickest, mixed = zones
        result.near_peak[span] = _highest(thickest, at, ceiling).T
        result.far_peak[span] = _highest(mixed, at, ceiling).T
        if result.far_mean is not None:
            result.far_mean[span] = np.minimum(far.average(start, end), ceiling).T
        result.mean[span] = np.minimum(breathed.average(start, end), ceiling).T
        spans = [*map(self.timeline.span, range(len(self.job.steps))), (self.timeline.end, np.inf)]
        worst = close.worst_15min_of_step(spans, index, self.uncounted)
        result.worst_15min[span] = np.minimum(worst, ceiling).T
        self._burns(result, span, zones, at, ceiling, (temperature, pressure))
        if result.after is not None:
            left = self.grid.nodes_of(end, self.until[index])
            result.after.near_peak[span] = _highest(thickest, left, ceiling).T
            result.after.far_peak[span] = _highest(mixed, left, ceiling).T
            self._burns(result.after, span, zones, left, ceiling, (temperature, pressure))

    def _burns(
        self,
        result: StepAir | Afterwards,
        span: slice,
        zones: tuple[Floats, Floats],
        at: slice,
        ceiling: Floats,
        air: tuple[Floats, float],
    ) -> None:
        """How near the two zones come to the lower explosive limit at some nodes."""
        for zone, fraction in zip(zones, (result.near_explosive_fraction, result.far_explosive_fraction), strict=True):
            if not isinstance(fraction, Unknown):
                fraction[span] = self._fraction(np.minimum(zone[at], ceiling), *air).max(axis=0)

    def _fraction(self, concentration: Floats, temperature: Floats, pressure: float) -> Floats:
        """Sum over the substances of share of air over lower explosive limit, (times, draws)."""
        ppm = np.asarray(ppm_from_mass(1.0, self.molar_mass[:, None], temperature, pressure))  # of 1 kg/m3 of each
        return np.asarray(np.einsum("sd,tsd->td", ppm * 1e-6 / np.asarray(self.lower)[:, None], concentration))

    def result(self, balances: tuple[Balance, ...]) -> Exposure:
        """Everything measured, once every chunk has been taken."""
        return Exposure(
            job=self.job,
            timeline=self.timeline,
            substances=self.plan.substances,
            molar_mass=self.molar_mass,
            temperature=self.temperature,
            worker=self.worker,
            bystander=self.bystander,
            steps=tuple(self.steps),
            curves=self._curves(),
            balances=balances,
            unknowns=self.plan.unknowns,
            seed=self.seed,
            neighbours=self.neighbours,
            next_door=tuple(self.next_door),
            elsewhere=self._elsewhere(),
        )

    def _curves(self) -> Curves:
        bounds = [self._bounds_of(self.course, zone, self.job.place) for zone in (0, 1)]
        near, far = self.course.zones
        (near_printed, *near_fractions), (far_printed, *far_fractions) = bounds
        decisive, edge = zip(_bounds(near), _bounds(far), strict=True)
        fractions = zip(near_fractions, far_fractions, strict=True)
        return Curves(
            self.times,
            *(ordered(near, 0.5), ordered(near, 0.95), ordered(far, 0.5), ordered(far, 0.95)),
            near_printed,
            far_printed,
            *(Decisive(*air, *of) for air, of in zip((decisive, edge), fractions, strict=True)),
        )

    def _elsewhere(self) -> tuple[FarAir, ...]:
        found = []
        for place in (place for place in self.plan.places if place.id in self.elsewhere):
            course = self.elsewhere[place.id]
            _, fraction, _ = self._bounds_of(course, 0, place)
            found.append(FarAir(place, _bounds(course.zones[0])[0], fraction))
        return tuple(found)

    def _bounds_of(self, course: Courses, zone: int, place: Place) -> tuple[Floats | Unknown, ...]:
        """The share of the lower explosive limit as it is printed, as it decides, and as it might with another seed.

        The zone's draws are put in order: nothing needs them as they were drawn any more.
        """
        air = course.zones[zone]
        found: tuple[Floats | Unknown, ...]
        if isinstance(self.lower, Unknown):
            found = (self.lower,) * 3
        else:
            rising = np.sort(self._fraction(air, course.temperature, place.air_pressure), axis=-1)
            found = (ordered(rising, 0.95), *_bounds(rising))
        air.sort(axis=-1)
        return found


def _raise(own: Any, other: Any, part: slice) -> None:
    """Of every figure of two records the higher, (draws of the part, ...) of ``other`` in the part of ``own``."""
    for one in fields(own):
        values, higher = getattr(own, one.name), getattr(other, one.name)
        if isinstance(values, np.ndarray):
            np.maximum(values[part], higher, out=values[part])
        elif isinstance(values, (Afterwards, Metrics)):
            _raise(values, higher, part)


def _bounds(rising: Floats) -> tuple[Floats, Floats]:
    """What decides, and what would with another seed, of values that rise along their last axis."""
    count = rising.shape[-1]
    decides, edge = (rising[..., -1 - above(count, sure)].copy() for sure in (DECIDES, ANOTHER_SEED))
    return decides, edge


def _highest(zone: Floats, nodes: slice, ceiling: Floats) -> Floats:
    """Peak over some nodes, no higher than saturation [kg/m3], (substances, draws)."""
    return np.asarray(np.minimum(zone[nodes].max(axis=0), ceiling))


def explosive_limits(substances: tuple[Substance, ...]) -> Floats | Unknown:
    """Lower explosive limit of each substance (share of air); inf for what is known not to burn."""
    limits = []
    for substance in substances:
        limit = substance.best("lower_explosive_limit")
        if isinstance(limit, Cited):
            limits.append(limit.value)
        elif "not_flammable" in substance.notes:
            limits.append(np.inf)
        else:
            return Unknown(say("no lower explosive limit of {substance} is loaded", substance=substance.name))
    return np.array(limits)


def _value(substance: Substance, name: str) -> float:
    value = substance.best(name)
    assert isinstance(value, Cited)  # the plan left out what has none
    return value.value


def _empty(draws: int, count: int, kind: type[np.floating[Any]] = np.float64) -> Floats:
    """(draws, substances), draws together in memory."""
    return np.zeros((count, draws), kind).T


def _empty_metrics(draws: int, count: int) -> Metrics:
    return Metrics(_empty(draws, count, COMPARED), _empty(draws, count, COMPARED), _empty(draws, count))


def _uncounted(job: Job, plan: Plan) -> frozenset[int]:
    """The steps in which the worker breathes vapour that is in no figure; after the last of them is one more."""
    breathed = [step.people != "away" for step in job.steps] + [job.afterwards != "away"]
    missing = [*plan.unknown_steps, plan.unknowns]
    return frozenset(i for i, (there, why) in enumerate(zip(breathed, missing, strict=True)) if there and why)


def _next_in_place(job: Job, timeline: Timeline, index: int) -> float:
    """When the next step in a step's place begins [s]; never where it is the last one there."""
    later = range(index + 1, len(job.steps))
    same = (i for i in later if job.steps[i].place.id == job.steps[index].place.id)
    return next((timeline.span(i)[0] for i in same), np.inf)


def _empty_after(draws: int, count: int, lower: Floats | Unknown) -> Afterwards:
    peaks = [_empty(draws, count, COMPARED) for _ in range(2)]
    fractions = [_empty_fraction(draws, lower) for _ in range(2)]
    return Afterwards(peaks[0], peaks[1], fractions[0], fractions[1])


def _empty_fraction(draws: int, lower: Floats | Unknown) -> Floats | Unknown:
    return lower if isinstance(lower, Unknown) else np.zeros(draws, COMPARED)


def _empty_step(
    draws: int, count: int, lower: Floats | Unknown, people: str, unknown: tuple[str, ...], station: bool
) -> StepAir:
    near, far = (_empty_fraction(draws, lower) for _ in range(2))
    worst_15min, near_peak, far_peak = (_empty(draws, count, COMPARED) for _ in range(3))
    # the worker's peak is that of the zone he is in: the same numbers, kept once
    peak = {"near": near_peak, "far": far_peak}.get(people)
    peak = _empty(draws, count, COMPARED) if peak is None else peak
    far_mean = _empty(draws, count) if station else None
    return StepAir(_empty(draws, count), peak, worst_15min, near_peak, far_peak, near, far, unknown, far_mean)
