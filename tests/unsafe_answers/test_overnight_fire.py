"""The fire answer of a step holds until somebody works in the place again: what is left wet dries on overnight."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from safety.cited import Unknown
from safety.clock import clock
from safety.exposure.result import p95
from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Net loft (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "loft"
kind = "room"
volume = "60 m^3"
temperature = "22 degC"

[[place.air]]
state = "shut"
air_changes = "0.4 /hour"
air_speed = "0.1 m/s"
basis = "invented"

[[place]]
id = "store"
kind = "room"
volume = "60 m^3"
temperature = "22 degC"

[[place.air]]
state = "shut"
air_changes = "0.4 /hour"
air_speed = "0.1 m/s"
basis = "invented"
"""

DIP = """
[product]
id = "dip"
name = "Net dip"
role = "coating"
purpose = "coating"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225"]
sds_revised = 2026-01-15

[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""

JOB = """
[job]
id = "dipping"
title = "Dip nets and leave them to dry"
place = "{home}"
start = 2026-11-25T15:00:00
crew = 1
{first}
[[step]]
name = "Dip"
duration = ["20 min", "20 min"]
place = "loft"

[[step.leaves_wet]]
what = "wet nets"
product = "dip"
amount = "1.2 kg"
area = "0.5 m^2"
{after}
"""

ELSEWHERE = """
[[step]]
name = "Count the dry nets"
duration = ["60 min", "60 min"]
place = "store"
"""


def _sheet(folder: Path, home: str = "loft", first: str = "", after: str = "") -> Report:
    jobs = {"dipping": JOB.format(home=home, first=first, after=after)}
    return sheet(write_shop(folder, SHOP, {"dip": DIP}, jobs), "dipping")


def _shares(report: Report, step: int) -> list[float]:
    """What the fire answers of a step say the air reaches [% of the lower explosive limit]."""
    names = "share of the lower explosive limit"
    return [f.value for a in answers(report, "fire", step) for f in a.figures if f.name.startswith(names)]


def test_the_share_is_the_highest_until_the_clock_ends(tmp_path: Path) -> None:
    """Before: the answer of the last step named the share within its 20 minutes; the curve went far past it later."""
    report = _sheet(tmp_path)
    curves = report.exposure.curves
    assert not isinstance(curves.far_fraction_p95, Unknown)
    within = float(p95(report.exposure.steps[0].far_explosive_fraction)) * 100
    most = float(np.max(curves.far_fraction_p95)) * 100
    assert within < 10 < most, "the shop was made so that the air passes 10 % after the step alone"
    assert max(_shares(report, 0)) >= most * 0.999
    (stop,) = [f for f in answers(report, "fire", 0) if f.key == "fire-far"]
    assert stop.level == "stop"
    assert "when the step is over" in stop.statement
    assert "take" in stop.remedy.lower()


def test_the_hours_without_a_flame_last_as_long_as_the_air_can_burn(tmp_path: Path) -> None:
    """Before: the time without flames ended with the step wherever the air was thin at that moment."""
    report = _sheet(tmp_path)
    curves = report.exposure.curves
    fraction = curves.decisive.near_fraction
    assert not isinstance(fraction, Unknown)
    last = max(t for t, f in zip(curves.times, fraction, strict=True) if f >= 0.1)
    (zone,) = [f for f in answers(report, "fire", 0) if f.key == "fire-zone"]
    until = min(t for t in curves.times if t > last)
    assert f"to {clock(report.job.start, float(until), 'up')}" in zone.statement


def test_work_elsewhere_does_not_hide_what_the_air_of_the_place_left_comes_to(tmp_path: Path) -> None:
    """Before: while the next step was done in another place, no answer held the air of the place left wet."""
    alone = max(_shares(_sheet(tmp_path / "alone"), 0))
    for home in ("loft", "store"):
        report = _sheet(tmp_path / home, home, after=ELSEWHERE)
        # the draws of a place are numbered by its order in the job, so the 200 of them are others in "store"
        assert max(_shares(report, 0)) >= alone * 0.9, home
        assert max(_shares(report, 1), default=0.0) < 1, "nothing is wet in the store"


def test_a_step_that_follows_at_once_answers_for_its_own_time(tmp_path: Path) -> None:
    """The air after a step is not charged to it where the next step in the place has its own answer."""
    again = ELSEWHERE.replace('"store"', '"loft"')
    report = _sheet(tmp_path, after=again)
    assert report.exposure.steps[0].after is None
    assert max(_shares(report, 0)) < max(_shares(report, 1))
