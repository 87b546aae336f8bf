"""The times a coat sets begin with the coat, and with nothing else that the step holds."""

from __future__ import annotations

from pathlib import Path

from safety.model import Finding, Report
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Pattern shop (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "bench"
kind = "room"
volume = "300 m^3"
temperature = "21 degC"

[[place.air]]
state = "fan on"
air_changes = ["6 /hour", "9 /hour"]
air_speed = ["0.1 m/s", "0.3 m/s"]
basis = "invented"
"""

PRIMER = """
[product]
id = "tie-coat"
name = "Tie coat"
role = "primer"
purpose = "primer"
density = "0.9 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225"]
sds_revised = 2026-01-15

[[product.part]]
cas = "108-88-3"
weight = "80 %"

[[product.part]]
name = "resin"
weight = "20 %"
volatile = false

[product.application]
coats = { any = 2, wood = 2 }
dry_between = "5 min"
dry_final = "10 min"
start_within = "30 min"
recoat_within = "60 min"
"""

JOB = """
[job]
id = "blocks"
title = "Prime and join two blocks"
place = "bench"
start = 2026-11-25T08:00:00
crew = 1
surface = "wood"

[[step]]
name = "Prime"
duration = "10 min"

[[step.use]]
product = "tie-coat"
work = "brush"
amount = "20 g"
area = "0.2 m^2"

[[step]]
name = "Wait by the open can"
duration = "40 min"
{open}
[[step]]
name = "Join"
duration = "10 min"
joins = "tie-coat"
"""

CAN = """
[[step.use]]
product = "tie-coat"
work = "open"
amount = "200 g"
area = "0.005 m^2"
"""


def _sheet(folder: Path, job: str) -> Report:
    return sheet(write_shop(folder, SHOP, {"tie-coat": PRIMER}, {"blocks": job}), "blocks")


def _windows(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.key.startswith("window-")]


def test_an_open_can_starts_no_clock_of_the_coat(tmp_path: Path) -> None:
    """Before: a second window, from 10:10 to 10:30, beside the coat's own that had closed at 08:55."""
    report = _sheet(tmp_path, JOB.format(open=CAN))
    assert [(w.step, w.last_coat) for w in report.timeline.windows] == [(0, 25 * 60)]
    (only,) = _windows(report)
    assert only.level == "control", "the plan begins to join at 09:15, after the window shut at 08:55"
    assert "08:55" in only.statement


def test_an_open_can_lengthens_no_step(tmp_path: Path) -> None:
    """Before: a step with nothing but the open can was laid out as two coats with their drying times."""
    with_can = _sheet(tmp_path / "can", JOB.format(open=CAN)).timeline
    without = _sheet(tmp_path / "none", JOB.format(open="")).timeline
    assert [(s.step, s.kind, s.start, s.end) for s in with_can.segments] == [
        (s.step, s.kind, s.start, s.end) for s in without.segments
    ]


def test_the_clock_of_a_coat_begins_with_its_own_last_coat(tmp_path: Path) -> None:
    """Before: a product of one coat had the window of another one's third coat, an hour too long."""
    other = PRIMER.replace("tie-coat", "top-coat").replace("{ any = 2, wood = 2 }", "{ any = 3, wood = 3 }")
    more = '[[step.use]]\nproduct = "top-coat"\nwork = "brush"\namount = "20 g"\narea = "0.2 m^2"\n\n[[step]]\nname = "Wait'
    job = JOB.format(open="").replace('[[step]]\nname = "Wait', more, 1)
    report = sheet(write_shop(tmp_path, SHOP, {"tie-coat": PRIMER, "top-coat": other}, {"blocks": job}), "blocks")
    ends = {w.product.id: w.last_coat / 60 for w in report.timeline.windows}
    assert ends == {"tie-coat": 25, "top-coat": 40}


def test_one_product_put_on_twice_in_a_step_has_one_window(tmp_path: Path) -> None:
    """Before: two windows of one name with two different amounts for "one more coat"."""
    edge = (
        '[[step.use]]\nproduct = "tie-coat"\nwork = "wipe"\namount = "30 g"\narea = "0.1 m^2"\n\n[[step]]\nname = "Wait'
    )
    report = _sheet(tmp_path, JOB.format(open="").replace('[[step]]\nname = "Wait', edge, 1))
    (only,) = _windows(report)
    more = next(f for f in only.figures if f.value == 50)
    assert "more coat" in more.name
