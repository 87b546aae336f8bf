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
from safety.model import ClockSpan, Finding, Report
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


def after_the_rollers(folder: Path, door: str, amount: str, at: str) -> Report:
    """The sheet of a job that begins in the office later on the day on which rollers are washed next door."""
    typing = JOB.format(id="typing", place="office", air="windows shut", amount="1 mL").replace("Wash", "Clean keys")
    rollers = JOB.format(**{**WORK, "amount": amount})
    jobs = {"rollers": rollers, "typing": typing.replace("07:30", at)}
    shop = SHOP.format(door=door).replace('id = "office"', 'id = "office"\novernight = "windows open"')
    write_shop(folder, shop, {"wash": PRODUCT}, jobs)
    day = assess_day(Workplace.open(folder), ["rollers", "typing"], draws=200)
    return next(r for r in day if r.job.id == "typing")


def test_the_safe_start_behind_an_open_door_is_worked_out(tmp_path: Path) -> None:
    """Before: "When its vapour is gone from this place was not worked out", whatever was known of the door."""
    report = after_the_rollers(tmp_path, OPEN, "40 mL", "09:00")
    (told,) = said(report, "air-beside")
    assert not told.unknown
    (span,) = (role for role in told.roles if isinstance(role, ClockSpan))
    (neighbour,) = report.exposure.neighbours
    assert neighbour.alone is not None
    (office,) = neighbour.alone.elsewhere
    assert office.place.id == "office"
    # 29 CFR 1910.1000 table Z-2, toluene: 200 ppm over 8 h; the lowest limit loaded of it is lower, so this one holds too
    clock = neighbour.alone.curves.times + neighbour.timeline.segments[0].start
    ppm = office.far[:, 0] * 1e6 * 24.055e-3 / 92.14e-3  # 24.055 L of one mol at 20 degC and 1 atm
    assert span.end is not None
    assert (ppm[clock >= max(span.end, 0.0)] < 200).all()
    assert ppm.max() > 0


def test_more_next_door_is_a_later_start(tmp_path: Path) -> None:
    ends = []
    for amount in ("5 mL", "200 mL"):
        (told,) = said(after_the_rollers(tmp_path / amount, OPEN, amount, "09:00"), "air-beside")
        ends += [role.end for role in told.roles if isinstance(role, ClockSpan)]
    little, much = (np.inf if end is None else end for end in ends)
    assert little < much
    assert much > 0, "0.2 L beside an office of 40 m3 was over and gone in half an hour"


def test_windows_that_open_at_night_clear_no_air_in_the_working_day(tmp_path: Path) -> None:
    """A place nobody works in was taken to have its air of the night all day: here ten times as much of it."""
    report = after_the_rollers(tmp_path, OPEN, "40 mL", "09:00")
    (neighbour,) = report.exposure.neighbours
    assert neighbour.alone is not None
    (beyond,) = neighbour.alone.next_door
    always_shut = sheet(write_shop(tmp_path / "shut", SHOP.format(door=OPEN), {"wash": PRODUCT},
                                   {"rollers": JOB.format(**{**WORK, "amount": "40 mL"})}), "rollers")  # fmt: skip
    (shut,) = always_shut.exposure.next_door
    assert np.median(beyond.people.worst_15min) == pytest.approx(np.median(shut.people.worst_15min), rel=1e-6)


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
