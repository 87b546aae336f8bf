"""A sheet is read by people in a hurry: its sentences stay at or below reading grade 8.

Flesch-Kincaid grade level, Kincaid, Fishburne, Rogers and Chissom, Derivation of new readability formulas for Navy
enlisted personnel, Research Branch Report 8-75, 1975: 0.39 words a sentence + 11.8 syllables a word - 15.59.
Names (substances, products, equipment, steps, places), citations in brackets and figures are left out: they cannot be
said otherwise. A colon does not end a sentence here, which is the strict way of counting.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator

import pytest

from safety.model import Lines, Report
from safety.render.arrange import arrange
from tests import demo

GRADE = 8.0


def syllables(word: str) -> int:
    """Groups of vowels, without the silent e of "use", "gloves" and "used"."""
    word = re.sub(r"[^a-z]", "", word.lower())
    if len(word) <= 3:
        return 1 if word else 0
    word = re.sub(r"(?<=[^laeiouyscgxzh])es$|(?<=[^laeiouydt])ed$|(?<=[^laeiouy])e$", "", word)
    return max(1, len(re.findall(r"[aeiouy]+", word)))


#: As a dictionary divides them.
DIVIDED = (
    "use", "us-es", "used", "wear", "stop", "gloves", "re-place", "sol-vent", "va-pour", "brush-es", "in-side", "need-ed",
    "ta-ble", "lim-it", "e-nough", "res-pi-ra-tor", "con-tain-er", "haz-ard-ous", "un-ver-i-fied", "ig-ni-tion",
    "ven-ti-la-tion", "per-mis-si-ble", "flam-ma-ble", "con-cen-tra-tion", "car-tridge",
)  # fmt: skip


@pytest.mark.parametrize("divided", DIVIDED)
def test_syllables_are_counted_as_a_dictionary_does(divided: str) -> None:
    assert syllables(divided.replace("-", "")) == divided.count("-") + 1


def grade(sentences: Iterable[str]) -> float:
    words = [re.findall(r"[A-Za-z][A-Za-z'-]*", sentence) for sentence in sentences]
    flat = [part for sentence in words for word in sentence for part in word.split("-") if part]
    return 0.39 * len(flat) / len(words) + 11.8 * sum(map(syllables, flat)) / len(flat) - 15.59


def test_the_formula_gives_the_grade_of_a_text_counted_by_hand() -> None:
    """Two sentences, 12 words, 14 syllables."""
    by_hand = 0.39 * 12 / 2 + 11.8 * 14 / 12 - 15.59
    assert grade(["Wear the long gloves and change them.", "Keep solvent lids shut always."]) == pytest.approx(by_hand)


def sentences(report: Report) -> Iterator[tuple[str, str]]:
    """Every sentence of a sheet without its names, with the part of the sheet it stands in."""
    page, names = arrange(report), _names(report)
    texts = [("fixed words", text) for text in (*page.cautions.lines, page.certification[0], page.read[0])]
    texts += [("what is missing", text) for text in page.missing]
    for finding in report.findings:
        part = finding.level if finding.level != "note" else f"notes, {finding.topic}"
        texts += [(part, text) for text in (finding.statement, finding.unknown, finding.remedy)]
    texts += [(b.title, line) for b in report.blocks if isinstance(b, Lines) for line in b.lines]
    for part, text in texts:
        for name in names:
            text = re.sub(re.escape(name), "it", text, flags=re.IGNORECASE)
        text = re.sub(r"\([^()]*\)", "", re.sub(r"\([^()]*\)", "", text))
        text = re.sub(r"\bit(, it)+( and it)?\b", "it", text)
        for sentence in re.split(r"(?<=[.!?])\s+|\n", text):
            if len(sentence.split()) > 3:
                yield part, sentence


def _names(report: Report) -> list[str]:
    job, shop = report.job, report.job.shop
    found = {s.name for s in report.exposure.substances} | {part.name for p in job.products for part in p.parts}
    found |= {thing.name for thing in (*job.products, *job.steps, *shop.gloves, *shop.respirators)}
    found |= {place.name for place in shop.places.values()}
    return sorted(filter(None, found), key=len, reverse=True)


@pytest.fixture(scope="module")
def read() -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for job in demo.JOBS:
        for part, sentence in sentences(demo.report(job)):
            found[part].add(sentence)
    return found


def test_every_part_of_the_sheet_can_be_read(read: dict[str, set[str]]) -> None:
    grades = {part: round(grade(found), 1) for part, found in read.items() if len(found) >= 5}
    assert {"stop", "control", "fixed words", "First aid", "Spill"} <= grades.keys()
    assert {part: g for part, g in grades.items() if g > GRADE} == {}


def test_what_must_be_done_is_easier_still(read: dict[str, set[str]]) -> None:
    """Grade 6 is what three quarters of grown-ups read with ease (Occup Environ Med 78 Suppl 1:A108, 2021)."""
    assert grade(read["stop"] | read["control"] | read["First aid"] | read["Spill"]) <= 6.0
