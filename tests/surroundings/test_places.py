"""Folders that are closed, gone, far away or oddly named."""

from __future__ import annotations

import os
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from safety.cli import main
from tests.surroundings.conftest import FEW, JOB, RECEIVED, USED, closed, make_shop


def in_one_line(run: Result) -> str:
    """The one mistake a run printed; the status is that of bad input and nothing else was said."""
    assert run.exit_code == 2, run.output
    assert run.stdout == ""
    (line,) = run.stderr.splitlines()
    assert "Traceback" not in line
    return line


def test_a_shop_one_may_only_read_has_its_sheets_and_logs(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(shop)
    for words in (RECEIVED, USED):
        assert runner.invoke(main, words).exit_code == 0
    open_to_all = {c: runner.invoke(main, c) for c in (("sheet", JOB, *FEW), ("check",), ("log", "--year", "2026"))}
    before = sorted(shop.rglob("*"))
    with closed(shop):
        for words, was in open_to_all.items():
            run = runner.invoke(main, words)
            assert (run.exit_code, run.stdout) == (was.exit_code, was.stdout), run.output
        line = in_one_line(runner.invoke(main, ["sheet", JOB, *FEW, "--pdf", "out.pdf"]))
        assert line.startswith("out.pdf: ")
        line = in_one_line(runner.invoke(main, [*USED, "--again"]))
        assert "ledger.db" in line
        line = in_one_line(runner.invoke(main, ["sheet", JOB, *FEW, "--freeze"]))
    assert sorted(shop.rglob("*")) == before


def test_a_folder_that_cannot_be_written_to(tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "shut"
    folder.mkdir()
    monkeypatch.chdir(folder)
    with closed(folder):
        assert "mine" in in_one_line(runner.invoke(main, ["new", "mine"]))
        assert "mine" in in_one_line(runner.invoke(main, ["demo", "mine"]))
    assert list(folder.iterdir()) == []


@pytest.mark.parametrize("home", ["/nonexistent/home", None, "closed"])
def test_nothing_is_looked_for_or_kept_at_home(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, tmp_path: Path, home: str | None
) -> None:
    own = tmp_path / "home"
    own.mkdir()
    monkeypatch.chdir(shop)
    for name in ("HOME", "USERPROFILE", "XDG_CONFIG_HOME", "XDG_CACHE_HOME"):
        monkeypatch.delenv(name, raising=False)
    if home:
        monkeypatch.setenv("HOME", str(own) if home == "closed" else home)
    with closed(own):
        for words in (("sheet", JOB, *FEW), RECEIVED, ("log", "--year", "2026")):
            run = runner.invoke(main, words)
            assert run.exit_code in (0, 1, 3), run.output
    assert list(own.iterdir()) == []


ODD = ['it\'s "quoted" & spaced', "Ünïcode Łódź 作業場", "smile 🧤🥽", "-dash;$(d)#e", "%s {0} <b>"]


@pytest.mark.parametrize("name", ODD)
def test_names_of_any_sort(tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    monkeypatch.chdir(tmp_path)
    shop = make_shop(tmp_path / name)
    elsewhere = runner.invoke(
        main, ["sheet", str(shop / "jobs" / f"{JOB}.toml"), *FEW, "--pdf", str(shop / f"{name}.pdf")]
    )
    assert elsewhere.exit_code in (0, 1, 3), elsewhere.output
    assert (shop / f"{name}.pdf").read_bytes().startswith(b"%PDF-")
    recorded = runner.invoke(main, [*RECEIVED, "--shop", str(shop)])
    assert recorded.exit_code == 0, recorded.output
    assert (shop / "ledger.db").is_file()
    log = runner.invoke(main, ["log", "--year", "2026", "--shop", str(shop), "--csv", str(shop / f"{name}.csv")])
    assert log.exit_code in (0, 3), log.output
    job = shop / "jobs" / f"{name}.toml"  # a job under such a name, with a mistake in it
    job.write_text(shop.joinpath("jobs", f"{JOB}.toml").read_text("utf-8").replace("crew = ", "crw = "), "utf-8")
    wrong = runner.invoke(main, ["sheet", "--", str(job)])
    assert wrong.exit_code == 2
    assert f"{name}.toml:" in wrong.stderr


def test_very_long_paths_and_names(tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch) -> None:
    deep = tmp_path.joinpath(*["a-rather-long-folder-name-of-fifty-letters-or-so"] * 30)
    monkeypatch.chdir(tmp_path)
    deep.mkdir(parents=True)
    shop = make_shop(deep / "shop")
    run = runner.invoke(main, ["sheet", str(shop / "jobs" / f"{JOB}.toml"), *FEW])
    assert run.exit_code in (0, 1, 3), run.output
    for words in (["sheet", "x" * 300], ["sheet", "x" * 300 + ".toml"], ["check", "x" * 5000], ["sheet", "nul\0"]):
        assert runner.invoke(main, words).exit_code == 2
    far = runner.invoke(main, ["sheet", str(shop / "jobs" / f"{JOB}.toml"), *FEW, "--pdf", "y" * 300 + ".pdf"])
    assert in_one_line(far).startswith("yyy")


def test_the_sheet_is_the_same_from_every_folder(
    shop: Path, tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    job = shop / "jobs" / f"{JOB}.toml"
    seen = set()
    for folder, named in (
        (shop, JOB),
        (shop / "jobs", JOB),
        (tmp_path, str(job)),
        (tmp_path, os.path.relpath(job, tmp_path)),
    ):
        monkeypatch.chdir(folder)
        run = runner.invoke(main, ["sheet", named, *FEW])
        assert run.exit_code in (0, 1, 3), run.output
        seen.add(run.stdout)
    assert len(seen) == 1


def test_the_working_folder_was_taken_away(
    shop: Path, tmp_path: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch
) -> None:
    gone = tmp_path / "gone"
    gone.mkdir()
    monkeypatch.chdir(gone)
    shutil.rmtree(gone)
    run = runner.invoke(main, ["sheet", str(shop / "jobs" / f"{JOB}.toml"), *FEW])
    assert run.exit_code in (0, 1, 2, 3), run.output
    for words in (["sheet", "x"], ["check"], ["plugins"]):
        run = runner.invoke(main, words)
        assert run.exit_code in (0, 2), run.output
