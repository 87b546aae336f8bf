"""What a data sheet leaves out is not believed against its own section 3: the parts' classes stand beside it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from safety.model import Finding, Report
from safety.render import text
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """\
[shop]
name = "Tideway bindery"
altitude = "0 m"
rules = ["{rules}"]

[[place]]
id = "room"
kind = "room"
volume = "150 m^3"
temperature = "21 degC"
near_radius = "0.6 m"

[[place.air]]
state = "open"
air_changes = "6 /hour"
air_speed = "0.2 m/s"
basis = "tracer gas"
measured = 2026-04-02

[[eyewear]]
id = "goggles"
kind = "splash goggles"

[[eyewear]]
id = "spectacles"
kind = "spectacles"

[[container]]
id = "drum"
stream = "spent solvent"
accepts = ["free-liquid"]
reactivity = []
size = "60 L"
kind = "satellite"
"""

JOB = """\
[job]
id = "strip"
title = "Strip"
place = "room"
air = "open"
start = 2026-11-25T09:00:00
crew = 1

[[step]]
name = "Strip"
duration = "5 min"

[[step.use]]
product = "soft"
work = "open"
amount = "20 mL"
area = "0.01 m^2"
"""

PRODUCT = """\
[product]
id = "soft"
name = "Soft"
role = "cleaner"
purpose = "cleaner"
density = "1.02 g/mL"
flash_point = "{flash}"
boiling_point = "190 degC"
{said}
sds_revised = 2026-01-10
"""
NMP = '\n[[product.part]]\ncas = "872-50-4"\nweight = "70 %"\n\n[[product.part]]\ncas = "7732-18-5"\nweight = "30 %"\n'


def strip(
    folder: Path, said: str = "not_classified = true", parts: str = NMP, rules: str = "eu", flash: str = "95 degC"
) -> Report:
    product = PRODUCT.format(said=said, flash=flash) + parts
    write_shop(folder, SHOP.format(rules=rules), {"soft": product}, {"strip": JOB})
    return sheet(folder, "strip")


def told(report: Report) -> Finding:
    (found,) = [f for f in report.findings if f.key == "product-hazards-soft"]
    return found


def block(report: Report, key: str) -> Any:
    return next(b for b in report.blocks if b.key == key)


@pytest.mark.parametrize("rules", ["eu", "us-federal"])
def test_a_solvent_sold_as_not_classified_is_a_control(tmp_path: Path, rules: str) -> None:
    """70 % NMP printed no hazard, no sign and no word: "the data sheet says not classified" was believed."""
    report = strip(tmp_path, rules=rules)
    found = told(report)
    assert found.level == "control"
    assert "the data sheet says that it is not classified" in found.statement
    for code in ("H315", "H319", "H335", "H360D"):
        assert code in found.statement
    assert "Ask the supplier" in found.statement
    assert "sold as not classified" in found.short


def test_it_stands_on_the_front(tmp_path: Path) -> None:
    """The front page: the control with the codes, and the signs of what the parts can do."""
    report = strip(tmp_path)
    front = " ".join(text.sheet(report).split("STEP 1")[0].split())
    assert "sold as not classified, its parts imply H315, H319, H335 and H360D: ask the supplier" in front
    assert "Lasting harm" in front
    grid = block(report, "product-hazards")
    assert grid.rows[0][1] == "Danger"
    assert "(from its parts, not on its data sheet)" in grid.rows[0][3]


def test_what_protects_people_rests_on_both(tmp_path: Path) -> None:
    """Eyes got "spectacles would do", skin "work clothes", and a swallowed mouthful no word."""
    believed = strip(tmp_path / "water", parts='\n[[product.part]]\ncas = "7732-18-5"\nweight = "100 %"\n')
    report = strip(tmp_path / "nmp")
    assert report.hazards_of(report.job.products[0]).careful >= {"H315", "H319", "H335", "H360"}
    assert believed.hazards_of(believed.job.products[0]).careful == frozenset()
    assert told(believed).level == "note"


def test_a_corrosive_left_out_still_takes_goggles(tmp_path: Path) -> None:
    """5 % n-butanol (H318) in a product that says H226 alone: an open dish was "spectacles"."""
    parts = (
        '\n[[product.part]]\ncas = "71-36-3"\nweight = "5 %"\n\n[[product.part]]\ncas = "7732-18-5"\nweight = "95 %"\n'
    )
    report = strip(tmp_path, 'hazards = ["H226"]', parts, flash="55 degC")
    (eyes,) = answers(report, "eyes", 0)
    assert "H318" in eyes.statement
    assert "goggles" in eyes.statement
    assert told(report).level == "control"
    assert "its parts imply H318" in told(report).short


def test_a_shorter_list_is_no_better_than_none(tmp_path: Path) -> None:
    """A data sheet with H319 hid H360D: nobody looked at the parts once it had said something."""
    found = told(strip(tmp_path, 'hazards = ["H319"]'))
    assert found.level == "control"
    assert "H360D" in found.short
    assert "H319" not in found.short


def test_what_a_graver_statement_covers_is_not_asked(tmp_path: Path) -> None:
    report = strip(tmp_path, 'hazards = ["H314", "H335", "H360FD"]')
    assert told(report).level == "note"
    assert report.hazards_of(report.job.products[0]).more == ()


def test_a_secret_part_is_said_beside_not_classified(tmp_path: Path) -> None:
    """Parts nobody knows add nothing that can be counted: once a note and "no signal word" on the front."""
    parts = '\n[[product.part]]\nname = "resin"\nweight = "100 %"\nvolatile = false\n'
    found = told(strip(tmp_path, parts=parts))
    assert found.level == "control"
    assert "not all its parts are known: ask the supplier" in found.short
    assert "Not checked: Soft: the hazards of resin are not disclosed." in found.statement


def test_a_data_sheet_may_say_more_than_its_parts(tmp_path: Path) -> None:
    """What the supplier knows and the lists do not stays: nothing is taken away."""
    report = strip(tmp_path, 'hazards = ["H315", "H319", "H335", "H360D", "H317"]')
    assert "H317" in report.hazards_of(report.job.products[0]).careful
    assert told(report).level == "note"
