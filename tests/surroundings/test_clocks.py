"""Zones, the nights the clocks change, and a clock that was put back."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import datetime, timezone
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main, record
from tests.surroundings.conftest import FEW, JOB, RECEIVED, USED

Zone = Callable[[str], None]


def _logged(runner: CliRunner, month: str) -> list[tuple[str, float]]:
    """(when, millilitres) of each line of a month's log, as it is ordered there."""
    run = runner.invoke(main, ["log", "--month", month, "--format", "json"])
    assert run.exit_code in (0, 3), run.output
    return [(line["happened"], round(line["volume_m3"] * 1e6, 3)) for line in json.loads(run.stdout)["records"]]


def test_a_sheet_is_by_the_clock_on_the_wall_wherever_the_computer_thinks_it_is(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, zone: Zone
) -> None:
    monkeypatch.chdir(shop)
    seen = set()
    for name in ("UTC", "Pacific/Kiritimati", "Nowhere/Land"):
        zone(name)
        run = runner.invoke(main, ["sheet", JOB, *FEW, "--format", "json"])
        assert run.exit_code in (0, 1, 3), run.output
        seen.add(run.stdout)
    assert len(seen) == 1


@pytest.mark.parametrize("night", ["2026-11-01T01:45:00", "2026-03-08T01:45:00"])
def test_a_job_over_the_change_counts_on_from_its_start(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, zone: Zone, night: str
) -> None:
    """Nothing in the files names a zone, so the sheet's clock is one that nobody puts forward or back."""
    zone("America/New_York")
    monkeypatch.chdir(shop)
    job = shop / "jobs" / f"{JOB}.toml"
    job.write_text(re.sub(r"start = \S+", f"start = {night}", job.read_text("utf-8"), count=1), "utf-8")
    run = runner.invoke(main, ["sheet", JOB, *FEW, "--format", "json"])
    steps = json.loads(run.stdout)["steps"]
    day = night[:10]
    assert [(s["start"], s["end"]) for s in steps] == [
        (f"{day}T01:45:00", f"{day}T02:00:00"),
        (f"{day}T02:00:00", f"{day}T02:10:00"),
    ]


def test_both_hours_of_the_night_that_has_one_twice_are_kept(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, zone: Zone
) -> None:
    """The clocks of New York go back on 2026-11-01 at 06:00 UTC: 01:10 comes twice, an hour apart."""
    zone("America/New_York")
    monkeypatch.chdir(shop)
    for minute, words in ((0, RECEIVED), (10, USED), (70, USED)):
        moment = datetime(2026, 11, 1, 5 + minute // 60, minute % 60, tzinfo=timezone.utc)
        monkeypatch.setattr(record, "now_at", lambda _, moment=moment: moment.astimezone())
        run = runner.invoke(main, [*words, *(["--again"] if minute == 70 else [])])
        assert run.exit_code == 0, run.output
    log = _logged(runner, "2026-11")
    assert [when for when, _ in log] == [
        "2026-11-01T01:00:00-04:00",
        "2026-11-01T01:10:00-04:00",
        "2026-11-01T01:10:00-05:00",
    ]


def test_a_clock_put_back_between_two_records_loses_nothing(
    shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, zone: Zone
) -> None:
    """The log is in order of the day and the clock on the wall, whatever was written down first."""
    zone("UTC")
    monkeypatch.chdir(shop)
    hours = (12, 14, 9)  # the clock is put back five hours after the second
    for hour, words in zip(hours, (RECEIVED, USED, USED), strict=True):
        moment = datetime(2026, 3, 2, hour, tzinfo=timezone.utc)
        monkeypatch.setattr(record, "now_at", lambda _, moment=moment: moment)
        amount = f"{hour}0 mL"
        run = runner.invoke(main, [amount if word == "250 mL" else word for word in words])
        assert run.exit_code == 0, run.output
    log = _logged(runner, "2026-03")
    assert [(when[11:13], volume) for when, volume in log] == [("09", 90.0), ("12", 5000.0), ("14", 140.0)]
    left = json.loads(runner.invoke(main, [*USED, "--format", "json"]).stdout)["lot"]["volume"]
    assert left == pytest.approx(5e-3 - 90e-6 - 140e-6 - 250e-6)


def test_midnight_is_the_shops_own(shop: Path, runner: CliRunner, monkeypatch: pytest.MonkeyPatch, zone: Zone) -> None:
    """One moment, two days: 2026-03-31 23:30 in Honolulu is 2026-04-01 23:30 on Kiritimati."""
    monkeypatch.chdir(shop)
    moment = datetime(2026, 4, 1, 9, 30, tzinfo=timezone.utc)
    monkeypatch.setattr(record, "now_at", lambda _: moment.astimezone())
    for name, key in (("Pacific/Honolulu", "one"), ("Pacific/Kiritimati", "two")):
        zone(name)
        assert runner.invoke(main, [*RECEIVED, "--key", key]).exit_code == 0
    assert [when[:10] for when, _ in _logged(runner, "2026-03")] == ["2026-03-31"]
    assert [when[:10] for when, _ in _logged(runner, "2026-04")] == ["2026-04-01"]
