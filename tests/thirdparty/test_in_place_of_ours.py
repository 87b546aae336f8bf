"""A shop's own plugin in place of the shipped one that says what to wear: the card, the day and comparisons use it.

Comparisons looked for findings of a plugin named "protection" with the keys of ours, and said NOT ASSESSED.
"""

from __future__ import annotations

from collections.abc import Callable
from importlib.metadata import EntryPoint, entry_points
from pathlib import Path

import pytest

from safety.compare import compare, read_alternatives
from safety.compare.tries import targets_of
from safety.day import assess_day
from safety.hosting import host
from safety.model import Worn, with_role
from safety.render import compare as comparison
from safety.render import day, forms
from safety.render.others import stay
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

DRAWS = 60
SHOP = """
[shop]
name = "Bindery of two rooms (invented)"
rules = ["us-federal"]
plugins = ["own_wear.py"]
print_units = "si"
[[place]]
id = "bench"
kind = "room"
volume = "80 m3"
temperature = "20 degC"
[[place.air]]
state = "window open"
air_changes = ["1 /hour", "3 /hour"]
air_speed = "0.1 m/s"
basis = "estimated"
"""
PRODUCT = """
[product]
id = "glue-off"
name = "Glue remover (invented)"
role = "solvent"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "-18 degC"
boiling_point = "56 degC"
hazards = ["H225", "H319", "H336"]
sds_revised = 2025-05-01
voc = "790 g/L"
part = [{ cas = "67-64-1", weight = "100 %" }]
"""
JOB = """
[job]
id = "{id}"
title = "{title}"
start = 2026-05-04T{start}
crew = 1
place = "bench"
air = "window open"
surface = "board"
[[step]]
name = "Wipe"
duration = "15 min"
people = "near"
[[step.use]]
product = "glue-off"
work = "wipe"
amount = "30 mL"
area = "0.1 m^2"
[[step]]
name = "Press"
duration = "10 min"
people = "near"
"""
PLUGIN = """
from safety import hookimpl
from safety.model import Finding, Planned, Worn

hazstep_hooks = 2

@hookimpl
def assess(job):
    found = []
    for index, step in enumerate(job.steps):
        wet = bool(step.uses)
        level = "control" if wet else "note"
        for topic, what, short in (
            ("hands", "gloves", "Butyl mitts of the bindery"),
            ("breathing", "respirator", "The grey hood"),
            ("eyes", "eyewear", "Reading visor"),
            ("skin", "clothing", "Apron"),
        ):
            few = short if wet else "Nothing"
            found.append(Finding(level, topic, few + ".", few, "own_wear", index, key="own-" + what,
                                 roles=(Worn(what, "own-1" if wet else ""),)))
    found.append(Finding("note", "solvent", "In all.", "in all", "own_wear", key="own-sum",
                         roles=(Planned("solvent", 99.0, 50.0, "glue fumes"),)))
    return found
"""


def without_ours(group: str) -> list[EntryPoint]:
    return [one for one in entry_points(group=group) if one.name != "protection"]


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, trusts: Callable[[Path], Path]) -> Path:
    """The shop, on a computer where the shipped plugin on what to wear is not installed."""
    monkeypatch.setattr(host, "entry_points", without_ours)
    jobs = {
        "spine": JOB.format(id="spine", title="Take old glue off a spine", start="09:00:00"),
        "board": JOB.format(id="board", title="Take old glue off a board", start="11:00:00"),
    }
    folder = write_shop(tmp_path / "shop", SHOP, {"glue-off": PRODUCT}, jobs)
    (folder / "own_wear.py").write_text(PLUGIN, "utf-8")
    return trusts(folder)


def test_what_is_worn_stands_on_the_card_and_on_the_page_of_the_day(shop: Path) -> None:
    reports = assess_day(
        Workplace.open(shop), [shop / "jobs" / "spine.toml", shop / "jobs" / "board.toml"], draws=DRAWS
    )
    assert [str(f) for report in reports for f in report.failures] == []
    assert "protection" not in {f.plugin for report in reports for f in report.findings}
    for report in reports:
        page = forms.sheet(report, "text")
        for words in ("Butyl mitts of the bindery", "The grey hood", "Reading visor"):
            assert words in page
        assert "NOT ASSESSED" not in page
    text = day.overview(reports)
    assert "Take old glue off a spine" in text
    assert "NOT ASSESSED" not in text


