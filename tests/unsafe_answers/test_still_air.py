"""An open tray in still air: its own vapour clears it, and a sheet once said it gave off a sixth of what it does."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "A shop of one tray"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]

[[place]]
id = "cell"
kind = "room"
volume = "200 m^3"
temperature = "20 degC"
[[place.air]]
state = "fans off"
air_changes = "2 /h"
air_speed = "0.02 m/s"
basis = "measured"
"""

PRODUCT = """
[product]
id = "toluene"
name = "Toluene"
role = "solvent"
purpose = "cleaner"
density = "0.867 kg/L"
flash_point = "4 degC"
hazards = ["H225", "H304", "H315", "H336", "H361d", "H373"]
sds_revised = 2026-01-01

[[product.part]]
name = "toluene"
cas = "108-88-3"
weight = "100 %"
"""

JOB = """
[job]
id = "tray"
title = "Parts in a tray"
place = "cell"
air = "fans off"
start = 2026-11-25T07:30:00
crew = 1

[[step]]
name = "Dip"
duration = ["60 min", "60 min"]
people = "{people}"

[[step.use]]
product = "toluene"
work = "open"
amount = "10 L"
area = "0.25 m^2"
lifted_by = "Dip"
"""


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Report]:
    jobs = {who: JOB.format(people=who).replace('id = "tray"', f'id = "{who}"') for who in ("near", "away")}
    folder = write_shop(Path(tmp_path_factory.mktemp("shop")), SHOP, {"toluene": PRODUCT}, jobs)
    return {who: sheet(folder, who) for who in jobs}


def _given_off(report: Report) -> float:
    (balance,) = report.exposure.balances
    return float(np.median(balance.evaporated))


def test_the_vapour_clears_a_tray_that_no_air_moves_over(sheets: dict[str, Report]) -> None:
    """Before: 13 g in the hour, and 160 ppm for who stands there, as the pool equation tends to nothing in still air.

    0.27 Ra^(1/4) over 0.25 m2 (McAdams) is 1.1 mm/s; at 8 K of cooling and 0.07 kg/m3 that is some 70 g an hour.
    """
    assert 0.060 < _given_off(sheets["away"]) < 0.110, "still air gave off next to nothing"
    (stop,) = [f for f in answers(sheets["near"], "air", 0) if f.level == "stop"]
    assert stop.key == "air-idlh"


def test_who_works_at_it_stirs_the_air(sheets: dict[str, Report]) -> None:
    """Before: as if nobody was there; a person adds 0.05 m/s (Baldwin & Maynard 1998), and the tray gives off more."""
    assert _given_off(sheets["near"]) > 1.05 * _given_off(sheets["away"])
