"""What both sides of a technician's sheet are set from: one page that either fits or does not."""

from __future__ import annotations

from collections.abc import Sequence
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from safety.render import mandatory_signs, text_safe
from safety.render.layout import BOLD, indented, octagon
from safety.render.merging import Mark, word
from safety.render.signs import RED
from safety.words import say

BODY = 10.0  # the smallest type of a technician's sheet [pt]


def brief(text: str, most: int = 170) -> str:
    """Few words, cut where they are too long for paper: the annex has them in full."""
    if len(text) <= most:
        return text
    cut = shorten(text_safe(text), most, placeholder="")
    # a word without a space is cut as well
    return say("{text} ... (annex)", text=cut or text_safe(text)[: most - 10])


class Side(Flowable):  # type: ignore[misc]
    """Flowables under each other on one page, which never go on to a next one."""

    def __init__(self, parts: Sequence[Any], width: float, height: float):
        super().__init__()
        self.parts, self.width, self.height = list(parts), width, height
        self.heights: list[float] = [part.wrap(width, 1e6)[1] + part.getSpaceAfter() for part in self.parts]

    @property
    def fits(self) -> bool:
        return bool(sum(self.heights) <= self.height)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        y = self.height
        for part, height in zip(self.parts, self.heights, strict=True):
            part.drawOn(self.canv, 0, y - height + part.getSpaceAfter())
            y -= height


class Columns(Flowable):  # type: ignore[misc]
    """Parts in their order in two columns as alike as they can be."""

    def __init__(self, parts: Sequence[Any], width: float, gutter: float):
        super().__init__()
        self.width, self.column, self.gutter = width, (width - gutter) / 2, gutter
        heights = Side(parts, self.column, 0).heights
        at = min(range(1, len(parts) + 1), key=lambda i: max(sum(heights[:i]), sum(heights[i:])))
        self.sides = [Side(some, self.column, 0) for some in (parts[:at], parts[at:])]
        self.height = max(sum(side.heights) for side in self.sides)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for side, x in zip(self.sides, (0.0, self.column + self.gutter), strict=True):
            side.height = sum(side.heights)
            side.drawOn(self.canv, x, self.height - side.height)


class Flag(Flowable):  # type: ignore[misc]
    """The word of a level with its shape, large enough for a technician's sheet."""

    def __init__(self, mark: Mark, said: bool = True):
        """Without ``said`` its shape alone, under a bar that says the word."""
        super().__init__()
        self.mark, self.word = mark, word(mark) if said else ""
        self.width, self.height = pdfmetrics.stringWidth(self.word, BOLD, BODY) + 15, 13.0

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c = self.canv
        c.setFont(BOLD, BODY)
        if self.mark == "STOP":
            c.setFillColor(RED)
            octagon(c, 0, 0.5, 11)
            c.setFillColor(black)
            c.drawString(13.5, 2.5, self.word)
        elif self.mark in ("UNKNOWN", "NOT ASSESSED"):
            c.setFillColor(black)
            c.rect(0, -0.5, self.width - 4, 13, stroke=0, fill=1)
            c.setFillColor(white)
            c.drawString(5, 2.5, self.word)


class Worn(Flowable):  # type: ignore[misc]
    """The sign of what is to be worn, before its name."""

    SIGN = 13.0

    def __init__(self, topic: str):
        super().__init__()
        self.topic, self.width, self.height = topic, self.SIGN + 1.5, self.SIGN

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        mandatory_signs.draw(self.canv, self.topic, self.SIGN / 2, self.SIGN / 2, self.SIGN)


def flagged(mark: Mark, words: Any, said: bool = True) -> tuple[Sequence[Flowable], Any]:
    """Words behind the flag of their level, for a Run."""
    return [Flag(mark, said)], words


class Run(Flowable):  # type: ignore[misc]
    """Words with their signs before them, one behind the other as long as there is room in the line.

    ``on``: words for which there is not begin there all the same, where none of them is longer than what is left.
    """

    _APART = 10.0

    def __init__(self, content: Sequence[tuple[Sequence[Flowable], Any]], width: float, on: bool = False):
        super().__init__()
        self.width = width
        self.placed: list[tuple[Any, float, float, float]] = []  # what, x, top of its line, height
        x = y = line = 0.0
        for signs, words in content:
            room = sum(sign.width for sign in signs) + (2 if signs else 0)
            words.wrap(1e5, 1e6)
            needs = room + max(words.getActualLineWidths0(), default=0.0) + 0.5
            if x and x + needs > width and not (on and width - x - room >= words.minWidth()):
                x, y, line = 0.0, y + line, 0.0
            at, left = x, x + room
            if x and x + needs > width:
                words, left = indented(words, left), 0.0
            high = max(words.wrap(min(needs, width - left) if left else width, 1e6)[1], *(s.height for s in signs), 0.0)
            for sign in signs:
                self.placed.append((sign, at, y, sign.height))
                at += sign.width
            self.placed.append((words, left, y, words.height))
            # what comes next stands behind the last line of these
            *before, last = words.getActualLineWidths0() or [0.0]
            lines = len(before) + 1
            one = words.height / lines
            line = max(line, high) if lines == 1 else one
            y += one * (lines - 1)
            x = (left if before else x + room) + last + 0.5 + self._APART
        self.height = y + line

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for what, x, top, high in self.placed:
            what.drawOn(self.canv, x, self.height - top - high)
