"""Eight writers at once lose and double nothing; a writer killed at any moment leaves whole records only."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from safety.ledger.verify import verify
from safety.ledger.view import view
from safety.model import Period
from tests.ledger import writers
from tests.ledger.made_up import SHOP

pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(not hasattr(os, "fork"), reason="these writers are made with fork and killed with SIGKILL"),
]
ALWAYS = Period("2000-01", "2099-12")
ROOT = Path(__file__).parents[2]


def run(how: str, address: str) -> dict[str, Any]:
    command = [sys.executable, "-m", "tests.ledger.writers", how, address]
    done = subprocess.run(
        command, cwd=ROOT, capture_output=True, text=True, env={**os.environ, "PYTHONPATH": str(ROOT)}
    )
    assert done.returncode == 0, done.stderr
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def test_eight_processes_write_at_once(address: str, opened: Callable[..., Any]) -> None:
    answer = run("many", address)
    assert answer["states"] == [0] * writers.PROCESSES
    told = [line for lines in answer["told"] for line in lines]
    new = sorted(line.removesuffix("=True") for line in told if line.endswith("=True"))
    with opened() as ledger, view(ledger) as seen:
        stored = seen.entries(ALWAYS)
        (total,) = seen.by_product(ALWAYS_TOGETHER, "received")
    with opened() as ledger:
        held = verify(ledger)  # one chain, whoever wrote
    assert held.sound, (held.wrong, held.dated)
    # each record was acknowledged as new to exactly one process, and nothing else is there
    assert new == sorted(e.key for e in stored)
    assert len(told) == writers.PROCESSES * (writers.OWN + writers.SHARED + 2)
    assert len(stored) == writers.PROCESSES * writers.OWN + writers.SHARED + 2
    assert [e.key for e in stored if e.reverses] == ["not~shared-0"]
    assert total.volume * 1000 == pytest.approx(writers.PROCESSES * writers.OWN + writers.SHARED + 1)


def test_two_yards_with_eight_writers_each_lose_and_swallow_nothing(address: str, opened: Callable[..., Any]) -> None:
    """The like lines of a second yard were once taken for the first one's: each yard has its own, in one chain."""
    assert run("yards", address)["states"] == [0] * 2 * writers.PROCESSES
    with opened() as ledger:
        for yard in writers.YARDS:
            with view(ledger, replace(SHOP, name=yard)) as seen:
                assert len(seen.entries(ALWAYS)) == writers.PROCESSES * writers.FEW
        held = verify(ledger)
    assert held.sound, (held.wrong, held.dated)


ALWAYS_TOGETHER = Period("2026-11", "2026-11")


def test_a_killed_writer_loses_nothing_it_acknowledged_and_leaves_no_half_record(
    address: str, opened: Callable[..., Any]
) -> None:
    answer = run("killed", address)
    assert answer["signals"] == writers.KILLED  # each was killed at work
    told = set(answer["told"])
    assert len(told) > writers.KILLED * 3 // 4  # those that are waited for did get to work, however slow the machine
    with opened() as ledger:
        with view(ledger) as seen:
            keys = [e.key for e in seen.entries(ALWAYS)]
            editions = seen.editions()
            used = {e.edition for e in seen.entries(ALWAYS)}
        assert verify(ledger).sound  # no half chain
        if ledger.connection.dialect.name == "sqlite":
            assert ledger.connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"
            assert ledger.connection.exec_driver_sql("PRAGMA foreign_key_check").all() == []
    first, second = ({key[2:] for key in keys if key.startswith(side)} for side in ("a-", "b-"))
    assert first == second  # both lines of a record or none
    assert len(keys) == 2 * len(first)
    assert told <= first
    assert len(first - told) <= writers.KILLED  # stored, and killed before it could say so: at most one each
    assert used == set(editions)  # no product without its record
    assert all(len(edition.parts) == 2 for edition in editions.values())
