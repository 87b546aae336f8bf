"""``hazstep sheet --start --air``: what is given for one sheet alone.

Before, the plan of last week had to be edited for a sheet of today, and who did not edit it got a sheet for another day
and for doors that stood open.
"""

from __future__ import annotations

import json
from datetime import datetime
from io import BytesIO
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from pypdf import PdfReader

from safety.cli import given, main
from safety.model import Shop
from safety.render.pdf import annex as pdf
from safety.why import references
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Frame loft (invented)"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]

[[place]]
id = "loft"
kind = "room"
volume = "90 m3"
temperature = "21 degC"
[[place.air]]
state = "hatch open"
air_changes = ["4 /hour", "6 /hour"]
air_speed = "0.2 m/s"
basis = "estimated"
[[place.air]]
state = "hatch shut"
air_changes = ["0.1 /hour", "0.2 /hour"]
air_speed = "0.03 m/s"
basis = "estimated"
"""
PRODUCT = """
[product]
id = "wash"
name = "Wash (invented)"
role = "solvent"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-18 degC"
boiling_point = "56 degC"
hazards = ["H225", "H319", "H336"]
sds_revised = 2025-05-01
part = [{ cas = "67-64-1", weight = "100 %" }]
"""
JOB = """
[job]
id = "frames"
title = "Wash old frames"
start = 2026-05-04T09:00:00
crew = 1
place = "loft"
air = "hatch open"
[[step]]
name = "Wash"
duration = "40 min"
[[step.use]]
product = "wash"
work = "wipe"
amount = "400 mL"
area = "1 m^2"
"""
MEASURED = """
[[measurement]]
substance = "67-64-1"
value = "1 ppm"
kind = "badge"
date = 2026-05-03
duration = "40 min"
step = "Wash"
"""


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = write_shop(tmp_path / "loft", SHOP, {"wash": PRODUCT}, {"frames": JOB})
    monkeypatch.chdir(folder)
    return folder


def run(*words: str) -> Result:
    return CliRunner().invoke(main, ["sheet", "frames", *words, "--draws", "100"])


def test_the_sheet_is_on_what_was_given_and_says_so(shop: Path) -> None:
    before = (shop / "jobs" / "frames.toml").read_bytes()
    planned = json.loads(run("--format", "json").stdout)
    given = json.loads(run("--format", "json", "--start", "2026-06-01 13:30", "--air", "hatch shut").stdout)
    assert (shop / "jobs" / "frames.toml").read_bytes() == before
    assert given["job"]["start"] == "2026-06-01T13:30:00"
    assert given["asked"] == {"start": "2026-06-01T13:30:00", "air": "hatch shut", "as_of": None}
    assert planned["asked"] == {"start": None, "air": "", "as_of": None}
    text = run("--start", "2026-06-01 13:30", "--air", "hatch shut").stdout
    assert 'start 2026-06-01 13:30; air "hatch shut", on the command line' in " ".join(text.split())
    assert "on the command line" not in run().stdout


def test_now_and_a_time_of_today(shop: Path) -> None:
    before = datetime.now().replace(second=0, microsecond=0)
    now = datetime.fromisoformat(json.loads(run("--format", "json", "--start", "now").stdout)["job"]["start"])
    assert before <= now <= datetime.now()
    at = datetime.fromisoformat(json.loads(run("--format", "json", "--start", "07:30").stdout)["job"]["start"])
    assert (at.hour, at.minute) == (7, 30)
    assert at.date() in (before.date(), datetime.now().date())


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["--start", "soon"], '--start: "soon" is not a date with a time; write "now", "07:30" for today'),
        (["--start", "25:30"], '--start: "25:30" is not a date with a time'),
        (["--start", "0026-06-01 13:30"], "--start: the year 26 cannot be right"),
        (["--air", "hatch shutt"], '--air: loft has no air state "hatch shutt"; did you mean "hatch shut"?'),
        (["--air", ""], "--air: the text is empty; write a state of the place"),
        (["frames", "--air", "hatch shut"], "--start and --air are for one job"),
    ],
)
def test_mistakes_name_the_option(shop: Path, words: list[str], line: str) -> None:
    done = run(*words)
    assert (done.exit_code, done.stdout) == (2, "")
    assert line in done.stderr
    assert len(done.stderr.splitlines()) == 1


def test_a_state_that_no_step_takes_is_not_passed_over(shop: Path) -> None:
    """The step names its own air: a sheet "for the hatch shut" would have been on the open one."""
    file = shop / "jobs" / "frames.toml"
    file.write_text(JOB.replace('duration = "40 min"', 'duration = "40 min"\nair = "hatch open"'), encoding="utf-8")
    done = run("--air", "hatch shut")
    assert done.exit_code == 2
    assert '--air: no step would be in the air state "hatch shut"' in done.stderr


def test_a_result_stays_with_the_air_it_was_taken_in(shop: Path) -> None:
    """1 ppm with the hatch open would have been held against the air with the hatch shut."""
    (shop / "jobs" / "frames.toml").write_text(JOB + MEASURED, encoding="utf-8")

    given = json.loads(run("--format", "json", "--air", "hatch shut").stdout)
    (shop / "jobs" / "frames.toml").write_text(
        JOB.replace('air = "hatch open"', 'air = "hatch shut"') + MEASURED + 'air = "hatch open"\n', encoding="utf-8"
    )
    by_hand = json.loads(run("--format", "json").stdout)
    keys = [
        {f["key"]: f["statement"] for f in one["findings"] if f["plugin"] == "measured"} for one in (given, by_hand)
    ]
    assert keys[0] == keys[1] != {}


def test_a_frozen_sheet_keeps_what_was_given(shop: Path) -> None:
    """Computed again from its files alone, it would have been held beside the sheet of another day and air."""
    file = shop / "shop.toml"
    file.write_text(SHOP.replace("[shop]", '[shop]\nledger = "sqlite:///ledger.db"'), encoding="utf-8")
    made = run("--start", "2026-06-01 13:30", "--air", "hatch shut", "--freeze")
    id = made.stderr.split("Frozen as ")[1].split()[0]
    shown = CliRunner().invoke(main, ["sheet", "--frozen", id])
    assert "on the command line" in shown.stdout
    assert "the same, to the last digit" in shown.stdout
    assert json.loads(CliRunner().invoke(main, ["sheet", "--frozen", id, "--format", "json"]).stdout)["sheet"]["asked"][
        "air"
    ]


def test_why_and_compare_are_of_the_sheet_that_was_given(shop: Path) -> None:
    """The page told to ask "hazstep why frames", which explained the figures of another air; compare judged that air."""
    given = ("--start", "2026-06-01 13:30", "--air", "hatch shut")
    workplace = Workplace.open(shop)
    made = workplace.assess("frames", start=datetime(2026, 6, 1, 13, 30), air="hatch shut")
    said = CliRunner().invoke(main, ["why", "frames", *given, "--format", "json"])
    assert said.exit_code == 0
    assert json.loads(said.stdout) == {key: one.statement for key, one in references(made).items()}
    assert json.loads(said.stdout) != {
        key: one.statement for key, one in references(workplace.assess("frames")).items()
    }
    pages = PdfReader(BytesIO(pdf(workplace.assess("frames", air="hatch shut", draws=100)))).pages
    text = " ".join("".join(page.extract_text() for page in pages).split())
    assert "\"hazstep why frames --air 'hatch shut'\"" in text

    change = ("--change", "job.crew=2", "--draws", "100")
    found = json.loads(CliRunner().invoke(main, ["compare", "frames", *given, *change, "--format", "json"]).stdout)
    assert found["asked"] == {"start": "2026-06-01T13:30:00", "air": "hatch shut", "as_of": None}
    (planned,) = (one for one in found["alternatives"] if one["planned"])
    assert planned["stops"] == len(made.stops)


def test_a_change_goes_over_what_was_given(shop: Path) -> None:
    """--air shut, and an alternative with the hatch open: each is on its own air."""
    words = ["compare", "frames", "--air", "hatch shut", "--change", "job.air=hatch open", "--draws", "100"]
    found = json.loads(CliRunner().invoke(main, [*words, "--format", "json"]).stdout)["alternatives"]
    open_, shut = sorted(found, key=lambda one: one["planned"])
    assert 0 < open_["exposure"]["shift average"] < shut["exposure"]["shift average"]
    assert 'air "hatch shut", on the command line' in CliRunner().invoke(main, words).stdout


def test_now_is_by_the_clock_on_the_shops_wall() -> None:
    """It was the computer's: one in another zone began the work at another hour, and so another day's shift."""
    east, west = (
        given.moment("now", Shop("Yard", "si", {}, {}, timezone=zone))
        for zone in ("Pacific/Kiritimati", "Pacific/Niue")
    )
    assert east is not None
    assert west is not None
    assert round((east - west).total_seconds() / 3600) == 25  # UTC+14 and UTC-11, IANA time zone database
