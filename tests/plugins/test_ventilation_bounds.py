"""What the ventilation plugin says exactly at a bound. Sources stand beside the figures."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import safety_ventilation
from safety_ventilation.places import AIR_MOLAR_MASS
from safety_ventilation.sheet import WIDEST

from safety.exposure.result import Neighbour
from safety.model import Finding, Grid
from tests.answered import findings

TOLUENE, BUTANONE, XYLENE = "108-88-3", "78-93-3", "1330-20-7"


@pytest.fixture
def judge(make_exposure: Any, make_reference: Any) -> Any:
    """Findings of the plugin by key, for a job and air in ppm against limits."""

    def run(job: Any, ppm: Any, limits: Any, **air: Any) -> dict[str, Finding]:
        exposure = make_exposure(job, ppm, **air)
        found = findings(safety_ventilation.assess(job, exposure, make_reference(exposure.substances, limits)))
        return {f.key if f.step is None else f"{f.key}@{f.step}": f for f in found}

    return run


@pytest.fixture
def grid(make_exposure: Any, make_reference: Any) -> Any:
    """The table of the steps."""

    def run(job: Any, ppm: Any, limits: Any, **air: Any) -> Grid:
        exposure = make_exposure(job, ppm, **air)
        found = safety_ventilation.assess(job, exposure, make_reference(exposure.substances, limits))
        return next(b for b in found if isinstance(b, Grid))

    return run


# ---------------------------------------------------------------- sums of vapours


@pytest.mark.parametrize(
    ("shift", "step", "level"),
    [
        (50.0, 60.0, "note"),  # 50/100 + 50/100: the shift is at its limit and not over it
        (50.001, 60.0, "control"),
        (60.0, 50.0, "note"),  # the step is at the limit, so it does not bring the shift over it
        (60.0, 50.001, "control"),
    ],
)
def test_a_step_adds_to_a_shift_that_is_over_and_is_over_itself(
    judge: Any, make_job: Any, make_limit: Any, shift: float, step: float, level: str
) -> None:
    """29 CFR 1910.1000(d)(2)(i): "The value of Em shall not exceed unity (1)"."""
    limits = [make_limit(cas, ppm=100) for cas in (TOLUENE, BUTANONE)]
    air = {TOLUENE: step, BUTANONE: step}
    found = judge(make_job(), air, limits, shift_average={TOLUENE: shift, BUTANONE: shift})
    assert found["air-step@0"].level == level


@pytest.mark.parametrize(("ppm", "level"), [(50.0, "note"), (50.001, "control")])
def test_the_sum_itself_is_not_over_at_one(judge: Any, make_job: Any, make_limit: Any, ppm: float, level: str) -> None:
    """29 CFR 1910.1000(d)(2)(i): "shall not exceed unity (1)"."""
    limits = [make_limit(cas, ppm=100) for cas in (TOLUENE, BUTANONE)]
    assert judge(make_job(), {TOLUENE: ppm, BUTANONE: ppm}, limits)["air-mixture-shift"].level == level


@pytest.mark.parametrize("signs", [("over", "at or over"), ("at or over", "over")])
def test_of_two_equal_limits_the_one_that_must_not_be_met_rules(
    judge: Any, make_job: Any, make_limit: Any, signs: tuple[str, str]
) -> None:
    """Our choice, no source: the careful one of two lists, whichever is read first."""
    limits = [make_limit(ppm=100, compare=sign) for sign in signs]
    assert judge(make_job(), {TOLUENE: 100.0}, limits)[f"air-shift:{TOLUENE}"].level == "control"


# ---------------------------------------------------------------- limits and substances


@pytest.mark.parametrize(("hours", "said"), [(8.0, False), (10.0, True)])
def test_a_limit_of_eight_hours_is_an_8_hour_limit(
    judge: Any, make_job: Any, make_limit: Any, hours: float, said: bool
) -> None:
    """29 CFR 1910.1000(d)(1): averages of 8 hours. NIOSH Pocket Guide: RELs are for up to 10 hours."""
    found = judge(make_job(), {TOLUENE: 50.0}, [make_limit(averaging=hours * 3600)])[f"air-shift:{TOLUENE}"]
    assert ("the 8-hour average is held against it" in found.statement) is said


def test_a_vapour_as_heavy_as_air_does_not_run_down(
    judge: Any, make_job: Any, make_limit: Any, make_substance: Any
) -> None:
    """Dry air: 28.9644 g/mol (U.S. Standard Atmosphere, 1976)."""
    for mass, heavy in ((AIR_MOLAR_MASS, False), (AIR_MOLAR_MASS * 1.001, True)):
        same = make_substance(TOLUENE, molar_mass=mass)
        found = judge(make_job(), {TOLUENE: 5.0}, [make_limit()], substances=[same])
        assert ("air-heavy" in found) is heavy


@pytest.mark.parametrize(("seconds", "span"), [(900.0, "15 min"), (899.0, "highest minute")])
def test_a_limit_of_a_quarter_of_an_hour_is_named_so(
    judge: Any, make_job: Any, make_limit: Any, seconds: float, span: str
) -> None:
    """Our choice, no source: the engine has averages of 15 minutes, and a shorter one meets the peak."""
    found = judge(make_job(), {TOLUENE: 5.0}, [make_limit(kind="ceiling", averaging=seconds)])
    assert f"({span})" in found[f"air-ceiling:{TOLUENE}"].short


# ---------------------------------------------------------------- beside another job


def test_another_job_that_nothing_is_known_of_gets_no_number_of_minutes(
    make_job: Any, make_step: Any, make_exposure: Any, make_reference: Any, make_limit: Any
) -> None:
    job, other = make_job(), make_job(make_step("wait"), title="other")
    air = make_exposure(job, {TOLUENE: 0.0})
    reference = make_reference(air.substances, [make_limit()])
    dark = replace(air, neighbours=(Neighbour(other, air.timeline, None),))
    found = next(f for f in findings(safety_ventilation.assess(job, dark, reference)) if f.key == "air-beside:job")
    assert (found.level, found.figures) == ("control", ())
    clean = replace(air, neighbours=(Neighbour(other, air.timeline, make_exposure(other, {}, substances=[])),))
    found = next(f for f in findings(safety_ventilation.assess(job, clean, reference)) if f.key == "air-beside:job")
    assert (found.level, found.figures) == ("note", ())
    assert "earliest" not in found.statement  # nothing to wait for


# ---------------------------------------------------------------- the table of the steps


@pytest.mark.parametrize(("ppm", "row"), [(20.0, ("toluene", "20/20")), (19.99, ("toluene", ""))])
def test_a_tenth_of_a_limit_is_worth_a_row(
    grid: Any, make_job: Any, make_limit: Any, ppm: float, row: tuple[str, str]
) -> None:
    """The other rows say "under a tenth of every limit"."""
    assert grid(make_job(), {TOLUENE: ppm}, [make_limit(ppm=200)]).rows[0][:2] == row


@pytest.mark.parametrize(
    ("ppm", "cell"),
    [(2.0, "2/2"), (1.99, "<2"), (0.0, "0"), (np.where(np.arange(40) < 20, 2.0, 3.0), "2.5/3"),
     (np.where(np.arange(40) < 30, 1.0, 3.0), "<2/3"), (np.where(np.arange(40) < 30, 2.0, 3.0), "2/3")],
)  # fmt: skip
def test_a_hundredth_of_a_limit_has_digits(
    grid: Any, make_job: Any, make_step: Any, make_limit: Any, ppm: Any, cell: str
) -> None:
    """What is under 1 % of the limit has none, and what is not there is 0. The first step has half the limit."""
    job = make_job(make_step("wipe"), make_step("wait"))
    found = grid(job, {TOLUENE: 100.0}, [make_limit(ppm=200)], steps=[{}, {"worst_15min": {TOLUENE: ppm}}])
    assert found.rows[0][2] == cell


@pytest.mark.parametrize(
    ("ppm", "careful"),
    [
        (116.0, "116"),
        (124.0, "124"),
        (126.0, "130"),
        (120.0, "120"),
        (120.01, "just over 120"),
        (61.0, "61"),  # the limit for the shift is not what 15 minutes are held against
    ],
)
def test_a_cell_of_the_table_never_reads_as_the_limit_beside_it(
    grid: Any, make_job: Any, make_limit: Any, ppm: float, careful: str
) -> None:
    limits = [make_limit(ppm=60.9), make_limit(kind="short-term", ppm=120)]
    assert grid(make_job(), {TOLUENE: ppm}, limits).rows[0][1].partition("/")[2] == careful


def test_a_vapour_without_a_limit_that_is_not_there_has_no_row(grid: Any, make_job: Any, make_limit: Any) -> None:
    rows = grid(make_job(), {TOLUENE: 100.0, XYLENE: 0.0}, [make_limit(ppm=200)]).rows
    assert [row[0] for row in rows] == ["toluene"]


@pytest.mark.parametrize("more", [0, 1])
def test_a_table_that_fits_is_not_cut(grid: Any, make_job: Any, make_step: Any, make_limit: Any, more: int) -> None:
    job = make_job(*(make_step(f"step {i}") for i in range(WIDEST + more)))
    title = grid(job, {TOLUENE: 100.0}, [make_limit(ppm=200)]).title
    assert (title == "Worst 15 minutes of each step [ppm]: middle/careful estimate") is not bool(more)
