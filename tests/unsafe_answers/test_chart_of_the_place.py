"""The chart is of the air of one place: a vapour of another place was drawn in it as a line at nothing."""

from __future__ import annotations

from pathlib import Path

from safety.model import Chart
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Slip (invented)"
rules = ["us-federal"]
altitude = "0 m"

[[place]]
id = "hall"
name = "Long hall"
kind = "room"
volume = "400 m^3"
temperature = "22 degC"

[[place.air]]
state = "as it is"
air_changes = ["1 /hour", "2 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "invented"

[[place]]
id = "pit"
name = "Pit"
kind = "enclosed"
volume = "3 m^3"
temperature = "22 degC"

[[place.air]]
state = "as it is"
air_changes = ["0.3 /hour", "1 /hour"]
air_speed = ["0.03 m/s", "0.1 m/s"]
basis = "invented"
"""

PRODUCT = """
[product]
id = "{id}"
name = "{id}"
role = "solvent"
purpose = "cleaner"
density = "0.8 g/mL"
flash_point = "-10 degC"
hazards = ["H225"]
sds_revised = 2026-01-15

[[product.part]]
cas = "{cas}"
weight = "100 %"
"""

JOB = """
[job]
id = "wipe"
title = "Wipe"
place = "hall"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Wipe the pit"
place = "pit"
duration = "10 min"
[[step.use]]
product = "acetone"
work = "wipe"
amount = "200 mL"
area = "0.5 m^2"

[[step]]
name = "Wipe in the hall"
duration = "10 min"
[[step.use]]
product = "heptane"
work = "wipe"
amount = "50 mL"
area = "0.5 m^2"
"""


def test_the_chart_is_of_a_vapour_that_is_in_its_air_and_names_its_place(tmp_path: Path) -> None:
    """Acetone stood at 0 ppm all day on the page of a job in whose pit it threatened life."""
    products = {id: PRODUCT.format(id=id, cas=cas) for id, cas in (("acetone", "67-64-1"), ("heptane", "142-82-5"))}
    report = sheet(write_shop(tmp_path, SHOP, products, {"wipe": JOB}), "wipe", draws=60)
    (chart,) = (block for block in report.blocks if isinstance(block, Chart))
    assert "heptane in the air of long hall" in chart.title.lower()
    assert max(chart.curves[0].high) > 0
