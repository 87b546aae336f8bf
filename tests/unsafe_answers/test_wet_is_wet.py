"""What is still wet from before is what the hands meet, the eyes get and the skin bears; not only what can burn."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.day import assess_day
from safety.model import Finding, Report, Topic
from safety.workplace import Workplace
from tests.unsafe_answers.shops import DRAWS, answers, sheet, write_shop

SHOP = """
[shop]
name = "Stair works (invented)"
altitude = "0 m"
rules = ["us-federal"]

[[place]]
id = "shed"
kind = "room"
volume = "300 m^3"
temperature = "21 degC"

[[place.air]]
state = "fan on"
air_changes = ["6 /hour", "9 /hour"]
air_speed = ["0.1 m/s", "0.3 m/s"]
basis = "invented"

[[place]]
id = "yard"
kind = "outdoor"
temperature = "21 degC"

[[place.air]]
state = "open"
air_speed = ["0.5 m/s", "2 m/s"]
basis = "invented"

[[glove]]
id = "butyl"
material = "butyl rubber"
thickness = "0.5 mm"
breakthrough = { "100-51-6" = { time = "240 min", standard = "EN 16523-1", temperature = "23 degC" }, "67-64-1" = { time = "240 min", standard = "EN 16523-1", temperature = "23 degC" } }

[[eyewear]]
id = "goggles"
kind = "splash goggles"

[[eyewear]]
id = "glasses"
kind = "spectacles"
"""

#: Dries for hours: benzyl alcohol.
STRIPPER = """
[product]
id = "stripper"
name = "Slow stripper"
role = "stripper"
purpose = "remover"
density = "1.05 g/mL"
flash_point = "96 degC"
boiling_point = "205 degC"
hazards = ["H302", "H319", "H332"]
sds_revised = 2026-01-15

[[product.part]]
cas = "100-51-6"
weight = "100 %"
"""

#: Dries in a minute.
WIPE = """
[product]
id = "wipe"
name = "Quick wipe"
role = "cleaner"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-18 degC"
boiling_point = "56 degC"
hazards = ["H225", "H319", "H336"]
sds_revised = 2026-01-15

[[product.part]]
cas = "67-64-1"
weight = "100 %"
"""

PRODUCTS = {"stripper": STRIPPER, "wipe": WIPE}

HEAD = """
[job]
id = "{id}"
title = "Job {id}"
place = "shed"
start = {start}
crew = 1
{unit}
"""


def _use(product: str = "stripper", work: str = "brush", more: str = "", amount: str = "30 g") -> str:
    return f"""
[[step]]
name = "Put on"
duration = "10 min"

