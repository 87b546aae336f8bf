"""Vapour goes through doors.

Before, no place had a door: who sat behind an open one was in no sentence of the sheet, whatever was poured out next to
him, and "what comes from adjoining rooms" was in no figure.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

from safety.day import assess_day
from safety.exposure import Exposure
from safety.model import Finding, Report
from safety.problems import Problems
from safety.workplace import Workplace
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Two rooms (invented)"
rules = ["us-federal"]

[[place]]
id = "wash-room"
kind = "room"
volume = "60 m3"
temperature = "20 degC"
[[place.air]]
state = "as it is"
air_changes = ["1 /hour", "2 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"
{door}

[[place]]
id = "office"
kind = "room"
volume = "40 m3"
temperature = "20 degC"
ignition_sources = ["heater"]
[[place.air]]
state = "windows shut"
air_changes = ["0.3 /hour", "0.5 /hour"]
air_speed = "0.05 m/s"
basis = "estimated"
[[place.air]]
state = "windows open"
air_changes = ["4 /hour", "8 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"
"""
OPEN = """
[[place.door]]
to = "office"
area = "1.8 m2"
height = "2 m"
open_share = ["20 %", "100 %"]
temperature_difference = ["0 K", "3 K"]
"""
MEASURED = '[[place.door]]\nto = "office"\nairflow = ["20 m3/h", "30 m3/h"]\n'
NOBODY_KNOWS = '[[place.door]]\nto = "office"\n'
PRODUCT = """
[product]
id = "wash"
name = "Roller wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
hazards = ["H225"]
[[product.part]]
cas = "108-88-3"
weight = "100 %"
"""
JOB = """
[job]
id = "{id}"
title = "Wash rollers"
place = "{place}"
air = "{air}"
start = 2026-11-25T07:30:00
crew = 1
[[step]]
name = "Wash"
duration = ["60 min", "60 min"]
people = "near"
[[step.use]]
product = "wash"
work = "wipe"
amount = "{amount}"
area = "2 m2"
"""
WORK = {"id": "rollers", "place": "wash-room", "air": "as it is", "amount": "2 L"}


@pytest.fixture(scope="module")
def asked(tmp_path_factory: pytest.TempPathFactory):  # type: ignore[no-untyped-def]
    @cache
    def ask(door: str, amount: str = "2 L") -> Report:
        folder = write_shop(
            tmp_path_factory.mktemp("shop"),
            SHOP.format(door=door),
            {"wash": PRODUCT},
            {"rollers": JOB.format(**{**WORK, "amount": amount})},
        )
        return sheet(folder, "rollers")

    return ask


def said(report: Report, key: str) -> list[Finding]:
    return [f for f in report.findings if f.key.startswith(key)]


def breathed(air: Exposure) -> np.ndarray:
    (office,) = air.next_door
    return office.people.shift_average[:, 0]


def test_who_sits_behind_an_open_door_is_told_to_leave(asked) -> None:  # type: ignore[no-untyped-def]
    assert not said(asked(""), "air-next-door"), "without a door nobody speaks of the office"
    (found,) = said(asked(OPEN, "40 mL"), "air-next-door")
    assert found.level == "control", "before, nobody there was warned at all"
    assert "office" in found.short
    assert said(asked(OPEN, "40 mL"), "fire-next-door"), "nor was it said how near that air is to catching fire"
    (deadly,) = said(asked(OPEN), "air-next-door")
    assert deadly.level == "stop", "a dangerous level stops the work, whoever breathes it"


def test_the_air_behind_the_door_can_burn_beside_the_heater_there(asked) -> None:  # type: ignore[no-untyped-def]
    (fire,) = said(asked(NOBODY_KNOWS, "8 L"), "fire-next-door")
    assert fire.level == "stop"
    assert "heater" in fire.statement, "the heater next door was lit by nobody's reckoning"


def test_not_knowing_the_door_makes_it_worse_for_those_behind_it(asked) -> None:  # type: ignore[no-untyped-def]
    known, unknown = breathed(asked(OPEN).exposure), breathed(asked(NOBODY_KNOWS).exposure)
    assert (unknown >= known).all()
    (found,) = said(asked(NOBODY_KNOWS), "air-next-door")
    assert "one air" in found.statement, "which side was taken has to be said"
    some = OPEN.replace("temperature_difference", "# temperature_difference")
    assert (breathed(asked(some).exposure) == unknown).all(), "a door with one number missing is a door nobody knows"


def test_a_measured_flow_is_taken_as_it_is(asked) -> None:  # type: ignore[no-untyped-def]
    little, much = breathed(asked(MEASURED).exposure), breathed(asked(OPEN).exposure)
    assert np.median(little) < np.median(much)


@pytest.mark.parametrize("door", [OPEN, MEASURED, NOBODY_KNOWS])
def test_a_door_makes_nothing_milder_for_those_at_the_work(asked, door: str) -> None:  # type: ignore[no-untyped-def]
    """Air changes measured with the door open hold what goes through it; twice would be too much."""
    alone, beside = asked("").exposure, asked(door).exposure
    for one, other in ((alone.worker, beside.worker), (alone.bystander, beside.bystander)):
        for name in ("peak", "worst_15min", "shift_average"):
            before, after = getattr(one, name), getattr(other, name)
            assert (after >= before * (1 - 1e-6)).all(), f"{name} fell because of a door"


def test_a_job_next_door_breathes_it(tmp_path: Path) -> None:
    typing = JOB.format(id="typing", place="office", air="windows shut", amount="1 mL").replace("Wash", "Clean keys")
    jobs = {"rollers": JOB.format(**WORK), "typing": typing}
    folder = write_shop(tmp_path, SHOP.format(door=OPEN), {"wash": PRODUCT}, jobs)
    workplace = Workplace.open(folder)
    alone = sheet(folder, "typing").exposure
    day = assess_day(workplace, ["rollers", "typing"], draws=200)
    beside = next(r for r in day if r.job.id == "typing")
    assert np.median(beside.exposure.bystander.shift_average) > 5 * np.median(alone.bystander.shift_average)
    (told,) = said(beside, "air-beside")
    assert "behind a door" in told.statement


@pytest.mark.parametrize(
    ("door", "wrong"),
    [
        ('[[place.door]]\nto = "offce"\n', 'no place "offce"'),
        ('[[place.door]]\nto = "wash-room"\n', "into itself"),
        (OPEN.replace("1.8 m2", "180 m2"), "larger than the wall"),
    ],
)
def test_a_door_that_cannot_be_is_one_line(tmp_path: Path, door: str, wrong: str) -> None:
    folder = write_shop(tmp_path, SHOP.format(door=door), {"wash": PRODUCT}, {"rollers": JOB.format(**WORK)})
    with pytest.raises(Problems) as raised:
        sheet(folder, "rollers")
    (one,) = raised.value.problems
    assert wrong in one.wrong
    assert one.write
    assert "door" in one.where
