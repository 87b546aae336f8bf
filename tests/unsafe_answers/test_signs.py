"""Which hazard symbols a product carries is said in one place, for page one, the table below and the waste label."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import label, main
from safety.hosting import host
from safety.model import Grid, Report
from safety.render import text
from safety.render.arrange import arrange
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Invented fireworks repairer"
altitude = "0 m"
rules = ["{rules}"]

[[place]]
id = "shed"
kind = "room"
volume = "60 m^3"
temperature = "21 degC"

[[place.air]]
state = "open"
air_changes = "4 /hour"
air_speed = "0.2 m/s"
basis = "tracer gas"
measured = 2026-03-02

[[container]]
id = "rags"
stream = "wet cloths"
accepts = ["wet-cloths"]
reactivity = []
size = "40 L"
kind = "satellite"
"""
PRODUCT = """
[product]
id = "star-paste"
name = "Star paste"
role = "adhesive"
purpose = "adhesive"
density = "0.8 g/mL"
flash_point = "-18 degC"
hazards = [{codes}]
sds_revised = 2026-02-01

[[product.part]]
cas = "67-64-1"
weight = "100 %"
"""
JOB = """
[job]
id = "mend"
title = "Mend a star"
place = "shed"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Paste"
duration = "10 min"

[[step.use]]
product = "star-paste"
work = "wipe"
amount = "20 mL"
area = "0.1 m^2"
"""


def made(folder: Path, rules: str, *codes: str) -> Report:
    product = PRODUCT.format(codes=", ".join(f'"{code}"' for code in codes))
    return sheet(write_shop(folder, SHOP.format(rules=rules), {"star-paste": product}, {"mend": JOB}), "mend", draws=60)


def in_the_table(report: Report) -> str:
    (grid,) = (b for b in report.blocks if isinstance(b, Grid) and b.key == "product-hazards")
    return grid.rows[0][2]


def on_page_one(report: Report) -> str:
    return " ".join(code for codes, _ in arrange(report).band.signs for code in codes)


@pytest.mark.parametrize(
    ("rules", "codes", "symbols"),
    [
        # Regulation (EC) No 1272/2008, Article 26(1): the bomb makes the flame needless
        ("eu", ("H201", "H225", "H319"), "GHS01 GHS07"),
        # ... and beside the skull there is no exclamation mark, whatever it stands for
        ("eu", ("H225", "H301", "H336"), "GHS02 GHS06"),
        # 29 CFR 1910.1200 Appendix C, C.2.1: in the United States both stand
        ("us-federal", ("H201", "H225", "H319"), "GHS01 GHS02 GHS07"),
    ],
)
def test_page_one_and_the_table_show_the_same_symbols(
    tmp_path: Path, rules: str, codes: tuple[str, ...], symbols: str
) -> None:
    """Page one had links and rules of its own, which differed on 2 pairs of statements here and on 244 in Europe.

    It showed "GHS01 GHS02 GHS07" over "GHS01 GHS07", and "GHS02 GHS06 GHS07" over "GHS02 GHS06".
    """
    report = made(tmp_path, rules, *codes)
    assert (on_page_one(report), in_the_table(report)) == (symbols, symbols)


def test_the_label_of_a_waste_container_shows_the_same(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It went by page one's rules, on all that looks like a statement in the words of the label."""
    made(tmp_path, "eu", "H225", "H301", "H336")
    monkeypatch.chdir(tmp_path)
    ask = CliRunner()
    who = ("--lot", "L-1", "--who", "Pat", "--when", "2026-11-20")
    for line in (
        ("receive", "star-paste", "1 L", "--expires", "none", *who),
        ("waste", "rags", "100 mL", "--from", "stock", "--product", "star-paste", "--basis", "measured", *who),
    ):
        done = ask.invoke(main, ["record", *line])
        assert done.exit_code == 0, done.output
    told = ask.invoke(label.command, ["rags", "--month", "2026-11"])
    assert "Signs: GHS02 Catches fire, GHS06 Acute poison\n" in told.output


def test_without_the_plugin_nobody_says_the_signs_and_the_sheet_tells(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Page one showed symbols all the same, by rules that no pack had chosen."""
    monkeypatch.setattr(host, "entry_points", lambda group: [])
    report = made(tmp_path, "eu", "H225", "H319")
    assert arrange(report).band.signs == ()
    assert "UNKNOWN: nobody says which signs Star paste carries" in text.sheet(report)
