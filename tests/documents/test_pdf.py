"""The officer's annex read back with pypdf: what stands on the pages, how large, and where."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from dataclasses import dataclass, replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from reportlab.pdfbase.pdfmetrics import stringWidth

from safety.model import Report
from safety.render import layout, pdf, text_safe

from .conftest import FINDINGS, HOSTILE, LONG, WINDOW


def squeezed(text: str) -> str:
    """Text without white space: a wrapped word is still the same word."""
    return re.sub(r"\s+", "", text)


def squeezed_lines(texts: list[str]) -> str:
    """All pages as one line."""
    return " ".join(" ".join(texts).split())


_READ: dict[int, tuple[Report, PdfReader]] = {}  # holds the report, so that no other can take its number


def read(report: Report) -> PdfReader:
    """The annex of a report, set once."""
    if id(report) not in _READ:
        _READ[id(report)] = report, PdfReader(io.BytesIO(pdf.annex(report)))
    return _READ[id(report)][1]


def pages(report: Report) -> list[str]:
    return [page.extract_text() for page in read(report).pages]


@dataclass(frozen=True)
class Piece:
    text: str
    font: str
    size: float
    x: float
    y: float


def pieces(report: Report) -> list[list[Piece]]:
    """Every piece of text of every page with its type and place [pt]."""
    found = []
    for page in read(report).pages:
        here: list[Piece] = []

        def note(text, cm, tm, font, size, here=here):  # type: ignore[no-untyped-def]
            if text.strip() and font:
                x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
                y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
                here.append(Piece(text.strip(), font["/BaseFont"], size * tm[0] * cm[0], x, y))

        page.extract_text(visitor_text=note)
        found.append(here)
    return found


def test_page_size_follows_the_shop(report: Report, quiet: Report) -> None:
    # US Letter is 8.5 x 11 inches (ANSI/ASME Y14.1, size A); A4 is 210 x 297 mm (ISO 216)
    inch, mm = 72.0, 72 / 25.4
    for sheet, size in ((report, (8.5 * inch, 11 * inch)), (quiet, (210 * mm, 297 * mm))):
        for page in read(sheet).pages:
            assert tuple(map(float, page.mediabox[2:])) == pytest.approx(size, abs=0.01)


def test_every_stop_and_control_is_printed_in_full_once(report: Report) -> None:
    printed = squeezed(" ".join(pages(report)))
    for finding in FINDINGS:
        if finding.level != "note":
            assert printed.count(squeezed(finding.statement)) == 1
            assert squeezed(finding.rule) in printed
            assert squeezed(finding.remedy) in printed
    assert squeezed('Not printed here: 20 notes. The command "hazstep sheet sleeve --full" shows all of it') in printed


def test_what_most_steps_share_is_said_before_them(report: Report) -> None:
    front, card = pages(report)[0].split("Clock, real start")
    assert "Long sleeves, no bare forearm (steps 2-4)" in squeezed_lines([front])
    assert "Long sleeves" not in card
    # what is worn is named in each step: there is no top to look at where a page lies alone
    assert squeezed_lines([card]).count("Laminate liner under nitrile, change at 08:05") == 3


def test_the_annex_of_the_demo_is_in_four_parts(demo: dict[str, Report]) -> None:
    for job, most in (("boot-replacement", 8), ("laminate-wipe-down", 5)):
        texts = pages(demo[job])
        assert len(texts) <= most
        places = ["".join(texts).index(f"Part {number}:") for number in range(1, 5)]
        assert places == sorted(places)


def test_every_reason_of_an_incomplete_sheet_is_on_paper(report: Report) -> None:
    reasons = tuple(f"Reason {i} is that {'very ' * 60}little is known of part {i}." for i in range(12))
    printed = squeezed(" ".join(pages(replace(report, missing=reasons))))
    assert all(squeezed(reason) in printed for reason in reasons)


def test_stops_come_before_the_steps(report: Report) -> None:
    first = pages(report)[0]
    stop = next(f for f in FINDINGS if f.level == "stop")
    words = ("STOP - do not start", stop.short, stop.remedy, "For the whole job", "1. Lay out and mask")
    places = [first.index(word) for word in words]
    assert places == sorted(places)
    assert "STOP\nFire: see the top" in first[first.index("4. Bond the sleeve") :]


def test_a_stop_of_several_steps_is_said_once_before_them(report: Report) -> None:
    stop = next(f for f in FINDINGS if f.level == "stop")
    twice = replace(
        report, findings=(*FINDINGS, replace(stop, step=1, statement="The heater is close to the wipes too."))
    )
    first = pages(twice)[0]
    front = first[: first.index("1. Lay out and mask")]
    assert "Steps 2, 4" in front
    assert front.count(stop.short) == 1
    assert "The heater is close to the wipes too." in squeezed_lines(pages(twice))
    assert stop.statement in squeezed_lines(pages(twice))


def test_result_line_never_says_safe(quiet: Report, incomplete: Report) -> None:
    assert "No stop found" in pages(quiet)[0]
    for report in (quiet, incomplete):
        assert not re.search(r"\b(safe|GO)\b", " ".join(pages(report)))


def test_clock_rows_waits_and_windows(report: Report) -> None:
    card = squeezed(" ".join(pages(report)))
    for words in ("07:45-08:05", "Coat 2 08:20-08:30, dry until 08:40", "Left wet: used wipes"):
        assert squeezed(words) in card
    # last coat ends 08:30, the window opens 4230 s after the start: 08:40:30, so not before 08:41
    assert WINDOW.opens == 4230
    assert squeezed("Begin step 4, Bond the sleeve: from 08:41, before 10:30, one more coat until 11:30") in card


def test_incomplete_on_every_page_with_its_reasons(incomplete: Report) -> None:
    texts = pages(incomplete)
    assert len(texts) > 2
    assert all("INCOMPLETE" in text for text in texts)
    for reason in incomplete.missing:
        assert squeezed(reason) in squeezed(texts[0])
    assert "NOT ASSESSED" in texts[0]
    assert "UNKNOWN" in " ".join(texts)
    assert "it raised ValueError" in " ".join(texts)


def test_complete_sheet_has_no_stamp(report: Report) -> None:
    assert not any(re.search("INCOMPLETE|NOT ASSESSED", text) for text in pages(report))


def test_notice_version_and_page_number_on_every_page(report: Report) -> None:
    texts = pages(report)
    for number, text in enumerate(texts, 1):
        assert report.job.shop.notice in text
        assert "hazstep 0.1.0, 2000 draws, seed 1" in text
        assert f"Page {number} of {len(texts)}" in text


def test_type_is_large_enough(report: Report, incomplete: Report) -> None:
    for sheet in (report, incomplete):
        for page in pieces(sheet):
            assert min(piece.size for piece in page) >= layout.SMALL


def test_clock_times_of_the_card_are_bold_and_large(report: Report) -> None:
    card = [p for p in pieces(report)[0] if re.fullmatch(r"\d\d:\d\d(-\d\d:\d\d)?", p.text)]
    assert len(card) > 8
    assert all(p.size >= 12 and "Bold" in p.font for p in card)


def test_hostile_text_is_printed_literally(hostile: Report) -> None:
    printed = squeezed(" ".join(pages(hostile)))
    for words in HOSTILE:
        assert squeezed(text_safe(words)) in printed
    assert printed.count(squeezed(LONG)) > 10
    assert not any(page.images for page in read(hostile).pages)
    assert not any(character in printed for character in "\x00\x07\x1b\u202e\u2066")


def test_nothing_is_printed_outside_the_margins(hostile: Report) -> None:
    layout.fonts()
    right = 612 - 36
    for page in pieces(hostile):
        for p in page:
            font = layout.BOLD if "Bold" in p.font else layout.FONT
            widest = max(stringWidth(line, font, p.size) for line in p.text.split("\n"))
            assert p.x > 35, p
            assert p.x + widest < right + 1, p
            assert 10 < p.y < 792 - 20, p


def test_long_findings_and_tables_flow_over_pages(hostile: Report) -> None:
    texts = pages(hostile)
    assert "".join(texts).count("word") >= 2000
    assert sum("Clock, real start" in text for text in texts) > 2  # the head of the card is repeated


def test_only_layout_makes_paragraphs() -> None:
    for path in Path(pdf.__file__).parent.glob("*.py"):
        assert path.name == "layout.py" or not re.search(r"\b(XPreformatted|Paragraph)\(", path.read_text()), path


def test_same_report_same_bytes(report: Report, tmp_path: Path) -> None:
    assert pdf.sheet(report) == pdf.sheet(report)
    assert pdf.annex(report) == pdf.annex(report)


def test_same_bytes_in_another_process() -> None:
    code = (
        "import sys, hashlib; sys.path.insert(0, '.');"
        "from tests.documents.conftest import make; from safety.render import pdf, text;"
        "print(hashlib.sha256(pdf.sheet(make()) + pdf.annex(make())).hexdigest(), hashlib.sha256(text.sheet(make()).encode()).hexdigest())"
    )
    root = Path(__file__).parents[2]
    runs = [
        subprocess.run(
            [sys.executable, "-c", code], capture_output=True, text=True, check=True, cwd=root,
            env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
        ).stdout
        for seed in ("1", "2")
    ]  # fmt: skip
    assert runs[0] == runs[1] != ""
