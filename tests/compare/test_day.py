"""Several jobs of a shop on one clock: what one does to the other stands on both sheets."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

import safety
from safety.cli import main
from safety.day import assess_day
from safety.model import Finding, Report
from safety.problems import Problems
from safety.workplace import Workplace, assess_job

SHOP = Path(safety.__file__).parent / "data" / "demo"
DRAWS = 60
WIPE = """
[job]
id = "wipe"
title = "Wipe the panel"
place = "bay-2"
air = "doors shut"
start = {start}
crew = 1

[[step]]
name = "Wipe"
duration = "30 min"

[[step.use]]
product = "wash-solvent"
work = "wipe"
amount = "100 mL"
area = "2 m^2"
"""
SHRINK = """
[job]
id = "shrink"
title = "Shrink the sleeve"
place = "bay-2"
air = "{air}"
start = {start}
crew = 1

[[step]]
name = "Shrink"
duration = "10 min"
ignition_sources = ["heat gun"]
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    return Path(shutil.copytree(SHOP, tmp_path / "shop"))


def put(shop: Path, wipe: str, shrink: str, air: str = "doors shut") -> list[Path]:
    files = [shop / "jobs" / "wipe.toml", shop / "jobs" / "shrink.toml"]
    files[0].write_text(WIPE.format(start=wipe), "utf-8")
    files[1].write_text(SHRINK.format(start=shrink, air=air), "utf-8")
    return files


def of(report: Report, key: str) -> list[Finding]:
    return [f for f in report.findings if f.key.startswith(key)]


def test_a_heat_gun_while_another_job_wipes_stops_both(shop: Path) -> None:
    files = put(shop, "2026-11-25T08:00:00", "2026-11-25T08:10:00")
    wipe, shrink = assess_day(Workplace.open(files[0]), files, draws=DRAWS)
    assert assess_job(files[1], draws=DRAWS).stops == ()
    assert assess_job(files[0], draws=DRAWS).stops == ()
    for report in (wipe, shrink):
        (stop,) = [f for f in report.stops if f.topic == "fire"]
        assert stop.key == "fire-pair"
        assert "eat gun" in stop.statement
    assert "“Shrink the sleeve”" in of(wipe, "fire-pair")[0].statement
    assert "“Wipe the panel”" in of(shrink, "fire-pair")[0].statement
    # the same stop as where one job does both at one time
    whole = shop / "jobs" / "both.toml"
    text = files[0].read_text("utf-8").replace('id = "wipe"', 'id = "both"')
    whole.write_text(text.replace('"30 min"', '"30 min"\nignition_sources = ["heat gun"]'), "utf-8")
    (one,) = [f for f in assess_job(whole, draws=DRAWS).stops if f.topic == "fire"]
    assert (one.key, one.rule) == (of(shrink, "fire-pair")[0].key, of(shrink, "fire-pair")[0].rule)


def test_the_earliest_safe_start_is_one(shop: Path) -> None:
    """Begun at the time the sheet names, the job has no fire stop and may follow at once; just before, it has."""
    files = put(shop, "2026-11-25T08:00:00", "2026-11-25T08:10:00")
    (_, shrink) = assess_day(Workplace.open(files[0]), files, draws=DRAWS)
    (finding,) = of(shrink, "air-beside:wipe")
    assert finding.level == "control"
    minutes = 10 + finding.figures[0].value
    for shift, stops in ((1, 0), (-3, 1)):
        late = int(minutes + shift)
        put(shop, "2026-11-25T08:00:00", f"2026-11-25T{8 + late // 60:02d}:{late % 60:02d}:00")
        (_, shrink) = assess_day(Workplace.open(files[0]), files, draws=DRAWS)
        assert len(shrink.stops) == stops
        (finding,) = of(shrink, "air-beside:wipe")
        assert finding.level == ("control" if stops else "note")


def test_two_days_apart_a_job_is_alone(shop: Path) -> None:
    files = put(shop, "2026-11-25T08:00:00", "2026-11-27T12:00:00")
    for path, report in zip(files, assess_day(Workplace.open(files[0]), files, draws=DRAWS), strict=True):
        alone = assess_job(path, draws=DRAWS)
        assert report.findings == alone.findings
        assert report.blocks == alone.blocks
        assert report.missing == alone.missing


def test_the_order_of_the_jobs_changes_nothing(shop: Path) -> None:
    files = put(shop, "2026-11-25T08:00:00", "2026-11-25T08:10:00")
    there, back = (
        assess_day(Workplace.open(files[0]), files, draws=DRAWS),
        assess_day(Workplace.open(files[0]), [*files[::-1], files[0]], draws=DRAWS),
    )
    assert [r.job.id for r in there] == [r.job.id for r in back] == ["wipe", "shrink"]
    assert [r.findings for r in there] == [r.findings for r in back]


def test_two_states_of_the_air_at_one_time_are_a_mistake_naming_both(shop: Path) -> None:
    files = put(shop, "2026-11-25T08:00:00", "2026-11-25T08:10:00", air="one door open")
    with pytest.raises(Problems) as caught:
        assess_day(Workplace.open(files[0]), files, draws=DRAWS)
    (problem,) = caught.value.problems
    for words in ("“Shrink” of “shrink”", "“one door open”", "“Wipe” of “wipe”", "“doors shut”"):
        assert words in problem.wrong
    put(shop, "2026-11-25T08:00:00", "2026-11-25T08:30:00", air="one door open")
    assert len(assess_day(Workplace.open(files[0]), files, draws=DRAWS)) == 2


def test_the_command_prints_the_day_and_every_sheet(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    put(shop, "2026-11-25T08:00:00", "2026-11-25T08:10:00")
    monkeypatch.chdir(shop)
    words = ["sheet", "shrink", "wipe", "--draws", "60"]
    run = CliRunner().invoke(main, [*words, "--pdf", "day.pdf"])
    assert run.exit_code in (1, 3), run.output
    assert run.output.index("A day in") < run.output.index("2026-11-25 08:00-08:30  Wipe the panel")
    assert run.output.count("Pre-task sheet") == 2
    assert [p.name for p in shop.glob("*.pdf")] == ["day.pdf"]
    content = json.loads(CliRunner().invoke(main, [*words, "--format", "json"]).stdout)
    assert [j["job"] for j in content["day"]] == ["wipe", "shrink"]
    assert len(content["sheets"]) == 2
