"""A law with an action level of its own was named on the sheet and held against nothing.

"From the action level of 12.5 ppm on, the air is measured" stood on a sheet of dichloromethane at 200 ppm as on one at
0.01 ppm; the reader had to look for the figure. 29 CFR 1910.1052(b): 12.5 ppm; (c): 25 and 125 ppm; (j)(1): 30 and 10
days a year.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.model import Finding
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_restrictions import JOB, PRODUCT, SHOP

USE = '\n[[step.use]]\nproduct = "strip"\nwork = "wipe"\namount = "{amount}"\narea = "0.2 m^2"\n'


def _standard(folder: Path, amount: str, part: str) -> Finding:
    shop = write_shop(
        folder,
        SHOP.format(pack="us-federal", least=2, most=4, more=""),
        {"strip": PRODUCT.format(id="strip", hazards='hazards = ["H351"]', part=part)},
        {"work": JOB.format(day=date(2026, 12, 1)) + USE.format(amount=amount)},
    )
    (found,) = [f for f in sheet(shop, "work", 100).findings if f.key == "restricted-osha-75-09-2"]
    return found


HOUSE = """
[pack]
id = "house"
title = "House rules"
jurisdiction = "house"
edition = "2026"

[[restricted]]
id = "house-351"
codes = ["H351"]
asks = "duties"
level = "control"
text = "Measured from the action level on."
action_ppm = 5.0
citation = "house rule 4"
edition = "2026"
"""
PURE = 'cas = "75-09-2"\nweight = "100 %"'


@pytest.mark.parametrize(("amount", "reached"), [("2 L", True), ("1 mL", False)])
def test_the_air_is_held_against_the_action_level(tmp_path: Path, amount: str, reached: bool) -> None:
    found = _standard(tmp_path, amount, PURE)
    assert ("At or over the action level of 12.5 ppm" in found.statement) is reached, found.statement
    assert ("Mark the area" in found.statement) is reached
    assert ("30 such days a year, or 10 over the limit" in found.statement) is reached
    assert [f.unit for f in found.figures] == ["ppm", "ppm"]


def test_a_level_for_statements_names_no_vapour_and_counts_as_reached(tmp_path: Path) -> None:
    """A house row that goes by codes ended the plugin, and with it every answer on respirators and gloves."""
    shop = write_shop(
        tmp_path,
        SHOP.format(pack="us-federal", least=2, most=4, more="").replace(
            '"us-federal"', '"us-federal", "rules/house.toml"'
        ),
        {"strip": PRODUCT.format(id="strip", hazards='hazards = ["H351"]', part=PURE)},
        {"work": JOB.format(day=date(2026, 12, 1)) + USE.format(amount="1 mL")},
    )
    (shop / "rules").mkdir()
    (shop / "rules" / "house.toml").write_text(HOUSE, encoding="utf-8")
    report = sheet(shop, "work", 100)
    assert report.failures == ()
    (found,) = [f for f in report.findings if f.key == "restricted-house-351"]
    assert "is in the air is not all computed: taken as at the action level of 5 ppm" in found.statement
    assert found.unknown


def test_air_nobody_can_judge_clears_no_level(tmp_path: Path) -> None:
    found = _standard(tmp_path, "unknown", PURE)
    assert "taken as at the action level" in found.statement
    assert found.unknown
