"""Several jobs on one clock: their vapour adds up in the far field and nowhere else."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from safety import timeline
from safety.exposure import Exposure
from safety.exposure.engine import compute
from safety.exposure.result import Neighbour
from safety.model import AirState, Job, Place
from tests.exposure.made_up import TOLUENE, FewSubstances, demo_job, exact, job, part, product, step, wipe

PURE = product((part(TOLUENE, 1.0),))
FAN = AirState("fan on", exact(6 / 3600), exact(0.1), "made up")
ROOM = Place("room", "room", 300.0, exact(295.0), (FAN,), exact(0.6))
#: A mist is in the air at once: nothing about it is drawn but its mass.
MIST = wipe(PURE, exact(0.02), work="spray")


def run(a_job: Job, *others: tuple[Job, float], draws: int = 60, **more: Any) -> Exposure:
    """The job's air with other jobs that begin so many seconds after it."""
    beside = [Neighbour(other, timeline.moved(timeline.build(other), by)) for other, by in others]
    reference: Any = FewSubstances()
    return compute(a_job, timeline.build(a_job), reference, draws=draws, neighbours=beside, **more)


def sprayer(name: str = "a-job", minutes: float = 20) -> Job:
    return replace(job(step("Spray", minutes, MIST, place=ROOM), place=ROOM), id=name)


def test_a_job_long_before_or_after_changes_nothing() -> None:
    alone = run(demo_job())
    # the slowest hangar still holds 1 % of it a night later, and what a coat holds goes on leaving for days
    for by in (-14 * 24 * 3600.0, 20 * 3600.0):
        beside = run(demo_job(), (replace(demo_job(), id="other"), by))
        for one, other in zip(alone.steps, beside.steps, strict=True):
            assert other.mean == pytest.approx(one.mean, rel=2e-3, abs=1e-7)
            assert other.peak == pytest.approx(one.peak, rel=2e-2, abs=1e-7)
        assert beside.worker.shift_average == pytest.approx(alone.worker.shift_average, rel=5e-3, abs=1e-7)


def test_the_same_job_twice_at_once_doubles_the_far_field() -> None:
    """All that is given off leaves through the far field: its integral over time is mass over airflow."""
    alone, twice = run(sprayer()), run(sprayer(), (sprayer("other"), 0.0))
    assert twice.bystander.shift_average == pytest.approx(2 * alone.bystander.shift_average, rel=1e-3)
    assert twice.curves.far_p50[10:, 0] == pytest.approx(2 * alone.curves.far_p50[10:, 0], rel=0.05, abs=1e-9)
    # close to the hands there is only one of the two, and twice the room
    extra = twice.steps[0].near_peak - alone.steps[0].near_peak
    assert extra == pytest.approx(alone.steps[0].far_peak, rel=0.01)


def test_the_order_of_the_others_changes_nothing() -> None:
    first, second = (sprayer("one"), 600.0), (replace(demo_job(), id="two"), -900.0)
    there, back = run(sprayer(), first, second), run(sprayer(), second, first)
    for one, other in zip(there.steps, back.steps, strict=True):
        columns = [[s.cas for s in back.substances].index(s.cas) for s in there.substances]
        assert one.mean == pytest.approx(other.mean[:, columns], rel=1e-12)


def test_two_jobs_agree_with_integration() -> None:
    """Mist of two jobs in two zones, the other one earlier, against the coupled equations (Nicas 1996).

    Of one draw 35 % of the mist stays near, the middle of what is drawn.
    """
    exposure = run(sprayer(), (sprayer("other"), -600.0), draws=1)
    near_volume = 2 / 3 * np.pi * 0.6**3
    q, far_volume = 6 / 3600 * 300.0, 300.0 - near_volume
    rate = 0.02 / 1200

    def rates(t: float, c: np.ndarray) -> list[float]:
        own, other = rate * (0 <= t < 1200), rate * (-600 <= t < 600)
        beta = 0.5 * 2 * np.pi * 0.6**2 * (0.1 + 0.05 * (0 <= t < 1200))  # the worker stirs while he is there
        return [
            (0.35 * own + beta * (c[1] - c[0])) / near_volume,
            (0.65 * own + other + beta * (c[0] - c[1]) - q * c[1]) / far_volume,
        ]

    times = exposure.curves.times[exposure.curves.times < 5000]
    state, seen, begin = np.zeros(2), [], -600.0
    for end in (0.0, 600.0, 1200.0, 5000.0):
        here = times[(times >= begin) & (times < end)]
        done = solve_ivp(rates, (begin, end - 1e-9), state, t_eval=[*here, end - 1e-9], rtol=1e-10, atol=1e-16)
        seen.append(done.y[:, :-1])
        state, begin = done.y[:, -1], end
    assert exposure.curves.times[0] == 0
    near, far = np.concatenate(seen, axis=1)
    assert exposure.curves.far_p50[: len(times), 0] == pytest.approx(far, rel=1e-6)
    # of one moment the curve says what hangs near where all that is sprayed stays there
    thrown = 0.65 * rate / (0.5 * 2 * np.pi * 0.6**2 * 0.15) * ((times > 0) & (times <= 1200))
    assert exposure.curves.near_p50[: len(times), 0] == pytest.approx(near + thrown, rel=1e-6, abs=1e-12)


def test_a_neighbour_who_came_first_is_breathed_from_the_start_only() -> None:
    """What was in the air before the job's own start is nobody's exposure in this job."""
    quiet = replace(job(step("Look", 30, place=ROOM), place=ROOM), id="quiet")
    exposure = run(quiet, (sprayer("other"), -1200.0))
    mass_over_airflow = 0.02 / (6 / 3600 * 300.0)
    predicted = exposure.bystander.shift_average / exposure.error[:, None]  # the mass is exact, the prediction errs
    assert (predicted < mass_over_airflow / 28800).all()
    assert (exposure.steps[0].far_peak > 0).all()
    assert exposure.balances == ()


def test_what_is_not_known_of_the_other_job_is_not_known_here() -> None:
    secret = product((replace(part(TOLUENE, 1.0), cas="", name="secret"),), id="secret")
    other = replace(job(step("Wipe", 10, wipe(secret), place=ROOM), place=ROOM), id="other", title="the other")
    two = job(step("Before", 10, place=ROOM), step("Beside", 10, place=ROOM), place=ROOM)
    exposure = run(two, (other, 700.0))
    assert exposure.steps[0].unknown == ()
    assert "the other" in exposure.steps[1].unknown[0]
    assert "secret" in exposure.unknowns[0]
