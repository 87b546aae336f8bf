"""What is done in the first minute stands on the technician's paper, in every language and on both sizes of paper.

Before, the back of a sheet left out "Anything else, or unsure: shout, get out", "No carbon dioxide in a closed space
with people in it" and in German "Swallowed: ... do NOT induce vomiting", for want of room: "4 more: see the annex".
The annex lies with the safety officer.
"""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pypdf import PdfReader

from safety.model import Lines
from safety.render import pdf
from safety.words import LANGUAGES, speaking, speech
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Boat shed (invented)"
print_units = "{units}"
rules = ["us-federal"]
[[place]]
id = "shed"
kind = "room"
volume = "200 m3"
temperature = "20 degC"
eyewash = "beside the long door, behind the second pillar"
[[place.air]]
state = "doors shut"
air_changes = "2 /hour"
air_speed = "0.1 m/s"
basis = "estimated"
[[respirator]]
id = "half"
name = "Half mask with cartridges"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
"""
#: What a product can do for which there are most lines: fire, lungs, burns, poison through the skin, water, asthma.
PRODUCT = """
[product]
id = "{id}"
name = "Sealer {id} (invented)"
role = "sealer"
purpose = "coating"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304", "H311", "H314", "H317", "H334", "H361d", "H400"]
emergency_telephone = "030 23125 199 (day and night)"
part = [{{ cas = "108-88-3", weight = "100 %" }}]
"""
STEP = """
[[step]]
name = "Seal seam {id}"
duration = "10 min"
use = [{{ product = "{id}", work = "wipe", amount = "20 mL", area = "0.5 m2" }}]
"""
JOB = """
[job]
id = "seal"
title = "Seal the seams"
place = "shed"
start = 2026-12-01T08:00:00
crew = 1
"""


@pytest.mark.parametrize("units", ["us", "si"])
@pytest.mark.parametrize("language", LANGUAGES)
def test_first_aid_spill_and_fire_are_whole_on_the_back(tmp_path: Path, language: str, units: str) -> None:
    files = SHOP.format(units=units), {"a": PRODUCT.format(id="a")}, {"seal": JOB + STEP.format(id="a")}
    shop = write_shop(tmp_path / "shed", *files)
    with speaking(speech(language)):
        report = sheet(shop, "seal", 60)
        pages = PdfReader(io.BytesIO(pdf.sheet(report))).pages
    assert len(pages) == 2
    back = "".join(pages[1].extract_text().split())
    blocks = [b for b in report.blocks if isinstance(b, Lines) and b.key in ("first-aid", "spill", "fire")]
    assert len(blocks) == 3
    for line in (line for block in blocks for line in block.at_work):
        assert "".join(line.split()) in back, line


def test_of_many_makers_the_last_telephones_go_first(tmp_path: Path) -> None:
    """They are as many as products; the poison center's number stands above all of them."""
    ids = "abcdefghij"
    shop = write_shop(
        tmp_path / "shed",
        SHOP.format(units="us"),
        {id: PRODUCT.format(id=id) for id in ids},
        {"seal": JOB + "".join(STEP.format(id=id) for id in ids)},
    )
    report = sheet(shop, "seal", 60)
    back = "".join(PdfReader(io.BytesIO(pdf.sheet(report))).pages[1].extract_text().split())
    for block in (b for b in report.blocks if isinstance(b, Lines) and b.key in ("first-aid", "spill", "fire")):
        for line in block.at_work[:-10] if block.key != "fire" else block.at_work:
            assert "".join(line.split()) in back, line
