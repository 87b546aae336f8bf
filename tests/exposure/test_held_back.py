"""Vapour already in the air slows evaporation: the closed form beside the coupled equations, solved step by step."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from typing import Any, NamedTuple

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from safety import timeline
from safety.exposure.draws import Draws
from safety.exposure.engine import _State, _Ventilated, compute
from safety.exposure.plan import plan
from safety.exposure.result import Floats
from safety.exposure.sources import Inputs, drawn_source
from safety.formulas.basis import GAS_CONSTANT
from safety.model import AirState, Job, Place
from tests.exposure.made_up import TOLUENE, FewSubstances, exact, job, part, product, step, wipe

PURE = product((part(TOLUENE, 1.0),))
MOLAR_MASS = 0.09214
REFERENCE: Any = FewSubstances()
SECONDS = 3600

#: kind, volume, air changes, air speed, area, mass, laid at once or evenly, and how much the exact mean is held back
CASES = [
    ("room", 10.0, 0.5, 0.05, 1.0, 5.0, "pour", 0.89),
    ("room", 10.0, 0.5, 0.05, 5.0, 20.0, "wipe", 0.71),
    ("room", 10.0, 0.5, 0.05, 20.0, 3.0, "pour", 0.38),
    ("room", 10.0, 3.0, 0.10, 20.0, 3.0, "wipe", 0.74),
    ("room", 30.0, 0.5, 0.10, 5.0, 20.0, "pour", 0.83),
    ("room", 60.0, 1.0, 0.10, 1.0, 5.0, "wipe", 0.98),
    ("room", 60.0, 10.0, 0.20, 5.0, 20.0, "pour", 0.95),
    ("hangar", 2400.0, 1.0, 0.10, 5.0, 20.0, "wipe", 0.97),
    ("enclosed", 2.0, 0.0, 0.10, 1.0, 5.0, "wipe", 0.69),
    ("enclosed", 2.0, 0.0, 0.10, 5.0, 20.0, "pour", 0.21),
    ("enclosed", 10.0, 5.0, 0.10, 5.0, 20.0, "wipe", 0.83),
    ("outdoor", 1000.0, 1.0, 0.50, 5.0, 20.0, "pour", 0.98),
]


def _job(kind: Any, volume: float, changes: float, speed: float, area: float, mass: float, work: str) -> Job:
    air = AirState("as it is", exact(changes / 3600), exact(speed), "made up")
    place = Place("room", kind, volume, exact(295.0), (air,), exact(0.6))
    return job(step("Work", SECONDS / 60, wipe(PURE, exact(mass), area, work=work), place=place), place=place)


@pytest.mark.parametrize(("kind", "volume", "changes", "speed", "area", "mass", "work", "held"), CASES)
def test_the_closed_form_is_never_milder_than_the_coupled_equations(
    kind: str, volume: float, changes: float, speed: float, area: float, mass: float, work: str, held: float
) -> None:
    """Mean and worst quarter of an hour of a step: at most 1 % under, and up to 65 % (mean) over what is exact."""
    a_job = _job(kind, volume, changes, speed, area, mass, work)
    ours = compute(a_job, timeline.build(a_job), REFERENCE, draws=1).steps[0]
    coupled, free = (_followed(a_job, area, mass, work, holds) for holds in (True, False))
    assert coupled.mean() / free.mean() == pytest.approx(held, abs=0.01)
    assert 0.99 <= ours.mean[0, 0] / coupled.mean() <= 1.65
    quarter = np.convolve(coupled, np.full(900, 1 / 900), "valid").max()
    assert ours.worst_15min[0, 0] / quarter >= 0.99


@pytest.mark.parametrize(("kind", "volume", "changes", "speed", "area", "mass", "work", "held"), CASES)
def test_the_closed_form_beside_a_solver_of_differential_equations(
    kind: str, volume: float, changes: float, speed: float, area: float, mass: float, work: str, held: float
) -> None:
    """The same bounds by scipy's LSODA, which steps as it needs: our own stepping above could have erred with us."""
    a_job = _job(kind, volume, changes, speed, area, mass, work)
    ours = compute(a_job, timeline.build(a_job), REFERENCE, draws=1).steps[0]
    mean, quarter = _solved(_Case.of(a_job), area, mass, work)
    assert mean == pytest.approx(_followed(a_job, area, mass, work, holds=True).mean(), rel=0.01)
    assert 0.99 <= ours.mean[0, 0] / mean <= 1.65
    assert ours.worst_15min[0, 0] / quarter >= 0.99


