"""The least change that helps sat on the edge of the percentile's noise: another seed, another hood.

A hood of 9.7 % was proposed with one seed, of 8.9 % with another and of 22 % with a third, and the respirator that the
first of them was to save came back when the sheet was printed with another seed.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.compare import propose, read_alternatives
from safety.files.reading import read_all
from safety.files.shop_files import ShopFiles
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Letter press on the hill (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "press"
kind = "room"
volume = "90 m^3"
temperature = ["19 degC", "25 degC"]
[[place.air]]
state = "window ajar"
air_changes = ["1 /hour", "3 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
[[respirator]]
id = "half-mask"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "organic vapour"
sorbent_mass = "100 g"
bed_depth = "22 mm"
"""
WASH = """
[product]
id = "roller-wash"
name = "Roller wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "111 degC"
sds_revised = 2026-02-01
hazards = ["H225"]
[[product.part]]
name = "toluene"
cas = "108-88-3"
weight = "100 %"
"""
JOB = """
[job]
id = "rollers"
title = "Wash the rollers"
place = "press"
start = 2026-03-10T08:00:00
crew = 1
[[step]]
name = "Wash"
duration = "60 min"
[[step.use]]
product = "roller-wash"
work = "wipe"
amount = ["{low} mL", "{high} mL"]
area = "1 m^2"
"""
DRAWS = 400


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    job = JOB.format(low=45, high=65)
    folder = write_shop(tmp_path_factory.mktemp("press") / "shop", SHOP, {"roller-wash": WASH}, {"rollers": job})
    return folder / "jobs" / "rollers.toml"


def test_a_proposed_hood_holds_with_every_seed_and_has_one_figure(path: Path) -> None:
    found = propose(Workplace.open(path), path, draws=DRAWS)
    hoods = [p for p in found if p.target.finding.key == "respirator" and p.helps and "hood" in p.words]
    assert hoods, "the case is no case any more"
    share = hoods[0].words.split(" % ")[0].split()[-1]
    assert len(share.strip("0")) == 1 or share == "99"
    planned = read_all(ShopFiles.of(path).file, [path])[1][0]
    (change,) = [a for a in read_alternatives([f"place.press.capture={share} %"], path, planned) if a.changes]
    for seed in (1, 2, 3, 11, 12, 13):
        report = Workplace.open(path).edited(change.edit).assess(path, draws=2000, seed=seed)
        (mask,) = [f for f in report.findings if f.key == "respirator"]
        assert (mask.level, mask.close) == ("note", ""), f"with seed {seed} the mask comes back"


def test_another_seed_proposes_the_same(path: Path) -> None:
    """Or the next round figure: what lies between is within the noise. It was 9.7 %, 8.9 % or 22 %."""
    hoods = []
    for seed in (1, 7):
        found = propose(Workplace.open(path), path, draws=DRAWS, seed=seed)
        words = next(p.words for p in found if p.target.finding.key == "respirator" and p.helps and "hood" in p.words)
        hoods.append(float(words.split(" % ")[0].split()[-1]))
    assert abs(hoods[0] - hoods[1]) <= 10
