"""Keys of a plugin's own in a shop's files: once every such key was a mistake, so a plugin could ask a shop nothing."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest

from safety import hookimpl
from safety.hosting import host
from safety.hosting.host import Host
from safety.model import Contribution, Finding, Job, Key, OwnKeys
from safety.problems import Problems
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

ASKS = Contribution(
    keys=(
        OwnKeys("step", (Key("lamp", "word", one_of=("head", "hand")), Key("watts", "number", needed=False))),
        OwnKeys("place", (Key("heights", "numbers"),)),
    )
)


@pytest.fixture
def seen(monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """What the plugin "lamps" was given of its keys."""
    load, found = host.load, dict[str, Any]()

    def assess(job: Job) -> list[Finding]:
        found.update(step=[dict(step.x) for step in job.steps], place=dict(job.place.x))
        return []

    def with_lamps(*args: Any, **options: Any) -> Host:
        made = ModuleType("lamps")
        made.contribute, made.assess = hookimpl(lambda: ASKS), hookimpl(assess)  # type: ignore[attr-defined]
        plugins = load(*args, **options)
        plugins.admit("lamps", lambda: made, "lamps", "1.0")
        return plugins

    monkeypatch.setattr(host, "load", with_lamps)
    return found


SHOP = """
[shop]
name = "Lamp shop (invented)"
rules = []

[[place]]
id = "room"
kind = "room"
volume = "60 m^3"
temperature = "20 degC"
[[place.air]]
state = "shut"
air_changes = "1 /hour"
air_speed = "0.1 m/s"
basis = "common practice, no source"
[place.x.lamps]
heights = [1, 2.5]
"""
JOB = """
[job]
id = "job"
title = "Look around"
place = "room"
start = 2026-03-02T08:00:00
crew = 2
surface = "floor"
[[step]]
name = "Look"
duration = "5 min"
"""


def shop(folder: Path, of_step: str) -> Path:
    return write_shop(folder, SHOP, {}, {"job": JOB + of_step}) / "jobs" / "job.toml"


def test_a_plugin_is_given_its_own_keys_typed(tmp_path: Path, seen: dict[str, Any]) -> None:
    job = shop(tmp_path, '[step.x.lamps]\nlamp = "head"\nwatts = 3')
    report = Workplace.open(job).assess(job, draws=60)
    assert report.failures == ()
    assert seen["step"][0] == {"lamps": {"lamp": "head", "watts": 3.0}}
    assert seen["place"] == {"lamps": {"heights": (1.0, 2.5)}}


@pytest.mark.parametrize(
    ("said", "where", "wrong"),
    [
        ("[step.x.lamp]\nlamp = 'head'", "x.lamp", 'no plugin called "lamp" asks for keys here; did you mean "lamps"?'),
        ("[step.x.lamps]\nlamp = 'haed'", "x.lamps.lamp", '"haed" is not known here; did you mean "head"?'),
        ("[step.x.lamps]\nlamp = 'head'\nwats = 3", "x.lamps.wats",
         'unknown key "wats" of the plugin lamps; did you mean "watts"?'),
        ("[step.x.lamps]\nwatts = 3", "x.lamps", '"lamp" is missing'),
        ("[step.x.lamps]\nlamp = 'head'\nwatts = 'three'", "x.lamps.watts", "this is not a plain number"),
    ],
)  # fmt: skip
def test_a_mistake_in_them_names_place_and_plugin(
    tmp_path: Path, seen: dict[str, Any], said: str, where: str, wrong: str
) -> None:
    job = shop(tmp_path, said)
    with pytest.raises(Problems) as raised:
        Workplace.open(job).assess(job, draws=60)
    (problem,) = raised.value.problems
    assert f"[[step]] 1, {where}" in problem.where
    assert problem.line > 0
    assert wrong in str(problem)
