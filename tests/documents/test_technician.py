"""The technician's sheet: two sides, nothing small, nothing lost that must be worn or stops the work.

The size of type and of the boxes, and one sheet in place of many pages, follow what is known of job aids: 10 points at
least, 12 for what is read at arm's length, boxes of 10 mm for a marker in a gloved hand (MIL-STD-1472 asks for more
room where gloves are worn; the figures are common practice, from memory).
"""

from __future__ import annotations

import io
import re
import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp
from pypdf import PdfReader

from safety.model import (
    ClockSpan,
    Finding,
    KeptOut,
    Lights,
    Phone,
    Report,
    Respirator,
    SaidUnder,
    Segment,
    Step,
    Timeline,
    Worn,
)
from safety.paper_codes import of_step
from safety.render import pdf, text
from safety.render.fixed import translation
from safety.words import LANGUAGES, say, speaking, speech
from safety.workplace import assess_job

from .conftest import LONG, ROOM, SHOP, SHOP_FOLDER, SHUT, finding
from .test_pdf import squeezed

MM = 72 / 25.4


def sides(report: Report) -> list[str]:
    """The text of each side, its lines run on."""
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf.sheet(report))).pages]


def sizes(report: Report) -> set[float]:
    """Every size of type on the sheet [pt]."""
    found: set[float] = set()
    for page in PdfReader(io.BytesIO(pdf.sheet(report))).pages:

        def note(text, cm, tm, font, size) -> None:  # type: ignore[no-untyped-def]
            if text.strip() and font:
                found.add(round(size * tm[0] * cm[0], 2))

        page.extract_text(visitor_text=note)
    return found


def of_steps(report: Report, count: int, name: str = "Wipe panel {i}", worn: str = "Laminate liner") -> Report:
    """A job of ``count`` steps of a quarter of an hour; in each gloves and a mask are worn."""
    steps = tuple(Step(name.format(i=i), 900, "near", ROOM, SHUT) for i in range(1, count + 1))
    segments = tuple(Segment(i, "work", 900.0 * i, 900.0 * (i + 1), "work") for i in range(count))
    findings = [
        one
        for i in range(count)
        for one in (
            finding("control", "hands", i, f"{worn} {i + 1}", roles=(Worn("gloves"),)),
            finding("control", "breathing", i, f"Half mask {i + 1}", roles=(Worn("respirator"),)),
            finding("note", "eyes", i, "no splash expected"),
            finding("control", "fire", i, "no flame"),
            finding("control", "skin", i, "long sleeves"),
            finding("note", "air", i, "under every limit"),
            finding("note", "waste", i, "no waste"),
        )
    ]
    return replace(
        report,
        job=replace(report.job, steps=steps),
        timeline=Timeline(segments, (), 900.0 * count),
        findings=tuple(findings),
    )


@pytest.mark.parametrize(("steps", "sheets"), [(1, 1), (9, 1), (10, 1), (11, 2), (30, 3)])
@pytest.mark.parametrize("units", ["us", "si"])
def test_two_sides_for_up_to_ten_steps(report: Report, steps: int, sheets: int, units: str) -> None:
    """Before: six to ten pages for nine steps, and five of these on the first."""
    long = of_steps(report, steps)
    shop = replace(long.job.shop, print_units=units)
    texts = sides(replace(long, job=replace(long.job, shop=shop)))
    assert len(texts) == 2 * sheets
    fronts = " ".join(texts[::2])
    for number in range(1, steps + 1):
        for words in (f"{number}. Wipe panel {number}", f"Laminate liner {number}", f"Half mask {number}"):
            assert words in fronts
    assert all("First minute" in back or "Telephone" in back for back in texts[1::2])  # each sheet is whole in itself


def test_the_demo_takes_two_sides(demo: dict[str, Report]) -> None:
    assert {job: len(sides(report)) for job, report in demo.items()} == dict.fromkeys(demo, 2)


@pytest.mark.parametrize("language", ["es", "de"])
def test_nine_steps_take_two_sides_in_every_language(tmp_path: Path, language: str) -> None:
    """Before, German and Spanish took four: a mask that had no room behind a long glove began a line of its own."""
    shutil.copytree(SHOP_FOLDER, tmp_path / "shop")
    with speaking(speech(language)):
        report = assess_job(tmp_path / "shop/jobs/boot-replacement.toml", draws=60)
        for units in ("us", "si"):
            shop = replace(report.job.shop, print_units=units)
            front, _ = sides(replace(report, job=replace(report.job, shop=shop)))
            for step in report.job.steps:
                assert squeezed(step.name) in squeezed(front)
            # before: with nine steps there was no room for it, and with fewer it was cut
            assert squeezed(translation()) in squeezed(front)


