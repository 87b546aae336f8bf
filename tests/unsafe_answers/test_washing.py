"""Parts washed in a tank were a still surface: under half the vapour, no drops for the eyes or for fire, dry hands."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "A shop of one tank"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]

[[glove]]
id = "nitrile"
material = "nitrile"
thickness = "0.4 mm"

[[place]]
id = "cell"
kind = "room"
volume = "200 m^3"
temperature = "20 degC"
[[place.air]]
state = "fans on"
air_changes = "4 /h"
air_speed = "0.1 m/s"
basis = "measured"
"""

PRODUCT = """
[product]
id = "glycol-ether"
name = "Glycol ether"
role = "solvent"
purpose = "cleaner"
density = "0.966 kg/L"
flash_point = "45 degC"
hazards = ["H226"]
sds_revised = 2026-01-01

[[product.part]]
name = "propylene glycol monomethyl ether acetate"
cas = "108-65-6"
weight = "100 %"
"""

JOB = """
[job]
id = "{work}"
title = "Parts in a tank"
place = "cell"
air = "fans on"
start = 2026-11-25T07:30:00
crew = 1

[[step]]
name = "Clean"
duration = "60 min"

[[step.use]]
product = "glycol-ether"
work = "{work}"
amount = "20 L"
area = "0.5 m^2"
lifted_by = "Clean"
"""


@pytest.fixture(scope="module")
def sheets(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Report]:
    jobs = {work: JOB.format(work=work) for work in ("open", "wash")}
    folder = write_shop(Path(tmp_path_factory.mktemp("shop")) / "tank", SHOP, {"glycol-ether": PRODUCT}, jobs)
    return {work: sheet(folder, work) for work in jobs}


def test_washing_gives_off_more_than_a_quiet_tank(sheets: dict[str, Report]) -> None:
    """1.5 to 4 times: splashed pools gave 1.4 to 1.7 times (Smith, Lof & Jones 1998), drained parts give more."""
    quiet, washed = (np.median(sheets[work].exposure.balances[0].evaporated) for work in ("open", "wash"))
    assert 2.0 < washed / quiet < 3.0, "washing gave off no more than an open can"


def test_its_drops_can_be_lit_below_the_flash_point(sheets: dict[str, Report]) -> None:
    """Before: 25 K under the flash point nothing asked for; a mist burns below it, as the sheet says of a spray."""
    burning = [f for f in answers(sheets["wash"], "fire", 0) if f.level != "note"]
    assert burning, "no fire answer for washing"
    assert not [f for f in answers(sheets["open"], "fire", 0) if "ignition" in f.short and f.level != "note"]


def test_hands_are_in_it_and_drops_fly(sheets: dict[str, Report]) -> None:
    (eyes,) = [f for f in answers(sheets["wash"], "eyes", 0) if f.key == "eyewear"]
    assert "throws drops" in eyes.statement
    used = [f for f in answers(sheets["wash"], "hands", 0) if f.level != "note"]
    assert used, "gloves for wet hands were a note"


def test_what_stays_in_the_tank_is_not_used_up(sheets: dict[str, Report]) -> None:
    """Twenty litres in the tank are no twenty litres of emission."""
    (balance,) = sheets["wash"].exposure.balances
    assert np.median(balance.wet) > 0.9 * np.median(balance.applied)
