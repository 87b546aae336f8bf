"""What is being done is what the ledger says, and a ledger that cannot be read does not say that nothing is."""

from __future__ import annotations

from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

import pytest

from safety.files.reading import read_shop
from safety.problems import Problems
from safety.serve.running import Runs
from tests.serve.shop import slipway


def test_a_ledger_that_cannot_be_read_is_said_and_not_taken_for_no_job_running(tmp_path: Path) -> None:
    """Today offered the start of a job that ran already, as long as another program held the ledger."""
    job = slipway(tmp_path)
    folder = job.parents[1] if job.suffix == ".toml" else job
    desk = SimpleNamespace(shop=lambda: read_shop(folder / "shop.toml"))
    runs = Runs(cast(Any, desk))
    assert runs.all() == ()  # no ledger yet
    (folder / "ledger.db").write_bytes(b"no ledger at all" * 300)
    with pytest.raises(Problems):
        runs.all()
    (folder / "ledger.db").unlink()
    assert runs.all() == ()
