"""Text and JSON say what the PDF says, and nothing in them can hurt a terminal or a parser."""

from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime

import pytest

from safety.clock import ClockTime, clock
from safety.model import Figure, Range, Report
from safety.render import amounts, records, text, text_safe
from safety.render.clock import span
from safety.words import LANGUAGES, joined, runs, say, speaking, speech, values_in

from .conftest import FINDINGS, HOSTILE, LONG


def test_text_fits_100_columns(report: Report, incomplete: Report, hostile: Report) -> None:
    for sheet in (report, incomplete, hostile):
        lines = text.sheet(sheet).splitlines()
        assert max(map(len, lines)) <= 100


def test_text_holds_every_finding(report: Report) -> None:
    brief, full = (" ".join(text.sheet(report, full).split()) for full in (False, True))
    for finding in FINDINGS:
        for words in (finding.statement, finding.remedy, finding.rule):
            assert words in full
            assert words in brief or finding.level == "note"
    assert "hazstep sheet sleeve --full" in brief
    assert len(brief) < len(full)


def test_text_says_what_is_missing(incomplete: Report) -> None:
    printed = " ".join(text.sheet(incomplete).replace("###", "").split())
    assert "INCOMPLETE" in printed
    assert "Hands NOT ASSESSED" in printed
    assert "UNKNOWN: No data sheet for the glue" in printed
    assert all(reason in printed for reason in incomplete.missing)


def test_control_characters_never_reach_the_terminal(hostile: Report) -> None:
    printed = text.sheet(hostile)
    assert not any((ord(c) < 32 and c != "\n") or ord(c) == 127 or c in "\u202e\u2066" for c in printed)
    assert '<img src="x"/>' in printed


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        ("a\x1b[31mb", "a [31mb"),
        ("a\r\nb\tc", "a b c"),
        ("a\u202eb\u2028c", "ab c"),
        ("\ud800a", "a"),
        ("Ökonomie µm ≥ 漢字", "Ökonomie µm ≥ 漢字"),
        ("a\u200cb\u200bc", "a\u200cbc"),
    ],
)
def test_text_safe(written: str, shown: str) -> None:
    assert text_safe(written) == shown


def test_records_are_strict_json(report: Report, incomplete: Report, hostile: Report) -> None:
    for sheet in (report, incomplete, hostile):
        record = json.loads(json.dumps(records.sheet(sheet), allow_nan=False))
        assert record["complete"] is sheet.complete
        assert record["reasons"] == [text_safe(reason) for reason in sheet.missing]
        assert len(record["findings"]) == len(sheet.findings)
        assert len(record["stops"]) == len(sheet.stops)


def test_records_of_a_finding(report: Report) -> None:
    found = next(f for f in records.sheet(report)["findings"] if f["figures"])
    figure = found["figures"][0]
    assert figure["value"] == 3.12e-4
    assert figure["unit"] == "kg/m3"
    assert figure["text"] == "highest 15 minutes at the face: 312 mg/m³ (middle estimate 140 mg/m³)"
    assert figure["inputs"] == [
        {"name": "limit", "text": "200 ppm, Handbook of invented numbers (2nd edition, 2020), table 3"},
        {"name": "air changes", "text": "0.3 to 2 /hour"},
    ]


def test_records_hold_no_infinity(report: Report) -> None:
    endless = replace(
        FINDINGS[0], figures=(Figure("time until dry", float("inf"), "s"), Figure("x", float("nan"), "1"))
    )
    record = records.sheet(replace(report, findings=(endless,)))
    json.dumps(record, allow_nan=False)
    assert [f["value"] for f in record["findings"][0]["figures"]] == [None, None]
    assert record["findings"][0]["figures"][0]["text"] == "time until dry: no limit"


def test_records_give_clock_times(report: Report) -> None:
    record = records.sheet(report)
    assert record["steps"][2]["start"] == "2026-03-02T08:05:00"
    assert record["steps"][2]["segments"][1] == {
        "kind": "dry", "coat": None, "label": "dry", "start": "2026-03-02T08:15:00", "end": "2026-03-02T08:20:00",
    }  # fmt: skip
    assert record["windows"][0]["opens"] == "2026-03-02T08:40:30"
    assert record["windows"][0]["closes"] == "2026-03-02T10:30:30"


def test_clock_over_midnight() -> None:
    start = datetime(2026, 3, 2, 23, 50)
    assert span(start, 0, 1200) == "23:50-00:10 next day"
    assert span(start, 1200, 2400) == "next day 00:10-00:30"
    assert span(start, 1200, 88200) == "00:10 next day-00:20 (2 days later)"
    assert span(start, 87600, 88200) == "2 days later 00:10-00:20"


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("days", [-2, -1, 0, 1, 2, 12])
def test_a_clock_time_is_found_with_the_words_for_its_day(language: str, days: int) -> None:
    with speaking(speech(language)):
        told = clock(datetime(2026, 3, 2, 23, 50), days * 86400.0)
        text = say("from {a} to {b}, not 08:00", a=told, b=joined((told,), ", "))
        cut = list(runs(text, ClockTime))
    assert values_in(text, ClockTime) == (told, told)
    assert [run for run, time in cut if time] == [told, told]
    assert "".join(run for run, _ in cut) == text
    assert told.startswith("23:50")


def test_a_step_over_midnight_has_its_time_on_a_line_of_its_own(report: Report) -> None:
    late = replace(report, job=replace(report.job, start=datetime(2026, 3, 2, 23, 30)))
    lines = text.sheet(late).splitlines()
    at = lines.index("23:45-00:05 next day")
    assert lines[at + 1] == " " * 16 + "2. Wipe the roller twice"
    assert "23:30-23:45     1. Lay out and mask" in lines


def test_units_follow_the_shop() -> None:
    # 5/9 (F - 32) = C: 77 degF is 25 degC; 1 in is 25.4 mm and 1 US gal is 3.785 412 L (NIST SP 811, appendix B)
    assert amounts.shown(298.15, "K", "us") == "77 °F (25 °C)"
    assert amounts.shown(298.15, "K", "si") == "25 °C"
    assert amounts.shown(0.0254, "m", "us") == "1 inch (25.4 mm)"
    assert amounts.shown(3.785412e-3, "m3", "us") == "1 gal (3.79 L)"
    assert amounts.shown(0.3048, "m", "us") == "1 ft (0.305 m)"
    assert amounts.shown(10.0, "K (difference)", "us") == "18 °F (10 °C)"
    assert amounts.between(Range(295.15, 299.15), "K", "si") == "22 °C to 26 °C"


def test_a_long_name_wraps_whole(hostile: Report) -> None:
    assert LONG in "".join(text.sheet(hostile).split())
    assert "".join(text_safe(HOSTILE[1]).split()) in "".join(text.sheet(hostile).split())
