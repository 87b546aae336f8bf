"""A shop to run commands in: the one ``hazstep new`` writes."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main


@pytest.fixture
def runner() -> CliRunner:
    return CliRunner()


@pytest.fixture
def shop(tmp_path: Path, runner: CliRunner) -> Path:
    folder = tmp_path / "shop"
    made = runner.invoke(main, ["new", str(folder)])
    assert made.exit_code == 0, made.output
    return folder


@pytest.fixture
def job(shop: Path) -> Path:
    return sorted((shop / "jobs").glob("*.toml"))[0]
