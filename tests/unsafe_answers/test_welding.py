"""Vapour that does not burn is no vapour to weld in: arcs, flames, hot surfaces and ultraviolet take it apart.

29 CFR 1910.252(c)(11)(ii): degreasing with chlorinated hydrocarbons is placed so that no vapour reaches or is drawn
into the air around a weld. The text gives no distance.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from safety.day import assess_day
from safety.model import Finding, Report
from safety.workplace import Workplace
from tests.unsafe_answers.shops import DRAWS, answers, sheet, write_shop

SHOP = """
[shop]
name = "Gear shop (invented)"
altitude = "0 m"
rules = ["{rules}"]

[[place]]
id = "bay"
kind = "hangar"
volume = "900 m^3"
temperature = "21 degC"
{around}
[[place.air]]
state = "fan on"
air_changes = ["3 /hour", "5 /hour"]
air_speed = ["0.1 m/s", "0.3 m/s"]
basis = "invented"
"""

PRODUCT = """
[product]
id = "degreaser"
name = "Cold degreaser"
role = "cleaner"
purpose = "cleaner"
density = "1.3 g/mL"
flash_point = "unknown"
boiling_point = "80 degC"
hazards = ["H351"]
sds_revised = 2026-01-15

[[product.part]]
{part}
weight = "100 %"
"""

CLEAN = """
[[step]]
name = "Clean"
duration = ["10 min", "10 min"]

[[step.use]]
product = "degreaser"
work = "wipe"
amount = "{amount}"
area = "0.2 m^2"
"""

WEAVE = """
[[step]]
name = "Mend the bracket"
duration = ["20 min", "20 min"]
ignition_sources = ["{source}"]
"""

HEAD = """
[job]
id = "{id}"
title = "Job {id}"
place = "bay"
start = {start}
crew = 1
"""

PERC = 'cas = "127-18-4"'


def _write(
    folder: Path,
    part: str = PERC,
    source: str = "stick welder",
    between: str = "",
    around: str = "",
    rules: str = "us-federal",
    amount: str = "50 mL",
    substances: dict[str, str] | None = None,
) -> Path:
    job = HEAD.format(id="bracket", start="2026-11-25T08:00:00") + CLEAN.format(amount=amount) + between
    job += WEAVE.format(source=source)
    shop = SHOP.format(rules=rules, around=around)
    return write_shop(folder, shop, {"degreaser": PRODUCT.format(part=part)}, {"bracket": job}, substances=substances)


def _fire(report: Report, step: int, key: str = "fire-") -> list[Finding]:
    return [f for f in answers(report, "fire", step) if f.key.startswith(key)]


def _stops(report: Report, step: int) -> list[Finding]:
    assert not report.failures
    return [f for f in _fire(report, step, "fire-halogen") if f.level == "stop"]


def test_nobody_welds_in_vapour_that_does_not_burn(tmp_path: Path) -> None:
    """Before: "Welding or cutting may be used in this step", ten minutes after the part was wiped."""
    report = sheet(_write(tmp_path), "bracket")
    (stop,) = _stops(report, 1)
    assert "tetrachloroethylene" in stop.statement
    assert "phosgene" in stop.statement
    assert "1910.252(c)(11)(ii)" in stop.rule
    assert not any("may be used" in f.statement for f in _fire(report, 1))
    said = f"{stop.statement} {stop.short} {stop.remedy}"
    assert not re.search(r"\d+ (m|ft|feet|metres)\b", said), "the rule gives no distance"
    assert not _stops(report, 0), "in the first step nobody names an arc"
    (keep,) = _fire(report, 0, "fire-halogen")
    assert keep.level == "control"


# A vapour is judged by what it is made of: the last three stand on no list of names.
@pytest.mark.parametrize(
    ("part", "gas"),
    [
        ('cas = "75-09-2"', "phosgene"),
        ('cas = "79-01-6"', "phosgene"),
        ('cas = "98-56-6"', "hydrogen fluoride"),
        ('cas = "106-94-5"', "hydrogen bromide"),
        ('cas = "375-03-1"', "hydrogen fluoride"),
    ],
)
def test_the_composition_decides(tmp_path: Path, part: str, gas: str) -> None:
    own = """cas = "375-03-1"
names = ["bench ether"]

[composition]
formula = "C4H3F7O"
source = "chemicals"
at = "molecular formula"

