"""The whole way from a job on a clock to what people breathe, in chunks of draws."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce

import numpy as np

from safety.exposure import grid as grids
from safety.exposure.air import Air, Zones
from safety.exposure.draws import Draws
from safety.exposure.emission import Laying, evaporated, near_later
from safety.exposure.grid import Grid
from safety.exposure.liquids import CORRELATION_SPREAD, Conditions, film_of
from safety.exposure.measure import Recorder
from safety.exposure.plan import Plan, Wet, plan
from safety.exposure.result import Balance, Exposure, Floats
from safety.formulas.air import near_field_exchange
from safety.formulas.evaporation import film_drying_time
from safety.model import AirState, Job, Place, Range, Timeline
from safety.reference import Reference

#: Numbers held at once in one array of the engine; keeps 100,000 draws under 500 MB.
CHUNK = 600_000


def compute(
    job: Job,
    timeline: Timeline,
    reference: Reference,
    *,
    draws: int = 2000,
    seed: int = 1,
    finest: float = grids.FINEST,
) -> Exposure:
    """Compute the air of a job.

    ``draws`` stratified draws from ``seed``; ``finest`` [s] is the longest cell while the job
    runs. Raises nothing for missing data: what could not be computed stands in ``unknowns`` and
    in the steps it touches.
    """
    wet = plan(job, timeline, reference)
    grid = grids.build(timeline, job.shift, finest)
    chance = Draws(draws, seed)
    recorder = Recorder(job, timeline, grid, wet, draws, seed)
    size = max(1, CHUNK // (len(grid.nodes) * max(1, len(wet.substances))))
    balances: list[list[Balance]] = []
    for first in range(0, draws, size):
        part = _Part(chance, slice(first, min(first + size, draws)))
        given_off = [_give_off(w, part, grid, job, wet) for w in wet.wets]
        airs = {p.id: _air(p, job, part, grid, wet, [g for g in given_off if g.place == p.id]) for p in wet.places}
        recorder.take(part.span, airs, {p.id: part.temperature(p.id, p.temperature) for p in wet.places})
        balances.append([g.balance for g in given_off])
    return recorder.result(tuple(reduce(_joined, b) for b in zip(*balances, strict=True)))


@dataclass(frozen=True, slots=True)
class _Part:
    """A chunk of the draws; every named input, (draws of the chunk,)."""

    chance: Draws
    span: slice

    def temperature(self, place: str, given: Range) -> Floats:
        return self.chance.normal(f"{place}/temperature", given)[self.span]

    def positive(self, name: str, given: Range) -> Floats:
        return self.chance.positive(name, given)[self.span]

    def share(self, name: str, given: Range) -> Floats:
        return self.chance.share(name, given)[self.span]

    def between(self, name: str, low: float, high: float) -> Floats:
        return self.chance.between(name, low, high)[self.span]

    def speed(self, place: Place, air: AirState) -> Floats:
        return self.positive(f"{place.id}/{air.state}/air speed", air.air_speed)

    def radius(self, place: Place) -> Floats:
        return self.positive(f"{place.id}/near radius", place.near_radius)


@dataclass(frozen=True, slots=True)
class _GivenOff:
    """What one wet thing gives off in each cell [kg], (cells, draws, parts), and its balance."""

    place: str
    near: Floats
    far: Floats
    columns: tuple[int, ...]
    balance: Balance


def _give_off(wet: Wet, part: _Part, grid: Grid, job: Job, all_wet: Plan) -> _GivenOff:
    applied = part.positive(f"{wet.key}/mass", wet.mass)
    kept = applied * part.share(f"{wet.key}/kept", wet.kept)
    weights = part.chance.weights(wet.product.id, wet.product.parts)[part.span]
    masses = (applied - kept)[:, None] * weights[:, list(wet.liquid.parts)]
    laying = _laying(wet, part, masses)
    total, near = evaporated(laying, grid)
    given_off = np.diff(total, axis=0) * masses
    if wet.near:
        share = np.ones((len(grid.nodes) - 1, len(applied)))
        if wet.hand_speed is not None:
            share = _within_reach(part.radius(wet.place), grid, job)
        near_mass = near_later(total, near, laying, grid, share) * masses
    else:
        near_mass = np.zeros_like(given_off)
    gone = total[-1] * masses
    solid = [i for i, p in enumerate(wet.product.parts) if not p.volatile]
    solids = (applied - kept) * weights[:, solid].sum(axis=1)
    slow, fast = _drying(wet, part, masses)
    evaporated_mass = gone.sum(axis=1)
    balance = Balance(
        step=wet.step,
        product=wet.product.id,
        what=wet.what,
        applied=applied,
        evaporated=evaporated_mass,
        kept=kept,
        solids=solids,
        wet=applied - kept - solids - evaporated_mass,
        evaporated_by={s.cas: gone[:, i] for i, s in enumerate(wet.liquid.substances)},
        dry_after=slow,
        wet_until_at_least=fast,
    )
    return _GivenOff(wet.place.id, near_mass, given_off - near_mass, all_wet.columns(wet.liquid), balance)


def _conditions(wet: Wet, part: _Part) -> Conditions:
    return Conditions(
        air=part.temperature(wet.place.id, wet.place.temperature),
        surface=part.temperature(wet.place.id, wet.surface),
        speed=part.speed(wet.place, wet.air),
        correlation=part.positive("evaporation correlation", CORRELATION_SPREAD),
    )


def _laying(wet: Wet, part: _Part, masses: Floats) -> Laying:
    film = near_age = None
    if wet.area is not None:
        heat = part.between(f"{wet.key}/heat supply", *wet.heat_supply)
        film = film_of(wet.liquid, masses, np.full(len(masses), wet.area), _conditions(wet, part), heat)
    if wet.hand_speed is not None:
        near_age = part.radius(wet.place) / wet.hand_speed
    return Laying(wet.start, wet.end, wet.lifted, masses, film, near_age)


def _drying(wet: Wet, part: _Part, masses: Floats) -> tuple[Floats, Floats]:
    """Drying time of a patch [s], (draws,): as cold as it can get, and kept at the surface's temperature."""
    if wet.area is None:
        return np.zeros(len(masses)), np.zeros(len(masses))
    area = np.full(len(masses), wet.area)
    around = _conditions(wet, part)

    def time(heat_supply: float) -> Floats:
        film = film_of(wet.liquid, masses, area, around, np.full(len(masses), heat_supply))
        ones = np.ones(len(masses))
        parts = [(film.moles[:, i], film.speeds[:, i], ones) for i in range(film.moles.shape[1])]
        return np.asarray(film_drying_time(parts, area, film.temperature))

    return time(0.0), time(1.0)


