"""From air at every node to what a person breathed: peaks, averages, fractions, curves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from safety.cited import Cited, Unknown
from safety.exposure.air import Air
from safety.exposure.grid import Grid
from safety.exposure.plan import Plan
from safety.exposure.result import PRESSURE, Balance, Curves, Exposure, Floats, Metrics, Neighbour, StepAir
from safety.formulas.air import ppm_from_mass, saturation_concentration
from safety.formulas.ignition import antoine_pressure
from safety.model import Job, Substance, Timeline
from safety.words import say

SHORT_TERM = 900.0  # s, the averaging time of a short-term limit
WINDOW_SPACING = 60.0  # s, between the windows tried for one step
FULL_SHIFT = 28800.0  # s, the averaging time of an 8-hour limit
#: Draws whose whole course is kept for the curves' percentiles; every further draw still counts in the metrics.
CURVE_DRAWS = 2000
#: Most nodes of a curve.
CURVE_NODES = 240


class Recorder:
    """Takes the air of one chunk of draws after another and keeps what the result needs."""

    def __init__(
        self,
        job: Job,
        timeline: Timeline,
        grid: Grid,
        plan: Plan,
        draws: int,
        seed: int,
        neighbours: Sequence[Neighbour] = (),
    ):
        self.job, self.timeline, self.grid, self.plan, self.seed = job, timeline, grid, plan, seed
        self.neighbours = tuple(neighbours)
        count = len(plan.substances)
        self.molar_mass = np.array([_value(s, "molar_mass") for s in plan.substances])
        self.antoine = tuple(np.array([_value(s, f"antoine_{x}") for s in plan.substances]) for x in "abc")
        self.lower = explosive_limits(plan.substances)
        self.present_until = max(timeline.end, job.shift)
        self.windows = _Windows.over(grid.nodes, SHORT_TERM)
        self.temperature = np.zeros(draws)
        self.worker = _empty_metrics(draws, count)
        self.bystander = _empty_metrics(draws, count)
        self.steps = [_empty_step(draws, count, self.lower, u) for u in plan.unknown_steps]
        nodes = np.arange(grid.begin, len(grid.nodes))
        stride = max(1, len(nodes) // CURVE_NODES)
        self.shown = np.unique(np.append(nodes[::stride], nodes[-1]))
        kept = min(draws, CURVE_DRAWS)
        self.near_courses = np.zeros((len(self.shown), kept, count))
        self.far_courses = np.zeros((len(self.shown), kept, count))

    def take(self, span: slice, airs: dict[str, Air], temperatures: dict[str, Floats]) -> None:
        """Measure one chunk: the places' airs and their temperatures (draws of the chunk,)."""
        ceilings = {p: self._saturated(t) for p, t in temperatures.items()}
        for place, air in airs.items():
            np.minimum(air.near, ceilings[place], out=air.near)
            np.minimum(air.far, ceilings[place], out=air.far)
        home = self.job.place.id
        self.temperature[span] = temperatures[home]
        breathed = self._breathed(airs)
        fifteen = self.windows.averages(breathed)
        for index, step in enumerate(self.job.steps):
            at = self.grid.nodes_of(*self.timeline.span(index))
            air, place = airs[step.place.id], step.place.id
            self._step(index, span, air, at, temperatures[place], breathed, ceilings[place])
        over = self.grid.nodes > self.timeline.end - 1e-6
        here = (self.grid.nodes > -1e-6) & (self.grid.nodes < self.present_until + 1e-6)
        self._person(self.worker, span, breathed, fifteen, ceilings[home])
        self.worker.peak[span] = np.max([s.peak[span] for s in self.steps], axis=0)
        if self.job.afterwards == "far":
            np.maximum(self.worker.peak[span], airs[home].far[over & here].max(axis=0), out=self.worker.peak[span])
        last = np.searchsorted(self.grid.nodes, self.present_until + 1e-6) - 1
        stayed = airs[home].far_integral[np.clip(np.arange(len(self.grid.nodes)), self.grid.begin, last)]
        self._person(self.bystander, span, stayed, self.windows.averages(stayed), ceilings[home])
        self.bystander.peak[span] = airs[home].far[here].max(axis=0)
        kept = slice(span.start, min(span.stop, self.near_courses.shape[1]))
        if kept.start < kept.stop:
            size = kept.stop - kept.start
            self.near_courses[:, kept] = airs[home].near[self.shown, :size]
            self.far_courses[:, kept] = airs[home].far[self.shown, :size]

    def _saturated(self, temperature: Floats) -> Floats:
        """No air holds more of a vapour than this [kg/m3], (draws, substances)."""
        a, b, c = self.antoine
        pressure = antoine_pressure(a, b, c, temperature[:, None])
        return np.asarray(saturation_concentration(pressure, self.molar_mass, temperature[:, None]))

    def _breathed(self, airs: dict[str, Air]) -> Floats:
        """What the worker has breathed up to each node [kg s/m3], (times, draws, substances)."""
        home = airs[self.job.place.id]
        taken = np.zeros_like(home.far)
        for stretch in self.grid.stretches:
            air, zone = home, str(self.job.afterwards)
            if stretch.step is not None:
                step = self.job.steps[stretch.step]
                air, zone = airs[step.place.id], step.people
            if self.grid.nodes[stretch.first] < -1e-6:
                continue  # a neighbour began earlier
            if zone == "away" or self.grid.nodes[stretch.last] > self.present_until + 1e-6:
                continue
            integral = air.near_integral if zone == "near" else air.far_integral
            taken[stretch.first + 1 : stretch.last + 1] = np.diff(integral[stretch.first : stretch.last + 1], axis=0)
        return np.cumsum(taken, axis=0)

    def _person(self, metrics: Metrics, span: slice, breathed: Floats, fifteen: Floats, ceiling: Floats) -> None:
        metrics.worst_15min[span] = np.minimum(fifteen.max(axis=0), ceiling)
        metrics.shift_average[span] = np.minimum(_worst_shift(self.grid.nodes, breathed), ceiling)

    def _step(
        self,
        index: int,
        span: slice,
        air: Air,
        at: slice,
        temperature: Floats,
        breathed: Floats,
        ceiling: Floats,
    ) -> None:
        result, people = self.steps[index], self.job.steps[index].people
        start, end = self.timeline.span(index)
        result.near_peak[span] = air.near[at].max(axis=0)
        result.far_peak[span] = air.far[at].max(axis=0)
        assert result.far_mean is not None  # _empty_step made it
        far = air.far_integral[at]
        result.far_mean[span] = np.minimum((far[-1] - far[0]) / (end - start), ceiling)
        if people != "away":
            result.peak[span] = (result.near_peak if people == "near" else result.far_peak)[span]
        result.mean[span] = np.minimum((breathed[at][-1] - breathed[at][0]) / (end - start), ceiling)
        result.worst_15min[span] = np.minimum(self._short_term(index, breathed), ceiling)
        for zone, fraction in ((air.near, result.near_explosive_fraction), (air.far, result.far_explosive_fraction)):
            if not isinstance(fraction, Unknown):
                fraction[span] = self._fraction(zone[at], temperature).max(axis=0)

    def _short_term(self, index: int, breathed: Floats) -> Floats:
        """Highest 15-minute average this step answers for [kg/m3], (draws, substances).

        A window that touches the step counts what other steps add at most at this step's own
        level in it. So a quiet step is not blamed for the loud one beside it; and whoever
        protects every step whose figure is over a limit brings every window under that limit:
        of the steps left, the loudest would else have had a figure over it itself.
        """
        spans = [*map(self.timeline.span, range(len(self.job.steps))), (self.timeline.end, np.inf)]
        start, end = spans[index]
        half = SHORT_TERM / 2
        count = max(2, round((end - start + SHORT_TERM) / WINDOW_SPACING))
        # the highest window mostly begins or ends with a step
        aligned = [t for first, last in spans for t in (first + half, last - half)]
        evenly = np.linspace(start - half, end + half, count + 2)[1:-1]
        middles = np.array([*evenly, *(t for t in aligned if start - half < t < end + half)])
        lows, highs = np.maximum(middles - half, 0.0), middles + half

        def within(first: float, last: float) -> tuple[Floats, Floats]:
            low, high = np.clip(lows, first, last), np.clip(highs, first, last)
            taken = _read(breathed, *_between(self.grid.nodes, high)) - _read(breathed, *_between(self.grid.nodes, low))
            return taken, (high - low)[:, None, None]

        own, own_time = within(start, end)
        level = own / own_time
        total = own
        for other, (first, last) in enumerate(spans):
            if other != index and first < end + SHORT_TERM and last > start - SHORT_TERM:
                taken, time = within(first, last)
                total = total + np.minimum(taken, level * time)
        return np.asarray(total.max(axis=0) / SHORT_TERM)

    def _fraction(self, concentration: Floats, temperature: Floats) -> Floats:
        """Sum over the substances of share of air over lower explosive limit, (times, draws)."""
        ppm = ppm_from_mass(concentration, self.molar_mass, temperature[:, None], PRESSURE)
        return np.asarray((ppm * 1e-6 / self.lower).sum(axis=-1))

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
        )

    def _curves(self) -> Curves:
        temperature = self.temperature[: self.near_courses.shape[1]]
        near_fraction: Floats | Unknown
        far_fraction: Floats | Unknown
        if isinstance(self.lower, Unknown):
            near_fraction = far_fraction = self.lower
        else:
            near_fraction = np.percentile(self._fraction(self.near_courses, temperature), 95, axis=1)
            far_fraction = np.percentile(self._fraction(self.far_courses, temperature), 95, axis=1)
        near = np.percentile(self.near_courses, (50, 95), axis=1)
        far = np.percentile(self.far_courses, (50, 95), axis=1)
        return Curves(self.grid.nodes[self.shown], near[0], near[1], far[0], far[1], near_fraction, far_fraction)


