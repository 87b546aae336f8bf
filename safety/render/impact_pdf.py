"""What a change does to each job of a shop as a PDF, on its side. The same answer gives the same bytes."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import TYPE_CHECKING, Any

from reportlab.lib.pagesizes import A4, landscape, letter
from reportlab.platypus import BaseDocTemplate, CondPageBreak, Flowable, Frame, PageTemplate, Spacer

from safety.model import Grid, Lines, Shop
from safety.render import keyword, text_safe
from safety.render.impact import changes, first_pass, summary
from safety.render.layout import FONT, GREY, SMALL, fonts, para, pieces, shortened
from safety.render.pages import MARGIN, Numbered
from safety.render.pdf import bullets, grid
from safety.words import say

if TYPE_CHECKING:
    from safety.compare.impact import Touched


def pdf(found: Sequence[Touched], changed: str, shop: Shop, draws: int) -> bytes:
    """Each job that is touched with what changes in it, and the jobs that are not. ``changed`` says what is otherwise.

    US Letter where the shop prints US units, else A4.
    """
    fonts()
    size = landscape(letter if shop.print_units == "us" else A4)
    width = size[0] - 2 * MARGIN
    buffer = BytesIO()
    document = BaseDocTemplate(
        buffer,
        pagesize=size,
        invariant=1,
        title=text_safe(changed),
        author="hazstep",
        keywords=keyword("impact"),
        subject=text_safe(summary(found)),
        lang="en",
    )
    frame = Frame(MARGIN, 42, width, size[1] - 84, 0, 0, 0, 0)

    def furnish(canvas: Any, _: Any) -> None:
        canvas.setFillColor(GREY)
        canvas.setFont(FONT, SMALL)
        head = say("{title}, {shop}", title=changed, shop=shop.name)
        canvas.drawString(MARGIN, size[1] - 30, shortened(text_safe(head), FONT, SMALL, width))
        canvas.drawString(MARGIN, 15, shortened(text_safe(shop.notice), FONT, SMALL, width - 90))

    document.addPageTemplates(PageTemplate("page", [frame], onPage=furnish))
    document.build(_story(found, changed, width, draws), canvasmaker=Numbered)
    return buffer.getvalue()


def _story(found: Sequence[Touched], changed: str, width: float, draws: int) -> list[Flowable]:
    story: list[Flowable] = [para(piece, 17, bold=True, after=4) for piece in pieces(changed)]
    story += [para(summary(found), 11, bold=True, after=4), para(first_pass(draws), SMALL, color=GREY, after=6)]
    rows = tuple(
        (one.job, one.title if first else "", change)
        for one in found
        if one.touched
        for first, change in ((i == 0, change) for i, change in enumerate(changes(one)))
    )
    if rows:
        columns = (say("Job"), say("Title"), say("What changes"))
        story += [grid(Grid(say("Touched"), columns, rows), width), Spacer(0, 8)]
    same = tuple(say("{job}  {title}", job=one.job, title=one.title) for one in found if not one.touched)
    if same:
        story += [CondPageBreak(60), bullets(Lines(say("Not touched"), same), width, SMALL)]
    return story
