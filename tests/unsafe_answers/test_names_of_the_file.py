"""What a file says in a key of its own decides; what it says in words, for people to read, does not."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import safety_ignition
import tomli
from click.testing import CliRunner
from safety_ignition.sources import named

from safety.cli import main
from safety.words import speaking, speech
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Words Shop"
altitude = "0 m"
rules = ["us-federal", "general"]
expects = ["ventilation", "ignition"]

[[place]]
id = "den"
kind = "room"
volume = "80 m^3"
temperature = "22 degC"

[[place.air]]
state = "shut"
air_changes = "1 /hour"
air_speed = "0.1 m/s"
basis = "{basis}"
"""

WASH = """
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225", "H304", "H315", "H336", "H361d", "H373"]
boiling_point = "110 degC"
sds_revised = 2026-01-10

[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""

WIPE = """
[job]
id = "wipe"
title = "Wipe"
start = 2026-11-27T08:00:00
surface = "steel"
place = "den"
air = "shut"
crew = 1

[[step]]
name = "Wipe"
duration = "20 min"
people = "near"
[[step.use]]
product = "wash"
work = "wipe"
amount = "60 mL"
area = "0.4 m^2"
"""


def pack_rows() -> list[dict[str, Any]]:
    """The ignition sources of the list that comes with the program."""
    rules = Path(safety_ignition.__file__).parent / "rules" / "general.toml"
    return list(tomli.loads(rules.read_text("utf-8"))["ignition-source"])


def judged(folder: Path, basis: str, more: str = "") -> list[str]:
    report = sheet(write_shop(folder, SHOP.format(basis=basis) + more, {"wash": WASH}, {"wipe": WIPE}), "wipe")
    assert not report.failures
    return [one.key for one in answers(report, "air", None)]


@pytest.mark.parametrize(
    "basis", ["measured by nobody, taken from the drawing", "Medida supuesta", "measured in the old hall"]
)
def test_air_is_measured_where_the_file_names_the_day(tmp_path: Path, basis: str) -> None:
    """A basis that began with "measured" counted as a measurement of this place, whatever came after the word."""
    assert "air-basis:den:shut" in judged(tmp_path / "words", basis)
    assert "air-basis:den:shut" not in judged(tmp_path / "key", basis, "measured = 2026-03-02\n")


def test_the_name_of_an_ignition_source_means_just_that_one() -> None:
    """ "static charge", a name of our own list, was taken for "battery charging" by the letters of "charge"."""
    rows = pack_rows()
    names = [row["name"] for row in rows]
    assert names.count("static charge") == 1
    for row in rows:
        found = named([row["name"].upper()], rows)
        assert [one.name for one in found] == ([] if row.get("harmless") else [row["name"]])
        assert [one.decomposes for one in found] == ([] if row.get("harmless") else [row.get("decomposes", "unknown")])


def test_of_two_rows_of_one_name_the_careful_one_holds() -> None:
    milder = {"name": "heater", "words": ["sealed heater"], "citation": "made up", "decomposes": "no"}
    hot = {"name": "heater", "words": ["stove"], "citation": "made up", "decomposes": "hot surface"}
    let_go = {"name": "heater", "words": ["cold heater"], "citation": "made up", "harmless": True}
    for rows in ([milder, hot], [hot, milder], [let_go, hot]):
        (found,) = named(["Heater"], rows)
        assert found.decomposes in ("hot surface", "unknown")


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_limits_of_page_two_are_found_whatever_they_are_called(
    tmp_path: Path, language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Page two looked for the words "limit as compared" among those that explain a figure. Now nobody needs them."""
    folder = write_shop(tmp_path, SHOP.format(basis="guessed"), {"wash": WASH}, {"wipe": WIPE})
    with speaking(speech(language)):
        (chart, grid) = (b for b in sheet(folder, "wipe").blocks if b.key in ("air-chart", "air-grid"))
    assert {value for _, value in chart.levels} >= {200.0, 300.0}  # 29 CFR 1910.1000 table Z-2, toluene
    assert "UNKNOWN" not in str(grid.rows)
    assert "DESCONOCIDO" not in str(grid.rows)


@pytest.mark.parametrize("text", ["matchbox label", "engine cover", "saw horse, TIG", "sand", "thousand-watt lamp"])
def test_no_part_of_a_text_is_taken_for_a_source(text: str) -> None:
    """ "thousand-watt lamp" was sanding, which takes no vapour apart, by the letters of "sand"."""
    rows = pack_rows()
    (found,) = named([text], rows)
    known = text == "sand"
    assert (found.name == "sanding") is known
    assert (found.decomposes == "no") is known  # what nobody knows counts as hot enough


def test_check_offers_the_names_that_rules_go_by(tmp_path: Path) -> None:
    """Nobody was told that a source or a glove was called by no name that a rule goes by."""
    glove = """
[[glove]]
id = "g"
material = "nitril"
thickness = "0.1 mm"
"""
    job = WIPE.replace("people =", 'ignition_sources = ["Heat-Gun", "angel grinder"]\npeople =')
    folder = write_shop(tmp_path, SHOP.format(basis="guessed") + glove, {"wash": WASH}, {"wipe": job})
    done = CliRunner().invoke(main, ["check", str(folder)])
    assert done.exit_code == 0, done.output
    assert (
        '"angel grinder" is no name of a source, so it counts as one nobody knows; did you mean "angle' in done.output
    )
    assert '"nitril" is no material of the glove tables; did you mean "nitrile"?' in done.output
    assert "Heat-Gun" not in done.output
