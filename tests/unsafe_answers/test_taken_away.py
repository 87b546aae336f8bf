"""Two answers that became milder when a datum was taken away, found by made-up jobs."""

from __future__ import annotations

import math
from pathlib import Path

from safety.model import Report
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Spray shop in the yard (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "shed"
kind = "room"
volume = "15 m^3"
temperature = "20 degC"
[[place.air]]
state = "shut"
air_changes = ["1 /hour", "3 /hour"]
air_speed = "0.15 m/s"
basis = "our guess"
"""
CLEANER = """
[product]
id = "cleaner"
name = "Cleaner"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "18 degC"
hazards = ["H225"]
[[product.part]]
name = "ethylbenzene"
cas = "100-41-4"
weight = "100 %"
"""
JOB = """
[job]
id = "spray"
title = "Pour and spray"
place = "shed"
start = 2026-11-25T08:00:00
crew = 1
[[step]]
name = "Pour"
duration = "1 min"
[[step.use]]
product = "cleaner"
work = "pour"
amount = "50 mL"
area = "1 m^2"
[[step]]
name = "Spray"
duration = "1 min"
[[step.use]]
product = "cleaner"
work = "spray"
amount = "40 g"
"""


def _report(folder: Path, product: str) -> Report:
    return sheet(write_shop(folder, SHOP, {"cleaner": product}, {"spray": JOB}), "spray", draws=60)


def _until(report: Report) -> float:
    (zone,) = (f for f in report.findings if f.key == "fire-zone" and f.step == 1)
    return zone.figures[-1].value


def test_without_a_density_the_time_without_flames_has_no_end(tmp_path: Path) -> None:
    """What was poured could not be weighed any more, and the time came earlier: the sprayed share alone was in it."""
    known = _until(_report(tmp_path / "a", CLEANER))
    assert math.isfinite(known)
    assert _until(_report(tmp_path / "b", CLEANER.replace('density = "0.87 g/mL"', ""))) == math.inf


def test_without_a_list_of_hazards_somebody_still_has_to_ask(tmp_path: Path) -> None:
    """That its parts imply more than the data sheet says was a control, and with no data sheet's list only a note."""
    for name, product in (("a", CLEANER), ("b", CLEANER.replace('hazards = ["H225"]', ""))):
        report = _report(tmp_path / name, product)
        (found,) = (f for f in report.findings if f.key == "product-hazards-cleaner")
        assert found.level == "control", name
