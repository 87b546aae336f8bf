"""``hazstep check --products``: how far each product will be judged, before anybody stands at the bench with it.

Before, ``check`` said "no mistakes" of a product whose every sheet is INCOMPLETE, and nobody was told which of its gaps
to close first.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from safety.cli import main
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Sign painter (invented)"
altitude = "0 m"
rules = ["us-federal"]
ledger = "sqlite:///ledger.db"
[[place]]
id = "room"
kind = "room"
volume = "120 m3"
temperature = "21 degC"
[[place.air]]
state = "window open"
air_changes = ["2 /hour", "4 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"
[[glove]]
id = "laminate"
material = "PE/EVAL laminate"
thickness = "0.06 mm"
breakthrough = { "108-88-3" = { time = "480 min", standard = "EN 16523-1", temperature = "23 degC" } }
"""
HEAD = """
[product]
id = "{id}"
name = "{id} (invented)"
role = "cleaner"
purpose = "cleaner"
flash_point = "4 degC"
boiling_point = "111 degC"
hazards = ["H225", "H315", "H336", "H304", "H361d", "H373"]
sds_revised = 2026-01-15
voc = "870 g/L"
"""
PARTS = {
    "known": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "100 %" }]',
    "unweighed": 'part = [{ cas = "108-88-3", weight = "100 %" }]',
    "secret": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { name = "a secret", weight = "40 %" }]',
    "rare": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "137-26-8", weight = "40 %" }]',
    "fraction": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "64742-48-9", weight = "40 %" }]',
    "unlimited": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "108-65-6", weight = "40 %" }]',
    "limited": 'density = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "108-65-6", weight = "40 %", limit = [{ value = "50 ppm", kind = "twa", list = "TLV" }] }]',
    "far-over": 'density = "0.87 g/mL"\npart = [{ cas = "108-65-6", weight = "100 %", limit = [{ value = "1 ppm", kind = "twa", list = "own" }] }]',
    "faint": 'density = "1.1 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "101-68-8", weight = "40 %" }]',
    "pressed": 'density = "1.1 g/mL"\npart = [{ cas = "108-88-3", weight = "60 %" }, { cas = "101-68-8", weight = "40 %", vapour_pressure = "< 0.01 Pa", lower_explosive_limit = "0.4 %" }]',
    "drafted": 'draft = true\ndensity = "0.87 g/mL"\npart = [{ cas = "108-88-3", weight = "100 %" }]',
}
JOB = """
[job]
id = "{id}"
title = "Wipe"
start = 2026-05-04T09:00:00
crew = 1
place = "room"
[[step]]
name = "Wipe"
duration = "10 min"
[[step.use]]
product = "{id}"
work = "wipe"
amount = "20 mL"
area = "0.2 m^2"
"""


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return write_shop(
        tmp_path_factory.mktemp("reach") / "shop",
        SHOP,
        {id: HEAD.format(id=id) + parts for id, parts in PARTS.items()},
        {id: JOB.format(id=id) for id in PARTS},
    )


@pytest.fixture(scope="module")
def reach(shop: Path) -> dict[str, dict[str, Any]]:
    done = CliRunner().invoke(main, ["check", str(shop), "--products", "--format", "json"])
    assert done.exit_code == 0, done.output
    return {one["product"]: one for one in json.loads(done.stdout)["reach"]}


@pytest.mark.parametrize(
    ("product", "what", "at"),
    [
        ("unweighed", "density", ["product", "density"]),
        ("secret", "named", ["product", "part", 1]),
        ("rare", "data", ["product", "part", 1, "cas"]),
        ("fraction", "boiling_range", ["product", "part", 1]),
        ("unlimited", "limit", ["product", "part", 1, "limit"]),
        ("faint", "vapour_pressure", ["product", "part", 1]),
        ("drafted", "confirmed", ["product", "draft"]),
    ],
)
def test_the_one_thing_that_would_help_most(
    reach: dict[str, dict[str, Any]], product: str, what: str, at: list[object]
) -> None:
    assert (reach[product]["helps"]["what"], reach[product]["helps"]["at"]) == (what, at)
    assert "air" in reach[product]["open"]


def test_doing_the_one_thing_helps(reach: dict[str, dict[str, Any]]) -> None:
    """Of a known substance without a limit it said "No one thing in its file would help": there was no place for one."""
    assert "air" in reach["unlimited"]["open"]
    assert "air" not in reach["limited"]["open"]
    assert {"air", "fire"} <= set(reach["faint"]["open"])
    assert not {"air", "fire"} & set(reach["pressed"]["open"])


def test_a_limit_for_a_short_time_is_named_where_it_is_what_is_missing(reach: dict[str, dict[str, Any]]) -> None:
    """Of a vapour far over its limit of a shift, and without one for a short time, it said "No one thing" as well."""
    assert (reach["far-over"]["helps"]["what"], reach["far-over"]["helps"]["part"]) == ("short_limit", "108-65-6")
    assert "air" in reach["far-over"]["helps"]["opens"]


def test_of_a_product_that_is_known_whole_nothing_is_missing(reach: dict[str, dict[str, Any]]) -> None:
    assert (reach["known"]["open"], reach["known"]["helps"]) == ([], None)


@pytest.mark.parametrize("product", PARTS)
def test_it_says_of_no_product_that_it_is_judged_where_the_sheet_is_incomplete(
    shop: Path, reach: dict[str, dict[str, Any]], product: str
) -> None:
    """The areas of check and the stamp of the sheet come from the same answers."""
    whole = sheet(shop, product).complete
    safety = {"air", "fire", "hands", "waste"}
    assert whole == (safety <= set(reach[product]["judged"]))


def test_in_words_it_is_one_line_a_product(shop: Path) -> None:
    done = CliRunner().invoke(main, ["check", str(shop), "--products"])
    lines = [line for line in done.stdout.splitlines() if line.split(":")[0] in PARTS]
    assert len(lines) == len(PARTS)
    assert any("ask the maker what a secret is" in line for line in lines)
    assert "will be judged" not in CliRunner().invoke(main, ["check", str(shop)]).stdout
