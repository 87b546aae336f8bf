"""A sheet's default print showed one of the thirteen marks behind its decisions, and no plugin read ignition's."""

from __future__ import annotations

import json

import pytest

from safety.cited import Cited, Source
from safety.marks import unchecked
from safety.model import Figure, Finding, Report
from safety.render import records, text
from safety.render.pdf import annex as pdf
from tests import demo
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """
[shop]
name = "Frame conservation studio (invented)"
altitude = "0 m"
rules = ["eu"]
[[place]]
id = "studio"
kind = "room"
volume = "120 m^3"
temperature = "21 degC"
[[place.air]]
state = "extract on"
air_changes = ["3 /hour", "6 /hour"]
air_speed = ["0.05 m/s", "0.2 m/s"]
basis = "our guess"
"""
CLEANER = """
[product]
id = "cleaner"
name = "Varnish cleaner"
role = "cleaner"
purpose = "cleaner"
density = "0.89 g/mL"
flash_point = "31 degC"
hazards = ["H226", "H319", "H336"]
[[product.part]]
name = "cyclohexanone"
cas = "108-94-1"
weight = "100 %"
"""
JOB = """
[job]
id = "clean-frame"
title = "Clean a frame"
place = "studio"
air = "extract on"
start = 2026-11-25T08:00:00
crew = 1
[[step]]
name = "Wipe the frame"
duration = "60 min"
ignition_sources = ["work lamp"]
[[step.use]]
product = "cleaner"
work = "wipe"
amount = "100 mL"
area = "1 m^2"
"""


@pytest.fixture(scope="module")
def report(tmp_path_factory: pytest.TempPathFactory) -> Report:
    folder = write_shop(tmp_path_factory.mktemp("shop"), SHOP, {"cleaner": CLEANER}, {"clean-frame": JOB})
    return sheet(folder, "clean-frame")


def test_a_limit_nobody_has_read_marks_what_it_decides(report: Report) -> None:
    """The EU list's value of cyclohexanone stands in a second text only: the mask rested on it without a word."""
    breathing = [f for f in report.findings if f.topic == "breathing" and f.step == 0]
    assert any(mark.source == "EU indicative OELV" for f in breathing for mark in unchecked(f))


def test_every_mark_behind_a_finding_is_in_the_default_print(report: Report) -> None:
    marks = {(mark.source, mark.why) for f in report.findings for mark in unchecked(f)}
    assert len(marks) > 3
    page = " ".join(text.sheet(report).split())
    assert [(source, why) for source, why in marks if " ".join(f"{source}: {why}".split()) not in page] == []


def test_the_sign_stands_beside_the_topic_and_is_explained(report: Report) -> None:
    page = text.sheet(report)
    assert "Breathing † " in page
    assert "† rests on a value that nobody has checked yet." in page
    record = json.loads(json.dumps(records.sheet(report)))
    boxes = {box["topic"]: box["unchecked"] for box in record["steps"][0]["boxes"]}
    assert boxes["breathing"] is True
    assert any("EU indicative OELV" in mark for f in record["findings"] for mark in f["unchecked"])


def test_the_pdf_shows_them_too(report: Report) -> None:
    import io

    from pypdf import PdfReader

    pages = " ".join(" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(pdf(report))).pages)
    assert "† Nobody has checked this yet" in pages
    assert "† rests on a value" in pages


def test_marks_come_from_figures_within_figures_and_from_grounds() -> None:
    book = Source("book", "A handbook", "1st")
    value = Cited(1.0, "Pa", "1 Pa", book, "page 3", unverified="recalled")
    deep = Figure("outer", 1.0, "1", inputs=(("a", Figure("inner", 1.0, "Pa", inputs=(("v", value),))),))
    row = {"citation": "rule 7", "edition": "1", "unverified": "not read"}
    finding = Finding("control", "air", "Do.", "do", "test", figures=(deep,), grounds=(row,))
    assert list(map(str, unchecked(finding))) == ["inner, A handbook: recalled", "rule 7: not read"]
    assert unchecked(Finding("note", "air", "Fine.", "fine", "test")) == ()


@pytest.mark.parametrize("job", demo.JOBS)
def test_a_rule_that_is_cited_as_unverified_is_a_ground(job: str) -> None:
    """The sentence of a citation is for people; the sign beside the topic goes by the record itself."""
    report = demo.report(job)
    without = {
        (f.plugin, f.key, f.rule) for f in report.findings if "; unverified: " in f.rule and not unchecked(f)
    }  # fmt: skip
    assert without == set()
