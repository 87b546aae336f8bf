"""What is proposed does remove its target, and a little less does not."""

from __future__ import annotations

import shutil
from dataclasses import replace
from pathlib import Path

import pytest

import safety
from safety.compare import Proposal, compare, propose, read_alternatives
from safety.compare.levers import levers
from safety.files.reading import read_all
from safety.files.shop_files import ShopFiles
from safety.model import Job
from safety.units import significant
from safety.workplace import Workplace

SHOP = Path(safety.__file__).parent / "data" / "demo"
DRAWS = 100
JOB = """
[job]
id = "bench"
title = "Clean the bench"
place = "boat-hall"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "30 min"

[[step.use]]
product = "wash-solvent"
work = "spray"
amount = "300 mL"
"""


@pytest.fixture(scope="module")
def path(tmp_path_factory: pytest.TempPathFactory) -> Path:
    shop = Path(shutil.copytree(SHOP, tmp_path_factory.mktemp("tries") / "shop"))
    file = shop / "jobs" / "bench.toml"
    file.write_text(JOB, "utf-8")
    return file


@pytest.fixture(scope="module")
def found(path: Path) -> list[Proposal]:
    return propose(Workplace.open(path), path, draws=DRAWS)


def test_the_least_hood_removes_the_respirator_and_a_smaller_one_does_not(path: Path, found: list[Proposal]) -> None:
    masks = [p for p in found if p.target.finding.key == "respirator"]
    assert {p.kind for p in masks} == {"substitution", "engineering", "administrative"}
    hood = next(p for p in masks if "hood" in p.words)
    assert hood.helps
    share = float(hood.words.split(" % ")[0].split()[-1])
    planned = read_all(ShopFiles.of(path).file, [path])[1][0]
    options = [f"place.boat-hall.capture={share} %", f"place.boat-hall.capture={share - 10} %"]
    both = compare(Workplace.open(path), path, read_alternatives(options, path, planned), draws=DRAWS)
    held, fails = ([(f.level, f.close) for f in one.report.findings if f.key == "respirator"] for one in both)
    assert held == [("note", "")]
    assert fails != [("note", "")]
    # a mist is all in the air, so a share caught and a share left out come to the same
    amount = next(p for p in masks if p.kind == "substitution")
    assert float(amount.words.split(" % ")[0].split()[-1]) == pytest.approx(100 - share, abs=10)


def test_what_no_amount_does_is_said(found: list[Proposal]) -> None:
    """In a spray close to the face the air of the hall makes little difference (two zones)."""
    air = next(p for p in found if p.target.finding.key == "respirator" and p.control.startswith("more clean air"))
    assert not air.helps
    assert air.words == "no amount of more clean air in Boat hall alone does it"


def test_levers_begin_with_the_plan_and_change_nothing_else(path: Path) -> None:
    job: Job = read_all(ShopFiles.of(path).file, [path])[1][0]
    for lever in levers(job, 0):
        assert lever.apply(job, lever.planned) == job, lever.name
        moved = lever.apply(job, lever.settings[-1])
        assert moved != job, lever.name
        assert replace(moved, steps=job.steps, carried=job.carried) == job, lever.name
    for lever in (x for x in levers(job, 0) if x.stepless):
        values = [lever.planned, *lever.settings]
        assert values == sorted(set(values), reverse=lever.limit < lever.planned)
        assert lever.limit == values[-1]
        for value in lever.settings[:-1]:
            assert value == float(significant(value, 1)), "a setting has one figure"