@pytest.mark.parametrize("language", LANGUAGES)
def test_nothing_is_set_under_ten_points(demo: dict[str, Report], hostile: Report, language: str) -> None:
    """Before: 71 % of the words of the first page were set smaller."""
    with speaking(speech(language)):
        for report in (*demo.values(), hostile, of_steps(hostile, 30)):
            assert min(sizes(report)) >= 10


def at_arm_s_length(report: Report) -> str:
    """What is set in 12 points or more on the first side."""
    large = []

    def note(text, cm, tm, font, size) -> None:  # type: ignore[no-untyped-def]
        if size * tm[0] * cm[0] >= 12:
            large.append(text)

    PdfReader(io.BytesIO(pdf.sheet(report))).pages[0].extract_text(visitor_text=note)
    return squeezed("".join(large))


def test_what_is_worn_and_the_clock_are_read_at_arm_s_length(demo: dict[str, Report]) -> None:
    large = at_arm_s_length(demo["laminate-wipe-down"])
    for words in (
        "Flat laminate liner under Fluoroelastomer gauntlet",
        "Full facepiece on the air line",
        "13:00",
        "13:25",
    ):
        assert squeezed(words) in large


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("stopped", [False, True])
def test_they_are_on_the_fullest_sheet_too(report: Report, language: str, stopped: bool) -> None:
    """Before: on ten steps, on long names and where the job may not begin they fell to ten points."""
    name = "The {i}th panel of the port side behind the second frame, wiped from above and from the left side"
    glove = "Flat laminate liner of the long sort with a rolled cuff under a gauntlet of fluoroelastomer"
    full = of_steps(report, 10, name, glove)
    stops = tuple(finding("stop", "fire", i, f"Heater {i} runs 2 m away") for i in range(10)) if stopped else ()
    with speaking(speech(language)):
        large = at_arm_s_length(replace(full, findings=(*full.findings, *stops)))
    for number in range(1, 11):
        assert squeezed(f"{glove} {number}") in large
        assert squeezed(f"Half mask {number}") in large


def test_products_that_went_to_the_annex_are_said_to_be_there(report: Report) -> None:
    """Before: they went without a word, and only controls were counted."""
    name = "The {i}th panel of the port side behind the second frame, wiped from above and from the left side"
    full = of_steps(report, 10, name, "Flat laminate liner of the long sort with a rolled cuff under a gauntlet")
    steps = tuple(replace(step, uses=report.job.steps[1].uses * 4) for step in full.job.steps)
    front = sides(replace(full, job=replace(full.job, steps=steps)))[0]
    assert "Wiping solvent W" not in front
    assert "Products and amounts: annex, part 1." in front


def test_boxes_take_a_marker_in_a_glove(demo: dict[str, Report]) -> None:
    """Before: a box of 6 mm for the real start, and none for the amount and the lot."""
    page = pypdfium2.PdfDocument(pdf.sheet(demo["boot-replacement"]))[0]
    boxes = [
        one.get_bounds() if hasattr(one, "get_bounds") else one.get_pos()
        for one in page.get_objects()
        if one.type == 2  # a path
    ]
    codes = page.get_width() - 55  # these stand at the edge
    tall = [b for b in boxes if b[3] - b[1] >= 10 * MM and 10 * MM <= b[2] - b[0] < 40 and b[2] < codes]
    assert len(tall) == 3 * 9


