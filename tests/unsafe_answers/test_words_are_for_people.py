"""What a shop types for people decides nothing: rules go by keys, and the careful side is taken where a key is left out."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import check
from safety.model import Finding, Report, Worn
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Bell foundry (invented)"
rules = ["us-federal"]

[[place]]
id = "bay"
kind = "hangar"
volume = "3000 m^3"
temperature = "21 degC"

[[place.air]]
state = "doors shut"
air_changes = ["1 /hour", "2 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "invented"
"""

PRODUCT = """
[product]
id = "stuff"
name = "Stuff"
role = "{role}"
{purpose}
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "110 degC"
hazards = ["H225"]
sds_revised = 2026-01-15

[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""

JOB = """
[job]
id = "work"
title = "Work on a bell"
place = "bay"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Rub"
duration = "10 min"

[[step.use]]
product = "stuff"
work = "wipe"
amount = "50 mL"
area = "0.5 m^2"
kept = "50 %"
"""


def shop(folder: Path, role: str, purpose: str = "") -> Path:
    line = f'purpose = "{purpose}"' if purpose else ""
    return write_shop(folder, SHOP, {"stuff": PRODUCT.format(role=role, purpose=line)}, {"work": JOB})


def of(report: Report, key: str) -> list[Finding]:
    return [finding for finding in report.findings if finding.key.startswith(key)]


def decided(report: Report) -> list[tuple[object, ...]]:
    """Everything but the words, which name the product's role nowhere."""
    return [(f.plugin, f.key, f.step, f.level, f.statement, f.unknown) for f in report.findings]


@pytest.fixture(scope="module")
def unsaid(tmp_path_factory: pytest.TempPathFactory) -> Report:
    return sheet(shop(tmp_path_factory.mktemp("words") / "shop", "cleaner"), "work")


@pytest.mark.parametrize("role", ["green can", "no adhesive, no primer", "degreaser"])
def test_the_words_of_a_role_decide_nothing(tmp_path: Path, unsaid: Report, role: str) -> None:
    """A cleaner called "green can" met no limit on cleaning; one called "no adhesive" was no spent solvent."""
    assert decided(sheet(shop(tmp_path / "shop", role), "work")) == decided(unsaid)


def test_where_nobody_says_what_a_product_is_for_the_careful_side_is_taken(tmp_path: Path, unsaid: Report) -> None:
    (limit,) = of(unsaid, "hand-wipe")
    assert "counts as a cleaner" in limit.statement  # so 40 CFR 63.744(b) holds for it
    waste = " ".join(f.statement for f in unsaid.findings if f.plugin == "waste")
    assert "F005" in waste  # 40 CFR 261.31: listed as spent
    said = sheet(shop(tmp_path / "shop", "green can", "adhesive"), "work")
    assert not of(said, "hand-wipe")
    assert of(said, "coating")[0].unknown  # its category is asked for


def test_check_offers_the_key(tmp_path: Path) -> None:
    folder = shop(tmp_path / "shop", "clener")
    done = CliRunner().invoke(check.command, [str(folder)])
    assert done.exit_code == 0, done.output
    line = 'stuff.toml:5: [product] role: no rule goes by role = "clener"; write purpose beside it; did you mean "cleaner"?'
    assert line in done.stdout
    shutil.rmtree(folder)
    done = CliRunner().invoke(check.command, [str(shop(folder, "clener", "cleaner"))])
    assert "purpose" not in done.stdout


def test_check_offers_the_keys_of_a_container_and_of_what_is_left_lying(tmp_path: Path) -> None:
    bin_ = '\n[[container]]\nid = "tub"\nstream = "wet-cloths"\nsize = "20 L"\nkind = "satellite"\n'
    left = '\n[[step.leaves_wet]]\nwhat = "rags"\nproduct = "stuff"\namount = "10 mL"\narea = "0.1 m^2"\n'
    stuff = {"stuff": PRODUCT.format(role="x", purpose='purpose = "cleaner"')}
    done = CliRunner().invoke(
        check.command, [str(write_shop(tmp_path / "shop", SHOP + bin_, stuff, {"work": JOB + left}))]
    )
    assert done.exit_code == 0, done.output
    assert 'no rule goes by stream = "wet-cloths"; write accepts = ["wet-cloths"] beside it' in done.stdout
    assert 'no rule goes by stream = "wet-cloths"; write reactivity beside it; write one of: "acid", ' in done.stdout
    assert 'no rule goes by what = "rags"; write form beside it; ' in done.stdout


@pytest.mark.parametrize("material", ["nitrile-look vinyl blend", "no laminate", "butyl (old stock?)"])
def test_a_word_in_a_text_makes_no_glove_of_a_material(tmp_path: Path, material: str) -> None:
    """Each of these was taken for the first material of which a word stood in it."""
    glove = f"""
[[glove]]
id = "odd"
material = "{material}"
thickness = "0.4 mm"
breakthrough = {{ "108-88-3" = {{ time = "480 min", standard = "EN 16523-1", temperature = "23 degC" }} }}
"""
    folder = write_shop(
        tmp_path / "shop",
        SHOP + glove,
        {"stuff": PRODUCT.format(role="x", purpose='purpose = "cleaner"')},
        {"work": JOB},
    )
    report = sheet(folder, "work")
    assert not [role for f in report.findings for role in f.roles if isinstance(role, Worn) and role.item == "odd"]
    assert any("is not one we know" in f.statement for f in report.findings)
