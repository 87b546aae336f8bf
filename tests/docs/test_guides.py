"""Every command a guide shows runs in the demonstration shop."""

from __future__ import annotations

import re
import shlex
import shutil
from functools import partialmethod
from math import log10
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.cli.demo import SHOP, keep_records
from safety.compare import tries
from safety.formulas.ignition import antoine_pressure
from safety.workplace import Workplace, assess_job
from tests.typed import IN_ROOM_1, PLACE, STOCK, WASH

DOCS = Path(__file__).parents[2] / "docs"
GUIDES = sorted(DOCS.glob("guide-*.md"))
COMMANDS = [
    (guide.stem, line)
    for guide in GUIDES
    for block in re.findall(r"^```console\n(.*?)^```$", guide.read_text("utf-8"), re.S | re.M)
    for line in re.findall(r"^\$ hazstep (.+)$", block, re.M)
]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("guides") / "shop"
    shutil.copytree(SHOP, folder)
    keep_records(folder)
    return folder


def _few(words: list[str]) -> list[str]:
    """What asks a command for few draws, where it can be asked."""
    return ["--draws", "60"] if words[0] in ("sheet", "compare") and "--frozen" not in words else []


@pytest.mark.parametrize(("guide", "line"), COMMANDS, ids=[line for _, line in COMMANDS])
def test_command_runs(guide: str, line: str, shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """With few draws, which change neither what is asked for nor how."""
    monkeypatch.chdir(shop)
    monkeypatch.setattr(Workplace, "assess", partialmethod(Workplace.assess, draws=60))
    words = shlex.split(line)
    done = CliRunner().invoke(main, [*words, *_few(words)])
    assert done.exit_code in (0, 1, 3), done.output
    assert done.stdout


def test_the_commands_of_the_readme_run_in_their_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From nothing to the first log, as somebody does who follows the page and nothing else."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tries, "FEW", 50)
    monkeypatch.setattr(Workplace, "assess", partialmethod(Workplace.assess, draws=60))
    block = (DOCS.parent / "README.md").read_text("utf-8").split("## Your own shop")[1].split("```")[1]
    for line in re.findall(r"^\$ (.+)$", block, re.M):
        name, *words = shlex.split(line, comments=True)
        if name == "cd":
            monkeypatch.chdir(words[0])
        elif name == "hazstep":
            few = ["--draws", "60"] if words[0] in ("sheet", "compare") else []
            typed = {"place": PLACE, "product": WASH, "job": IN_ROOM_1, "stock": STOCK}.get(
                words[1] if words[0] == "new" else "", ()
            )
            done = CliRunner().invoke(main, [*words, *few], input="".join(f"{line}\n" for line in typed))
            assert done.exit_code in (0, 1, 3), f"{line}: {done.output}"
            assert done.stdout


@pytest.mark.parametrize("guide", GUIDES, ids=lambda g: g.stem)
def test_each_of_25_questions_has_an_answer(guide: Path) -> None:
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", guide.read_text("utf-8"), re.M)
    assert len(rows) - 1 >= 25
    assert all(answer.strip() for _, answer in rows)


def test_a_part_without_data_stops_the_sheet_until_the_file_of_the_guide_is_there(tmp_path: Path) -> None:
    """The part and the file as the guide prints them; its line goes through its own two points."""
    shop = tmp_path / "shop"
    shutil.copytree(DOCS.parent / "tests" / "mistakes" / "base", shop)
    product, job = shop / "products" / "wash.toml", shop / "jobs" / "clean.toml"
    product.write_text(product.read_text("utf-8").split("[[product.part]]")[0] + PART, encoding="utf-8")
    job.write_text(job.read_text("utf-8").split('[[step]]\nname = "Prime"')[0], encoding="utf-8")
    before = assess_job(job, draws=60)
    (stop,) = [f for f in before.findings if f.topic == "breathing"]
    assert (stop.level, stop.short) == ("stop", "Vapour unknown")
    assert stop.remedy.endswith("For a substance without data, ask the product's maker.")
    guide = (DOCS / "guide-safety-officer.md").read_text("utf-8")
    blocks = re.findall(r"^```toml\n# (substances/[\w.-]+)\n(.*?)^```$", guide, re.S | re.M)
    assert len(blocks) == 2
    (part,) = re.findall(r"^```toml\n# in the product's file[^\n]*\n(.*?)^```$", guide, re.S | re.M)
    product.write_text(product.read_text("utf-8").replace(PART, part), encoding="utf-8")
    (shop / "substances").mkdir()
    for name, block in blocks:
        (shop / name).write_text(block, encoding="utf-8")
    assert CliRunner().invoke(main, ["check", str(shop)]).exit_code == 0
    after = assess_job(job, draws=60)
    (breathing,) = [f for f in after.findings if f.topic == "breathing"]
    assert breathing.short != "Vapour unknown"
    assert not any("no data on CAS" in gap for gap in after.missing)
    assert "b = (log10(101325) - log10(P)) / (1/293.15 - 1/T)" in guide
    b = (log10(101325) - log10(300.0)) / (1 / 293.15 - 1 / 428.15)
    a = log10(300.0) + b / 293.15
    for kelvin, pascal in ((293.15, 300.0), (428.15, 101325.0)):
        assert float(antoine_pressure(a, b, 0.0, kelvin)) == pytest.approx(pascal, rel=0.001)


PART = """[[product.part]]
cas = "128601-23-0"
weight = "100 %"
"""
