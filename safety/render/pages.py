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
from reportlab.platypus.doctemplate import ActionFlowable

from safety.model import Shop
from safety.render import keyword, text_safe
from safety.render.layout import BOLD, FONT, GREY, SMALL, para, shortened
from safety.words import say, spoken

MARGIN, _TOP = 36.0, 42.0
AROUND = 74.0  # head and foot of a page with large type and one line of notice [pt]
_BOTTOM = 40.0  # the foot of such a page [pt]
_NUMBER = 10.0  # the type of the page numbers [pt]


@dataclass(frozen=True, slots=True)
class Section:
    """Some pages that belong together."""

    title: str
    heads: tuple[str, ...]  # above each page; the last of them above all that follow, which may lie alone
    story: Sequence[Flowable]
    complete: bool
    small_print: str
    notice: str
    margin: float = MARGIN  # left and right [pt]
    small: float = SMALL  # the type of head and foot [pt]


def page_size(shop: Shop) -> tuple[float, float]:
    """US Letter where the shop prints US units, else A4 [pt]."""
    width, height = letter if shop.print_units == "us" else A4
    return width, height


def book(
    sections: Sequence[Section],
    size: tuple[float, float],
    title: str,
    subject: str,
    kind: str = "sheet",
    even: bool = False,
) -> bytes:
    """One PDF file. Where it has several sections, each begins a page and stands in the reader's list of contents.

    ``even``: each begins on a front, where the paper is printed on both sides.
    """
    buffer = BytesIO()
    document = _Bound(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(title),
        author="hazstep",
        keywords=keyword(kind),
        subject=text_safe(subject),
        lang=spoken(),
    )
    story: list[Flowable] = []
    for number, section in enumerate(sections):
        document.addPageTemplates(_template(str(number), section, size, listed=len(sections) > 1))
        if number:
            story += [*([ActionFlowable("front")] if even else []), NextPageTemplate(str(number)), PageBreak()]
        story += section.story
    document.build(story, canvasmaker=Numbered)
    return buffer.getvalue()


def _template(name: str, section: Section, size: tuple[float, float], listed: bool) -> PageTemplate:
    width = size[0] - 2 * section.margin
    large = section.small > SMALL  # one line is enough for what stands on every page
    words = shortened(section.notice, FONT, section.small, (1.0 if large else 3.6) * width)
    foot = para(words, section.small, color=GREY)
    high = foot.wrap(width, 200)[1]
    bottom, top = (_BOTTOM, AROUND - _BOTTOM) if large else (34.0 + high, _TOP)
    begun: list[int] = []

    def furnish(canvas: Any, _: Any) -> None:
        if listed and not begun:
            canvas.bookmarkPage(name)
            canvas.addOutlineEntry(text_safe(section.title), name)
        _furnish(canvas, section, section.heads[min(len(begun), len(section.heads) - 1)], size)
        begun.append(canvas.getPageNumber())
        foot.drawOn(canvas, section.margin, 26)

    frame = Frame(section.margin, bottom, width, size[1] - top - bottom, 0, 0, 0, 0)
    return PageTemplate(name, [frame], onPage=furnish)


def _furnish(canvas: Any, section: Section, head: str, size: tuple[float, float]) -> None:
    """The head and foot of every page."""
    top = size[1] - (30 if section.small == SMALL else 24)
    canvas.setFillColor(GREY)
    canvas.setFont(FONT, section.small)
    room = size[0] - 2 * section.margin - (0 if section.complete else 110)
    canvas.drawString(section.margin, top, shortened(head, FONT, section.small, room))
    canvas.drawString(section.margin, 15, section.small_print)
    if not section.complete:
        stamp(canvas, size[0] - section.margin, top)


def stamp(canvas: Any, right: float, y: float) -> None:
    """INCOMPLETE in a black box that ends at ``right``."""
    width = pdfmetrics.stringWidth(say("INCOMPLETE"), BOLD, 11) + 12
    canvas.setFillColor(black)
    canvas.rect(right - width, y - 5, width, 17, stroke=0, fill=1)
    canvas.setFillColor(white)
    canvas.setFont(BOLD, 11)
    canvas.drawCentredString(right - width / 2, y - 0.5, say("INCOMPLETE"))


class _Bound(BaseDocTemplate):  # type: ignore[misc]
    """A document that can leave a back empty."""

    def handle_front(self) -> None:
        """See that the next page is a front."""
        if self.page % 2:
            self.handle_pageBreak()


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
            self.setFont(FONT, _NUMBER)
            self.setFillColor(GREY)
            words = say("Page {number} of {all}", number=number, all=len(self._held))
            self.drawRightString(self._pagesize[0] - MARGIN, 15, words)
            super().showPage()
        super().save()
