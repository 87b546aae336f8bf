"""A number beside a bound never reads as if it lay on the other side of it."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Print works (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "press-hall"
kind = "room"
volume = "900 m^3"
temperature = "{air}"

[[place.air]]
state = "fan on"
air_changes = ["6 /hour", "9 /hour"]
air_speed = ["0.1 m/s", "0.3 m/s"]
basis = "invented"

[[glove]]
id = "thick"
material = "nitrile"
thickness = "0.5 mm"
breakthrough = {{"123-42-2" = {{time = "240 min", standard = "EN 16523-1", temperature = "{test}"}}}}

[[eyewear]]
id = "goggles"
kind = "splash goggles"
"""

WASH = """
[product]
id = "wash"
name = "Roller wash"
role = "cleaner"
purpose = "cleaner"
density = "0.93 g/mL"
flash_point = "{flash}"
boiling_point = "166 degC"
hazards = ["H319"]
sds_revised = 2026-01-15

[[product.part]]
cas = "123-42-2"
weight = "100 %"
"""

JOB = """
[job]
id = "wash-up"
title = "Wash the rollers"
place = "press-hall"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "10 min"
{keys}

[[step.use]]
product = "wash"
work = "brush"
amount = "20 g"
area = "0.2 m^2"
"""


def _sheet(
    folder: Path,
    air: str = "21 degC",
    test: str = "23 degC",
    flash: str = "58 degC",
    surface: str = "",
    holds: str = "",
) -> Report:
    shop = SHOP.format(air=air, test=test)
    given = {"surface_temperature": surface, "structure_holds": holds}
    job = JOB.format(keys="\n".join(f'{key} = "{value}"' for key, value in given.items() if value))
    return sheet(write_shop(folder, shop, {"wash": WASH.format(flash=flash)}, {"wash-up": job}), "wash-up")


def _hands(report: Report) -> str:
    return answers(report, "hands", 0)[0].statement


def test_a_glove_time_measured_just_too_cold(tmp_path: Path) -> None:
    """Before: "measured too cold, at 22 °C", where 22 °C is warm enough."""
    assert "too cold, at just under 22 °C" in _hands(_sheet(tmp_path, test="21.7 degC"))


def test_a_place_just_warmer_than_a_glove_time_covers(tmp_path: Path) -> None:
    """Before: "it may get 33 °C here, more than its time covers", where 33 °C is covered."""
    assert "it may get just over 33 °C here" in _hands(_sheet(tmp_path, surface="33.3 degC"))
    assert "it may get" not in _hands(_sheet(tmp_path / "warm", surface="91.4 degF")), "91.4 degF is 33 degC"


def test_a_glove_time_divided_because_the_test_was_just_colder_than_a_hand(tmp_path: Path) -> None:
    """Before: the derivation said "33 °C" of a time that was divided because it was not measured at 33 °C."""
    (found,) = answers(_sheet(tmp_path, test="32.7 degC"), "hands", 0)
    assert "just under 33 °C" in repr(found.figures)


@pytest.mark.parametrize(("warm", "burns"), [("43.3 degC", True), ("42.8 degC", False)])
def test_a_liquid_on_either_side_of_the_margin_below_its_flash_point(tmp_path: Path, warm: str, burns: bool) -> None:
    """Flash point 48.1 °C; a pure liquid counts from 5 K below it (EN 1127-1), so from 43.1 °C.

    Before: "it is at up to 43 °C, its flash point is 48 °C" of both, and never from where on it counts.
    """
    fire = " ".join(f.statement for f in answers(_sheet(tmp_path, flash="48.1 degC", surface=warm), "fire", 0))
    assert ("can be lit" in fire) is burns
    assert ("just over 43 °C" if burns else "at most just under 43 °C") in fire
    assert ("from 43 °C on it counts as one that can be lit" in fire) is burns


def test_a_held_liquid_just_inside_its_margin(tmp_path: Path) -> None:
    """The held kerosene burns from 35 °C or lower, "near" from 15 K below. Before: two numbers just 15 apart."""
    report = _sheet(tmp_path, surface="20.3 degC", air="20 degC", holds="8008-20-6")
    (held,) = [f for f in report.findings if f.key == "fire-held"]
    assert held.level == "control"
    assert "at up to just over 20 °C, near 35 °C" in held.statement
