"""What a sheet says in two places is held together, and against the data: a person is told, nothing is mended.

Before, none of these sentences was said: the draft of a sheet that contradicts itself looked like any other.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from safety.datasheet.known import against_known, shipped
from safety.datasheet.record import Draft
from safety.reference import Reference
from tests.datasheet.scored import read

SHEET = """{head}SECTION 1: Identification of the substance/mixture and of the company/undertaking
Product name: Alder Wipe 1
Revision date: 2025-05-05
SECTION 2: Hazards identification
{hazards}
SECTION 3: Composition/information on ingredients
{parts}
SECTION 5: Firefighting measures
Foam.
SECTION 8: Exposure controls/personal protection
{limits}
SECTION 9: Physical and chemical properties
Flash point: {flash}
Boiling point: {boiling}
Density: {density} g/cm3
VOC: {voc}
SECTION 14: Transport information
{transport}
SECTION 15: Regulatory information
Regulation (EC) No 1907/2006
"""
SOUND = {
    "head": "",
    "hazards": "H225 H315 H319 H336 H304 H361d H373",
    "parts": "Toluene   108-88-3   60 - 70 %\nAcetone   67-64-1   30 - 40 %",
    "limits": "Toluene  108-88-3  50 ppm",
    "flash": "-10 °C (closed cup)",
    "boiling": "56 °C",
    "density": "0.80",
    "voc": "800 g/l",
    "transport": "14.1 UN number: UN 1993\n14.3 Class: 3\n14.4 Packing group: II",
}


@cache
def data() -> Reference:
    return shipped()


def drafted(folder: Path, **other: str) -> Draft:
    (draft,) = read(folder, SHEET.format(**{**SOUND, **other}).encode(), "sheet.txt")
    against_known(draft, data())
    return draft


def test_a_sheet_that_agrees_with_itself_is_told_nothing(tmp_path: Path) -> None:
    assert list(drafted(tmp_path).warnings) == []


@pytest.mark.parametrize(
    ("other", "says"),
    [
        ({"transport": "Class: 3\nPacking group: III"}, "Packing group III does not go with H225"),
        (
            {
                "hazards": "H226 H336 EUH066",
                "parts": "n-Butyl acetate   123-86-4   100 %",
                "flash": "27 °C (closed cup)",
                "boiling": "126 °C",
                "density": "0.88",
            },
            "Packing group II does not go with H226",
        ),
        (
            {"hazards": "H315 H319 H336", "transport": "Klasse 3, VG I"},
            "Packing group I does not go with the flash point or the boiling point",
        ),
        ({"transport": "Flash point: 30 °C"}, "Section 14 gives a higher flash point than section 9"),
        ({"boiling": "80 °C"}, "begin to boil above its part Acetone (56 degC, at least 30 %)"),
        ({"voc": "400 g/l"}, "less than the volatile parts come to (720 g/L at least)"),
        (
            {"parts": "Toluene   108-88-3   10 %\nWater   7732-18-5   90 %", "density": "0.95", "voc": "300 g/l"},
            "more than all volatile parts together (95 g/L)",
        ),
        (
            {"hazards": "H225 H315 H319 H336 H304 H373"},
            "The parts ask for H361d also at the lower ends of their shares",
        ),
        (
            {"parts": f"{SOUND['parts']}\nMDI   9016-87-9   0.2 - 0.5 %"},
            "EUH204",
        ),
        ({"parts": f"{SOUND['parts']}\nPolyisocyanate, aliphatic   -   0.2 - 0.5 %"}, "EUH204"),
        ({"limits": "Benzene  71-43-2  0.2 ppm"}, "no parts in section 3: 71-43-2"),
        ({"head": "ALDER WIPE 2\n"}, 'The head of the pages says "ALDER WIPE 2", section 1 says "Alder Wipe 1"'),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_what_disagrees_is_told_and_stands(tmp_path: Path, other: dict[str, str], says: str) -> None:
    draft = drafted(tmp_path, **other)
    assert any(says in sentence for sentence in draft.warnings), list(draft.warnings)
    assert {"flash_point", "boiling_point", "density", "voc", "hazards"} <= set(draft.values)


def test_of_two_flash_points_the_higher_does_not_stand(tmp_path: Path) -> None:
    """That of section 9 stood, and the lower one of section 14 was read by nobody."""
    draft = drafted(tmp_path, transport="14.4 Packing group: II\nFlash point: -18 °C c.c.")
    assert "flash_point" not in draft.values
    assert any("Section 14 gives a lower flash point" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize("transport", ["Class: 8\nPacking group: III", "ADR  PG II\nIATA  PG III", "not regulated"])
def test_a_packing_group_of_another_class_or_mode_says_nothing(tmp_path: Path, transport: str) -> None:
    assert not any("Packing group" in sentence for sentence in drafted(tmp_path, transport=transport).warnings)


def test_a_missing_statement_is_not_added(tmp_path: Path) -> None:
    draft = drafted(tmp_path, hazards="H225 H315 H319 H336 H304 H373")
    assert "H361d" not in draft.values["hazards"].written
