"""Keys of a plugin's own in a shop's files: once every such key was a mistake, so a plugin could ask a shop nothing."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import Any

import pytest
from click.testing import CliRunner, Result

from safety import hookimpl
from safety.cli import main
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
        OwnKeys("product", (Key("glows", "yes"), Key("shade", "word", needed=False, one_of=("red", "blue")))),
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
altitude = "0 m"
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
        ("[step.x.lamps]\nwatts = 3", "x.lamps", '"lamp" is missing; write for example lamp = "head"'),
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


PAINT = """
[product]
id = "paint"
name = "Paint (invented)"
role = "paint"
purpose = "coating"
density = "1.1 g/mL"
flash_point = "unknown"
boiling_point = "100 degC"
hazards = "unknown"
sds_revised = 2026-01-15
[[product.part]]
cas = "7732-18-5"
weight = "100 %"
"""


def check(folder: Path, of_product: str, jobs: dict[str, str]) -> Result:
    return CliRunner().invoke(main, ["check", str(write_shop(folder, SHOP, {"paint": PAINT + of_product}, jobs))])


@pytest.mark.parametrize(
    ("said", "line"),
    [
        ("[product.x.lamp]\nglows = true",
         '15: [product] x.lamp: no plugin called "lamp" asks for keys here; did you mean "lamps"?'),
        ("[product.x.lamps]\nglows = true\nshad = 'red'",
         '17: [product] x.lamps.shad: unknown key "shad" of the plugin lamps; did you mean "shade"?'),
        ("[product.x.lamps]\nglows = true\nshade = 'reed'",
         '17: [product] x.lamps.shade: "reed" is not known here; did you mean "red"?'),
        ("[product.x.lamps]\nglows = 'a bit'", '16: [product] x.lamps.glows: this must be true or false; write it without quotes'),
        ("[product.x.lamps]\nshade = 'red'", '15: [product] x.lamps: "glows" is missing; write for example glows = true'),
    ],
)  # fmt: skip
@pytest.mark.parametrize("jobs", [{}, {"job": JOB}], ids=["no job", "a job that does not use it"])
def test_check_finds_a_mistake_of_a_product(
    tmp_path: Path, seen: dict[str, Any], said: str, line: str, jobs: dict[str, str]
) -> None:
    """A shop that had no job yet was told "no mistakes", and the first sheet was refused."""
    found = check(tmp_path, said, jobs)
    assert found.exit_code == 2
    assert len(found.stderr.splitlines()) == 1
    assert f"products/paint.toml:{line}" in found.stderr


def test_check_reads_what_a_product_says_well(tmp_path: Path, seen: dict[str, Any]) -> None:
    found = check(tmp_path, "[product.x.lamps]\nglows = true\nshade = 'blue'", {"job": JOB})
    assert (found.exit_code, found.stderr) == (0, "")