@pytest.mark.parametrize("language", ["en", "de"])
@pytest.mark.parametrize("pages", ["", "https://shop-pc.local:8420"])
def test_each_row_has_the_code_of_its_step(report: Report, language: str, pages: str) -> None:
    """Before: a code on every can and every waste label, and none on the sheet that is carried to the work.

    The name is the one in the file, so that paper in one language opens its step on a screen in another.
    """
    steps = tuple(replace(s, name=s.name[::-1], typed=s.name) for s in of_steps(report, 10).job.steps)
    job = replace(of_steps(report, 10).job, steps=steps)
    shown = replace(of_steps(report, 10), job=replace(job, shop=replace(job.shop, pages=pages)))
    with speaking(speech(language)):
        page = pypdfium2.PdfDocument(pdf.sheet(shown))[0]
        codes = [of_step(job.id, step.typed, number) for number, step in enumerate(steps, 1)]
        expected = {code.content(pages) for code in codes}
    grey = page.render(scale=200 / 72, grayscale=True).to_numpy()
    one_bit = np.where(grey < 128, 0, 255).astype(np.uint8)  # as an old copier has it
    assert {found.text for found in zxingcpp.read_barcodes(one_bit)} == expected


def test_a_step_that_may_not_begin_has_no_code(report: Report) -> None:
    page = pypdfium2.PdfDocument(pdf.sheet(report))[0]
    assert not zxingcpp.read_barcodes(page.render(scale=200 / 72, grayscale=True).to_numpy())


def test_names_of_ninety_letters_lose_no_mask_and_no_glove(report: Report) -> None:
    name = "The {i}th panel of the port side behind the second frame, wiped from above and from the left side"
    glove = "Flat laminate liner of the long sort with a rolled cuff under a gauntlet of fluoroelastomer"
    assert len(name) > 90 <= len(glove)
    front, _ = sides(of_steps(report, 10, name, glove))
    for number in range(1, 11):
        assert squeezed(f"{glove} {number}") in squeezed(front)
        assert squeezed(f"Half mask {number}") in squeezed(front)
    assert min(sizes(of_steps(report, 10, name, glove))) >= 10


def test_a_late_start_breaks_nothing(report: Report) -> None:
    """Before: every time was one of the clock, and a start 40 minutes late made all of them wrong."""
    front = sides(replace(report, findings=tuple(f for f in report.findings if f.level != "stop")))[0]
    assert "+15 min" in front  # the second step, from the real start
    # the last coat ends 08:30; the window opens 4230 s after the start, 10.5 min later, and closes 120.5 min after it
    assert "Step 4: begin 11 min to 2 h after the last coat (08:41 to 10:30)" in front
    assert "up to 3 h after it (11:30): one more coat first. Later: clean and start again" in front
    assert "Starting late, on the same day? Add the same minutes to every clock time." in front


def test_a_stop_is_before_the_steps_and_no_box_is_there_to_write_in(report: Report) -> None:
    front = sides(report)[0]
    words = ("STOP - do not start", "Heater runs 2 m away", "1. Lay out and mask", "Fire: see above")
    assert [front.index(word) for word in words] == sorted(front.index(word) for word in words)
    assert "Began" not in front


def test_telephones_stand_on_the_back_and_what_is_missing_is_a_line(report: Report) -> None:
    """Before: no telephone number anywhere."""
    shop = replace(
        SHOP, phones=(Phone("emergency", "9-911", "gate 2"), Phone("officer", "555-0117")), eyewash="beside door 3"
    )
    back = sides(replace(report, job=replace(report.job, shop=shop)))[1]
    for words in ("Emergency 9-911 gate 2", "Poison center", "Safety officer 555-0117", "Eyewash: beside door 3"):
        assert words in back
    assert "Shower: ____" in back


def test_who_may_stay_and_what_lights_vapour_come_from_the_roles_of_anybody(report: Report) -> None:
    """A plugin of a stranger, with words and a topic of its own: its roles are all that is looked at."""

    def strange(short: str, *roles: object, level: str = "note") -> Finding:
        return Finding(level, "odd", f"{short}, in full.", short, "stranger", None, roles=roles)  # type: ignore[arg-type]

    odd = (
        strange("persons elsewhere may remain", ClockSpan("others out", 0.0, 0.0)),
        strange("keep off if Q applies", KeptOut("untrained")),
        strange("a thing", Lights("kettle", False), Lights("torch marked Ex", True)),
        strange("hold the tongue", level="control"),
    )
    judged = tuple(finding("note", "fire", i, "nothing burns") for i in range(len(report.job.steps)))
    strangers = replace(report, findings=(*report.findings, *judged, *odd), titles={**report.titles, "odd": "Odd"})
    front, back = sides(strangers)
    assert "Odd: Hold the tongue" in front
    for words in ("Persons elsewhere may remain", "Keep off if Q applies", "NO Kettle", "yes Torch marked Ex"):
        assert words in back
    assert "Persons elsewhere" not in front


