"""Taps of a run are kept once, with the time they were made, and never changed."""

from __future__ import annotations

import sqlite3
import threading
import time
from collections.abc import Callable
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any

import pytest

from safety.ledger import tables
from safety.ledger.migrate import STEPS, upgrade
from safety.ledger.runs import Audit, Run, TapLine, add_tap, audit, audits, begin_run, runs, taps_of
from safety.ledger.store import Ledger, open_at
from safety.problems import Problems
from tests.ledger.made_up import SHOP

START = datetime(2026, 11, 25, 13, 5, 20, tzinfo=timezone(timedelta(hours=-5)))
RUN = Run("r-1", "boots", "Boots", "Hull 4", "3f2a", START, "Tech 3", '{"doors": "shut"}')


def tap(key: str, kind: str = "begin", minutes: float = 0, step: int = 0, **more: Any) -> TapLine:
    at = START.astimezone(timezone.utc) + timedelta(minutes=minutes)
    return TapLine(key, "r-1", kind, at, at + timedelta(minutes=3), step, **more)


def test_a_run_comes_back_as_it_was_begun(ledger: Ledger) -> None:
    assert begin_run(ledger, RUN) == (RUN, True)
    assert begin_run(ledger, RUN) == (RUN, False)
    assert runs(ledger) == (RUN,)


def test_a_tap_sent_twice_is_one_line_with_the_time_it_was_made(ledger: Ledger) -> None:
    begin_run(ledger, RUN)
    line = tap("d-1", who="Tech 3", device="bay 2", note="dry")
    assert add_tap(ledger, line) == (line, "new")
    again = TapLine("d-1", "r-1", "begin", line.at, line.heard + timedelta(minutes=9), 0)
    assert add_tap(ledger, again) == (line, "there")
    assert taps_of(ledger, "r-1") == (line,)
    assert line.heard - line.at == timedelta(minutes=3)


def test_the_first_of_two_tablets_wins(ledger: Ledger) -> None:
    """Two tablets that began a step in the same second made two beginnings of it."""
    begin_run(ledger, RUN)
    first = tap("a", who="Tech 1")
    add_tap(ledger, first)
    assert add_tap(ledger, tap("b", who="Tech 3")) == (first, "first")
    add_tap(ledger, tap("c", step=1))
    add_tap(ledger, tap("d", "pause"))
    add_tap(ledger, tap("e", "pause"))  # as often as one likes
    assert [one.key for one in taps_of(ledger, "r-1")] == ["a", "c", "d", "e"]


def test_an_undo_names_the_tap_and_both_stay(ledger: Ledger) -> None:
    begin_run(ledger, RUN)
    add_tap(ledger, tap("a"))
    undo = tap("u", "undo", 1, -1, value="a")
    assert add_tap(ledger, undo) == (undo, "new")
    assert add_tap(ledger, tap("v", "undo", 2, -1, value="a")) == (undo, "first")
    again = tap("b", minutes=5)
    assert add_tap(ledger, again) == (again, "new")
    assert add_tap(ledger, tap("c", minutes=6)) == (again, "first")
    for key in ("u", "z"):  # an undo, and what is not there
        with pytest.raises(Problems, match="no tap"):
            add_tap(ledger, tap("w", "undo", 3, -1, value=key))


def test_a_run_is_open_until_somebody_closes_it(ledger: Ledger) -> None:
    begin_run(ledger, RUN)
    add_tap(ledger, tap("x", "close", 200, -1))
    assert runs(ledger, open_only=True) == ()
    add_tap(ledger, tap("u", "undo", 201, -1, value="x"))
    assert runs(ledger, open_only=True) == (RUN,)
    with pytest.raises(Problems, match='no run "r-2"'):
        add_tap(ledger, TapLine("k", "r-2", "begin", START, START))


@pytest.mark.parametrize("table", ["run", "tap", "audit"])
def test_no_line_is_changed_or_deleted(ledger: Ledger, table: str) -> None:
    begin_run(ledger, RUN)
    add_tap(ledger, tap("a"))
    audit(ledger, Audit(START, "bay 2", "Officer", "10.0.0.7", "login"))
    column = {"run": "job", "tap": "kind", "audit": "what"}[table]
    for statement in (f"UPDATE {table} SET {column} = 'x'", f"DELETE FROM {table}"):
        with pytest.raises(Exception, match="append-only"):
            ledger.connection.exec_driver_sql(statement)
    assert [line.what for line in audits(ledger)] == ["login"]


def test_taps_of_many_tablets_at_once_are_one_line_a_stretch(ledger: Ledger, opened: Callable[..., Any]) -> None:
    begin_run(ledger, RUN)
    became: list[str] = []

    def press(number: int) -> None:
        with opened() as own:
            became.append(add_tap(own, tap(f"t-{number}"))[1])

    threads = [threading.Thread(target=press, args=(number,)) for number in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(became) == ["first"] * 5 + ["new"]


def test_a_ledger_that_somebody_holds_is_told_after_the_wait(tmp_path: Path) -> None:
    """A lock held by another program stopped every page for a minute."""
    address = f"sqlite:///{tmp_path / 'ledger.db'}"
    with open_at(address, tmp_path, SHOP.name, create=True) as made:
        begin_run(made, RUN)
    other = sqlite3.connect(tmp_path / "ledger.db", isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    began = time.monotonic()
    with (
        open_at(address, tmp_path, SHOP.name, wait=0.5) as ledger,
        pytest.raises(Problems, match="another program holds the ledger"),
    ):
        add_tap(ledger, tap("a"))
    assert time.monotonic() - began < 5
    with open_at(address, tmp_path, SHOP.name) as ledger:
        assert taps_of(ledger, "r-1") == ()  # and reading goes on meanwhile
    other.close()


def test_a_ledger_of_an_older_program_takes_the_step_it_lacks(tmp_path: Path) -> None:
    address = f"sqlite:///{tmp_path / 'ledger.db'}"
    with open_at(address, tmp_path, SHOP.name, create=True) as made:
        for table in ("chain", "audit", "tap", "run"):
            made.connection.exec_driver_sql(f"DROP TABLE {table}")
        made.connection.exec_driver_sql("DROP TRIGGER ledger_version_no_delete")
        made.connection.exec_driver_sql("DELETE FROM ledger_version WHERE version >= 3")
    with open_at(address, tmp_path, SHOP.name) as ledger:
        assert begin_run(ledger, RUN) == (RUN, True)
        assert upgrade(ledger.connection) == len(STEPS)
    assert [t.name for t in tables.RUNS] == ["run", "tap", "audit"]
