"""A petroleum fraction boils over a range: section 9 of a product that is nothing else is the part's own."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.datasheet.test_composition import sheet

SPIRIT = "White spirit, low aromatic   64742-48-9   > 99 %"
SECTION = """Flash point: 40 °C (closed cup)
Boiling range: 150 - 200 °C
Density: 0.78 g/cm3
VOC: 780 g/l
Vapour pressure: 0.3 kPa at 20 °C
Explosion limits: 0.6 - 7.0 vol-%
Viscosity, kinematic: 1.2 mm²/s at 40 °C"""


def test_one_part_gets_what_section_9_says(tmp_path: Path) -> None:
    draft = sheet(tmp_path, SPIRIT, SECTION, "H226 H304")
    (part,) = draft.parts
    assert {value.key: value.written for value in part.stated} == {
        "boiling_range": ["150 degC", "200 degC"],
        "vapour_pressure": ["0.3 kPa", "0.3 kPa"],
        "vapour_pressure_at": "20 degC",
        "lower_explosive_limit": "0.6 %",
    }
    assert draft.values["viscosity"].written == "1.2 mm2/s"


def test_without_an_end_the_range_is_asked_for(tmp_path: Path) -> None:
    draft = sheet(tmp_path, SPIRIT, SECTION.replace("150 - 200", "150"), "H226 H304")
    assert draft.parts[0].stated == []
    assert any("boiling_range" in sentence for sentence in draft.warnings)


def test_of_two_parts_neither_has_section_9_for_itself(tmp_path: Path) -> None:
    parts = "White spirit   64742-48-9   60 - 80 %\nXylene   1330-20-7   20 - 40 %"
    assert all(not part.stated for part in sheet(tmp_path, parts, SECTION, "H226 H304").parts)


@pytest.mark.parametrize(
    "printed", ["> 20.5 mm²/s at 40 °C", "35 mm²/s at 40 °C", "1.2 mm²/s at 20 °C", "24 mPa·s at 40 °C"]
)
def test_no_viscosity_of_a_sheet_rules_a_hazard_out(tmp_path: Path, printed: str) -> None:
    """H304 of the parts falls away for a thick product: a draft must not be what says it is thick."""
    section = SECTION.replace("1.2 mm²/s at 40 °C", printed)
    assert "viscosity" not in sheet(tmp_path, SPIRIT, section, "H226 H304").values
