"""Each shipped plugin alone, and all but each: an answer or a clean "missing", never a failure.

The waste plugin once read a table that only the protection plugin declared, and fell over without it.
"""

from __future__ import annotations

from importlib.metadata import EntryPoint, entry_points
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from safety.cli import INCOMPLETE, STOP, log, sheet, why
from safety.hosting import host
from safety.model import Report
from tests.unsafe_answers.shops import sheet as assessed
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Invented sign maker"
rules = ["us-federal", "eu"]

[[place]]
id = "room"
kind = "room"
volume = "200 m^3"
temperature = "21 degC"

[[place.air]]
state = "open"
air_changes = "4 /hour"
air_speed = "0.2 m/s"
basis = "guessed for the test"

[[container]]
id = "rags"
stream = "wet cloths"
accepts = ["wet-cloths"]
reactivity = []
size = "40 L"
kind = "satellite"
"""
PRODUCT = """
[product]
id = "glue"
name = "Glue"
role = "adhesive"
purpose = "adhesive"
density = "1.2 g/mL"
flash_point = "-18 degC"
hazards = ["H225"]
sds_revised = 2026-02-01

[[product.part]]
cas = "101-68-8"
name = "MDI"
weight = "10 %"
volatile = false

[product.application]
stand_at_least = "5 min"

[[product.part]]
cas = "127-18-4"
weight = "40 %"

[[product.part]]
cas = "67-64-1"
weight = "50 %"
"""
JOB = """
[job]
id = "letter"
title = "Glue a letter"
place = "room"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Glue"
duration = "10 min"

[[step.use]]
product = "glue"
work = "wipe"
amount = "50 mL"
area = "0.5 m^2"

[[step]]
name = "Weld"
duration = "5 min"
ignition_sources = ["welding set"]

[[measurement]]
substance = "acetone"
value = "40 ppm"
kind = "badge"
step = "Glue"
duration = "10 min"
date = 2026-02-12
method = "invented laboratory"
"""


@pytest.fixture
def only(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> Any:
    """The sheet with these of the shipped plugins alone."""
    shipped = list(entry_points(group=host.GROUP))
    write_shop(tmp_path, SHOP, {"glue": PRODUCT}, {"letter": JOB})

    def ask(keep: set[str]) -> Report:
        found: list[EntryPoint] = [one for one in shipped if one.name in keep]
        monkeypatch.setattr(host, "entry_points", lambda group: found)
        return assessed(tmp_path, "letter", draws=60)

    return ask


@pytest.mark.parametrize("name", host.BUILT_IN)
def test_a_plugin_alone_answers_and_the_sheet_says_who_did_not(only: Any, name: str) -> None:
    report = only({name})
    assert report.failures == ()
    write = f"let {name} answer for this job, if only with a note that it looked: silence is not safe"
    assert {f.plugin for f in report.findings} >= {name}, write
    assert len(report.missing) >= len(host.BUILT_IN) - 1


@pytest.mark.parametrize("name", host.BUILT_IN)
def test_no_plugin_needs_another(only: Any, name: str) -> None:
    report = only(set(host.BUILT_IN) - {name})
    assert report.failures == ()
    assert any(name in text for text in report.missing)


@pytest.mark.parametrize("name", [*host.BUILT_IN, "all"])
def test_every_command_works_without_it_and_the_sheet_is_incomplete(
    only: Any, name: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Windows and measured results could not be taken out at all: the program judged them itself."""
    only(set() if name == "all" else set(host.BUILT_IN) - {name})
    second = JOB.replace('id = "letter"', 'id = "later"').replace("T08:00", "T13:00")
    write_shop(tmp_path, SHOP, {"glue": PRODUCT}, {"letter": JOB, "later": second})
    monkeypatch.chdir(tmp_path)
    ask = CliRunner()
    told = ask.invoke(sheet.command, ["letter", "later", "--pdf", "day.pdf", "--draws", "60"])
    assert told.exit_code == INCOMPLETE, told.output
    gone = host.BUILT_IN if name == "all" else [name]
    assert all(f"The plugin {one} is expected and is not installed." in told.output for one in gone)
    for command, words in ((why.command, ["letter"]), (log.command, ["--month", "2026-11"])):
        told = ask.invoke(command, words)
        assert told.exit_code in (0, STOP, INCOMPLETE), told.output
