"""Thin air burns sooner: the same vapour is a larger share of it, and a liquid flashes colder."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "High yard (invented)"
rules = ["us-federal"]
{shop}

[[place]]
id = "tank"
kind = "enclosed"
volume = "5 m^3"
temperature = "21 degC"
{place}

[[place.air]]
state = "lid open"
air_changes = "4 /hour"
air_speed = "0.1 m/s"
basis = "invented"
"""

PRODUCT = """
[product]
id = "oil"
name = "Spirit"
role = "cleaner"
density = "0.81 g/mL"
flash_point = "38 degC"
boiling_point = "154 degC"
hazards = ["H226"]
sds_revised = 2026-01-15

[[product.part]]
cas = "100-41-4"
weight = "50 %"

[[product.part]]
name = "resin"
volatile = false
weight = "50 %"
"""

JOB = """
[job]
id = "coat"
title = "Coat"
place = "tank"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Brush"
duration = "20 min"

[[step.use]]
product = "oil"
work = "brush"
amount = "20 mL"
area = "0.2 m^2"
kept = "0 %"
"""


@pytest.fixture(scope="module")
def up(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Report]:
    """The sheet of one job at several heights."""
    said = {
        "sea": ('altitude = "0 m"', ""),
        "nobody": ("", ""),
        "2000 m": ('altitude = "2000 m"', ""),
        "79.5 kPa": ('altitude = "0 m"', 'pressure = "79.495 kPa"'),
    }
    found = {}
    for name, (shop, place) in said.items():
        folder: Path = tmp_path_factory.mktemp("shop")
        write_shop(folder, SHOP.format(shop=shop, place=place), {"oil": PRODUCT}, {"coat": JOB})
        found[name] = sheet(folder, "coat")
    return found


def _share(report: Report) -> float:
    figures = [f for one in answers(report, "fire", 0) for f in one.figures if "lower explosive limit" in f.name]
    return max(f.value for f in figures)


def _carried(report: Report) -> float:
    (found,) = (f for f in report.findings if f.key == "fire-stock:tank")
    return found.figures[0].value


@pytest.mark.parametrize("of", [_share, _carried])
def test_the_same_vapour_is_more_of_the_limit_in_thin_air(up: dict[str, Report], of: object) -> None:
    """At 2000 m the share was given as at the sea, 27 % too low."""
    assert callable(of)
    # ISO 2533: 794.95 hPa at 2000 m, so 1.2746 times the share of the air
    assert of(up["2000 m"]) == pytest.approx(1.2746 * of(up["sea"]), rel=2e-3)
    assert of(up["79.5 kPa"]) == pytest.approx(of(up["2000 m"]), rel=1e-3)


@pytest.mark.parametrize("of", [_share, _carried])
def test_where_nobody_says_how_high_the_thin_side_is_taken(up: dict[str, Report], of: object) -> None:
    """Sea level was taken, the mild side for fire; the sheet did not say it."""
    assert callable(of)
    assert of(up["nobody"]) == pytest.approx(101.325 / 80 * of(up["sea"]), rel=1e-3)
    assert any("1900 m" in text for text in up["nobody"].job.assumed)
    assert not any("1900 m" in text for text in up["sea"].job.assumed)


def test_a_liquid_flashes_colder_in_thin_air(up: dict[str, Report]) -> None:
    """38 degC less 0.25 K for each kPa (ISO 2719, 11.2): 32.5 degC. It was 38 at every height."""
    margins = {
        name: next(f.value for one in answers(up[name], "fire", 0) for f in one.figures if "flash point" in f.name)
        for name in up
    }
    assert margins["sea"] - margins["2000 m"] == pytest.approx(0.25 * (101.3 - 79.495), abs=0.01)
    assert margins["sea"] - margins["nobody"] == pytest.approx(0.25 * 21.3, abs=0.01)


def test_limits_are_held_against_the_mass_in_the_air(up: dict[str, Report]) -> None:
    """A limit is a mass in a volume of the air as it is (NIOSH Manual of Analytical Methods, appendix B)."""
    levels = {name: _levels(report) for name, report in up.items()}
    assert levels["sea"]
    assert levels["sea"] == levels["2000 m"] == levels["nobody"]


def _levels(report: Report) -> list[float]:
    return [f.value for one in answers(report, "air", 0) for f in one.figures if f.unit == "ppm"]
