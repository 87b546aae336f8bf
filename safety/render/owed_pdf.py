"""An owed report as a PDF, on its side. The same report gives the same bytes."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Spacer, Table

from safety.model import Lines, OwedReport
from safety.render import keyword, text_safe
from safety.render.layout import BARE, FONT, GREY, SMALL, fonts, padding, para, pieces, shortened
from safety.render.owed import as_grid, draft, facts, notes, printed, result, title
from safety.render.pages import MARGIN, Numbered, stamp
from safety.render.pdf import bullets, grid, heading
from safety.words import say


def pdf(report: OwedReport) -> bytes:
    """The whole report as a PDF file: US Letter where the shop prints US units, else A4."""
    fonts()
    size = landscape(letter if report.shop.print_units == "us" else A4)
    width = size[0] - 2 * MARGIN
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(title(report)),
        author="hazstep",
        keywords=keyword("report"),
        subject=text_safe(result(report)),
        lang="en",
    )
    frame = Frame(MARGIN, 42, width, size[1] - 84, 0, 0, 0, 0)

    def furnish(canvas: Any, _: Any) -> None:
        _furnish(canvas, report, size)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=furnish))
    document.build(_story(report, width), canvasmaker=Numbered)
    return buffer.getvalue()


def _furnish(canvas: Any, report: OwedReport, size: tuple[float, float]) -> None:
    """The head and foot of every page."""
    top = size[1] - 30
    canvas.setFillColor(GREY)
    canvas.setFont(FONT, SMALL)
    head = say("DRAFT. {title}, {shop}", title=title(report), shop=report.shop.name)
    canvas.drawString(MARGIN, top, shortened(head, FONT, SMALL, size[0] - 2 * MARGIN - 110))
    foot = say("hazstep {version}  {notice}", version=report.version, notice=report.shop.notice)
    canvas.drawString(MARGIN, 15, shortened(foot, FONT, SMALL, size[0] - 2 * MARGIN - 90))
    if not report.complete:
        stamp(canvas, size[0] - MARGIN, top)


def _story(report: OwedReport, width: float) -> list[Flowable]:
    story: list[Flowable] = [para(piece, 17, bold=True, after=4) for piece in pieces(title(report))]
    story += [para(piece, 11, bold=True, after=4) for piece in pieces(draft())]
    rows = [[para(label, SMALL, color=GREY), para(value, 9.5)] for label, value in facts(report)]
    story += [Table(rows, colWidths=[110, width - 110], style=[*BARE, *padding(bottom=2)]), Spacer(0, 6)]
    story += [para(piece, 9.5, after=4) for piece in pieces(report.kind.says)] if report.kind.says else []
    story.append(para(result(report), 11, bold=True, after=4))
    if report.missing:
        story.append(bullets(Lines(say("Not counted, or not known"), report.missing), width, SMALL))
    for table in report.tables:
        story += [CondPageBreak(110), *heading(table.title)]
        story += [grid(as_grid(table), width), Spacer(0, 6)] if printed(table) else []
        if notes(table):
            story.append(bullets(Lines(say("To this table"), notes(table)), width, SMALL))
        story.append(Spacer(0, 8))
    return story
