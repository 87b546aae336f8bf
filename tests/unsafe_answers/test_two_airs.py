"""Two jobs that the plan keeps apart, and that meet when one goes slowly and the other does not.

Before, only the plan's clock was looked at: a job with its doors open was computed with them open all through, though
the next one shuts them while it still goes on.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from safety.day import assess_day
from safety.model import Report
from safety.problems import Problems
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_doors import PRODUCT

SHOP = """
[shop]
name = "One room (invented)"
rules = ["us-federal"]
[[place]]
id = "bay"
kind = "room"
volume = "200 m3"
temperature = "20 degC"
[[place.air]]
state = "doors open"
air_changes = "12 /hour"
air_speed = "0.3 m/s"
basis = "estimated"
[[place.air]]
state = "doors shut"
air_changes = "0.5 /hour"
air_speed = "0.05 m/s"
basis = "estimated"
"""
JOB = """
[job]
id = "{id}"
title = "Wash {id}"
place = "bay"
air = "{air}"
start = 2026-11-25T{start}
crew = 1
[[step]]
name = "Wash"
duration = {duration}
people = "near"
[[step.use]]
product = "wash"
work = "wipe"
amount = "{amount}"
area = "2 m2"
"""
RANGE = '["40 min", "90 min"]'


def _day(folder: Path, start: str, duration: str, amount: str = "1 mL", air: str = "doors shut") -> dict[str, Report]:
    jobs = {
        "first": JOB.format(id="first", air="doors open", start="08:00:00", duration=duration, amount="1 L"),
        "second": JOB.format(id="second", air=air, start=start, duration='["20 min", "20 min"]', amount=amount),
    }
    write_shop(folder, SHOP, {"wash": PRODUCT}, jobs)
    return {r.job.id: r for r in assess_day(Workplace.open(folder), ["first", "second"], draws=100)}


def _breathed(report: Report) -> np.ndarray:
    return report.exposure.worker.worst_15min[:, 0]


def test_a_slow_job_is_judged_in_the_air_of_the_next_one(tmp_path: Path) -> None:
    apart = _day(tmp_path / "apart", "09:35:00", RANGE)["first"]
    meet = _day(tmp_path / "meet", "09:10:00", RANGE)
    assert np.median(_breathed(meet["first"])) > 1.2 * np.median(_breathed(apart)), "it was the same in both"
    for report in meet.values():
        told = [f.statement for f in report.findings if f.key.startswith("air-beside")]
        assert any("The worse of both counts" in text for text in told)
    told = [f.statement for f in apart.findings if f.key.startswith("air-beside")]
    assert not any("The worse of both counts" in text for text in told)


def test_neither_is_better_off_than_with_the_air_of_the_other(tmp_path: Path) -> None:
    """The worse of both: not under what the same day gives with the doors shut, or open, in both jobs."""
    meet = _day(tmp_path / "meet", "09:10:00", RANGE)
    same = _day(tmp_path / "same", "09:10:00", RANGE, air="doors open")
    for name in ("first", "second"):
        assert (_breathed(meet[name]) >= _breathed(same[name]) * (1 - 1e-6)).all()


def test_two_airs_at_one_time_of_the_plan_are_still_refused(tmp_path: Path) -> None:
    with pytest.raises(Problems):
        _day(tmp_path, "08:30:00", RANGE)