@dataclass(frozen=True, slots=True)
class _Windows:
    """Where the integral must be read for the window around each node: two neighbours and a weight."""

    low: NDArray[np.int64]
    low_weight: Floats
    high: NDArray[np.int64]
    high_weight: Floats
    length: float

    @classmethod
    def over(cls, nodes: Floats, length: float) -> _Windows:
        low, low_weight = _between(nodes, nodes - length / 2)
        high, high_weight = _between(nodes, nodes + length / 2)
        return cls(low, low_weight, high, high_weight, length)

    def averages(self, integral: Floats) -> Floats:
        """Average over the window whose middle is each node, (times, draws, substances)."""
        return (_read(integral, self.high, self.high_weight) - _read(integral, self.low, self.low_weight)) / self.length


def _between(nodes: Floats, times: Floats) -> tuple[NDArray[np.int64], Floats]:
    times = np.clip(times, nodes[0], nodes[-1])
    at = np.clip(np.searchsorted(nodes, times, side="right") - 1, 0, len(nodes) - 2)
    return at, (times - nodes[at]) / (nodes[at + 1] - nodes[at])


def _read(integral: Floats, at: NDArray[np.int64], weight: Floats) -> Floats:
    w = weight[:, None, None]
    return integral[at] * (1 - w) + integral[at + 1] * w


def _worst_shift(nodes: Floats, breathed: Floats) -> Floats:
    """Highest sum over any 8 h, divided by 8 h, (draws, substances)."""
    starts = nodes[nodes <= max(nodes[-1] - FULL_SHIFT, 0.0)]
    low = _read(breathed, *_between(nodes, starts))
    high = _read(breathed, *_between(nodes, starts + FULL_SHIFT))
    return np.asarray((high - low).max(axis=0) / FULL_SHIFT)


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


def _empty_metrics(draws: int, count: int) -> Metrics:
    return Metrics(*(np.zeros((draws, count)) for _ in range(3)))


def _empty_step(draws: int, count: int, lower: Floats | Unknown, unknown: tuple[str, ...]) -> StepAir:
    def zeros() -> Floats:
        return np.zeros((draws, count))

    near, far = (lower, lower) if isinstance(lower, Unknown) else (np.zeros(draws), np.zeros(draws))
    return StepAir(zeros(), zeros(), zeros(), zeros(), zeros(), near, far, unknown, zeros())
