"""Every command a guide shows runs in the demonstration shop."""

from __future__ import annotations

import re
import shlex
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.cli.demo import SHOP, keep_records
from safety.compare import tries

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


@pytest.mark.parametrize(("guide", "line"), COMMANDS, ids=[line for _, line in COMMANDS])
def test_command_runs(guide: str, line: str, shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shop)
    done = CliRunner().invoke(main, shlex.split(line))
    assert done.exit_code in (0, 1, 3), done.output
    assert done.stdout


def test_the_commands_of_the_readme_run_in_their_order(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """From nothing to the first log, as somebody does who follows the page and nothing else."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(tries, "FEW", 50)
    block = (DOCS.parent / "README.md").read_text("utf-8").split("## Your own shop")[1].split("```")[1]
    for line in re.findall(r"^\$ (.+)$", block, re.M):
        name, *words = shlex.split(line, comments=True)
        if name == "cd":
            monkeypatch.chdir(words[0])
        elif name == "hazstep":
            few = ["--draws", "50"] if words[0] in ("sheet", "compare") else []
            done = CliRunner().invoke(main, [*words, *few])
            assert done.exit_code in (0, 1, 3), f"{line}: {done.output}"
            assert done.stdout


@pytest.mark.parametrize("guide", GUIDES, ids=lambda g: g.stem)
def test_each_of_25_questions_has_an_answer(guide: Path) -> None:
    rows = re.findall(r"^\| (.+?) \| (.+?) \|$", guide.read_text("utf-8"), re.M)
    assert len(rows) - 1 >= 25
    assert all(answer.strip() for _, answer in rows)