def _within_reach(radius: Floats, grid: Grid, job: Job) -> Floats:
    """Share of a travelled part that lies within the near field while later steps go along it, (cells, draws)."""
    share = np.ones((len(grid.nodes) - 1, len(radius)))
    for stretch in grid.stretches:
        length = None if stretch.step is None else job.steps[stretch.step].length
        if length is not None:
            share[stretch.first : stretch.last] = np.minimum(1.0, 2 * radius / length)
    return share


def _air(place: Place, job: Job, part: _Part, grid: Grid, wet: Plan, given_off: list[_GivenOff]) -> Air:
    draws = part.span.stop - part.span.start
    cells, substances = len(grid.nodes) - 1, len(wet.substances)
    near, far = np.zeros((cells, draws, substances)), np.zeros((cells, draws, substances))
    for thing in given_off:
        for at, column in enumerate(thing.columns):
            if column >= 0:
                near[..., column] += thing.near[..., at]
                far[..., column] += thing.far[..., at]
    air = Air.clean(cells + 1, draws, substances)
    for stretch, state in zip(grid.stretches, _states(place, job, grid), strict=True):
        span = slice(stretch.first, stretch.last)
        let_through = 1.0 - part.share(f"{place.id}/{state.state}/capture", state.capture)[:, None]
        duration = (grid.nodes[stretch.last] - grid.nodes[stretch.first]) / stretch.cells
        air.run(_zones(place, state, part), stretch.first, near[span] * let_through, far[span] * let_through, duration)
    return air


def _states(place: Place, job: Job, grid: Grid) -> list[AirState]:
    """The air state of a place in each stretch: that of the step done in it, else as it was last."""
    current = next((s.air for s in job.steps if s.place.id == place.id), place.airs[0])
    states = []
    for stretch in grid.stretches:
        if stretch.step is not None and job.steps[stretch.step].place.id == place.id:
            current = job.steps[stretch.step].air
        states.append(current)
    return states


def _zones(place: Place, state: AirState, part: _Part) -> Zones:
    changes = part.positive(f"{place.id}/{state.state}/air changes", state.air_changes)
    if place.kind == "enclosed":
        volume = np.full(len(changes), place.volume)
        return Zones(volume, volume, np.full(len(changes), np.inf), changes * volume)
    radius = part.radius(place)
    near = 2 / 3 * np.pi * radius**3
    exchange = np.asarray(near_field_exchange(radius, part.speed(place, state)))
    if place.kind == "outdoor":
        return Zones(near, np.full(len(changes), np.inf), exchange, np.zeros(len(changes)))
    volume = np.full(len(changes), place.volume)
    near = np.minimum(near, volume / 2)
    return Zones(near, volume - near, exchange, changes * volume)


def _joined(one: Balance, other: Balance) -> Balance:
    def both(name: str) -> Floats:
        return np.concatenate([getattr(one, name), getattr(other, name)])

    return Balance(
        step=one.step,
        product=one.product,
        what=one.what,
        applied=both("applied"),
        evaporated=both("evaporated"),
        kept=both("kept"),
        solids=both("solids"),
        wet=both("wet"),
        evaporated_by={cas: np.concatenate([v, other.evaporated_by[cas]]) for cas, v in one.evaporated_by.items()},
        dry_after=both("dry_after"),
        wet_until_at_least=both("wet_until_at_least"),
    )
