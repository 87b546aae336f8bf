"""What the files and the data say is said to somebody.

Before, an upper explosive limit and an ignition temperature were loaded for most substances and no sheet, page or
derivation ever named one; the maker's emergency telephone stood in a comment of the draft, which nobody prints.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.datasheet.identity import telephone
from safety.datasheet.pairs import Pair
from safety.datasheet.record import Draft
from safety.files.reading import read_shop
from safety.model import Lines, Report
from safety.problems import Problems
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Boat shed (invented)"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]
[[place]]
id = "shed"
kind = "room"
volume = "200 m3"
temperature = "20 degC"
[[place.air]]
state = "doors shut"
air_changes = "2 /hour"
air_speed = "0.1 m/s"
basis = "estimated"
"""
PRODUCT = """
[product]
id = "wash"
name = "Wash (invented)"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304"]
emergency_telephone = "030 23125 199 (day and night)"
part = [{ cas = "108-88-3", weight = "100 %" }]
"""
JOB = """
[job]
id = "wipe"
title = "Wipe"
place = "shed"
start = 2026-12-01T08:00:00
crew = 1
[[step]]
name = "Wipe"
duration = "10 min"
use = [{ product = "wash", work = "wipe", amount = "20 mL", area = "0.5 m2" }]
"""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    return sheet(
        write_shop(tmp_path_factory.mktemp("keys") / "shed", SHOP, {"wash": PRODUCT}, {"wipe": JOB}), "wipe", 60
    )


def test_the_sheet_says_from_where_to_where_a_vapour_burns_and_what_lights_it(report: Report) -> None:
    (found,) = [f for f in report.findings if f.key == "fire-burns:108-88-3"]
    # the widest range and the lowest temperature of several sources: toluene in the shipped data
    assert found.statement == (
        "Vapour of toluene burns from 1 % to 7.8 % in air. Air with more of it burns while it is cleared. "
        "From 480 °C on a surface can light toluene."
    )
    upper, hot = found.figures
    assert upper.value == pytest.approx(7.8)
    assert hot.value == pytest.approx(753.15)
    assert all(figure.inputs for figure in found.figures)  # where each comes from


@pytest.mark.parametrize("key", ["first-aid", "spill"])
def test_the_makers_emergency_telephone_stands_beside_first_aid_and_spill(report: Report, key: str) -> None:
    (block,) = [b for b in report.blocks if isinstance(b, Lines) and b.key == key]
    number = "Wash (invented), its maker's emergency telephone: 030 23125 199 (day and night)."
    assert number in block.lines
    assert block.at_work[-1] == number


def test_what_is_no_telephone_is_refused(tmp_path: Path) -> None:
    bad = PRODUCT.replace("030 23125 199 (day and night)", "see section 1")
    with pytest.raises(Problems, match='"see section 1" is not a telephone number; write for example'):
        read_shop(write_shop(tmp_path / "shed", SHOP, {"wash": bad}, {}))


@pytest.mark.parametrize(
    ("values", "taken"),
    [
        (["01632 960 999 (office hours 08:00 - 17:00)"], "01632 960 999 (office hours 08:00 - 17:00)"),
        (["+44 (0)1632 960 999", "+44 (0)1632 960 999 day and night"], "+44 (0)1632 960 999"),
        (["01632 960 999 or 01632 960 888"], None),
        (["01632 960 999", "030 23125 199"], None),  # the maker's, or a poison centre's: a person decides
        (["see section 16"], None),
    ],
)
def test_a_draft_takes_a_number_only_where_there_is_one(values: list[str], taken: str | None) -> None:
    draft = Draft()
    telephone(draft, [Pair("emergency", "Emergency telephone", value, 1, 0.0, None) for value in values])
    value = draft.values.get("emergency_telephone")
    assert (value.written if value else None) == taken
