"""What is still wet on Monday was nobody's: a job that was over a day before was left out, whatever lay there.

Two litres of lamp oil on a plate on Friday, a gas torch beside it on Monday: "Nothing wet that can be lit."
"""

from __future__ import annotations

from pathlib import Path

from safety.day import assess_day
from safety.model import Report
from safety.workplace import Workplace
from tests.unsafe_answers.shops import answers, write_shop

SHOP = """
[shop]
name = "Pattern shop (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "bench"
kind = "room"
volume = "90 m3"
temperature = ["18 degC", "24 degC"]
[[place.air]]
state = "shut"
air_changes = ["0.3 /hour", "1 /hour"]
air_speed = ["0.03 m/s", "0.1 m/s"]
basis = "our guess"
"""
OIL = """
[product]
id = "liquid"
name = "Lamp oil"
role = "soak"
purpose = "cleaner"
density = "0.8 g/mL"
flash_point = "45 degC"
boiling_point = "170 degC"
sds_revised = 2026-01-01
hazards = ["H226", "H304"]
[[product.part]]
cas = "64742-47-8"
weight = "100 %"
boiling_range = ["170 degC", "230 degC"]
density = "0.8 g/mL"
flash_point = "45 degC"
carbon_numbers = [10, 13]
aromatics = "1 %"
benzene = "0 %"
"""
KETONE = """
[product]
id = "liquid"
name = "Acetone"
role = "wash"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-20 degC"
boiling_point = "56 degC"
sds_revised = 2026-01-01
hazards = ["H225", "H319", "H336"]
[[product.part]]
cas = "67-64-1"
weight = "100 %"
"""
FRIDAY = """
[job]
id = "friday"
title = "Soak the rusty plate"
place = "bench"
start = 2026-12-04T15:00:00
crew = 1
[[step]]
name = "Flood it"
duration = "20 min"
[[step.use]]
product = "liquid"
work = "brush"
amount = "2 L"
area = "1 m2"
"""
MONDAY = """
[job]
id = "monday"
title = "Heat the bracket"
place = "bench"
start = 2026-12-07T07:30:00
crew = 1
[[step]]
name = "Torch"
duration = "20 min"
ignition_sources = ["gas torch"]
"""


def monday(folder: Path, product: str) -> Report:
    write_shop(folder, SHOP, {"liquid": product}, {"friday": FRIDAY, "monday": MONDAY})
    return assess_day(Workplace.open(folder), ["friday", "monday"], draws=60)[1]


def test_a_torch_on_monday_beside_what_is_wet_since_friday(tmp_path: Path) -> None:
    report = monday(tmp_path, OIL)
    assert [one.job.id for one in report.exposure.neighbours] == ["friday"]
    assert any(found.level == "stop" for found in answers(report, "fire", 0))


def test_what_is_dry_and_gone_since_friday_is_nobodys_business(tmp_path: Path) -> None:
    report = monday(tmp_path, KETONE)
    assert report.exposure.neighbours == ()
    assert not any(found.level == "stop" for found in answers(report, "fire", 0))