def test_what_asks_for_nothing_lifts_nothing_that_another_asks_for(shop: Path, trusts: Callable[[Path], Path]) -> None:
    """Of one plugin that sends others out and one that does not, the back said both: "others may stay in the place"."""
    code = PLUGIN.replace("import Finding", "import ClockSpan, Finding").replace(
        "    return found",
        """    found.append(Finding("control", "air", "Only the binder.", "only the binder", "own_wear", 0, key="own-out",
                         roles=(ClockSpan("others out", 0.0, 3000.0),)))
    return found""",
    )
    (shop / "own_wear.py").write_text(code, "utf-8")
    report = Workplace.open(trusts(shop)).assess(shop / "jobs" / "spine.toml", draws=DRAWS)
    assert report.failures == ()
    said = [one.text for one in stay(report)]
    assert said[0].casefold() == "only the binder"
    assert not [text for text in said if "may stay" in text]
    assert "may stay" not in day.overview([report])


def test_comparisons_see_the_gloves_the_respirator_and_the_sums_of_a_stranger(shop: Path) -> None:
    workplace, job = Workplace.open(shop), shop / "jobs" / "spine.toml"
    (planned,) = workplace.planned([job])
    outcomes = compare(workplace, job, read_alternatives(["job.crew=2"], job, planned.job), draws=DRAWS)
    for one in outcomes:
        assert one.gloves == {0: "Butyl mitts of the bindery"}
        assert one.respirators == {0: "The grey hood"}
        assert one.solvent is not None
        assert one.solvent["glue fumes"] == 99.0
    table = comparison.table(outcomes)
    assert "Butyl mitts of the bindery" in table
    assert "glue fumes [kg]" in table
    assert "NOT ASSESSED" not in table
    (record, *_) = comparison.record(outcomes)
    assert record["respirators"] == {"1": "The grey hood"}
    assert [t.finding.short for t in targets_of(planned.job, outcomes[0].report.findings) if t.step == "Wipe"].count(
        "The grey hood"
    ) == 1


def test_a_step_without_an_answer_makes_no_step_without_gloves(shop: Path, trusts: Callable[[Path], Path]) -> None:
    """Comparisons said "none" of gloves where a step had no answer at all."""
    (shop / "own_wear.py").write_text(PLUGIN.replace("enumerate(job.steps)", "enumerate(job.steps[1:], 1)"), "utf-8")
    workplace, job = Workplace.open(trusts(shop)), shop / "jobs" / "spine.toml"
    (planned,) = workplace.planned([job])
    (one,) = compare(workplace, job, read_alternatives(["job.crew=2"], job, planned.job), draws=DRAWS)
    assert one.gloves is None
    assert one.respirators is None


@pytest.mark.parametrize(
    ("role", "wrong"),
    [
        ('AgainstLimit("shift average", -0.1)', "a role with a number that cannot be"),
        ('ClockSpan("others out", 60.0, 30.0)', "a role with a number that cannot be"),
        ('Worn("hat")', "roles[0].what is str"),
    ],
)
def test_a_role_that_cannot_be_is_the_plugin_s_failure(
    shop: Path, trusts: Callable[[Path], Path], role: str, wrong: str
) -> None:
    code = PLUGIN.replace("import Finding", "import AgainstLimit, ClockSpan, Finding")
    (shop / "own_wear.py").write_text(code.replace('Planned("solvent", 99.0, 50.0, "glue fumes")', role), "utf-8")
    report = Workplace.open(trusts(shop)).assess(shop / "jobs" / "spine.toml", draws=DRAWS)
    assert [wrong in failure.reason for failure in report.failures if failure.plugin == "own_wear"] == [True]
    assert not list(with_role((f for f in report.findings if f.plugin == "own_wear"), Worn))
