"""A control is what somebody must do. Too many of them on a page, and none is read."""

from __future__ import annotations

from pathlib import Path

from tests.unsafe_answers.shops import answers
from tests.unsafe_answers.test_dangerous_levels import wiped
from tests.unsafe_answers.test_defaults import SHOP


def test_where_nobody_is_over_a_limit_nothing_of_the_air_is_a_control(tmp_path: Path) -> None:
    """5 mL of toluene, half of every limit: "Control: Air clear 08:21", and nothing to do until then."""
    report = wiped(tmp_path, "108-88-3", "5 mL", SHOP)
    assert [f.level for f in answers(report, "breathing", 0)] == ["note"]
    clear = next(f for f in answers(report, "air", None) if f.key == "air-clear")
    assert clear.level == "note"
    assert {f.level for f in (*answers(report, "air", None), *answers(report, "air", 0))} == {"note"}


def test_a_quarter_hour_over_a_limit_is_a_control_once_at_its_step(tmp_path: Path) -> None:
    """It stood twice on the first page, at its step and for the whole job, with nothing to do in the second place."""
    report = wiped(tmp_path, "108-88-3", "20 mL", SHOP)
    (step,) = answers(report, "air", 0)
    assert step.level == "control"
    short_time = [f for f in answers(report, "air", None) if f.key.startswith(("air-15min", "air-ceiling"))]
    assert {f.level for f in short_time} == {"note"}
    assert any("over the limit" in f.statement for f in short_time)
    clear = next(f for f in answers(report, "air", None) if f.key == "air-clear")
    assert clear.level == "control"  # somebody is over a limit, so others wait until then
