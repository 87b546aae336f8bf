"""What a file leaves out takes the careful value and is said, is asked for, or is unknown: never the mild side."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Report
from safety.problems import Problems
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """\
[shop]
name = "Kiln yard"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "shed"
kind = "room"
volume = "60 m^3"
temperature = "22 degC"
near_radius = "0.6 m"
humidity = "40 %"

[[place.air]]
state = "shut"
air_changes = "0.5 /hour"
air_speed = "0.1 m/s"
basis = "tracer gas"
measured = 2026-03-02

[[respirator]]
id = "half"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
sorbent_mass = "100 g"
bed_depth = "22 mm"
"""

HEPTANE = """\
[product]
id = "thin"
name = "Thin"
role = "cleaner"
purpose = "cleaner"
density = "0.68 g/mL"
flash_point = "-4 degC"
boiling_point = "98 degC"
hazards = ["H225", "H304", "H315", "H336", "H410"]

[[product.part]]
cas = "142-82-5"
weight = "100 %"
"""

COAT = """\
[product]
id = "coat"
name = "Coat"
role = "primer"
purpose = "primer"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "111 degC"
hazards = ["H225", "H304", "H315", "H336", "H361d", "H373"]

[[product.part]]
cas = "108-88-3"
weight = "60 %"

[[product.part]]
name = "resin"
weight = "40 %"
volatile = false

[product.application]
{coats}dry_between = "2 min"
dry_final = "5 min"
"""

POUR = """\
[job]
id = "{id}"
title = "Rinse a tray"
place = "shed"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Fill the tray"
duration = "5 min"

[[step.use]]
product = "thin"
work = "{work}"
amount = "600 mL"
area = "0.4 m^2"
{lifted}
[[step]]
name = "Rinse the parts"
duration = "120 min"
"""

COATED = """\
[job]
id = "coated"
title = "Prime a panel"
place = "shed"
surface = "oak"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Prime"
duration = "5 min"

[[step.use]]
product = "coat"
work = "brush"
amount = "60 mL"
area = "0.5 m^2"
"""


def rinsed(folder: Path, work: str, lifted: str = "") -> Report:
    job = POUR.format(id="rinse", work=work, lifted=f'lifted_by = "{lifted}"\n' if lifted else "")
    return sheet(write_shop(folder, SHOP, {"thin": HEPTANE}, {"rinse": job}), "rinse")


@pytest.mark.parametrize("work", ["pour", "open", "soak", "gel"])
def test_what_nobody_takes_away_goes_on_giving_off_vapour(tmp_path: Path, work: str) -> None:
    """It vanished with its own step: 600 mL of heptane, "No respirator needed", complete."""
    unsaid, said = rinsed(tmp_path / "unsaid", work), rinsed(tmp_path / "said", work, "Rinse the parts")
    for left_out, given in zip(unsaid.exposure.steps, said.exposure.steps, strict=True):
        assert left_out.peak.max() >= given.peak.max() * (1 - 1e-6)
    breathing = answers(unsaid, "breathing", 1)
    assert [f.level for f in breathing] == [f.level for f in answers(said, "breathing", 1)]
    assert {f.level for f in breathing} <= {"control", "stop"}
    assert any("nobody says when thin is taken away" in line for line in unsaid.job.assumed)
    assert not any("taken away" in line for line in said.job.assumed)


def coated(folder: Path, coats: str) -> Report:
    shop = write_shop(folder, SHOP, {"coat": COAT.format(coats=coats)}, {"coated": COATED})
    return sheet(shop, "coated")


def test_the_number_of_coats_is_asked_for(tmp_path: Path) -> None:
    """One coat was taken, and nobody told: two coats ask for a half mask, one for none."""
    with pytest.raises(Problems) as raised:
        coated(tmp_path / "none", "")
    (problem,) = raised.value.problems
    assert problem.wrong == '"coats" is missing beside dry_between, dry_final'
    one, three = coated(tmp_path / "one", "coats = { any = 1 }\n"), coated(tmp_path / "three", "coats = { any = 3 }\n")
    assert three.exposure.worker.peak.max() > one.exposure.worker.peak.max()
    of_oak = coated(tmp_path / "oak", "coats = { oak = 3, any = 1 }\n")
    assert of_oak.timeline.end == three.timeline.end > one.timeline.end


def test_what_is_taken_is_said(tmp_path: Path) -> None:
    """Eight hours, one who stays close, a cool surface, nothing above the head: none of it stood anywhere."""
    told = " ".join(rinsed(tmp_path, "pour").job.assumed)
    for words in ("8 h", "rest of the shift", "close to the work", "above the head", "warmer than the air", "stock"):
        assert words in told
    assert "humid" not in told  # this shop measures it
    assert "0.9 m" not in told  # and gives the reach of the hands
