"""What makes a waste an acid was written from memory, and the answer that rests on it says so."""

from __future__ import annotations

from pathlib import Path

from safety.marks import unchecked
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_other_country import SHOP

ETCH = """
[product]
id = "etch"
name = "Etch"
role = "cleaner"
purpose = "cleaner"
density = "1.1 g/mL"
flash_point = "unknown"
hazards = ["H290"]
sds_revised = 2026-02-01

[[product.part]]
cas = "7664-38-2"
weight = "30 %"

[[product.part]]
cas = "7732-18-5"
weight = "70 %"
"""
JOB = """
[job]
id = "rub"
title = "Rub"
place = "shed"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Rub"
duration = "10 min"

[[step.use]]
product = "etch"
work = "wipe"
amount = "50 mL"
area = "0.5 m^2"
kept = "50 %"
"""


def test_where_a_waste_goes_rests_on_a_list_from_memory(tmp_path: Path) -> None:
    """Phosphoric acid was kept from alkalis by a number nobody had looked up, and the answer stood without a mark."""
    report = sheet(write_shop(tmp_path, SHOP.format(rules='"eu"'), {"etch": ETCH}, {"rub": JOB}), "rub", draws=60)
    marked = [f for f in report.findings if f.plugin == "waste" and f.step == 0]
    assert any("CAS number and kind are from memory" in str(doubt) for f in marked for doubt in unchecked(f))