[[molar_mass]]
value = "200.1 g/mol"
source = "chemicals"
at = "made up for a test"
"""
    report = sheet(_write(tmp_path, part, substances={"375-03-1": own}), "bracket")
    (stop,) = _stops(report, 1)
    assert gas in stop.statement


@pytest.mark.parametrize("part", ['cas = "141-78-6"', 'cas = "7732-18-5"'])
def test_a_vapour_without_halogens_is_not_stopped_for_them(tmp_path: Path, part: str) -> None:
    report = sheet(_write(tmp_path, part), "bracket")
    assert not _fire(report, 0, "fire-halogen")
    assert not _fire(report, 1, "fire-halogen")


@pytest.mark.parametrize(
    ("part", "substances"),
    [
        ('name = "secret solvent"', None),
        ('cas = "110-63-4"', None),
        ('cas = "110-63-4"', {"110-63-4": 'cas = "110-63-4"\nnames = ["bench diol"]\n'}),
    ],
)
def test_a_vapour_of_unknown_make_may_have_halogens(
    tmp_path: Path, part: str, substances: dict[str, str] | None
) -> None:
    """Before: nothing was said of it beside the weld."""
    report = sheet(_write(tmp_path, part, substances=substances), "bracket")
    (stop,) = _stops(report, 1)
    assert "is not known" in stop.statement
    assert stop.unknown
    assert stop.unknown in report.missing


@pytest.mark.parametrize(
    ("source", "harms"),
    [
        ("propane torch", True),
        ("heat gun", True),
        ("UV lamp for the adhesive", True),
        ("halogen work light", True),
        ("wedling set", True),  # a slip of the pen
        ("grill", True),  # like "drill", and no drill
        ("glow plug tester", True),  # nobody has heard of it
        ("cordless drill and blow torch", True),
        ("cordless drill", False),
        ("mobile phone", False),
    ],
)
def test_what_takes_vapour_apart_and_what_is_not_known_to_be_harmless(tmp_path: Path, source: str, harms: bool) -> None:
    report = sheet(_write(tmp_path, source=source), "bracket")
    assert bool(_stops(report, 1)) is harms


def test_an_unknown_amount_still_counts(tmp_path: Path) -> None:
    report = sheet(_write(tmp_path, amount="unknown"), "bracket")
    assert _stops(report, 1)


def test_a_heater_of_the_place_is_off_first(tmp_path: Path) -> None:
    """Before: beside a vapour that does not burn, a flame that is always there was let be."""
    report = sheet(_write(tmp_path, around='ignition_sources = ["gas radiant heater"]'), "bracket")
    (stop,) = _stops(report, 0)
    assert "before the first can is opened" in stop.statement


def test_vapour_of_another_job(tmp_path: Path) -> None:
    """The degreasing is another job of the same morning in the same bay."""
    folder = _write(tmp_path)
    jobs = {
        "degrease": HEAD.format(id="degrease", start="2026-11-25T08:00:00") + CLEAN.format(amount="50 mL"),
        "weld": HEAD.format(id="weld", start="2026-11-25T08:15:00") + WEAVE.format(source="stick welder"),
    }
    for name, text in jobs.items():
        (folder / "jobs" / f"{name}.toml").write_text(text, encoding="utf-8")
    _, weld = assess_day(Workplace.open(folder), [folder / "jobs" / f"{name}.toml" for name in jobs], draws=DRAWS)
    (stop,) = _stops(weld, 0)
    assert "tetrachloroethylene" in stop.statement


def test_no_stop_once_the_vapour_is_gone(tmp_path: Path) -> None:
    """The remedy names the time; work that begins then is not stopped."""
    report = sheet(_write(tmp_path), "bracket")
    (stop,) = _stops(report, 1)
    found = re.search(r"none is left from (\d\d):(\d\d)", stop.remedy)
    assert found
    minutes = (int(found[1]) - 8) * 60 + int(found[2])
    wait = '[[step]]\nname = "Wait"\nduration = ["{0} min", "{0} min"]\npeople = "away"\n'
    late = sheet(_write(tmp_path / "late", between=wait.format(minutes - 10)), "bracket")
    assert not _stops(late, 2)
    early = sheet(_write(tmp_path / "early", between=wait.format((minutes - 10) // 2)), "bracket")
    assert _stops(early, 2)


def test_the_european_pack_cites_its_own_directive(tmp_path: Path) -> None:
    report = sheet(_write(tmp_path, rules="eu"), "bracket")
    (stop,) = _stops(report, 1)
    assert "98/24/EC" in stop.rule
    assert "CFR" not in stop.rule


def test_a_closed_can_gives_off_no_vapour_and_an_open_one_does(tmp_path: Path) -> None:
    """29 CFR 1910.252(c)(11)(ii) speaks of vapour: what is only carried is no stop, and is one once it is open."""

    def stops(name: str, carried: str, opened: str) -> list[Finding]:
        job = HEAD.format(id="bracket", start="2026-11-25T08:00:00") + carried + WEAVE.format(source="stick welder")
        shop = SHOP.format(rules="us-federal", around="")
        folder = write_shop(tmp_path / name, shop, {"degreaser": PRODUCT.format(part=PERC)}, {"bracket": job + opened})
        return _stops(sheet(folder, "bracket"), 0)

    carried = '[[job.carried]]\nproduct = "degreaser"\namount = "1 L"\n'
    opened = '[[step.use]]\nproduct = "degreaser"\nwork = "open"\namount = "1 L"\narea = "0.01 m^2"\n'
    assert not stops("closed", carried, "")
    assert stops("open", "", opened)