class _Case(NamedTuple):
    """What the equations of a case need: of the film k [m/s] and C_sat [kg/m3], of the air two zones or one."""

    k: float
    saturated: float
    one_zone: bool
    near_volume: float
    far_volume: float
    exchange: float
    airflow: float

    @classmethod
    def of(cls, a_job: Job) -> _Case:
        planned = plan(a_job, timeline.build(a_job), REFERENCE)
        inputs = Inputs(Draws(1, 1), planned)
        ventilated = _Ventilated.of(a_job.place, [_State(a_job.place.airs[0], True)], inputs)
        film = drawn_source(planned.wets[0], inputs, replace(ventilated.fill, let_through=np.zeros(1))).laying.film
        assert film is not None
        k = float(film.transfer[0, 0])
        saturated = float(film.speeds[0, 0]) / (k * GAS_CONSTANT * float(film.temperature[0])) * MOLAR_MASS
        zones = ventilated.airs[0][0]
        one_zone = bool(np.isinf(zones.exchange[0]))
        exchange = 0.0 if one_zone else float(zones.exchange[0])
        volumes = float(zones.near_volume[0]), float(zones.far_volume[0])
        return cls(k, saturated, one_zone, *volumes, exchange, float(zones.airflow[0]))


def _solved(case: _Case, area: float, mass: float, work: str) -> tuple[float, float]:
    """Mean and worst quarter of an hour of the near field [kg/m3].

    All that is wet dries alike, so one number J, what a square metre has given off so far, says which patches are wet:
    those laid at J_i with J - J_i under what was laid on them. The solver stops where one is laid and where one is dry.
    """
    patches = 1 if work == "pour" else 120
    load, piece = mass / area, area / patches
    begins = [*(np.arange(patches) * SECONDS / patches), float(SECONDS)]
    laid: list[float] = []
    dry, state, times, doses = 0, np.zeros(4), [0.0], [0.0]

    def rates(_: float, s: np.ndarray) -> list[float]:
        near, far = s[0], s[1]
        flux = case.k * max(case.saturated - near, 0.0)
        between = case.exchange * (far - near)
        into = flux * piece * (len(laid) - dry)
        own = case.airflow * near if case.one_zone else 0.0
        return [
            (into + between - own) / case.near_volume,
            0.0 if np.isinf(case.far_volume) else (-between - case.airflow * far) / case.far_volume,
            flux,
            near,
        ]

    def gone(_: float, s: np.ndarray) -> float:
        return float(s[2] - laid[dry] - load) if dry < len(laid) else -1.0

    gone.terminal = True  # type: ignore[attr-defined]
    for begin, end in pairwise(begins):
        laid.append(float(state[2]))
        now = float(begin)
        while now < end - 1e-9:
            done = solve_ivp(
                rates, (now, end), state, events=gone, method="LSODA", rtol=1e-8, atol=1e-13, max_step=30.0
            )
            times += done.t[1:].tolist()
            doses += done.y[3, 1:].tolist()
            state, now = done.y[:, -1], float(done.t[-1])
            if done.status == 1:
                state[2] = laid[dry] + load
                dry += 1
    over = np.linspace(900.0, SECONDS, 2701)
    windows = np.interp(over, times, doses) - np.interp(over - 900.0, times, doses)
    return doses[-1] / SECONDS, float(windows.max()) / 900.0


def _followed(a_job: Job, area: float, mass: float, work: str, holds: bool) -> Floats:
    """The near field of a pure liquid second by second [kg/m3]; ``holds`` with the flux k (C_sat - C), else k C_sat."""
    k, saturated, one_zone, near_volume, far_volume, exchange, airflow = _Case.of(a_job)
    patches = 1 if work == "pour" else 240
    begins, left = np.arange(patches) * SECONDS / patches, np.full(patches, mass / patches)
    near, far, seen = 0.0, 0.0, []
    parts = 4
    for second in range(SECONDS):
        flux = k * area / patches * max(saturated - holds * near, 0.0)
        gone = np.where(begins <= second, np.minimum(flux, left), 0.0)
        left -= gone
        for _ in range(parts):
            between = exchange * (far - near)
            near += (gone.sum() + between - one_zone * airflow * near) / near_volume / parts
            far += (-between - airflow * far) / far_volume / parts
        seen.append(near)
    return np.array(seen)


def test_hold_back_is_that_of_the_best_air_the_place_has() -> None:
    """The careful side: a place whose door opens later is not filled as if it stayed shut."""
    shut, open_ = (AirState(name, exact(n / 3600), exact(0.1), "") for name, n in (("shut", 0.2), ("open", 20.0)))
    place = Place("room", "room", 20.0, exact(295.0), (shut, open_), exact(0.6))
    first = step("Work", 30, wipe(PURE, exact(5.0), 5.0, work="pour"), place=place)
    later = replace(step("After", 30, place=place), air=open_)
    alone = compute(a := job(first, place=place), timeline.build(a), REFERENCE, draws=1)
    both = compute(b := job(first, later, place=place), timeline.build(b), REFERENCE, draws=1)
    assert both.balances[0].dry_after[0] < alone.balances[0].dry_after[0]
    assert both.steps[0].mean[0, 0] > alone.steps[0].mean[0, 0]
