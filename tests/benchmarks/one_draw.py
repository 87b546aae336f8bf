"""One draw of a job's air by scipy's ``solve_ivp``: the floor of the engine's benchmark, and a check of its physics.

The films and the two zones are those of the engine, with the numbers it drew; what differs is the way to the
answer. A patch of each film is integrated until it runs dry. What was laid down between two times gives off, per
second, its mass over that time, times what a patch has lost since the beginning less what one has lost since the
end. The air is integrated piece by piece between the moments at which something begins or ends. All substances go
together, the Jacobian is given, and nothing is slower than it has to be.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from safety.exposure.air import Zones
from safety.exposure.draws import Draws
from safety.exposure.engine import _State, _zones
from safety.exposure.film import Film
from safety.exposure.plan import plan
from safety.exposure.result import Floats
from safety.exposure.sources import EmissionSource, Fill, Inputs, drawn_source
from safety.formulas.basis import GAS_CONSTANT
from safety.model import Job, Timeline
from safety.reference import Reference

#: Tolerance at which no average is further off than one of the engine may be.
RTOL = 1e-4
#: Moles left of a film that is called dry.
DRY = 1e-6


def one_draw(job: Job, clock: Timeline, data: Reference, rtol: float = RTOL) -> Floats:
    """Mean of each step, near and far, of a job in one place whose air stays as it is [kg/m3], (steps, 2, substances)."""
    wet = plan(job, clock, data)
    inputs = Inputs(Draws(1, 1), wet)
    radius = float(inputs.radius(job.place)[0])
    (length,) = {step.length for step in job.steps}
    (air,) = {_State(step.air, step.people == "near") for step in job.steps}
    zones = _zones(job.place, air, inputs)
    fill = Fill(zones.airflow, zones.far_volume, 1.0 - inputs.capture(job.place, air.air))
    sources = []
    for one in wet.wets:
        thing = drawn_source(one, inputs, fill)
        assert thing.laying.film is not None
        assert one.lifted == np.inf
        share = min(1.0, 2 * radius / length) if length else 1.0
        sources.append(Source(thing, patch(thing.laying.film, rtol), wet.columns(one.liquid), share))
    ends = [clock.span(i)[1] for i in range(len(job.steps))]
    return averages(sources, zones, len(wet.substances), [0.0, *ends], rtol)


@dataclass(frozen=True)
class Patch:
    """One film laid down at once: share of each part gone at an age, and the age at which it is dry [s]."""

    gone: Callable[[float], Floats]
    dry: float


def patch(film: Film, rtol: float) -> Patch:
    """Integrate Raoult's law for the film's first draw."""
    moles, speeds = film.moles[:, 0], film.speeds[:, 0]
    scale = film.area[0] / (GAS_CONSTANT * film.temperature[0])
    whole = moles.sum()

    def rates(_: float, left: Floats) -> Floats:
        return -scale / left.sum() * speeds * left

    def nothing_left(_: float, left: Floats) -> float:
        return float(left.sum() / whole - DRY)

    nothing_left.terminal = True  # type: ignore[attr-defined]
    done = solve_ivp(
        rates, (0, 1e9), moles, method="LSODA", rtol=rtol, atol=rtol * DRY * whole, events=nothing_left,
        dense_output=True,
    )  # fmt: skip
    return Patch(lambda age: 1.0 - done.sol(age) / moles, float(done.t[-1]))


@dataclass(frozen=True)
class Source:
    """What one wet thing gives off, in the columns of the air."""

    thing: EmissionSource
    patch: Patch
    columns: Sequence[int]
    within_reach: float  # share of what gives off after the work that is in the near field

    @property
    def moments(self) -> list[float]:
        """When its rate has a kink [s]."""
        laying, dry = self.thing.laying, self.patch.dry
        age = np.inf if laying.near_age is None else laying.start + float(laying.near_age[0])
        return [laying.start, min(age, laying.end), laying.end, laying.start + dry, laying.end + dry]

    def given_off(self, time: float, into: Floats) -> None:
        """Add the rates [kg/s] at a time to ``into`` (zone, substances)."""
        laying = self.thing.laying
        if not laying.start < time < laying.end + self.patch.dry:
            return
        rate = laying.masses[:, 0] / (laying.end - laying.start)
        since = self._gone(time - laying.start)
        total = rate * (since - self._gone(time - laying.end)) if time > laying.end else rate * since
        if time > laying.end:
            near = self.within_reach * total
        elif laying.near_age is None:
            near = total
        else:
            near = rate * self._gone(min(time - laying.start, float(laying.near_age[0])))
        into[0, self.columns] += near
        into[1, self.columns] += total - near

    def _gone(self, age: float) -> Floats | float:
        return 1.0 if age >= self.patch.dry else self.patch.gone(age)


def averages(sources: Sequence[Source], zones: Zones, count: int, times: Sequence[float], rtol: float) -> Floats:
    """Mean concentration of ``count`` substances between ``times`` [kg/m3], (pieces, zone, substances)."""
    near, far = float(zones.near_volume[0]), float(zones.far_volume[0])
    beta, flow = float(zones.exchange[0]), float(zones.airflow[0])
    inside = np.array([[-beta / near, beta / near], [beta / far, -(beta + flow) / far]])
    volumes = np.array([[near], [far]])
    # concentrations and then their integrals, (4, substances)
    jacobian = np.kron(np.block([[inside, np.zeros((2, 2))], [np.eye(2), np.zeros((2, 2))]]), np.eye(count))
    active: list[Source] = []

    def rates(time: float, state: Floats) -> Floats:
        gain = np.zeros((2, count))
        for source in active:
            source.given_off(time, gain)
        air = state[: 2 * count].reshape(2, count)
        return np.concatenate([(inside @ air + gain / volumes).ravel(), state[: 2 * count]])

    state = np.zeros(4 * count)
    doses = {times[0]: state[2 * count :]}
    kinks = sorted({*times, *(t for s in sources for t in s.moments if times[0] < t < times[-1])})
    for start, end in pairwise(kinks):
        active[:] = [s for s in sources if s.moments[0] < end and s.moments[-1] > start]
        done = solve_ivp(
            rates, (start, end), state, method="LSODA", rtol=rtol, atol=rtol * 1e-6, jac=lambda *_: jacobian
        )
        state = done.y[:, -1]
        doses[end] = state[2 * count :]
    taken = np.diff(np.array([doses[t] for t in times]), axis=0)
    return np.asarray((taken / np.diff(times)[:, None]).reshape(-1, 2, count))