def test_where_nobody_judged_what_lights_vapour_it_stays_away(report: Report) -> None:
    back = sides(replace(report, findings=()))[1]
    assert "NOT ASSESSED: keep flame, heat gun, lamp, fan and telephone away." in back
    fire = finding("note", "fire", 0, "nothing burns", roles=(Lights("lamp", True),))  # of one step alone
    assert "NO Lamp" in sides(replace(report, findings=(fire,)))[1]


def test_a_level_whose_answer_is_the_mask_goes_to_the_annex_and_is_counted(report: Report) -> None:
    of_air = finding("control", "air", 1, "toluene 130 ppm, limit 150", roles=(SaidUnder("breathing"),))
    quiet = replace(report, findings=(*(f for f in report.findings if f.topic not in ("air", "fire")), of_air))
    front = sides(quiet)[0]
    assert "130 ppm" not in front
    assert "more controls: see the annex, part 1" in front
    annex = " ".join(" ".join(p.extract_text().split()) for p in PdfReader(io.BytesIO(pdf.annex(quiet))).pages)
    assert "Toluene 130 ppm, limit 150" in annex


def test_a_mask_that_covers_the_eyes_says_so_once(report: Report) -> None:
    mask = Respirator("air-line", "supplied air", "full facepiece")
    shop = replace(SHOP, respirators=(mask,))
    worn = (
        finding("control", "breathing", 1, "Full facepiece", roles=(Worn("respirator", "air-line"),)),
        finding("control", "eyes", 1, "Covered by the mask", roles=(Worn("eyewear", "air-line"),)),
    )
    front = sides(replace(report, job=replace(report.job, shop=shop), findings=worn))[0]
    assert "Full facepiece" in front
    assert "Covered by the mask" not in front


def test_what_is_not_known_stands_in_full_or_with_its_number(incomplete: Report) -> None:
    front, back = sides(incomplete)
    assert "INCOMPLETE" in front
    assert "INCOMPLETE" in back
    for reason in incomplete.missing:
        assert squeezed(reason) in squeezed(front)
    many = replace(incomplete, missing=tuple(f"Reason {i} is not known." for i in range(20)))
    assert "All 20 are in the annex, part 1." in sides(many)[0]


def test_hostile_texts_keep_to_two_sides_a_sheet(hostile: Report) -> None:
    texts = sides(hostile)
    assert len(texts) % 2 == 0
    assert not any(character in "".join(texts) for character in "\x00\x07\x1b\u202e\u2066")
    assert LONG not in texts[0]  # cut, and the annex has it


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_words_stand_on_each_other(report: Report, hostile: Report, language: str) -> None:
    with speaking(speech(language)):
        for one in (of_steps(report, 10), of_steps(report, 30), hostile):
            for page in pypdfium2.PdfDocument(pdf.sheet(one)):
                _apart(page.get_textpage(), page.get_width())


def _apart(found: pypdfium2.PdfTextPage, width: float) -> None:
    boxes = sorted(found.get_rect(i) for i in range(found.count_rects()))
    for i, (left, bottom, right, top) in enumerate(boxes):
        assert left > 15
        assert right < width - 15
        for other in boxes[i + 1 :]:
            if other[0] >= right - 1:
                break
            over = min(top, other[3]) - max(bottom, other[1])
            assert over < 2.5, (found.get_text_bounded(left, bottom, right, top), found.get_text_bounded(*other))


def test_certification_names_what_the_rule_asks_for(demo: dict[str, Report]) -> None:
    # 29 CFR 1910.132(d)(2): the workplace evaluated, the person certifying, the date(s), and that
    # the document is a certification of hazard assessment. It stands with the findings in full that it certifies;
    # on the technician's back it took the room of what is done in the first minute.
    annex = pdf.annex(demo["laminate-wipe-down"])
    printed = " ".join(" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(annex)).pages)
    for words in (
        "certification of hazard assessment",
        "Workplace evaluated",
        "Person certifying",
        "Date of assessment",
    ):
        assert words in printed


def test_every_form_has_the_back(report: Report) -> None:
    printed = text.sheet(report)
    for words in ("Telephone", "Eyewash and shower", "Who may stay", "Before the start"):
        assert re.search(rf"^{words}", printed, re.M), words
    assert say("Emergency") in printed
