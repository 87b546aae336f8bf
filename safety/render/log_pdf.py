"""The log as a PDF, on its side: a page for the office, then totals and limits, then every record.

The same log gives the same bytes.
"""

from __future__ import annotations

from io import BytesIO
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageBreak, PageTemplate, Spacer, Table

from safety.model import Block, Chart, Grid, Lines, LogReport
from safety.render import keyword, text_safe
from safety.render.layout import BARE, FONT, GREY, RULE, SMALL, fonts, padding, para, pieces, shortened
from safety.render.log import Page, Record, arrange
from safety.render.log_chart import Months
from safety.render.office_pdf import Front
from safety.render.pages import MARGIN, Numbered, stamp
from safety.render.pdf import bullets, grid, heading
from safety.units import significant
from safety.words import joined, message, say, spoken, term


def log(report: LogReport, every: bool = False) -> bytes:
    """The log as a PDF file, US Letter where the shop prints US units, else A4; with ``every`` however many records."""
    fonts()
    page = arrange(report, every)
    size = landscape(letter if page.us else A4)
    width = size[0] - 2 * MARGIN
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(page.title),
        author="hazstep",
        keywords=keyword("log"),
        subject=text_safe(page.result),
        lang=spoken(),
    )
    frame = Frame(MARGIN, 42, width, size[1] - 42 - 42, 0, 0, 0, 0)

    def furnish(canvas: Any, _: Any) -> None:
        _furnish(canvas, page, size)

    document.addPageTemplates(PageTemplate("page", [frame], onPage=furnish))
    front = Front(page.office, page.sign_off, (width, size[1] - 42 - 42))
    document.build([front, PageBreak(), *_story(page, width)], canvasmaker=Numbered)
    return buffer.getvalue()


def _furnish(canvas: Any, page: Page, size: tuple[float, float]) -> None:
    """The head and foot of every page."""
    top = size[1] - 30
    canvas.setFillColor(GREY)
    canvas.setFont(FONT, SMALL)
    head = joined((page.translated, say("{title}, {shop}", title=page.title, shop=page.shop)), ". ")
    canvas.drawString(MARGIN, top, shortened(head, FONT, SMALL, size[0] - 2 * MARGIN - 110))
    foot = say("{print}  {notice}", print=page.small_print, notice=page.notice)
    canvas.drawString(MARGIN, 15, shortened(foot, FONT, SMALL, size[0] - 2 * MARGIN - 90))
    if not page.complete:
        stamp(canvas, size[0] - MARGIN, top)


def _story(page: Page, width: float) -> list[Flowable]:
    story: list[Flowable] = [para(piece, 17, bold=True, after=4) for piece in pieces(page.title)]
    rows = [[para(label, SMALL, color=GREY), para(value, 9.5)] for label, value in page.facts]
    story += [Table(rows, colWidths=[110, width - 110], style=[*BARE, *padding(bottom=2)]), Spacer(0, 6)]
    story += [para(page.result, 11, bold=True, after=4)]
    if page.missing:
        story.append(bullets(Lines(say("Not counted, or not known"), page.missing), width, SMALL))
    story.append(Spacer(0, 6))
    for block in page.blocks:
        story += _block(block, width)
    story += [CondPageBreak(150), *heading(say("Every record, corrections worked in as reversals"))]
    story += [
        _records(page, width) if page.records else para(page.lines or say("Nothing is recorded in this period.")),
    ]
    return story


def _block(block: Block, width: float) -> list[Flowable]:
    if isinstance(block, Lines):
        return [CondPageBreak(60), bullets(block, width, SMALL), Spacer(0, 6)]
    if isinstance(block, Grid):
        return [CondPageBreak(110), *heading(block.title), grid(block, width), Spacer(0, 12)] if block.rows else []
    return _chart(block, width)


def _chart(block: Chart, width: float) -> list[Flowable]:
    plot = Months(block, width)
    notes = [say("Thick line: data sheets at their upper ends. Thin line: in the middle.")]
    notes += [
        say("{name}, {level} {unit}, lies far above the chart.", name=name, level=significant(level), unit=block.unit)
        for name, level in plot.far
    ]
    note = [para(piece, SMALL, color=GREY) for piece in pieces(" ".join(notes))]
    return [CondPageBreak(plot.height + 50), *heading(block.title), plot, Spacer(0, 4), *note, Spacer(0, 12)]


#: Heads of the columns of the record table, and the share of the width each takes [pt of 720].
_RECORD = (
    (message("When"), 57),
    (message("What"), 50),
    (message("Product, lot"), 96),
    (message("Written down"), 46),
    (message("Mass"), 56),
    (message("Volume"), 60),
    ("kg/L", 50),
    (message("Known by"), 54),
    (message("Job, step, operation"), 104),
    (message("Who"), 40),
    (message("Container, remarks, key"), 109),
)


def _records(page: Page, width: float) -> Flowable:
    """Every record as a line; what belongs together shares a cell, so that the line fits the page."""
    cells: list[list[Any]] = [[para(term(head), SMALL, bold=True) for head, _ in _RECORD]]
    cells += [[_cell(cell) for cell in _row(record, page.us)] for record in page.records]
    style = [
        *BARE,
        *padding(right=6, top=2.5, bottom=3),
        ("LINEBELOW", (0, 0), (-1, 0), 1, black),
        ("LINEBELOW", (0, 1), (-1, -1), 0.4, RULE),
    ]
    widths = [width * share / sum(share for _, share in _RECORD) for _, share in _RECORD]
    return Table(cells, colWidths=widths, repeatRows=1, style=style)


def _cell(lines: tuple[str, ...]) -> list[Flowable]:
    return [para(shorten(text_safe(line), 400, placeholder=" ..."), SMALL) for line in lines if line]


def _row(record: Record, us: bool) -> tuple[tuple[str, ...], ...]:
    def amount(*pairs: tuple[str, str]) -> tuple[str, ...]:
        shown = [say("{number} {unit}", number=n, unit=u) for n, u in pairs if n and n != say("UNKNOWN")]
        return tuple(shown) or ((say("UNKNOWN"),) if pairs[0][0] else ())

    return (
        (record.day, record.time),
        (record.what,),
        (record.thing, record.lot),
        (record.typed,),
        amount((record.kilograms, "kg"), *([(record.pounds, "lb")] if us else [])),
        amount((record.litres, "L"), *([(record.gallons, "gal")] if us else [])),
        (record.density,),
        (record.known,),
        (record.job, record.step, record.operation),
        (record.who,),
        (record.container, record.remarks, record.key),
    )
