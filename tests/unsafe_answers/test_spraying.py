"""Spraying and going into a tank are work with rules of their own, and a sheet said nothing of them.

A lacquer sprayed in a hangar got the same sheet as one that is brushed: no place set apart, no distance to what lights
it, no fan left on, no word on the gun. For a tank it said "Test the air", not in which order.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from tempfile import mkdtemp

import pytest

from safety.model import Finding, Report
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Chair works (invented)"
altitude = "0 m"
rules = ["{rules}"]
print_units = "si"
[[place]]
id = "stand"
kind = "{kind}"
volume = "60 m3"
temperature = "20 degC"
[[place.air]]
state = "fan on"
air_changes = "20 /hour"
air_speed = "0.4 m/s"
basis = "estimated"
{face}
"""
LACQUER = """
[product]
id = "lacquer"
name = "Lacquer (invented)"
role = "coating"
purpose = "cleaner"
density = "0.9 g/mL"
flash_point = "{flash}"
hazards = ["H225"]
part = [{{ cas = "{cas}", weight = "60 %" }}, {{ name = "resin", weight = "40 %", volatile = false }}]
"""
JOB = """
[job]
id = "coat"
title = "Coat"
place = "stand"
start = 2026-12-01T08:00:00
crew = 1
[[step]]
name = "Coat"
duration = "10 min"
use = [{{ product = "lacquer", work = "{work}", amount = "50 mL", area = "1 m2" }}]
"""


@cache
def _report(
    kind: str = "booth", face: str = "0.6 m/s", rules: str = "us-federal", work: str = "spray", cas: str = "108-88-3"
) -> Report:
    own = f'face_velocity = "{face}"' if kind == "booth" else ""
    shop = SHOP.format(kind=kind, face=own, rules=rules)
    lacquer = LACQUER.format(cas=cas, flash="4 degC" if cas == "108-88-3" else "none")
    folder = Path(mkdtemp())
    return sheet(write_shop(folder, shop, {"lacquer": lacquer}, {"coat": JOB.format(work=work)}), "coat", 59)


def _found(report: Report, key: str) -> Finding:
    (one,) = [f for f in report.findings if f.key == key]
    return one


def test_what_is_sprayed_and_burns_is_kept_from_what_lights_it() -> None:
    """29 CFR 1910.107(c)(2): 20 ft, 6.1 m; (d)(2): the fan until it is dry; (g)(5): 100 °F, 38 °C for gun cleaners."""
    found = _found(_report(), "fire-spraying")
    assert found.level == "control"
    for said in ("6.1 m", "until what was sprayed is dry", "38 °C", "Ground the piece", "one shift"):
        assert said in found.statement, said
    assert "1910.107(c)(2)" in found.rule
    assert not found.unknown


def test_a_hangar_is_no_booth_unless_somebody_says_so() -> None:
    report = _report(kind="hangar")
    found = _found(report, "fire-spraying")
    assert "ask the safety officer first" in found.statement
    assert found.unknown in report.missing


@pytest.mark.parametrize(
    ("face", "says", "missing"),
    [
        ("0.6 m/s", "That is for fire", False),
        ("0.51 m/s", "That is for fire", False),
        ("0.45 m/s", "Do not spray before", False),
        ("unknown", "is not known: measure it", True),
    ],
)
def test_the_stream_through_a_booth_is_held_against_the_rule(face: str, says: str, missing: bool) -> None:
    """29 CFR 1910.107(b)(5)(i): 100 ft/min, 0.508 m/s; it is about fire (OSHA directive STD 01-05-010)."""
    found = _found(_report(face=face), "air-spraying")
    assert says in found.statement
    assert bool(found.unknown) is missing
    assert "behind the piece" in found.statement
    assert "1910.94(c)(6)(iii)(a)" in found.rule


def test_other_work_and_other_countries() -> None:
    assert not [f for f in _report(work="brush").findings if f.key in ("fire-spraying", "air-spraying")]
    europe = _found(_report(rules="eu"), "fire-spraying")
    assert "a distance your fire rules set" in europe.statement
    assert "CFR" not in europe.rule


def test_a_tank_is_tested_for_oxygen_first() -> None:
    """29 CFR 1910.146(c)(5)(ii)(C) the order, (b) the oxygen: a meter for vapour does not read without it."""
    found = _found(_report(kind="enclosed", work="brush"), "air-place:stand")
    assert "oxygen first, then what burns, then what is poisonous" in found.statement
    assert "under 19.5 % or over 23.5 %" in found.statement
    assert "1910.146(c)(5)(ii)(C)" in found.rule
    europe = _found(_report(kind="enclosed", work="brush", rules="eu"), "air-place:stand")
    assert "the safety officer says it" in europe.statement
    assert "%" not in europe.statement
