"""A day as one PDF: the page for all jobs first, then each sheet."""

from __future__ import annotations

import shutil
from dataclasses import replace
from datetime import datetime
from io import BytesIO
from itertools import pairwise
from pathlib import Path
from types import SimpleNamespace

import pytest
from pypdf import PdfReader

import safety
from safety.day import assess_day
from safety.model import ClockSpan, Report, Segment, with_role
from safety.render import day_pdf, pdf
from safety.render.arrange import arrange
from safety.render.day import Task, overview
from safety.render.day_chart import Clock
from safety.workplace import Workplace

from .test_charts import labels

JOB = """
[job]
id = "{id}"
title = "{title}"
place = "bay-2"
air = "one door open"
start = 2026-11-25T{start}:00
crew = 1

[[step]]
name = "Work"
duration = "{long}"
{more}
"""
WET = """
[[step.use]]
product = "wash-solvent"
work = "wipe"
amount = "300 mL"
area = "2 m^2"
kept = "30 %"
"""


@pytest.fixture(scope="module")
def reports(tmp_path_factory: pytest.TempPathFactory) -> tuple[Report, ...]:
    """A wipe, a heat gun beside it, and a later job that waits for the air of the first."""
    shop = Path(
        shutil.copytree(Path(safety.__file__).parent / "data" / "demo", tmp_path_factory.mktemp("day") / "shop")
    )
    jobs = {
        "wipe": JOB.format(id="wipe", title="Wipe the panel", start="08:00", long="30 min", more=WET),
        "shrink": JOB.format(
            id="shrink", title="Shrink the sleeve", start="08:10", long="10 min", more='ignition_sources = ["heat gun"]'
        ),
        "flat": JOB.format(id="flat", title="Scrape the floor", start="09:00", long="5 min", more="").replace(
            'place = "bay-2"\nair = "one door open"', 'place = "flat-3"\nair = "windows shut"'
        ),
    }
    for name, text in jobs.items():
        (shop / "jobs" / f"{name}.toml").write_text(text, "utf-8")
    return assess_day(Workplace.open(shop), [shop / "jobs" / f"{name}.toml" for name in jobs], draws=60)


def pages(content: bytes) -> list[str]:
    return [page.extract_text() for page in PdfReader(BytesIO(content)).pages]


def test_the_day_comes_first_and_then_each_sheet_as_it_is_alone(reports: tuple[Report, ...]) -> None:
    content = day_pdf.day(reports)
    whole = pages(content)
    count = len(whole) - sum(len(PdfReader(BytesIO(pdf.sheet(r))).pages) for r in reports)
    assert "Jobs of a day" in whole[0]
    at = count
    for report in reports:
        alone = pages(pdf.sheet(report))
        for number, text in enumerate(alone):
            said = text.replace(f"Page {number + 1} of {len(alone)}", f"Page {at + number + 1} of {len(whole)}")
            assert whole[at + number] == said
        at += len(alone)
    outline = [entry.title for entry in PdfReader(BytesIO(content)).outline]
    assert outline == ["2 places, 2026-11-25", *(r.job.title for r in reports)]


def test_the_first_page_says_when_who_and_what_meets(reports: tuple[Report, ...]) -> None:
    first = " ".join(pages(day_pdf.day(reports))[0].split())
    for report in reports:
        assert report.job.title in first
    for words in ("08:00-08:30", "08:10-08:20", "No heat gun in this step", "STOP - do not start: 2 of 3 jobs"):
        assert words in first
    shrink = next(r for r in reports if r.job.id == "shrink")
    (waits,) = [f for f, span in with_role(shrink.findings, ClockSpan) if span.job == "wipe"]
    assert " ".join(waits.short.split()) in first
    for finding, span in (one for r in reports for one in with_role(r.findings, ClockSpan)):
        if span.what in ("others out", "air not clear"):
            assert finding.short in first


@pytest.mark.parametrize(("start", "hours"), [(8, 2), (8, 30), (20, 12), (20, 60)])
def test_labels_of_the_clock_of_all_jobs_stand_apart(reports: tuple[Report, ...], start: int, hours: int) -> None:
    end = hours * 3600.0
    late = replace(
        reports[0],
        job=replace(reports[0].job, start=datetime(2026, 11, 25, start)),
        timeline=replace(reports[0].timeline, segments=(Segment(0, "work", 0.0, end, "work"),), end=end),
        findings=(),
    )
    found = labels(Clock([Task(late, arrange(late), "", (), (), (), (), ())], 540.0))
    assert 2 <= len(found) <= 14
    assert all(after > last + 4 for (_, last), (after, _) in pairwise(found))
    assert max(last for _, last in found) <= 36 + 540


def test_what_nobody_judged_is_said_and_never_taken_for_no_other_job(reports: tuple[Report, ...]) -> None:
    """Without the findings of the plugin that judges the air, the page says NOT ASSESSED where they stood."""
    silent = [
        replace(r, findings=tuple(f for f in r.findings if f.topic != "air"), missing=("Air: not assessed.",))
        for r in reports
    ]
    first = " ".join(pages(day_pdf.day(silent))[0].split())
    text = overview(silent)
    for page in (first, " ".join(text.split())):
        assert page.count("INCOMPLETE") >= 1
        assert "the air beside “Wipe the panel”" in page
        assert "others in the place" in page
        assert page.count("NOT ASSESSED") >= 6
        assert page.count("No other job of the day") == 1  # the job in the other place


def test_paper_follows_the_shop_and_the_bytes_are_the_same(reports: tuple[Report, ...]) -> None:
    assert day_pdf.day(reports) == day_pdf.day(reports)
    for units, width in (("us", 612), ("si", 595)):
        shop = replace(reports[0].job.shop, print_units=units)  # type: ignore[arg-type]
        printed = [replace(r, job=replace(r.job, shop=shop)) for r in reports]
        assert round(PdfReader(BytesIO(day_pdf.day(printed))).pages[0].mediabox.width) == width


def test_texts_from_outside_are_printed_literally_and_flow(hostile: Report, report: Report) -> None:
    alone = SimpleNamespace(neighbours=(), substances=("one",), unknowns=())
    content = day_pdf.day([replace(one, exposure=alone) for one in (hostile, report)])
    first = pages(content)[0]
    assert "</para><b>bold</b>" in " ".join(first.split())
    assert all(ord(sign) >= 32 or sign == "\n" for sign in first)
    assert report.job.title in "".join(pages(content))
