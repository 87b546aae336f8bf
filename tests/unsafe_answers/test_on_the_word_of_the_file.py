"""A part that a file calls not volatile left every figure without a word: nobody could see on whose word."""

from __future__ import annotations

from pathlib import Path

from safety.render import text
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Joinery by the weir (invented)"
rules = ["eu"]
[[place]]
id = "hall"
kind = "room"
volume = "300 m^3"
temperature = "20 degC"
[[place.air]]
state = "doors shut"
air_changes = ["1 /hour", "2 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
"""
VARNISH = """
[product]
id = "varnish"
name = "Oak varnish"
role = "coating"
density = "0.9 g/mL"
hazards = ["H226"]
[[product.part]]
name = "butyl acetate"
cas = "123-86-4"
weight = "60 %"
[[product.part]]
name = "cellulose nitrate"
cas = "9004-70-0"
weight = "40 %"
volatile = false
"""
JOB = """
[job]
id = "varnish-door"
title = "Varnish a door"
place = "hall"
start = 2026-11-25T08:00:00
crew = 1
[[step]]
name = "Brush"
duration = "20 min"
[[step.use]]
product = "varnish"
work = "brush"
amount = "100 mL"
area = "2 m^2"
"""


def test_what_only_a_file_calls_not_volatile_is_named(tmp_path: Path) -> None:
    report = sheet(write_shop(tmp_path, SHOP, {"varnish": VARNISH}, {"varnish-door": JOB}), "varnish-door", draws=60)
    assert any("cellulose nitrate (Oak varnish)" in line for line in report.job.assumed)
    assert "these give off no vapour, so no figure counts them" in " ".join(text.sheet(report).split())
