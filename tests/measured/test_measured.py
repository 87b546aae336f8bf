"""Measured against predicted and against limits.

Checks from outside: Hewett's six welding-fume results (course slides 2007) with U_T and the 95/95 factor of published
tables; the bounds of EN 689:2018's first test (recalled); binomial tables; the pair 192 mg/m3 and 50 ppm of Directive
2006/15/EC for toluene at 20 degC.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pytest
import safety_measured
from safety_measured.group import plain

from safety import reference, timeline
from safety.exposure.engine import compute
from safety.exposure.result import Exposure
from safety.files import reading
from safety.formulas.prediction import lower_end
from safety.model import Finding, Job, Limit, Measurement
from safety.reference import Reference
from safety.workplace import assess_job

DEMO = Path(__file__).parents[2] / "safety" / "data" / "demo"
TOLUENE, BUTANONE, ACETATE = "108-88-3", "78-93-3", "109-60-4"
STEP = "Wipe the starboard side"
WELDING = (0.84, 0.98, 0.42, 1.16, 1.36, 2.66)

Judge = Callable[..., dict[str, Finding]]


@pytest.fixture(scope="module")
def data() -> Reference:
    return reference.load(("eu",), DEMO, date(2026, 11, 27), [("measured", safety_measured.contribute())])


@pytest.fixture(scope="module")
def plan(data: Reference) -> tuple[Job, Exposure]:
    """A job, and its prediction before anybody measured at the face: what the results below are held against."""
    job = reading.read_job(DEMO / "jobs/laminate-wipe-down.toml", reading.read_shop(DEMO), data.find)
    job = replace(job, measurements=tuple(m for m in job.measurements if m.position == "far"))
    return job, compute(job, timeline.build(job), data, draws=40)


@pytest.fixture
def judge(plan: tuple[Job, Exposure], data: Reference) -> Judge:
    """The findings on some results by key, with one limit of toluene and of propyl acetate."""

    def give(results: Sequence[Measurement], *, ppm: float = 100.0, kind: str = "twa", **changes: object) -> dict:
        job, exposure = plan
        job = replace(job, measurements=tuple(results), **changes)
        limits = {
            (cas, "test list", kind): replace(next(iter(data.limits(TOLUENE))), cas=cas, list="test list", kind=kind,
                value=ppm * 1e-6, unit="ppm", written=f"{ppm:g} ppm", compare="over")
            for cas in (TOLUENE, ACETATE)
        }  # fmt: skip
        found = safety_measured.assess(job, exposure, replace(data, _limits=limits))
        return {f.key.split(":")[0]: f for f in found}

    return give


def results(values: Sequence[float], cas: str = TOLUENE, **changes: object) -> list[Measurement]:
    """One result a day of so many ppm, worn for a whole 8-hour shift."""
    return [
        replace(Measurement(cas, v * 1e-6, "ppm", f"{v:g} ppm", "badge", 28800.0, date(2026, 3, 2)),
                date=date(2026, 3, 2) + timedelta(days=i), air="roof fans on", **changes)
        for i, v in enumerate(values)
    ]  # fmt: skip


def in_step(values: Sequence[float], **changes: object) -> list[Measurement]:
    return results(values, ACETATE, steps=(STEP,), duration=1500.0, **changes)


# ---------------------------------------------------------------- limits


def test_welding_fume_complies_though_the_upper_tolerance_limit_does_not(judge: Judge) -> None:
    found = judge(results(WELDING), ppm=5.0)["measured-limit"]
    figures = {f.name: f.value for f in found.figures}
    assert found.level == "note"
    assert figures["U_R"] == pytest.approx(2.555, abs=0.002)
    assert figures["U_T, asked for"] == pytest.approx(2.187, abs=0.002)
    assert figures["95/95 upper tolerance limit over the limit"] == pytest.approx(10.05 / 5, abs=0.005)
    assert figures["share of shifts over the limit"] == pytest.approx(0.0053, abs=1e-4)  # 1 - Phi(2.555), tables
    assert "So the limit is kept." in found.statement


def test_the_same_results_do_not_comply_with_a_lower_limit(judge: Judge) -> None:
    found = judge(results(WELDING), ppm=3.9)["measured-limit"]  # U_T is met at 4.00: exp(0.0620 + 2.187 * 0.6056)
    assert found.level == "control"
    assert "So the limit is not kept." in found.statement
    assert judge(results(WELDING), ppm=4.01)["measured-limit"].level == "note"


@pytest.mark.parametrize(("count", "bound"), [(3, 0.10), (4, 0.15), (5, 0.20)])
def test_first_test_of_en_689(count: int, bound: float, judge: Judge) -> None:
    just_below = judge(results([99.9 * bound] * count))["measured-limit"]
    on_it = judge(results([100 * bound] * count))["measured-limit"]
    assert just_below.short == "Measured: limit kept"
    assert (on_it.level, on_it.short) == ("note", "Measured: no decision yet")


def test_one_result_over_the_limit_is_enough(judge: Judge) -> None:
    for count in (1, 3, 6):
        found = judge(results([*[1.0 + i / 100 for i in range(count - 1)], 101.0]))["measured-limit"]
        assert (found.level, found.short) == ("control", "Measured: limit not kept")
    assert judge(results([100.0] * 3))["measured-limit"].level == "note"  # the sign of this limit is "over"


def test_two_results_are_too_few(judge: Judge) -> None:
    assert "three results or more. So far: 2" in judge(results([1.0, 2.0]))["measured-limit"].statement


def test_results_without_a_spread_prove_nothing(judge: Judge) -> None:
    assert "alike" in judge(results([1.0] * 6))["measured-limit"].statement
    blanks = results(WELDING, below_detection=True)
    found = judge([*blanks[:4], *results(WELDING)[4:]], ppm=5.0)["measured-limit"]
    assert found.short == "Measured: no decision yet"
    assert "below detection" in found.statement


def test_time_that_was_not_sampled(judge: Judge) -> None:
    """90 ppm for 4 h: 45 ppm over 8 h for who leaves (29 CFR 1910.1000(d)(1)(i)), 90 ppm for who stays."""
    half = results([90.0], duration=14400.0)
    assert judge(half)["measured-limit"].figures[0].value == pytest.approx(0.45)
    assert judge(half, afterwards="far")["measured-limit"].figures[0].value == pytest.approx(0.90)


def test_mass_becomes_ppm_at_the_temperature_of_the_list(plan: tuple[Job, Exposure], data: Reference) -> None:
    job, exposure = plan
    one = replace(results([1.0])[0], value=192e-6, unit="mg/m3", written="192 mg/m3")
    found = safety_measured.assess(replace(job, measurements=(one,)), exposure, data)
    (limit,) = [f for f in found if f.key.startswith("measured-limit")]
    named = next(value for _, value in limit.figures[0].inputs if isinstance(value, Limit))
    assert named.reference_temperature == 293.15
    assert limit.figures[0].value == pytest.approx(1.0, rel=0.005)  # 50 ppm is rounded


def test_short_samples_stand_against_short_limits_only(judge: Judge) -> None:
    assert "measured-limit" in judge(in_step([20.0]), kind="short-term")
    assert "measured-limit" not in judge(in_step([20.0]), kind="twa")
    assert "measured-limit" not in judge(results([20.0], ACETATE, steps=(STEP,), duration=3600.0), kind="short-term")
    assert "measured-limit" not in judge(in_step([20.0], position="far"), kind="short-term")


# ---------------------------------------------------------------- prediction


@pytest.fixture
def band(plan: tuple[Job, Exposure]) -> tuple[float, float, float]:
    """The predicted 5th, 50th and 95th percentile in the step, read straight from the engine [ppm].

    The middle is that of the equations; the lower end has the model error below it (docs/engine.md).
    """
    _, exposure = plan
    values = exposure.ppm(exposure.steps[1].mean)[:, exposure.column(ACETATE)]
    low, middle = np.percentile(values / exposure.error, (5, 50))
    return float(lower_end(low, middle, exposure.width.down)), float(middle), float(np.percentile(values, 95))


def test_results_in_the_band(judge: Judge, band: tuple[float, float, float]) -> None:
    found = judge(in_step([band[0] * 1.01, band[1], band[2] * 0.99]))["measured-prediction"]
    assert found.level == "note"
    assert f"inside the predicted range {plain(band[0])} to {plain(band[2])} ppm: 3 of 3" in found.statement
    assert "The prediction held." in found.statement


def test_one_of_four_above(judge: Judge, band: tuple[float, float, float]) -> None:
    found = judge(in_step([band[1], band[1], band[1] * 1.1, band[2] * 1.01]))["measured-prediction"]
    assert found.level == "control"
    assert "3 of 4" in found.statement
    assert "Treat the prediction as too low: use the measured 95th percentile" in found.statement
    assert "Chance alone would do this in 19 of 100" in found.statement  # 1 - 0.95^4 = 18.5 %, binomial tables


def test_one_of_one_above_is_more_than_chance(judge: Judge, band: tuple[float, float, float]) -> None:
    found = judge(in_step([band[2] * 1.01]))["measured-prediction"]
    assert found.level == "control"
    assert "Chance does not explain" in found.statement


def test_one_of_twenty_above_is_what_the_band_promises(judge: Judge, band: tuple[float, float, float]) -> None:
    low = in_step([*[band[1]] * 19, band[2] * 1.01])
    assert judge(low)["measured-prediction"].level == "note"
    assert judge(low[1:])["measured-prediction"].level == "control"


def test_factor_is_measured_over_middle(judge: Judge, band: tuple[float, float, float]) -> None:
    found = judge(in_step([band[1] / 2, band[1] * 4.5]))["measured-prediction"]
    assert {f.name: f.value for f in found.figures}["measured over predicted"] == pytest.approx(1.5, rel=1e-9)


def test_below_detection_is_never_above(judge: Judge, band: tuple[float, float, float]) -> None:
    found = judge(in_step([band[2] * 3], below_detection=True))["measured-prediction"]
    assert (found.level, found.short) == ("note", "Measured: 1 of 1 in the predicted range")
    assert "They count as the detection limit" in found.statement
    low = judge(in_step([band[0] / 3], below_detection=True))["measured-prediction"]
    assert "careful side here" in low.statement


def test_another_state_of_the_air_does_not_test_the_plan(judge: Judge) -> None:
    other = [replace(m, air="roof fans off") for m in in_step([20.0, 300.0])]
    found = judge(other, ppm=250.0, kind="short-term")
    assert list(found) == ["measured-other-air"]
    assert found["measured-other-air"].level == "control"  # 300 ppm is over the limit all the same
    assert judge(other[:1], ppm=250.0, kind="short-term")["measured-other-air"].level == "note"


def test_what_the_plan_does_not_hold(judge: Judge) -> None:
    found = judge(results([20.0]))["measured-prediction"]
    assert found.level == "control"
    assert "The prediction misses it." in found.statement
    assert judge(results([20.0], below_detection=True))["measured-prediction"].level == "note"


def test_no_data_is_said(judge: Judge) -> None:
    found = judge(results([20.0], "10043-35-3"))["measured-prediction"]  # boric acid: not among the data
    assert "could not be judged" in found.unknown


def test_far_mean_is_the_mean_of_the_far_field(plan: tuple[Job, Exposure]) -> None:
    """Over the whole job it is what a bystander breathed until then."""
    job, exposure = plan
    everywhere = Measurement(
        "108-88-3", 0.0, "ppm", "", "badge", 60.0, date(2026, 11, 27), tuple(s.name for s in job.steps), "far"
    )
    steps = tuple(replace(step, lasts=None) for step in job.steps)  # at two ends at once no mean is of one time
    quiet = replace(job, shift=exposure.timeline.end, measurements=(everywhere,), steps=steps)
    own = compute(quiet, timeline.build(quiet), reference.load((), DEMO, date(2026, 11, 27)), draws=40)
    spans = [own.timeline.span(i) for i in range(len(job.steps))]
    dose = sum(s.far_mean * (b - a) for s, (a, b) in zip(own.steps, spans, strict=True))
    np.testing.assert_allclose(dose / 28800.0, own.bystander.shift_average, rtol=1e-6)


def test_results_of_a_long_shift_are_held_against_a_limit_that_says_it_is_cut(judge: Judge) -> None:
    """Brief and Scala (1975): half for 12 h."""
    found = judge(results([40.0, 45.0, 44.0]), ppm=85.0, shift=12 * 3600.0)["measured-limit"]
    assert "measured against 42.5 ppm, cut for a 12 h shift from 85 ppm (test list," in found.statement
    cut = dict(found.figures[0].inputs)["limit as compared"]
    assert (cut.value, cut.formula) == (pytest.approx(42.5), "extended_shift_factor")
    elsewhere = [replace(m, air="doors open") for m in results([50.0])]
    other = judge(elsewhere, ppm=85.0, shift=12 * 3600.0)["measured-other-air"]
    assert "over the limit 42.5 ppm, cut for a 12 h shift from 85 ppm (test list," in other.statement
    assert "cut" not in judge(results([40.0, 45.0, 44.0]), ppm=85.0)["measured-limit"].statement


def test_a_result_that_rounds_to_the_limit_says_that_it_is_over(judge: Judge) -> None:
    elsewhere = [replace(m, air="doors open") for m in results([85.02])]
    found = judge(elsewhere, ppm=85.0)["measured-other-air"]
    assert "The highest is just over 85 ppm. It is over the limit 85 ppm" in found.statement


# ---------------------------------------------------------------- the demo


def test_demo_shows_predictions_that_held_and_what_they_learnt() -> None:
    """Before, one of the four badges lay above the band: the error of the model itself was not in it."""
    report = assess_job(DEMO / "jobs/laminate-wipe-down.toml", draws=200)
    own = {f.key: f for f in report.findings if f.plugin == "measured"}
    assert own["measured-prediction:1:109-60-4"].level == "note"
    assert "Results that change the prediction: 4." in own["measured-prediction:1:109-60-4"].statement
    assert own["measured-prediction:2:109-60-4"].level == "note"
    assert own["measured-prediction:3:67-63-0"].level == "note"
    assert own["measured-limit:3:67-63-0"].short == "Measured: limit kept"
    assert all(f.step is None for f in own.values())  # the air of a step stays the plugin's to answer
