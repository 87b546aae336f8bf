"""The whole way from a job on a clock to what people breathe, in chunks of draws."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from safety.exposure import grid as grids
from safety.exposure.air import Air, Zones
from safety.exposure.draws import Draws
from safety.exposure.emission import evaporated, near_later
from safety.exposure.grid import Grid
from safety.exposure.laid import Inputs, Laid, lay
from safety.exposure.measure import Recorder
from safety.exposure.plan import Plan, plan
from safety.exposure.result import Exposure, Floats, Neighbour
from safety.formulas.air import near_field_exchange
from safety.model import AirState, Job, Place, Timeline
from safety.reference import Reference

#: Numbers held at once in one array of the engine; keeps 100,000 draws under 500 MB.
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
    told: Callable[[float], None] = lambda share: None,
) -> Exposure:
    """Compute the air of a job, with what ``neighbours`` give off in the same places.

    A neighbour's vapour comes into the far field: its work is taken to be further away than the
    near field reaches.

    ``draws`` stratified draws from ``seed``; ``finest`` [s] is the longest cell while the job
    runs. Raises nothing for missing data: what could not be computed stands in ``unknowns`` and
    in the steps it touches. ``told`` hears the share of the draws that are done.
    """
    wet = plan(job, timeline, reference, neighbours)
    grid = grids.build(timeline, job.shift, finest, [n.timeline for n in neighbours])
    inputs = Inputs(Draws(draws, seed))
    laid = tuple(lay(w, inputs) for w in wet.wets)
    recorder = Recorder(job, timeline, grid, wet, draws, seed, neighbours)
    gone = [np.zeros_like(thing.laying.masses) for thing in laid]
    states = {p.id: _states(p, job, grid, neighbours) for p in wet.places}
    size = max(1, CHUNK // (len(grid.nodes) * max(1, len(wet.substances))))
    for first in range(0, draws, size):
        part = slice(first, min(first + size, draws))
        sources = {p.id: _Sources.none(grid, part, len(wet.substances)) for p in wet.places}
        for thing, evaporated_mass in zip(laid, gone, strict=True):
            reach = _within_reach(thing, inputs, grid, job, part)
            evaporated_mass[part] = sources[thing.wet.place.id].add(thing, wet, grid, part, reach)
        airs = {p.id: _air(p, states[p.id], inputs, part, grid, sources[p.id]) for p in wet.places}
        recorder.take(part, airs, {p.id: inputs.temperature(p.id, p.temperature)[part] for p in wet.places})
        told(part.stop / draws)
    return recorder.result(tuple(thing.balance(mass) for thing, mass in zip(laid, gone, strict=True) if thing.wet.own))


@dataclass(frozen=True, slots=True)
class _Sources:
    """What is given off in one place in each cell [kg], (cells, draws of the chunk, substances)."""

    near: Floats
    far: Floats

    @classmethod
    def none(cls, grid: Grid, part: slice, substances: int) -> _Sources:
        shape = (len(grid.nodes) - 1, part.stop - part.start, substances)
        return cls(np.zeros(shape), np.zeros(shape))

    def add(self, thing: Laid, wet: Plan, grid: Grid, part: slice, reach: Floats) -> Floats:
        """Add one wet thing; return what it has given off in the end [kg], (draws of the chunk, parts)."""
        laying = thing.laying.of(part)
        window = thing.laying.window(grid)
        nodes = grid.nodes[window]
        total, near = evaporated(laying, nodes)
        given_off = np.diff(total, axis=0)
        close = near_later(total, near, laying, nodes, reach[window][:-1]) if thing.wet.near else 0.0 * given_off
        cells = slice(window.start, window.stop - 1)
        for at, column in enumerate(wet.columns(thing.wet.liquid)):
            if column >= 0:
                self.near[cells, :, column] += close[..., at] * laying.masses[:, at]
                self.far[cells, :, column] += (given_off[..., at] - close[..., at]) * laying.masses[:, at]
        return np.asarray(total[-1] * laying.masses)


def _within_reach(thing: Laid, inputs: Inputs, grid: Grid, job: Job, part: slice) -> Floats:
    """Share of a travelled part that lies within the near field while later steps go along it, (cells + 1, draws)."""
    share = np.ones((len(grid.nodes), part.stop - part.start))
    if thing.wet.hand_speed is not None:
        radius = inputs.radius(thing.wet.place)[part]
        for stretch in grid.stretches:
            length = None if stretch.step is None else job.steps[stretch.step].length
            if length is not None:
                share[stretch.first : stretch.last] = np.minimum(1.0, 2 * radius / length)
    return share


def _air(place: Place, states: Sequence[AirState], inputs: Inputs, part: slice, grid: Grid, sources: _Sources) -> Air:
    cells, draws, substances = sources.near.shape
    air = Air.clean(cells + 1, draws, substances)
    for stretch, state in zip(grid.stretches, states, strict=True):
        span = slice(stretch.first, stretch.last)
        let_through = 1.0 - inputs.share(f"{place.id}/{state.state}/capture", state.capture)[part][:, None]
        near, far = sources.near[span] * let_through, sources.far[span] * let_through
        duration = (grid.nodes[stretch.last] - grid.nodes[stretch.first]) / stretch.cells
        air.run(_zones(place, state, inputs).of(part), stretch.first, near, far, duration)
    return air


def _states(place: Place, job: Job, grid: Grid, neighbours: Sequence[Neighbour]) -> list[AirState]:
    """The air state of a place in each stretch: that of the step done in it, else as it was last.

    Jobs that are in the place at one time must agree on it; that is for the caller to see to.
    """
    theirs = [
        (s.start, s.end, n.job.steps[s.step].air)
        for n in neighbours
        for s in n.timeline.segments
        if n.job.steps[s.step].place.id == place.id
    ]
    current = next((s.air for s in job.steps if s.place.id == place.id), place.airs[0])
    if grid.nodes[0] < 0 and theirs:
        current = min(theirs, key=lambda one: one[0])[2]
    states = []
    for stretch in grid.stretches:
        middle = (grid.nodes[stretch.first] + grid.nodes[stretch.last]) / 2
        if stretch.step is not None and job.steps[stretch.step].place.id == place.id:
            current = job.steps[stretch.step].air
        else:
            current = next((air for start, end, air in theirs if start < middle < end), current)
        states.append(current)
    return states


def _zones(place: Place, state: AirState, inputs: Inputs) -> Zones:
    changes = inputs.positive(f"{place.id}/{state.state}/air changes", state.air_changes)
    if place.kind == "enclosed":
        volume = np.full(len(changes), place.volume)
        return Zones(volume, volume, np.full(len(changes), np.inf), changes * volume)
    radius = inputs.radius(place)
    near = 2 / 3 * np.pi * radius**3
    exchange = np.asarray(near_field_exchange(radius, inputs.speed(place, state)))
    if place.kind == "outdoor":
        return Zones(near, np.full(len(changes), np.inf), exchange, np.zeros(len(changes)))
    volume = np.full(len(changes), place.volume)
    near = np.minimum(near, volume / 2)
    return Zones(near, volume - near, exchange, changes * volume)
