"""What is not safe to judge, and what is missing for the records alone, are two things."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.cli.sheet import status
from safety.model import Finding, Report
from safety.render import records, text
from safety.render.arrange import arrange
from tests.unsafe_answers.shops import answers, sheet, write_shop
from tests.unsafe_answers.test_dangerous_levels import JOB
from tests.unsafe_answers.test_defaults import SHOP

GLOVE = """\

[[glove]]
id = "thick"
material = "PE/EVAL laminate"
thickness = "0.06 mm"
breakthrough = { "67-64-1" = { time = "480 min", standard = "EN 16523-1", temperature = "23 degC" } }

[[eyewear]]
id = "goggles"
kind = "splash goggles"

[[container]]
id = "rags"
stream = "solvent wipes"
accepts = ["wet-cloths"]
reactivity = []
size = "40 L"
kind = "satellite"

[[container]]
id = "tools"
stream = "brushes and gloves"
reactivity = []
size = "40 L"
kind = "satellite"
accepts = ["tools-and-gloves"]
"""

PRODUCT = """\
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-18 degC"
boiling_point = "56 degC"
sds_revised = 2026-01-01
{hazards}

[[product.part]]
cas = "67-64-1"
weight = "100 %"
"""
HAZARDS = 'hazards = ["H225", "H319", "H336"]'


def wiped(folder: Path, amount: str = "10 mL", hazards: str = HAZARDS, coating: str = "") -> Report:
    product = PRODUCT.format(hazards=hazards + coating)
    job = JOB.format(amount=amount, minutes=20, area=0.5)
    return sheet(write_shop(folder, SHOP + GLOVE, {"wash": product}, {"wipe": job}), "wipe")


def test_a_missing_record_does_not_make_the_work_unsafe(tmp_path: Path) -> None:
    """No ledger: how much waste the month has is not known. The sheet was INCOMPLETE, exit 3, and people got used to it."""
    report = wiped(tmp_path)
    assert any("There is no ledger" in line for line in report.books)
    assert report.missing == ()
    assert status(report) == 0
    printed = text.sheet(report)
    assert "INCOMPLETE" not in printed
    assert "Books not complete" in printed
    record = records.sheet(report)
    assert record["complete"] is True
    assert record["books"] == list(report.books)
    assert {f["gap"] for f in record["findings"] if f["unknown"]} == {"books"}


def test_a_coating_without_its_category_is_for_the_books(tmp_path: Path) -> None:
    report = wiped(tmp_path, coating='\ncoating = "top-secret"')
    assert any("held against a limit" in line for line in report.books)
    assert report.complete


def test_what_may_hurt_somebody_stamps_the_sheet(tmp_path: Path) -> None:
    """It said "Controls needed" beside an amount nobody knows: as if there were something to do, and then to start."""
    for folder, report in (
        ("amount", wiped(tmp_path / "amount", amount="unknown")),
        ("hazards", wiped(tmp_path / "hazards", hazards="")),
    ):
        assert report.missing, folder
        assert status(report) == 3, folder
    whole = wiped(tmp_path / "hazards2", hazards="")
    assert arrange(whole).result == ("UNKNOWN", "Not all known - find out before anybody starts")
    assert "INCOMPLETE" in text.sheet(whole)


@pytest.mark.parametrize("topic", ["air", "fire", "hands", "eyes", "breathing", "skin"])
def test_nothing_that_can_hurt_is_put_into_the_books(tmp_path: Path, topic: str) -> None:
    report = wiped(tmp_path, amount="unknown", hazards="")
    found: list[Finding] = [f for step in (None, 0) for f in answers(report, topic, step)]  # type: ignore[arg-type]
    assert all(f.gap == "safety" for f in found)
