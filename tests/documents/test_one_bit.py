"""Copied in black and white, every state still has its word and its shape.

The page is rendered, made grey and cut at half: what is left is what a poor copier prints. (29 CFR 1910.145(f)(4)(iv)
asks that a tag can be read at five feet; a colour that carries a meaning alone is lost to one man in twelve.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pypdfium2
import pytest
from numpy.typing import NDArray

from safety.model import Report
from safety.render import pdf
from safety.words import LANGUAGES, say, speaking, speech

SCALE = 200 / 72  # pixels a point
CUT = 128


@dataclass(frozen=True)
class Stamp:
    """A word on a page as ink (True) and paper, with what stands before it and around it."""

    word: NDArray[np.bool_]
    before: NDArray[np.bool_]  # the 13.5 points to its left, where a shape stands
    around: NDArray[np.bool_]  # two points more on every side


def stamps(report: Report, word: str) -> list[Stamp]:
    """Everywhere a word stands by itself on the sheet's pages."""
    found = []
    papers = (pdf.sheet(report), pdf.annex(report))
    for page in (page for paper in papers for page in pypdfium2.PdfDocument(paper)):
        ink = np.asarray(page.render(scale=SCALE, grayscale=True).to_numpy()) < CUT
        height = page.get_height()
        text = page.get_textpage()
        for i in range(text.count_rects()):
            box = text.get_rect(i)
            if (
                text.get_text_bounded(
                    *(side + extra for side, extra in zip(box, (-0.5, -0.5, 0.5, 0.5), strict=True))
                ).strip()
                == word
            ):
                left, bottom, right, top = box
                found.append(
                    Stamp(
                        _cut(ink, height, box),
                        _cut(ink, height, (left - 13.5, bottom - 2.5, left - 1.5, bottom + 9)),
                        _cut(ink, height, (left - 3, bottom - 2, right + 3, top + 2)),
                    )
                )
    return found


def _cut(ink: NDArray[np.bool_], height: float, box: tuple[float, float, float, float]) -> NDArray[np.bool_]:
    """The piece of a page inside a box (left, bottom, right, top) [pt]."""
    left, bottom, right, top = (round(side * SCALE) for side in box)
    foot = round(height * SCALE)
    return ink[foot - top : foot - bottom, left:right]


def letters(ink: NDArray[np.bool_]) -> int:
    """How many pieces a word falls into from left to right: letters that a copier has not run together."""
    columns = ink.any(axis=0)
    return int(np.count_nonzero(columns[1:] & ~columns[:-1]) + columns[0])


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_stop_is_a_full_octagon_and_its_word(report: Report, language: str) -> None:
    with speaking(speech(language)):
        found = stamps(report, say("STOP"))
        assert found
        for stamp in found:
            assert 0.1 < stamp.word.mean() < 0.7
            assert letters(stamp.word) >= 3
            assert full(stamp.before) > 0.85
            assert corners(stamp.before) < 0.5 * full(stamp.before)


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_control_is_an_empty_triangle_and_its_word(report: Report, language: str) -> None:
    with speaking(speech(language)):
        found = stamps(report, say("Control"))
        assert found
        for stamp in found:
            assert 0.1 < stamp.word.mean() < 0.7
            assert letters(stamp.word) >= 5
            shape = trimmed(stamp.before)
            third = len(shape) // 3
            assert 0.15 < shape.mean() < 0.7  # an outline
            assert (
                shape[-third:].any(axis=0).mean() > 0.9 > 0.6 > shape[:third].any(axis=0).mean()
            )  # wide foot, point up


@pytest.mark.parametrize("language", LANGUAGES)
@pytest.mark.parametrize("word", ["UNKNOWN", "NOT ASSESSED"])
def test_what_is_not_known_is_white_on_a_black_box(incomplete: Report, language: str, word: str) -> None:
    with speaking(speech(language)):
        found = stamps(incomplete, say(word))
        assert found
        for stamp in found:
            rim = np.concatenate([stamp.around[:3].ravel(), stamp.around[-3:].ravel(), stamp.around[:, :3].ravel()])
            assert rim.mean() > 0.95
            assert 0.3 < stamp.word.mean() < 0.9
            assert letters(~stamp.word) >= 4


def trimmed(ink: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """A shape without the paper around it."""
    rows, columns = np.flatnonzero(ink.any(axis=1)), np.flatnonzero(ink.any(axis=0))
    return ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]


def full(ink: NDArray[np.bool_]) -> float:
    """Share of ink in the middle half of a shape."""
    shape = trimmed(ink)
    high, wide = shape.shape
    return float(shape[high // 4 : -high // 4, wide // 4 : -wide // 4].mean())


def corners(ink: NDArray[np.bool_]) -> float:
    """Share of ink in the four corners of a shape: an octagon has them cut off, a square has not."""
    shape = trimmed(ink)
    size = max(2, len(shape) // 8)
    parts = [shape[:size, :size], shape[:size, -size:], shape[-size:, :size], shape[-size:, -size:]]
    return float(np.mean([part.mean() for part in parts]))


@pytest.mark.parametrize("language", LANGUAGES)
def test_no_words_stand_on_each_other(
    report: Report, incomplete: Report, demo: dict[str, Report], language: str
) -> None:
    """A mark that is longer in another language must not run into the words beside it."""
    with speaking(speech(language)):
        sheets = [paper(one) for one in (report, incomplete, *demo.values()) for paper in (pdf.sheet, pdf.annex)]
    for sheet in sheets:
        for page in pypdfium2.PdfDocument(sheet):
            text = page.get_textpage()
            boxes = sorted(text.get_rect(i) for i in range(text.count_rects()))
            for i, (left, bottom, right, top) in enumerate(boxes):
                for other in boxes[i + 1 :]:
                    if other[0] >= right - 1:
                        break
                    over = min(top, other[3]) - max(bottom, other[1])
                    assert over < 2.5, (
                        text.get_text_bounded(left, bottom, right, top),
                        text.get_text_bounded(*other),
                    )
