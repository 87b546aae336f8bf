"""The demo shop with its records in a ledger, for the tests that read all a shop can print."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import record
from tests import demo


@pytest.fixture(scope="session")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("whole") / "shop"
    shutil.copytree(demo.SHOP, folder)
    done = CliRunner().invoke(record.command, ["import", str(folder / "records.csv"), "--shop", str(folder)])
    assert done.exit_code == 0, done.output
    return folder
