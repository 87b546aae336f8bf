"""Sections bound into one PDF file, each with its own head and foot. The same sections give the same bytes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.pagesizes import A4, letter
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, Flowable, Frame, NextPageTemplate, PageBreak, PageTemplate

from safety.model import Shop
from safety.render import keyword, text_safe
from safety.render.layout import BOLD, FONT, GREY, SMALL, para, shortened
from safety.words import say, spoken

MARGIN, _TOP = 36.0, 42.0


@dataclass(frozen=True, slots=True)
class Section:
    """Some pages that belong together."""

    title: str
    head: str  # above its first page
    later: str  # above each page after it, which may lie alone
    story: Sequence[Flowable]
    complete: bool
    small_print: str
    notice: str


def page_size(shop: Shop) -> tuple[float, float]:
    """US Letter where the shop prints US units, else A4 [pt]."""
    width, height = letter if shop.print_units == "us" else A4
    return width, height


def book(sections: Sequence[Section], size: tuple[float, float], title: str, subject: str) -> bytes:
    """One PDF file. Where it has several sections, each begins a page and stands in the reader's list of contents."""
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(title),
        author="hazstep",
        keywords=keyword("sheet"),
        subject=text_safe(subject),
        lang=spoken(),
    )
    story: list[Flowable] = []
    for number, section in enumerate(sections):
        document.addPageTemplates(_template(str(number), section, size, listed=len(sections) > 1))
        if number:
            story += [NextPageTemplate(str(number)), PageBreak()]
        story += section.story
    document.build(story, canvasmaker=Numbered)
    return buffer.getvalue()


def _template(name: str, section: Section, size: tuple[float, float], listed: bool) -> PageTemplate:
    width = size[0] - 2 * MARGIN
    foot = para(shortened(section.notice, FONT, SMALL, 3.6 * width), SMALL, color=GREY)
    bottom = 34.0 + foot.wrap(width, 200)[1]
    begun: list[int] = []

    def furnish(canvas: Any, _: Any) -> None:
        if listed and not begun:
            canvas.bookmarkPage(name)
            canvas.addOutlineEntry(text_safe(section.title), name)
        _furnish(canvas, section, section.later if begun else section.head, size)
        begun.append(canvas.getPageNumber())
        foot.drawOn(canvas, MARGIN, 26)

    frame = Frame(MARGIN, bottom, width, size[1] - _TOP - bottom, 0, 0, 0, 0)
    return PageTemplate(name, [frame], onPage=furnish)


def _furnish(canvas: Any, section: Section, head: str, size: tuple[float, float]) -> None:
    """The head and foot of every page."""
    top = size[1] - 30
    canvas.setFillColor(GREY)
    canvas.setFont(FONT, SMALL)
    canvas.drawString(MARGIN, top, shortened(head, FONT, SMALL, size[0] - 2 * MARGIN - 110))
    canvas.drawString(MARGIN, 15, section.small_print)
    if not section.complete:
        stamp(canvas, size[0] - MARGIN, top)


def stamp(canvas: Any, right: float, y: float) -> None:
    """INCOMPLETE in a black box that ends at ``right``."""
    width = pdfmetrics.stringWidth(say("INCOMPLETE"), BOLD, 11) + 12
    canvas.setFillColor(black)
    canvas.rect(right - width, y - 5, width, 17, stroke=0, fill=1)
    canvas.setFillColor(white)
    canvas.setFont(BOLD, 11)
    canvas.drawCentredString(right - width / 2, y - 0.5, say("INCOMPLETE"))


class Numbered(Canvas):  # type: ignore[misc]
    """Holds finished pages back until their number is known."""

    def __init__(self, *args: Any, **kwargs: Any):
        super().__init__(*args, **kwargs)
        self._held: list[dict[str, Any]] = []

    def showPage(self) -> None:
        self._held.append(dict(self.__dict__))
        self._startPage()

    def save(self) -> None:
        for number, page in enumerate(self._held, 1):
            self.__dict__.update(page)
            self.setFont(FONT, SMALL)
            self.setFillColor(GREY)
            words = say("Page {number} of {all}", number=number, all=len(self._held))
            self.drawRightString(self._pagesize[0] - MARGIN, 15, words)
            super().showPage()
        super().save()
