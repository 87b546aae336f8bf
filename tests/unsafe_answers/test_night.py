"""When the shift is over the doors are shut: what is still wet gives off into that air, and somebody comes in next."""

from __future__ import annotations

from pathlib import Path

from safety.cited import Unknown
from safety.exposure.result import p95
from safety.model import Finding, Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Sail loft (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "loft"
name = "Drying loft"
kind = "room"
volume = "80 m^3"
temperature = "22 degC"
{overnight}

[[place.air]]
state = "fans on"
air_changes = "12 /hour"
air_speed = "0.2 m/s"
basis = "invented"

[[place.air]]
state = "doors shut"
air_changes = "0.1 /hour"
air_speed = "0.1 m/s"
basis = "invented"
"""

DIP = """
[product]
id = "dip"
name = "Sail dip"
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
title = "Dip sails and leave them to dry"
place = "loft"
air = "fans on"
start = 2026-11-25T13:00:00
shift = "3 h"
crew = 1

[[step]]
name = "Dip"
duration = ["100 min", "100 min"]

[[step.leaves_wet]]
what = "wet sails"
product = "dip"
amount = "12 kg"
area = "{area}"
"""


def _sheet(folder: Path, overnight: str = "", area: str = "1 m^2") -> Report:
    said = f'overnight = "{overnight}"' if overnight else ""
    shop = write_shop(folder, SHOP.format(overnight=said), {"dip": DIP}, {"dipping": JOB.format(area=area)})
    return sheet(shop, "dipping")


def _clear(report: Report) -> Finding:
    (found,) = [f for f in report.findings if f.key == "air-clear"]
    return found


def _fire_after(report: Report) -> float:
    after = report.exposure.steps[0].after
    assert after is not None
    assert not isinstance(after.far_explosive_fraction, Unknown)
    return float(p95(after.far_explosive_fraction))


def test_the_night_is_followed_in_the_air_of_the_night(tmp_path: Path) -> None:
    """Before: the fans of the last step ran all night, and no answer held the air that had filled the loft by morning."""
    shut, fans = _sheet(tmp_path / "shut"), _sheet(tmp_path / "fans", "fans on")
    assert _fire_after(fans) < 0.1 < _fire_after(shut), "the shop was made so"
    stops = [[f.key for f in answers(r, "fire", 0) if f.level == "stop" and f.key == "fire-far"] for r in (shut, fans)]
    assert stops == [["fire-far"], []]


def test_who_comes_in_next_is_told_to_let_air_in(tmp_path: Path) -> None:
    """Before: a time in the night by which the air was clear, of fans nobody had left on, and no word on the morning."""
    found = _clear(_sheet(tmp_path))
    assert found.level == "control"
    assert found.short == "Air not clear within 24 h"
    assert "From 16:00 on, when the shift is over, the place counts as “doors shut”." in found.statement
    assert "after a weekend" in found.statement


def test_where_the_night_clears_it_the_page_says_so_beside_the_time(tmp_path: Path) -> None:
    found = _clear(_sheet(tmp_path, "fans on", "5 m^2"))
    assert found.level == "control"
    assert found.short.startswith("Air clear ")
    assert found.short.endswith("; next shift: air the place first")


def test_nothing_is_asked_of_them_where_the_air_is_clear_by_then(tmp_path: Path) -> None:
    found = _clear(_sheet(tmp_path, "fans on", "0.004 m^2"))
    assert found.level == "note", found.statement
    assert "next shift" not in found.short


def test_a_state_that_was_taken_is_said(tmp_path: Path) -> None:
    """A default on the careful side, and named."""
    said = "Drying loft counts as “doors shut” once the shift is over, its state with the least air."
    assert said in _sheet(tmp_path / "taken").job.assumed
    assert said not in _sheet(tmp_path / "given", "doors shut").job.assumed
