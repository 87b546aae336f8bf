"""What is said once for many steps loses neither a word nor a step nor a time."""

from __future__ import annotations

from dataclasses import replace

import pytest

from safety.clock import clock
from safety.marks import of_each
from safety.model import Finding, Report, in_step
from safety.render.arrange import arrange
from safety.render.merging import Merged, Said, capital, common, merged, numbers, parts, reasons
from safety.words import joined, say

from .conftest import finding


def _merged(report: Report, findings: list[tuple[str, Finding]]) -> tuple[Merged, ...]:
    return merged(report, findings, of_each(one for _, one in findings))


@pytest.mark.parametrize(
    ("steps", "shown"),
    [([4], "4"), ([1, 2], "1, 2"), ([3, 1, 2], "1-3"), ([1, 2, 3, 6, 8, 9], "1-3, 6, 8, 9"), ([], "")],
)
def test_numbers(steps: list[int], shown: str) -> None:
    assert numbers(steps) == shown


@pytest.mark.parametrize(
    ("text", "shown"),
    [("bond and earth", "Bond and earth"), ("pH 2", "pH 2"), ("n-hexane", "n-hexane"), ("Öl", "Öl"), ("", "")],
)
def test_capital(text: str, shown: str) -> None:
    assert capital(text) == shown


def test_common_takes_what_more_than_half_of_the_steps_say() -> None:
    earth, stop, glove = Said("Control", "bond and earth"), Said("STOP", "heater"), Said("", "No gloves")
    steps = [{"fire": [earth, stop], "hands": [glove]}] * 3 + [{"fire": [stop], "hands": [glove]}] * 2
    assert common(steps) == {"fire": (Said("Control", "bond and earth", "1-3"),)}
    assert common(steps[1:]) == {}  # two of four are not most
    assert common(steps[:1]) == {}  # one step has nothing in common with anything


def _one(report: Report, *findings: Finding) -> str:
    (found,) = _merged(report, [(str(i), f) for i, f in enumerate(findings)])
    return found.statement


def test_a_sentence_stands_once_with_its_steps(report: Report) -> None:
    sleeves, wash, cuts = say("wear sleeves."), say("Wash at once."), say("No open cuts.")
    both = in_step(report.job, 1, joined((sleeves, wash))), in_step(report.job, 2, joined((sleeves, cuts)))
    assert _one(report, *(finding("control", "skin", i + 1, "Sleeves", s) for i, s in enumerate(both))) == (
        "Wear sleeves. Wash at once. [2] No open cuts. [3]"
    )


def test_times_that_differ_are_kept_with_their_steps(report: Report) -> None:
    start = report.job.start.replace(hour=0, minute=0)
    times = [(clock(start, a * 60), clock(start, b * 60)) for a, b in ((465, 486), (485, 24 * 60 + 10))]
    said = [
        finding(
            "control", "fire", i, say("No flame, {a} to {b}", a=a, b=b),
            joined((say("No flame from {a} to {b}.", a=a, b=b), say("Bond the can."))),
        )
        for i, (a, b) in enumerate(times, 1)
    ]  # fmt: skip
    (found,) = _merged(report, [("2.1", said[0]), ("3.4", said[1])])
    assert found.statement == (
        "No flame from 07:45 to 08:06. [2] No flame from 08:05 to 00:10 next day. [3] Bond the can."
    )
    short = "No flame, 07:45 to 08:06 [2] No flame, 08:05 to 00:10 next day [3]"
    assert (found.short, found.references) == (short, ("2.1", "3.4"))
    assert _one(report, said[0], replace(said[0], step=4)) == "No flame from 07:45 to 08:06. Bond the can."


def test_a_reason_that_holds_for_many_steps_stands_once_with_their_numbers(report: Report) -> None:
    """Sixteen lines of one sentence push what else is not known off the first page."""
    names = [step.name for step in report.job.steps]
    told = (
        "No ledger.",
        *(in_step(report.job, i, say("the vapour cannot be estimated")) for i in range(3)),
        in_step(report.job, 1, say("no glove can be granted a time")),
        "the vapour is strong",
    )
    assert reasons(told) == (
        "No ledger.",
        "Steps 1-3: the vapour cannot be estimated",
        f"{names[1]}: no glove can be granted a time",
        "the vapour is strong",
    )
    mixed = ("no time", in_step(report.job, 0, "no time"))  # one of them is of no step: each keeps its own words
    assert reasons(mixed) == mixed


def test_what_is_unknown_in_many_steps_loses_their_names(report: Report) -> None:
    unknown = [
        replace(
            finding("stop", "hands", i, "No glove holds", "None."),
            unknown=in_step(report.job, i, "no glove holds a time"),
        )
        for i in (1, 2)
    ]
    (found,) = _merged(report, [("2.1", unknown[0]), ("3.1", unknown[1])])
    assert found.unknown == "No glove holds a time"


def test_two_findings_of_one_step_keep_both_times(report: Report) -> None:
    start = report.job.start.replace(hour=8, minute=0)
    times = [clock(start, minutes * 60) for minutes in (5, 25)]
    said = [finding("control", "clock", 1, "Change", say("Change at {time}.", time=time)) for time in times]
    assert _one(report, *said) == "Change at 08:05 [2], 08:25 [2]."


def test_what_only_looks_like_a_time_or_a_list_is_left_alone(report: Report) -> None:
    """A product called "Mix 08:05; No. 2. Strong": it was cut at the semicolon and the full stop, and lost its time."""
    name = "Mix 08:05; No. 2. Strong"
    said = [
        finding(
            "control", "hands", i, say("glove for {what}", what=name), say("{what} wets at {time}.", what=name, time=t)
        )
        for i, t in enumerate((clock(report.job.start, 0), clock(report.job.start, 600)), 1)
    ]
    (found,) = _merged(report, [("2.1", said[0]), ("3.1", said[1])])
    assert found.short == f"Glove for {name}"
    assert found.statement.startswith(f"{name} wets at 07:30 [2], 07:40 [3].")
    assert [one.text for one in parts(said[0])] == [f"glove for {name}"]


def test_levels_and_unknowns_are_never_merged(report: Report) -> None:
    same = finding("control", "eyes", 1, "Goggles", "Wear goggles.")
    others = (replace(same, level="stop", step=2), replace(same, step=3, unknown="The splash is not known."))
    found = _merged(report, [("a", same), ("b", others[0]), ("c", others[1])])
    assert [(one.mark, one.steps) for one in found] == [("Control", (2,)), ("STOP", (3,)), ("UNKNOWN", (4,))]


def test_every_part_of_every_marked_finding_is_on_the_card(report: Report, incomplete: Report) -> None:
    for sheet in (report, incomplete):
        page = arrange(sheet)
        words = {(line.title, one.text) for line in page.band.lines for one in line.said}
        words |= {(line.title, one.text) for card in page.cards for line in card.lines for one in line.said}
        for found in (f for f in sheet.findings if f.level == "control"):
            assert (found.topic.capitalize(), found.short) in words


def test_what_the_whole_job_says_is_not_said_again_because_every_step_says_it_too(report: Report) -> None:
    no_limit = replace(finding("control", "air", 0, "no limit for naphtha", "None."), unknown="no limit")
    everywhere = [replace(no_limit, step=i) for i in range(len(report.job.steps))]
    whole = replace(no_limit, step=None, short="No limit for naphtha")
    page = arrange(replace(report, findings=(*everywhere, whole)))
    (air,) = [line for line in page.band.lines if line.topic == "air"]
    assert [(said.text, said.steps) for said in air.said] == [("No limit for naphtha", "")]
