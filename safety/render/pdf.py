"""The sheet as a PDF: a work card first, what it rests on after it. The same report gives the same bytes."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black, white
from reportlab.lib.pagesizes import A4, letter
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Spacer, Table

from safety.model import Block, Chart, Grid, Lines, Report
from safety.render import text_safe
from safety.render.arrange import Judgement, Sheet, arrange
from safety.render.card import brief_reasons, facts, result, steps, stops
from safety.render.charts import Plot
from safety.render.layout import (
    BARE,
    BOLD,
    FONT,
    GREY,
    RULE,
    SMALL,
    Badge,
    Label,
    fonts,
    padding,
    para,
    pieces,
    shortened,
)
from safety.words import say

_MARGIN, _TOP = 36.0, 42.0


def sheet(report: Report) -> bytes:
    """The whole sheet as a PDF file: US Letter where the shop prints US units, else A4."""
    fonts()
    page = arrange(report)
    size = letter if report.job.shop.print_units == "us" else A4
    width = size[0] - 2 * _MARGIN
    notice = shortened(page.notice, FONT, SMALL, 3.6 * width)
    foot = para(notice, SMALL, color=GREY)
    bottom = 34.0 + foot.wrap(width, 200)[1]
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(page.title),
        author="hazstep",
        subject=page.result[1],
        lang="en",
    )
    frame = Frame(_MARGIN, bottom, width, size[1] - _TOP - bottom, 0, 0, 0, 0)

    def furnish(canvas: Any, _: Any) -> None:
        _furnish(canvas, page, size)
        foot.drawOn(canvas, _MARGIN, 26)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=furnish))
    document.build(_story(report, page, width), canvasmaker=_Numbered)
    return buffer.getvalue()


class _Numbered(Canvas):  # type: ignore[misc]
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
            self.drawRightString(self._pagesize[0] - _MARGIN, 15, words)
            super().showPage()
        super().save()


def _furnish(canvas: Any, page: Sheet, size: tuple[float, float]) -> None:
    """The head and foot of every page."""
    top = size[1] - 30
    canvas.setFillColor(GREY)
    canvas.setFont(FONT, SMALL)
    head = say("Pre-task sheet, {shop}", shop=page.shop)
    if canvas.getPageNumber() > 1:
        when = dict(page.facts)
        head = say("{title}, {date}, {clock}", title=page.title, date=when[say("Date")], clock=when[say("Clock")])
    canvas.drawString(_MARGIN, top, shortened(head, FONT, SMALL, size[0] - 2 * _MARGIN - 110))
    canvas.drawString(_MARGIN, 15, page.small_print)
    if not page.complete:
        width = pdfmetrics.stringWidth("INCOMPLETE", BOLD, 11) + 12
        canvas.setFillColor(black)
        canvas.rect(size[0] - _MARGIN - width, top - 5, width, 17, stroke=0, fill=1)
        canvas.setFillColor(white)
        canvas.setFont(BOLD, 11)
        canvas.drawCentredString(size[0] - _MARGIN - width / 2, top - 0.5, "INCOMPLETE")


def _story(report: Report, page: Sheet, width: float) -> list[Flowable]:
    story: list[Flowable] = [para(piece, 18, bold=True, after=5) for piece in pieces(page.title)]
    story += [facts(page, width), Spacer(0, 7), *result(page, width)]
    if page.stops:
        story += [Spacer(0, 7), *_title(say("Change this before anybody starts")), stops(page, width)]
    story += [Spacer(0, 7), steps(page, width), Spacer(0, 14), _NotOnFirst()]
    if brief_reasons(page)[1]:
        story += _block(
            report, Lines(say("INCOMPLETE: all that is not known or was not assessed"), page.missing), width
        )
    for block in (*page.blocks, page.cautions):
        story += _block(report, block, width)
    story += _signing(page, width)
    if page.all:
        story += [CondPageBreak(90), *_title(say("Every finding in full")), _judgements(page.all, width), Spacer(0, 12)]
    for closing in (*page.appendix, *page.closing):
        story += _block(report, closing, width)
    return story


class _NotOnFirst(CondPageBreak):  # type: ignore[misc]
    """The first page belongs to the work card; after a longer card the rest follows on."""

    def __init__(self) -> None:
        super().__init__(0)

    def wrap(self, width: float, height: float) -> Any:
        self.height = 1e6 if self._doctemplateAttr("page") == 1 else 0
        return super().wrap(width, height)


def _title(text: str) -> list[Flowable]:
    return [para(piece, 12, bold=True, after=4) for piece in pieces(text)]


def _judgements(judgements: Sequence[Judgement], width: float) -> Flowable:
    """Findings in full, under the step they belong to: level, topic, words."""
    rows: list[list[Any]] = []
    style: list[Any] = [*BARE]
    where = ""
    for one in judgements:
        if one.where != where:
            where = one.where
            at = len(rows)
            rows.append([para(pieces(where)[0], 9.5, bold=True), "", ""])
            style += [
                ("SPAN", (0, at), (-1, at)),
                ("LINEABOVE", (0, at), (-1, at), 0.5, RULE),
                ("NOSPLIT", (0, at), (-1, at + 1)),
                *padding(at, at, top=4, bottom=3),
            ]
        words = _words(one)
        rows.append([Badge(one.mark) if one.mark else Label(say("Note")), Label(one.topic), words[0]])
        rows += [["", "", more] for more in words[1:]]
        style += padding(len(rows) - 1, len(rows) - 1, bottom=4)
    return Table(rows, colWidths=[64.0, 54.0, width - 118], style=style)


def _words(one: Judgement) -> list[Flowable]:
    """The statement of a finding, what it lacks, what would change it, and what it rests on."""
    words = [para(piece) for piece in pieces(one.statement)]
    for lead, text in ((say("UNKNOWN:"), one.unknown), (say("What would change it:"), one.remedy)):
        if text:
            words += [para(piece, 9.5, lead="" if i else lead) for i, piece in enumerate(pieces(text))]
    rule = say("rule: {rule}", rule=one.rule) if one.rule else ""
    small = "; ".join(filter(None, (*one.figures, rule, say("from: {plugin}", plugin=one.plugin))))
    return words + [para(piece, SMALL, color=GREY) for piece in pieces(small)]


def _block(report: Report, block: Block, width: float) -> list[Flowable]:
    if isinstance(block, Chart):
        plot = Plot(report, block, width)
        steps = "; ".join(say("{i} {name}", i=i, name=step.name) for i, step in enumerate(report.job.steps, 1))
        lines = say("Thick line: careful estimate (95 of 100 cases lie under it). Thin line: middle estimate.")
        note = [
            para(piece, SMALL, color=GREY) for piece in pieces(say("{lines} Steps: {steps}.", lines=lines, steps=steps))
        ]
        return [CondPageBreak(plot.height + 60), *_title(block.title), plot, Spacer(0, 4), *note, Spacer(0, 12)]
    if isinstance(block, Grid):
        return [CondPageBreak(80), *_title(block.title), _grid(block, width), Spacer(0, 12)]
    return [CondPageBreak(60), *_title(block.title), *_lines(block, width), Spacer(0, 10)]


def _lines(block: Lines, width: float) -> list[Flowable]:
    rows: list[list[Any]] = []
    for line in block.lines:
        rows += [["" if i else para("-"), para(piece, timed=True)] for i, piece in enumerate(pieces(line))]
    return [Table(rows, colWidths=[10, width - 10], style=[*BARE, *padding(bottom=2)])] if rows else []


def _grid(block: Grid, width: float) -> Flowable:
    """A table that flows over pages with its head repeated; columns share the width by their longest words."""
    columns, *rows = [tuple(text_safe(cell) for cell in row) for row in (block.columns, *block.rows)]
    shares = [_share([row[i] for row in (columns, *rows)]) for i in range(len(columns))]
    widths = [width * share / sum(shares) for share in shares]
    style = [
        *BARE,
        *padding(right=8, top=2.5, bottom=3),
        ("LINEBELOW", (0, 0), (-1, 0), 1, black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, RULE),
    ]
    cells: list[list[Any]] = [[para(shorten(c, 200, placeholder=" ..."), SMALL, bold=True) for c in columns]]
    for row in rows:
        cut = [pieces(cell) for cell in row]
        for i in range(max(map(len, cut))):
            cells.append([para(c[i], SMALL) if i < len(c) else "" for c in cut])
    return Table(cells, colWidths=widths, repeatRows=1, style=style)


def _share(column: Sequence[str]) -> float:
    """How much width a column asks for: its longest word, and more the more it holds."""
    word = max((len(w) for cell in column for w in cell.split()), default=1)
    mean = sum(map(len, column)) / len(column)
    return max(min(word, 24) + 2, min(max(map(len, column)) + 2, 30), min(mean, 120) * 0.7)


def _signing(page: Sheet, width: float) -> list[Flowable]:
    """Empty boxes for people, large enough for a marker."""
    parts: list[Flowable] = [CondPageBreak(200), *_title(say("Sign-off"))]
    for sentence, fields in (page.certification, page.read):
        share = width / len(fields)
        boxes = Table(
            [[para(field, SMALL, color=GREY) for field in fields]],
            colWidths=[share] * len(fields),
            rowHeights=[48],
            style=[*BARE, *padding(left=5, top=3), ("GRID", (0, 0), (-1, -1), 0.6, black)],
        )
        parts += [para(sentence, 9.5, after=3), boxes, Spacer(0, 10)]
    return parts
