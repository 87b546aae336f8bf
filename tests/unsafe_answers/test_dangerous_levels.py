"""From what level air is dangerous to life, where no list of it is loaded; and vapour of which no level is safe."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest
import safety_ignition

from safety.model import Limit, Report
from safety.reference import load
from tests.unsafe_answers.shops import answers, sheet, write_shop
from tests.unsafe_answers.test_defaults import SHOP

EU = SHOP.replace('["us-federal"]', '["eu"]').replace('"organic vapour"', '"A2"')

PRODUCT = """\
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "100 degC"
hazards = ["H225", "H315", "H336"]
{more}
[[product.part]]
cas = "{cas}"
weight = "{weight}"
"""
WATER = '\n[[product.part]]\ncas = "7732-18-5"\nweight = "{weight}"\n'

JOB = """\
[job]
id = "wipe"
title = "Wipe a lid"
place = "shed"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "{minutes} min"

[[step.use]]
product = "wash"
work = "wipe"
amount = "{amount}"
area = "{area} m^2"
"""


def wiped(
    folder: Path, cas: str, amount: str, shop: str = EU, weight: str = "100 %", minutes: int = 20, area: float = 0.5
) -> Report:
    product = PRODUCT.format(cas=cas, weight=weight, more="")
    if weight != "100 %":
        product += WATER.format(weight=f"{100 - float(weight.split()[0])} %")
    job = JOB.format(amount=amount, minutes=minutes, area=area)
    return sheet(write_shop(folder, shop, {"wash": product}, {"wipe": job}), "wipe")


def test_a_job_over_a_limit_is_whole_where_the_country_has_no_list_of_deadly_levels(tmp_path: Path) -> None:
    """The European Union has none: every job over a limit was INCOMPLETE, and INCOMPLETE came to mean nothing."""
    report = wiped(tmp_path, "108-88-3", "8 mL")
    (breathing,) = answers(report, "breathing", 0)
    assert breathing.level == "control"
    assert not breathing.unknown
    assert not [reason for reason in report.missing if "dangerous to life" in reason]


def test_deadly_air_is_deadly_in_every_country(tmp_path: Path) -> None:
    """2 L of toluene on the floor: over 500 ppm, NIOSH's level. In the EU the answer was a mask, or not known."""
    report = wiped(tmp_path, "108-88-3", "2 L", minutes=60)
    (breathing,) = answers(report, "breathing", 0)
    assert (breathing.level, breathing.short) == ("stop", "Air dangerous to life")
    stop = next(f for f in answers(report, "air", 0) if f.key == "air-idlh")
    limit = next(value for label, value in stop.figures[0].inputs if label == "limit")
    assert isinstance(limit, Limit)
    assert (limit.list, limit.written) == ("level dangerous to life (stand-in)", "500 ppm")
    assert "level dangerous to life (stand-in)" in stop.statement


def test_a_tenth_of_the_lower_explosive_limit_stands_in_for_what_no_list_names(tmp_path: Path) -> None:
    """PGME has no NIOSH level: over its limit the sheet was INCOMPLETE, and over 1600 ppm it was no more than that."""
    some = wiped(tmp_path / "some", "107-98-2", "200 mL")
    much = wiped(tmp_path / "much", "107-98-2", "9 L", minutes=60, area=20)
    for report in (some, much):
        assert not [reason for reason in report.missing if "dangerous to life" in reason]
    assert answers(some, "breathing", 0)[0].short != "Air dangerous to life"
    assert answers(much, "breathing", 0)[0].short == "Air dangerous to life"


@pytest.mark.parametrize("shop", [EU, SHOP], ids=["eu", "us"])
def test_a_carcinogen_under_its_limit_is_never_just_a_note(tmp_path: Path, shop: str) -> None:
    """Cumene (H350) under its limit: being under was all there was to say. 2004/37/EC, Art. 5: as low as can be done."""
    report = wiped(tmp_path, "98-82-8", "2 mL", shop)
    assert [f.level for f in answers(report, "breathing", 0)] == ["note"]
    told = [f for f in report.findings if f.key in ("restricted-cmd-replace", "restricted-cancer-by-class")]
    assert [f.level for f in told] == ["control"]
    assert "as can be done" in told[0].statement


def test_a_vapour_of_which_no_lower_limit_is_known_has_a_dangerous_level_all_the_same(tmp_path: Path) -> None:
    """Dimethyl sulfoxide is in no list, and no compilation has its lower limit: any mask was as good as another.

    0.5 % is under every known lower limit; NIOSH sets no level over a tenth of the lower limit.
    """
    report = wiped(tmp_path, "67-68-5", "20 mL", SHOP)
    assert not [reason for reason in report.missing if "dangerous to life" in reason]
    data = load(("us-federal",), tmp_path, date(2026, 11, 25), [("ignition", safety_ignition.contribute())])
    (limit,) = data.limits("67-68-5", "idlh")
    assert (limit.value, limit.compare) == (500e-6, "at or over")
    assert limit.unverified
    assert data.limits("1333-86-4", "idlh")[0].list == "NIOSH IDLH"  # a dust: a share of the air means nothing
    assert data.limits("7732-18-5", "idlh") == ()
