"""Whatever is typed after a command's name: one of our exit statuses, a reason, and nothing that steers the terminal."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import sys
import unicodedata
from pathlib import Path

import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from safety.cli import COMMANDS, main
from safety.workplace import Workplace

BASE = Path(__file__).parents[1] / "mistakes" / "base"

#: What people, scripts and hostile scripts type.
ODD = [
    "", " ", "-", "--", "--pdf", "--format", "json", "--month", "2026-11", "9999-12", "0001-01", "0000", "--year", "clean",
    "wash", "receive", "use", "weigh", "correct", "import", "--key", "--who", "Pat", "250 mL", "1e400 kg", "-1 m", "\u0663 m",
    "--frozen", "0" * 64, "--draws", "60", "--seed", "1" * 400, "--change", "job.crew=1e9", "step.1.duration=nan h", "a=b=c",
    "{0.__class__}", "%s%n", "../../etc/passwd", "con", "C:\\x", "x" * 5000, "a\x1b[31mb", "a\u202eb", "a\x00b", "a\nb", "a\x9bb",
    "\udce9", "well_mixed", "cas=108-88-3", "parts=toluene:0.4, 78-93-3:0.6", "volume=1 m3", "time=1e9 s", "--shop", "shop.toml",
]  # fmt: skip
ARGUMENTS = st.lists(st.sampled_from(ODD) | st.text(max_size=12), max_size=6)


def steering(text: str) -> set[str]:
    """Characters of a printed text that a terminal could act on, by their category (Unicode Standard, table 4-4)."""
    return {c for c in text if unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp")} - set("\n\t\u00ad\u200c\u200d")


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("typed") / "shop"
    shutil.copytree(BASE, folder)
    return folder


@settings(max_examples=60, derandomize=True, deadline=None, suppress_health_check=list(HealthCheck))
@given(command=st.sampled_from(sorted({*COMMANDS} - {"demo", "new", "serve"})), arguments=ARGUMENTS)
def test_whatever_is_typed(shop: Path, command: str, arguments: list[str]) -> None:
    """All commands but the two that write whole folders where they are told to, and the one that runs until it is ended."""
    before = Path.cwd()
    os.chdir(shop)
    try:
        run = CliRunner().invoke(main, [command, *arguments])
    finally:
        os.chdir(before)
    assert run.exit_code in (0, 1, 2, 3), (run.exception, run.stderr)
    assert steering(run.stdout + run.stderr) == set()
    assert (run.exit_code == 2) <= bool(run.stderr.strip())


@pytest.mark.parametrize("sign", ["\x1b[2J", "\x9b1m", "\x7f", "\u202e", "\u2066", "\u2028", "\ufeff", "\r"])
@pytest.mark.parametrize("arguments", [("check", "a{}"), ("calc", "well_mixed", "volume={}"), ("new", "{}"), ("{}",)])
def test_a_sign_that_steers_the_terminal_is_refused(sign: str, arguments: tuple[str, ...], shop: Path) -> None:
    run = CliRunner().invoke(main, [a.format(sign) for a in arguments])
    assert (run.exit_code, run.stdout) == (2, "")
    assert "holds a sign that cannot be printed; type it again" in run.stderr
    assert run.stderr.count("\n") == 1
    assert steering(run.stderr) == set()


def test_a_name_of_a_file_cannot_break_the_line_of_a_mistake(shop: Path, tmp_path: Path) -> None:
    folder = tmp_path / "a\x1b[2J\nb"
    shutil.copytree(shop, folder)
    (folder / "jobs" / "c\u202ed.toml").write_bytes(b"[job\n")
    (folder / "jobs" / "clean.toml").unlink()
    done = subprocess.run(
        [sys.executable, "-c", "from safety.cli import main; main()", "check", "."],
        cwd=folder, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert done.returncode == 2
    assert done.stderr.startswith("jobs/c?d.toml:1: this is not TOML")
    assert done.stderr.count("\n") == 1


def test_stopping_it_is_not_taken_for_a_stop_finding(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """128 + SIGINT, as shells have it; 1 would say that the sheet has a stop finding."""

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Workplace, "assess", interrupted)
    run = CliRunner().invoke(main, ["sheet", str(shop / "jobs" / "clean.toml")])
    assert run.exit_code == 128 + signal.SIGINT
    assert run.stdout == ""
    assert run.stderr == "\nStopped; what was not done by then is left out.\n"
