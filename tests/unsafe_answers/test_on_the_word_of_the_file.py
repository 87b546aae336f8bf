"""A part that a file calls not volatile left every figure without a word: nobody could see on whose word."""

from __future__ import annotations

from pathlib import Path

from safety.model import Report
from safety.render import text
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Joinery by the weir (invented)"
altitude = "0 m"
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
purpose = "coating"
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


WELD = (
    JOB
    + """
[[step]]
name = "Mend the hinge"
duration = "10 min"
ignition_sources = ["stick welder"]
"""
)
#: A chlorinated wax of a shop's own, with a sound CAS number that no data are shipped for.
WAX = VARNISH.replace("cellulose nitrate", "chlorinated wax").replace("9004-70-0", "63449-39-8")


def _sheet(folder: Path, product: str, job: str) -> Report:
    return sheet(write_shop(folder, SHOP, {"varnish": product}, {"varnish-door": job}), "varnish-door", draws=60)


def test_heat_of_an_arc_is_not_let_near_what_nobody_has_data_on(tmp_path: Path) -> None:
    """A chlorinated part was taken for free of chlorine because its file said that it stays: a weld on it was none."""
    (found,) = (f for f in answers(_sheet(tmp_path, WAX, WELD), "fire", 1) if f.key == "fire-halogen-pair")
    assert found.level == "stop"
    assert "63449-39-8" in found.unknown
    cold = _sheet(tmp_path / "cold", WAX, JOB)  # with nothing hot beside it, it may lie there
    assert not any("63449-39-8" in f.statement for f in answers(cold, "fire", 0))
    known = _sheet(tmp_path / "known", WAX.replace("63449-39-8", "1333-86-4"), WELD)  # carbon black: no halogen in it
    assert not any(f.key == "fire-halogen-pair" for f in answers(known, "fire", 1))


def test_what_is_warmed_is_not_taken_to_give_off_nothing(tmp_path: Path) -> None:
    """On a surface of 90 degC the same part was in no figure, and the sheet was complete with "no respirator"."""
    warm = JOB.replace("[[step.use]]", 'surface_temperature = "90 degC"\n[[step.use]]')
    report = _sheet(tmp_path, WAX, warm)
    (found,) = answers(report, "breathing", 0)
    assert found.level != "note"
    assert "chlorinated wax" in found.unknown
    assert not report.complete
    (known,) = answers(_sheet(tmp_path / "known", WAX.replace("63449-39-8", "1333-86-4"), warm), "breathing", 0)
    assert "no data" not in known.unknown


def test_what_makes_lungs_allergic_is_not_switched_off_without_data(tmp_path: Path) -> None:
    """MDI said to stay was judged by its allergy alone where no limit counts its groups: the sheet was complete."""
    glue = VARNISH.replace("cellulose nitrate", "MDI").replace("9004-70-0", "101-68-8")
    shop = SHOP.replace('["eu"]', '["us-federal"]')
    folder = write_shop(tmp_path, shop, {"varnish": glue}, {"varnish-door": JOB})
    report = sheet(folder, "varnish-door", draws=60)
    (found,) = answers(report, "breathing", 0)
    assert found.level != "note"
    assert "No data on MDI" in found.unknown
    assert not report.complete
