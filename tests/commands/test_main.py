"""The table of commands, the page made from it, the demo and the list of plugins."""

from __future__ import annotations

import json
from collections.abc import Callable
from functools import partialmethod
from importlib import import_module
from pathlib import Path

import pytest
from click.testing import CliRunner
from pypdf import PdfReader

import safety
from safety.cli import COMMANDS, demo, main
from safety.workplace import Workplace


@pytest.mark.parametrize("name", COMMANDS)
def test_stub_says_what_the_command_says(name: str) -> None:
    assert COMMANDS[name] == import_module(f"safety.cli.{name}").command.help.partition("\n")[0]


def test_version(runner: CliRunner) -> None:
    assert runner.invoke(main, ["--version"]).stdout == f"hazstep, version {safety.__version__}\n"


def test_another_safety_in_the_same_folder_is_refused(
    runner: CliRunner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "safety.py").write_text("")
    monkeypatch.setattr(safety, "__path__", [*safety.__path__, str(tmp_path)])
    run = runner.invoke(main, ["calc"])
    assert run.exit_code == 70
    assert "install hazstep in an environment of its own" in run.stderr


def test_demo_writes_every_sheet(runner: CliRunner, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(Workplace, "assess", partialmethod(Workplace.assess, draws=60))
    folder = tmp_path / "demo"
    run = runner.invoke(main, ["demo", str(folder)])
    assert run.exit_code == 0, run.output
    jobs = sorted(path.stem for path in (demo.SHOP / "jobs").glob("*.toml"))
    assert jobs
    written = sorted(path.name for path in (folder / "sheets").iterdir())
    assert written == sorted(f"{job}.{kind}" for job in jobs for kind in ("pdf", "annex.pdf", "txt", "json"))
    for job in jobs:
        record = json.loads((folder / "sheets" / f"{job}.json").read_text(encoding="utf-8"))
        assert f"{record['job']['title']}: {record['result']}" in run.stdout
        first = PdfReader(folder / "sheets" / f"{job}.pdf").pages[0].extract_text()
        assert record["result"] in first
        assert ("INCOMPLETE" in first) is not record["complete"]


def test_demo_leaves_a_full_folder_alone(runner: CliRunner, tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("keep")
    run = runner.invoke(main, ["demo", str(tmp_path)])
    assert run.exit_code == 2
    assert run.stderr == f"{tmp_path.as_posix()}: is there already and is not an empty folder; name another folder\n"
    assert [p.name for p in tmp_path.iterdir()] == ["mine.txt"]


def test_plugins_lists_a_broken_one(
    runner: CliRunner, shop: Path, monkeypatch: pytest.MonkeyPatch, trusts: Callable[[Path], Path]
) -> None:
    (shop / "broken.py").write_text("raise ValueError('worn out')\n")
    file = shop / "shop.toml"
    file.write_text(file.read_text().replace("[shop]\n", '[shop]\nplugins = ["broken.py"]\n', 1))
    monkeypatch.chdir(trusts(shop))
    listed = {one["name"]: one for one in json.loads(runner.invoke(main, ["plugins", "--format", "json"]).stdout)}
    assert set(listed["broken"]) == {"name", "distribution", "version", "hooks", "failure"}
    assert "worn out" in listed["broken"]["failure"]
    assert "worn out" in runner.invoke(main, ["plugins"]).stdout
