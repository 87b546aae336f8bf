"""The people of a crew were a number: "fit-tested, by cleared and trained people" was printed for anybody.

A job with a respirator said so of a crew in which one person had no fit test, another a clearance that had run out, and
a third a training in diisocyanates of seven years ago; nobody under 18 was kept off any work.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.model import Finding, Person, Report
from safety.problems import Problems
from tests.unsafe_answers.shops import DRAWS, sheet, write_shop

SHOP = """
[shop]
name = "Boat shed (invented)"
altitude = "0 m"
print_units = "si"
rules = ["{pack}"]
[[place]]
id = "shed"
kind = "room"
volume = "40 m3"
temperature = "20 degC"
[[place.air]]
state = "doors shut"
air_changes = "4 /hour"
air_speed = "0.1 m/s"
basis = "estimated"
[[respirator]]
id = "half"
name = "half mask"
kind = "air-purifying"
facepiece = "half mask"
cartridge = "{cartridge}"
sorbent_mass = "200 g"
bed_depth = "30 mm"
[[respirator]]
id = "full"
name = "full mask"
kind = "air-purifying"
facepiece = "full facepiece"
cartridge = "{cartridge}"
sorbent_mass = "400 g"
bed_depth = "30 mm"
{people}
"""
PRODUCT = """
[product]
id = "wash"
name = "Wash (invented)"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304"]
part = [{ cas = "108-88-3", weight = "100 %" }]
"""
HARDENER = """
[product]
id = "hardener"
name = "Hardener (invented)"
role = "hardener"
purpose = "hardener"
density = "1.1 g/mL"
flash_point = "60 degC"
hazards = ["H334"]
part = [{ cas = "822-06-0", weight = "0.5 %" }, { name = "resin", weight = "99.5 %", volatile = false }]
"""
JOB = """
[job]
id = "wipe"
title = "Wipe"
place = "shed"
start = 2026-12-01T08:00:00
crew = {crew}
who = {who}
[[step]]
name = "Wipe"
duration = "60 min"
use = [{{ product = "{product}", work = "{work}", amount = "{amount}", area = "2 m2" }}]
"""
READY = """
[[person]]
id = "a"
name = "A. A."
under_18 = false
cleared = 2026-01-10
fit_tests = { half = 2026-02-01, full = 2026-02-01 }
trained = { respirator = 2026-02-01, reach-xvii-74 = 2024-01-01 }
"""
NOT_READY = """
[[person]]
id = "b"
name = "B. B."
under_18 = true
cleared = 2024-01-10
cleared_until = 2026-01-09
fit_tests = { half = 2025-11-30, full = 2025-11-30 }
trained = { respirator = 2025-11-30, reach-xvii-74 = 2019-01-01 }
"""


def _report(
    folder: Path, pack: str, who: str, people: str, crew: int = 1, product: str = "wash", work: str = "wipe"
) -> Report:
    cartridge = "OV" if pack == "us-federal" else "A2"
    shop = SHOP.format(pack=pack, people=people, cartridge=cartridge)
    amount = "45 mL" if product == "wash" else "20 mL"
    job = JOB.format(crew=crew, who=who, product=product, work=work, amount=amount)
    products = {"wash": PRODUCT, "hardener": HARDENER}
    return sheet(write_shop(folder, shop, products, {"wipe": job}), "wipe", DRAWS)


def _people(report: Report) -> Finding:
    (found,) = [f for f in report.findings if f.key == "people"]
    return found


def test_who_lacks_clearance_fit_test_or_training_stops_the_job(tmp_path: Path) -> None:
    found = _people(_report(tmp_path, "us-federal", '["b"]', READY + NOT_READY))
    assert found.level == "stop"
    for lack in ("not cleared by a doctor", "fit test with", "training on respirators"):
        assert lack in found.statement, found.statement
    assert "A. A." not in found.statement
    assert "1910.134(f)(2)" in found.rule


def test_who_has_all_days_may_do_it_and_only_as_far_as_they_are_named(tmp_path: Path) -> None:
    found = _people(_report(tmp_path / "one", "us-federal", '["a"]', READY + NOT_READY))
    assert (found.level, found.short) == ("note", "people: all days are good")
    two = _people(_report(tmp_path / "two", "us-federal", '["a"]', READY + NOT_READY, crew=2))
    assert two.level == "control", "the other of the two is nobody knows who"
    assert "does not name 1 of its crew" in two.statement


def test_a_job_that_names_nobody_says_who_of_the_shop_may_do_it(tmp_path: Path) -> None:
    found = _people(_report(tmp_path, "us-federal", "[]", READY + NOT_READY))
    assert found.level == "control"
    assert "A. A. may do this job" in found.statement
    assert "B. B.: not cleared" in found.statement


def test_a_training_in_diisocyanates_counts_five_years(tmp_path: Path) -> None:
    """REACH Annex XVII, entry 74(4): renewed at least every five years."""
    late = _people(_report(tmp_path / "late", "eu", '["b"]', NOT_READY, product="hardener", work="brush"))
    assert late.level == "stop"
    assert 'rule "reach-xvii-74" asks for: the last was on 2019-01-01, and it counts for 60 months' in late.statement
    assert "under 18" in late.statement


def test_without_the_training_a_law_asks_for_there_is_no_use(tmp_path: Path) -> None:
    """A grown person with every other day was a control: the job went on without the training."""
    late = READY.replace("reach-xvii-74 = 2024-01-01", "reach-xvii-74 = 2019-01-01")
    assert late != READY
    found = _people(_report(tmp_path, "eu", '["a"]', late, product="hardener", work="brush"))
    assert found.level == "stop"
    assert "under 18" not in found.statement


def test_nobody_under_18_where_the_law_bars_them_and_no_medical_word(tmp_path: Path) -> None:
    report = _report(tmp_path, "eu", '["a"]', READY, product="hardener", work="brush")
    (young,) = [f for f in report.findings if f.key == "kept-out-young"]
    assert "94/33" in young.rule
    assert "pregnant" not in _people(report).statement


def test_of_an_examination_only_days_can_be_kept() -> None:
    assert set(Person.__dataclass_fields__) == {
        "id", "name", "roles", "under_18", "cleared", "cleared_until", "fit_tests", "trained",
    }  # fmt: skip
    assert not Person("a", "A.", cleared=date(2026, 5, 1)).cleared_on(date(2026, 4, 30)), "not before it was given"


def test_a_person_nobody_has_is_a_mistake(tmp_path: Path) -> None:
    with pytest.raises(Problems, match='no person "c"'):
        _report(tmp_path, "us-federal", '["c"]', READY)
