"""The error of the prediction itself is in every figure of the air, wide where anything was guessed.

Before, a band held only what was drawn for its inputs, so 5 of 30 published values lay above their bands, and a sheet
made of guesses was as narrow as one whose air, amounts and areas had been measured. What was measured at the work stood
beside the prediction and changed nothing.
"""

from __future__ import annotations

import re
from datetime import date
from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from safety.exposure import Exposure
from safety.formulas.prediction import updated_error
from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Sign shop (invented)"
altitude = "0 m"
rules = ["us-federal"]
print_units = "si"

[[place]]
id = "bench"
kind = "room"
volume = "90 m3"
temperature = "20 degC"
[[place.air]]
state = "fan on"
air_changes = ["4 /hour", "6 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "tracer gas"
{measured}
[[place.air]]
state = "fan off"
air_changes = ["0.5 /hour", "1 /hour"]
air_speed = ["0.05 m/s", "0.1 m/s"]
basis = "our guess"
"""
PRODUCT = """
[product]
id = "lacquer-wash"
name = "Lacquer wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225"]
[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""
JOB = """
[job]
id = "signs"
title = "Wash signs"
place = "bench"
air = "fan on"
start = 2026-11-25T07:30:00
crew = 1
afterwards = "away"
[[step]]
name = "Wash"
duration = "60 min"
[[step.use]]
product = "lacquer-wash"
work = "wipe"
amount = ["150 mL", "250 mL"]
area = "0.5 m2"
{known}
[[step]]
name = "Polish"
duration = "30 min"
[[step.use]]
product = "lacquer-wash"
work = "wipe"
amount = ["50 mL", "100 mL"]
area = "0.5 m2"
{known}
{results}
"""
KNOWN = 'amount_basis = "weighed"\narea_basis = "measured"'
DAY = "measured = 2026-03-02"


def result(ppm: float, day: int, **changes: str) -> str:
    keys = {
        "substance": '"108-88-3"', "value": f'"{ppm} ppm"', "kind": '"badge"', "step": '"Wash"', "duration": '"60 min"',
        "air": '"fan on"', "date": f"2026-03-{day:02}", "as_planned": "true", **changes,
    }  # fmt: skip
    return "\n".join(["[[measurement]]", *(f"{key} = {value}" for key, value in keys.items())])


def report(known: str = "", measured: str = "", results: str = "", draws: int = 400) -> Report:
    shop, job = SHOP.format(measured=measured), JOB.format(known=known, results=results)
    return sheet(write_shop(Path(mkdtemp()) / "shop", shop, {"lacquer-wash": PRODUCT}, {"signs": job}), "signs", draws)


@cache
def exposure(known: str = "", measured: str = "", results: str = "") -> Exposure:
    found = report(known, measured, results).exposure
    assert found is not None
    return found


def high(air: Exposure, step: int = 0) -> float:
    return float(np.percentile(air.ppm(air.steps[step].mean)[:, 0], 95))


# ------------------------------------------------------------------ the width


@pytest.mark.parametrize(
    ("known", "measured"),
    [("", ""), (KNOWN, ""), ("", DAY), ('amount_basis = "weighed"', DAY), ('area_basis = "measured"', DAY)],
)
def test_one_guess_keeps_the_prediction_wide(known: str, measured: str) -> None:
    assert (exposure(known, measured).width.up, exposure(known, measured).width.down) == (2.0, 5.0)


def test_all_measured_is_narrow() -> None:
    air = exposure(KNOWN, DAY)
    assert air.width.measured
    assert (air.width.up, air.width.down) == (1.7, 1.7)
    assert high(air) < 0.9 * high(exposure())


def test_the_error_is_in_the_air_and_not_in_the_mass() -> None:
    """What evaporates is the same to the last digit, so is how long it is wet; the air is not."""
    wide, narrow = exposure(), exposure(KNOWN, DAY)
    for one, other in zip(wide.balances, narrow.balances, strict=True):
        assert np.array_equal(one.evaporated, other.evaporated)
        assert np.array_equal(one.dry_after, other.dry_after)
    assert wide.error is not None
    assert narrow.error is not None
    assert np.allclose(wide.steps[0].mean[:, 0] / wide.error, narrow.steps[0].mean[:, 0] / narrow.error, rtol=1e-6)


def test_not_knowing_makes_nothing_milder() -> None:
    """Every draw lies on the prediction or above it: a lower half would pull a 95th percentile on a cliff down."""
    error = exposure().error
    assert error is not None
    assert error.min() == 1.0
    assert np.percentile(error, 95) == pytest.approx(2**1.645, rel=0.02)


def test_the_sheet_says_which_width_and_what_measuring_would_buy() -> None:
    (wide,) = [f for f in report().findings if f.key == "air-model-error"]
    assert "3.1 times" in wide.statement
    assert "Bench" in wide.statement or "bench" in wide.statement
    assert "amounts: 2" in wide.statement
    assert "wet areas: 2" in wide.statement
    narrow_shift, wide_shift = (
        float(np.percentile(air.worker.shift_average.sum(axis=1), 95)) for air in (exposure(KNOWN, DAY), exposure())
    )
    share = narrow_shift / wide_shift
    said = re.search(r"about (\d+) %", wide.statement)
    assert said
    assert int(said[1]) == pytest.approx(100 * share, abs=1.5)
    (narrow,) = [f for f in report(KNOWN, DAY).findings if f.key == "air-model-error"]
    assert "narrow" in narrow.statement


# ------------------------------------------------------------------ what was measured at the work


def three(ppm: float, **changes: str) -> str:
    return "\n".join(result(ppm * x, day, **changes) for day, x in ((2, 0.8), (9, 1.0), (16, 1.25)))


def test_results_far_below_lower_the_figures_as_far_as_bayes_says_and_no_further() -> None:
    """Held against the product of prior and likelihood, integrated by another program (scipy)."""
    prior = exposure()
    assert prior.error is not None
    middle = float(np.median(prior.ppm(prior.steps[0].mean)[:, 0] / prior.error))
    air = exposure(results=three(round(middle / 8, 4)))
    (learnt,) = air.learnt
    ratios = [x / 8 for x in (0.8, 1.0, 1.25)]

    def belief(t: float) -> float:
        width = np.log(2.0) if t > 0 else np.log(5.0)
        # each half of the prior holds half of what is believed
        return float(norm.pdf(t / width) / width * np.prod([norm.pdf((np.log(r) - t) / np.log(2.7)) for r in ratios]))

    whole = sum(quad(belief, *ends)[0] for ends in ((-15, 0), (0, 15)))
    top = float(np.log(np.percentile(learnt.factor, 95)))
    below = quad(belief, -15, min(top, 0))[0] + (quad(belief, 0, top)[0] if top > 0 else 0)
    assert below / whole == pytest.approx(0.95, abs=0.005)
    assert high(air) < 0.5 * high(prior)


def test_results_above_raise_the_figures_from_the_first_on() -> None:
    """Before, a result five times the prediction was a remark, and the mask went by the prediction."""
    prior = exposure()
    air = exposure(results=result(round(high(prior) * 1.5, 3), 2))
    assert high(air) >= 1.5 * high(prior) * 0.99  # no result lies above what decides


def test_one_day_lowers_nothing() -> None:
    """Three badges of one good day were taken for the rule."""
    same = "\n".join(result(0.5, 2) for _ in range(3))
    assert high(exposure(results=same)) == pytest.approx(high(exposure()))


def test_results_of_who_knows_what_amounts_lower_nothing() -> None:
    """A badge worn when half as much was used is no evidence that this much gives off little."""
    assert high(exposure(results=three(0.5, as_planned="false"))) == pytest.approx(high(exposure()))


def test_a_what_if_keeps_the_error_that_was_measured_at_the_plan() -> None:
    """Held against a prediction for twice the amount the same results would say that the prediction is twice too high."""
    from safety.compare.changes import Alternative, read_alternatives
    from safety.compare.outcome import compare
    from safety.workplace import Workplace

    folder = Path(mkdtemp()) / "shop"
    write_shop(
        folder, SHOP.format(measured=""), {"lacquer-wash": PRODUCT}, {"signs": JOB.format(known="", results=three(0.5))}
    )
    workplace = Workplace.open(folder)
    (planned,) = workplace.planned(["signs"])
    doubled = read_alternatives(
        ["step.1.use.1.amount=['300 mL', '500 mL']"], folder / "jobs" / "signs.toml", planned.job
    )
    now, then = compare(workplace, "signs", [Alternative("as planned"), *doubled], draws=200)
    assert now.report.exposure is not None
    assert then.report.exposure is not None
    twice = JOB.format(known="", results="").replace('["150 mL", "250 mL"]', '["300 mL", "500 mL"]')
    more = sheet(
        write_shop(Path(mkdtemp()) / "shop", SHOP.format(measured=""), {"lacquer-wash": PRODUCT}, {"signs": twice}),
        "signs",
        200,
    ).exposure
    once = report(draws=200).exposure
    assert more is not None
    assert once is not None
    assert high(more) > 1.1 * high(once)
    rise = high(then.report.exposure) / high(now.report.exposure)
    assert rise == pytest.approx(high(more) / high(once), rel=0.1)


@pytest.mark.parametrize(
    "changes",
    [
        {"air": '"fan off"'},
        {"position": '"far"'},
        {"duration": '"10 min"'},
        {"step": '"Polish"'},
        {"substance": '"67-64-1"'},
    ],
)
def test_what_was_not_measured_at_this_work_in_this_air_changes_nothing_of_it(changes: dict[str, str]) -> None:
    air = exposure(results=three(0.5, **changes))
    assert high(air) == pytest.approx(high(exposure()))


def test_another_step_learns_nothing() -> None:
    """The solvent of the second step is another thing: only what the first one left is lower there."""
    one = exposure(results=three(0.5))
    both = exposure(results=three(0.5, step='["Wash", "Polish"]', duration='"90 min"'))
    assert (one.learnt[0].covered, both.learnt[0].covered) == ((0,), (0, 1))
    assert high(both, 1) < 0.7 * high(one, 1) < 0.7 * high(exposure(), 1)


def test_below_detection_counts_as_somewhere_below() -> None:
    """A blank taken as its detection limit says too much; left out it says nothing."""
    share, limit = 0.95, 0.2
    at_the_limit = float(updated_error(share, [limit] * 3))
    blank = float(updated_error(share, [], [limit] * 3))
    assert blank < at_the_limit < float(updated_error(share, []))


def test_prior_and_posterior_are_figures_with_a_why() -> None:
    found = report(results=three(0.5))
    (finding,) = [f for f in answers(found, "air", None) if f.key.startswith("measured-prediction")]
    by_name = {figure.name: figure for figure in finding.figures}
    before, after = by_name["predicted toluene for the same"], by_name["predicted toluene with these results"]
    assert after.value < before.value
    assert after.formula == "updated_error"
    assert "The sheet counts with the second" in finding.statement
    assert date(2026, 3, 2) in {m.date for m in found.job.measurements}