[[step.use]]
product = "{product}"
work = "{work}"
amount = "{amount}"
area = "0.3 m^2"
{more}
"""


def _step(more: str = "", name: str = "Scrape") -> str:
    return f'\n[[step]]\nname = "{name}"\nduration = "20 min"\n{more}\n'


LEFT = """
[[step.leaves_wet]]
what = "wet pads"
form = "wet-cloths"
product = "stripper"
amount = "20 g"
area = "0.1 m^2"
"""


def _sheet(folder: Path, *steps: str) -> Report:
    job = HEAD.format(id="stairs", start="2026-11-25T08:00:00", unit="") + "".join(steps)
    return sheet(write_shop(folder, SHOP, PRODUCTS, {"stairs": job}), "stairs")


def _one(report: Report, topic: Topic, step: int) -> Finding:
    assert not report.failures
    (found,) = answers(report, topic, step)
    return found


def _said(report: Report, step: int) -> dict[str, Finding]:
    topics: tuple[Topic, ...] = ("hands", "eyes", "skin")
    return {topic: _one(report, topic, step) for topic in topics}


def _nothing(report: Report, step: int) -> bool:
    return all(f.level == "note" and "butyl" not in f.short for f in _said(report, step).values())


def test_scraping_by_hand_over_wet_stripper(tmp_path: Path) -> None:
    """Before: "No gloves needed", "No eyewear needed", though the step says that the hands are in it."""
    said = _said(_sheet(tmp_path, _use(), _step('contact = "immersion"')), 1)
    assert said["hands"].level == "control"
    assert "butyl" in said["hands"].short
    assert "at most 80 min" in said["hands"].statement, "a third of the maker's 240 min"
    assert "Slow stripper (from “Put on”)" in said["hands"].statement
    assert said["eyes"].level == "control"
    assert "splash goggles" in said["eyes"].short.casefold()
    assert "Slow stripper" in said["skin"].statement


@pytest.mark.parametrize(("work", "goggles"), [("gel", True), ("soak", True), ("brush", False), ("wipe", False)])
def test_where_the_step_says_nothing_the_way_it_lies_there_decides(tmp_path: Path, work: str, goggles: bool) -> None:
    """Before: nothing for hands and eyes. A thick layer wets the hands, a thin one by accident."""
    report = _sheet(tmp_path, _use(work=work), _step())
    said = _said(report, 1)
    assert "butyl" in said["hands"].short
    assert said["eyes"].level == "control"
    assert ("goggles" in said["eyes"].statement) is goggles


def test_what_is_dry_by_the_slow_estimate_is_not_met(tmp_path: Path) -> None:
    report = _sheet(tmp_path, _use("wipe", "wipe", amount="3 g"), _step(name="Tea"), _step())
    assert _nothing(report, 2)


def test_a_contact_over_what_should_be_dry_is_believed(tmp_path: Path) -> None:
    """Before: the key was read and not used. The person at the work knows better than the estimate."""
    report = _sheet(tmp_path, _use("wipe", "wipe", amount="3 g"), _step(name="Tea"), _step('contact = "wet cloth"'))
    said = _said(report, 2)
    assert "butyl" in said["hands"].short
    assert said["eyes"].level == "control"


def test_where_the_worker_is_away_or_elsewhere_nothing_is_met(tmp_path: Path) -> None:
    for where in ('people = "far"', 'people = "away"', 'place = "yard"'):
        assert _nothing(_sheet(tmp_path / where[-5:-1], _use(), _step(where)), 1), where
    far = _sheet(tmp_path / "contact", _use(), _step('people = "far"\ncontact = "splash"'))
    assert "butyl" in _one(far, "hands", 1).short


def test_a_soak_until_the_step_that_lifts_it(tmp_path: Path) -> None:
    """Before: between the soak and the step that lifts it the hands met nothing."""
    soak = _use(work="soak", more='lifted_by = "Lift"')
    report = _sheet(tmp_path, soak, _step(name="Sand beside it"), _step(name="Lift"), _step(name="Sweep"))
    assert "butyl" in _one(report, "hands", 1).short
    assert "butyl" in _one(report, "hands", 2).short
    assert _nothing(report, 3)


def test_leftovers_lie_there_until_they_are_taken_away(tmp_path: Path) -> None:
    """Before: only the step that left them and the one that took them away counted."""
    pads = _step(LEFT + 'taken_away = "Clear up"', name="Strip")
    report = _sheet(tmp_path, pads, _step(), _step(name="Clear up"), _step(name="Sweep"))
    assert "butyl" in _one(report, "hands", 1).short
    assert "butyl" in _one(report, "hands", 2).short
    assert _nothing(report, 3)
    apart = _sheet(tmp_path / "apart", _step(LEFT + "near = false", name="Strip"), _step())
    assert _nothing(apart, 1), "they lie away from the worker"


def test_a_film_of_which_a_part_is_not_known_stays_wet(tmp_path: Path) -> None:
    """Before: it had the drying time of the parts that are known."""
    secret = WIPE.replace('weight = "100 %"', 'weight = "60 %"\n\n[[product.part]]\nname = "secret"\nweight = "40 %"')
    job = HEAD.format(id="stairs", start="2026-11-25T08:00:00", unit="") + _use("wipe", "wipe", amount="3 g")
    job += _step(name="Tea") + _step()
    report = sheet(write_shop(tmp_path, SHOP, {"wipe": secret}, {"stairs": job}), "stairs")
    assert _one(report, "hands", 2).level == "stop", "no glove can be granted a time against a secret"


def _day(folder: Path, first: str, second: str) -> Report:
    """The sheet of the second of two jobs of one morning, which puts nothing on itself."""
    strip = HEAD.format(id="strip", start="2026-11-25T08:00:00", unit=first) + _use()
    scrape = HEAD.format(id="scrape", start="2026-11-25T08:30:00", unit=second) + _step()
    write_shop(folder, SHOP, PRODUCTS, {"strip": strip, "scrape": scrape})
    _, report = assess_day(
        Workplace.open(folder), [folder / "jobs" / f"{name}.toml" for name in ("strip", "scrape")], draws=DRAWS
    )
    return report


def test_what_another_job_left_wet(tmp_path: Path) -> None:
    """Before: it counted for fire alone. It may be the very thing that is worked on, unless both say what that is."""
    report = _day(tmp_path, "", "")
    assert "butyl" in _one(report, "hands", 0).short
    assert "Slow stripper (from “Job strip”)" in _one(report, "hands", 0).statement
    assert _one(report, "eyes", 0).level == "control"
    same = _day(tmp_path / "same", 'unit = "stair 4"', 'unit = "stair 4"')
    assert "butyl" in _one(same, "hands", 0).short
    assert _nothing(_day(tmp_path / "other", 'unit = "stair 4"', 'unit = "stair 9"'), 0)


def test_no_contact_by_the_jobs_own_word_is_said_beside_what_is_wet(tmp_path: Path) -> None:
    report = _sheet(tmp_path, _use(), _step('contact = "none"'))
    said = _one(report, "hands", 1)
    assert "Still wet from before: Slow stripper (from “Put on”)" in said.statement
    # once a note: "None because of these products", for hands and for eyes
    assert said.level != "note"
    assert _one(report, "eyes", 1).level == "control"
