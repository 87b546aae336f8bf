"""A cleaner of alcohol and water without a flash point was the same fire at 10 % and at 90 %.

With a flash point on its data sheet it was judged by that of the pure alcohol; both are wrong, and who is told "can be
lit" of everything stops reading. Measured: 49 degC at 10 % of ethanol by weight, 26 degC at 40 % (open engineering
tables).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Finding
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Window makers (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "hall"
kind = "room"
volume = "300 m3"
temperature = "20 degC"
[[place.air]]
state = "fan on"
air_changes = "4 /hour"
air_speed = "0.1 m/s"
basis = "measured 2026-01-10"
"""
PRODUCT = """
[product]
id = "glass"
name = "Glass"
role = "cleaner"
purpose = "cleaner"
density = "0.98 g/mL"
flash_point = "{flash}"
boiling_point = "85 degC"
sds_revised = 2026-01-15
{hazards}
{parts}
"""
JOB = """
[job]
id = "glass"
title = "Glass"
place = "hall"
start = 2026-11-25T08:00:00
crew = 1
surface = "steel"
[[step]]
name = "Brush"
duration = "10 min"
[[step.use]]
product = "glass"
work = "brush"
amount = "20 mL"
area = "2 m2"
"""
ETHANOL, METHANOL, PROPANOL, WATER = "64-17-5", "67-56-1", "67-63-0", "7732-18-5"


def _part(cas: str, weight: str) -> str:
    return f'\n[[product.part]]\ncas = "{cas}"\nweight = {weight}\n'


def _fire(folder: Path, *parts: str, flash: str = "unknown", hazards: str = "not_classified = true") -> list[Finding]:
    product = PRODUCT.format(flash=flash, hazards=hazards, parts="".join(parts))
    return answers(sheet(write_shop(folder, SHOP, {"glass": product}, {"glass": JOB}), "glass"), "fire", 0)


def _blend(alcohol: str, percent: float) -> tuple[str, str]:
    return _part(alcohol, f'"{percent} %"'), _part(WATER, f'"{100 - percent} %"')


def _said(found: list[Finding]) -> str:
    return " ".join(f.statement for f in found)


@pytest.mark.parametrize(
    ("percent", "said"), [(5, "stays well below"), (10, "stays well below"), (40, "can be lit"), (96, "can be lit")]
)
def test_ethanol_in_water_by_how_much_there_is(tmp_path: Path, percent: float, said: str) -> None:
    words = _said(_fire(tmp_path, *_blend(ETHANOL, percent)))
    assert said in words
    assert "computed for ethanol in water" in words


@pytest.mark.parametrize(
    "parts",
    [
        _blend(ETHANOL, 4),  # under what was measured
        _blend(METHANOL, 10),  # measured by somebody, read by nobody here
        _blend(PROPANOL, 10),
        (_part(ETHANOL, '"10 %"'), _part(WATER, '"88 %"'), _part("107-98-2", '"2 %"')),  # something else in it
        (_part(ETHANOL, '"10 %"'), _part(WATER, '"60 %"')),  # and a third that nobody names
    ],
    ids=["too little", "methanol", "2-propanol", "a third part", "an unnamed rest"],
)
def test_where_nothing_was_checked_nothing_is_computed(tmp_path: Path, parts: tuple[str, ...]) -> None:
    words = _said(_fire(tmp_path, *parts))
    assert "is not known" in words
    assert "computed for" not in words


def test_the_most_alcohol_its_sheet_allows_counts(tmp_path: Path) -> None:
    wide = (_part(ETHANOL, '["10 %", "60 %"]'), _part(WATER, '["40 %", "90 %"]'))
    assert "can be lit" in _said(_fire(tmp_path, *wide))


def test_a_statement_that_gainsays_the_model_is_believed(tmp_path: Path) -> None:
    """H225 is a flash point under 23 degC, and the model says 42."""
    words = _said(_fire(tmp_path, *_blend(ETHANOL, 10), hazards='hazards = ["H225"]'))
    assert "is not known" in words


@pytest.mark.parametrize(("flash", "lowest"), [("36 degC", "32 °C"), ("60 degC", "32 °C"), ("25 degC", "25 °C")])
def test_of_a_printed_and_a_computed_flash_point_the_lower_counts(tmp_path: Path, flash: str, lowest: str) -> None:
    """20 % by weight: 36 degC measured, 32 computed. Before: the 12 degC of pure ethanol, whatever the sheet said."""
    assert lowest in _said(_fire(tmp_path, *_blend(ETHANOL, 20), flash=flash))
