"""24 changes of cartridges in 11 hours were asked for with an air line in stock: nobody follows that.

How many changes people keep up has no source: three in a shift, one at each break, common practice. What the times
themselves rest on is held against its sources elsewhere; here the shop's own written schedule sets them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Finding
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Invented dip room"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]
[settings]
cartridge_change_time = "{minutes} min"

[[place]]
id = "room"
kind = "room"
volume = "400 m3"
temperature = "20 degC"
humidity = "40 %"
[[place.air]]
state = "fan on"
air_changes = "3 /hour"
air_speed = "0.1 m/s"
basis = "tracer gas"
measured = 2026-01-10
"""
STOCK = {
    "Half mask": 'kind = "air-purifying"\nfacepiece = "half mask"\ncartridge = "organic vapour"',
    "Full mask": 'kind = "air-purifying"\nfacepiece = "full facepiece"\ncartridge = "organic vapour"',
    "Air line": 'kind = "supplied air"\nfacepiece = "full facepiece"\nmode = "continuous flow"',
    "Bottle": 'kind = "self-contained"\nfacepiece = "full facepiece"\nmode = "pressure demand"',
}
PRODUCT = """
[product]
id = "dip"
name = "Dip"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225", "H336"]
sds_revised = 2026-01-15
[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""
JOB = """
[job]
id = "job"
title = "Dip parts all day"
start = 2026-03-10T07:00:00
shift = "{shift} h"
crew = 1
place = "room"
surface = "steel"
[[step]]
name = "Dip"
duration = ["{hours} h", "{hours} h"]
[[step.use]]
product = "dip"
work = "open"
amount = "60 kg"
area = "0.14 m2"
"""


def _breathing(folder: Path, *stock: str, minutes: int = 27, hours: float = 11, shift: int = 12) -> Finding:
    shop = SHOP.format(minutes=minutes)
    for number, name in enumerate(stock):
        shop += f'\n[[respirator]]\nid = "r{number}"\nname = "{name}"\n{STOCK[name]}\n'
    made = write_shop(folder, shop, {"dip": PRODUCT}, {"job": JOB.format(hours=hours, shift=shift)})
    return next(f for f in answers(sheet(made, "job"), "breathing", 0))


def test_many_changes_make_way_for_an_air_line(tmp_path: Path) -> None:
    """11 h in pieces of 27 min are 24 whole pieces: 24 changes. Chosen before: the half mask."""
    found = _breathing(tmp_path, "Half mask", "Air line")
    assert (found.level, found.short) == ("control", "Air line")
    assert "Not Half mask: it would take 24 changes of cartridges in this job, more than people keep up." in (
        found.statement
    )


def test_where_the_stock_has_nothing_else_the_sheet_says_so(tmp_path: Path) -> None:
    found = _breathing(tmp_path, "Half mask")
    assert found.level == "control"
    assert found.short.endswith("; new cartridges every 27 min, 24 times: too often")
    assert "Changes in the whole job: 24." in found.statement
    assert "more than people keep up, and nothing else in stock will do" in found.statement


def test_another_mask_with_the_same_cartridges_is_no_way_out(tmp_path: Path) -> None:
    """A bottle lasts no longer than a cartridge, so it is none either."""
    found = _breathing(tmp_path, "Half mask", "Full mask", "Bottle")
    assert found.short.startswith("Half mask")


@pytest.mark.parametrize(
    ("minutes", "hours", "shift", "chosen"),
    [
        (120, 8, 8, "Half mask"),  # 3 changes: at 2, 4 and 6 h
        (119, 8, 8, "Air line"),  # 4 changes: at 1:59, 3:58, 5:57 and 7:56
        (120, 11, 12, "Air line"),  # 5 changes in one shift
    ],
)
def test_three_changes_a_shift_are_kept_up(tmp_path: Path, minutes: int, hours: int, shift: int, chosen: str) -> None:
    found = _breathing(tmp_path, "Half mask", "Air line", minutes=minutes, hours=hours, shift=shift)
    assert found.short.startswith(chosen)


def test_the_sheet_says_how_many_changes_there_are(tmp_path: Path) -> None:
    found = _breathing(tmp_path, "Half mask", "Air line", minutes=150, hours=8, shift=8)
    assert "Change them at 09:30, 12:00, 14:30" in found.statement
    assert "Changes in the whole job: 3." in found.statement
