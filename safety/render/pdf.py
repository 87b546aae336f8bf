"""The sheet as a PDF: a work card first, what it rests on after it. The same report gives the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table

from safety.model import Block, Chart, Grid, Lines, Report
from safety.render import technician, text_safe
from safety.render.arrange import Sheet, arrange, where
from safety.render.back import to_sign
from safety.render.card import band, brief_reasons, facts, result, steps, stops
from safety.render.charts import Plot
from safety.render.columns import GUTTER, Columns
from safety.render.fixed import as_asked_for
from safety.render.layout import (
    BARE,
    BOLD,
    GREY,
    RULE,
    SMALL,
    Badge,
    badge_room,
    fonts,
    padding,
    para,
    pieces,
)
from safety.render.merging import Merged, titled
from safety.render.pages import MARGIN, Section, book, page_size
from safety.render.side import Side
from safety.words import say


def sheet(report: Report) -> bytes:
    """The technician's sheet as a PDF file: US Letter where the shop prints US units, else A4."""
    fonts()
    page, size = arrange(report), page_size(report.job.shop)
    return book([technician.section(report, page, size)], size, page.title, page.result[1])


def annex(report: Report) -> bytes:
    """The officer's annex as a PDF file: all the sheet rests on, and what it has no room for."""
    fonts()
    page, size = arrange(report), page_size(report.job.shop)
    return book([section(report, page, size)], size, page.title, page.result[1], "annex")


def section(report: Report, page: Sheet, size: tuple[float, float]) -> Section:
    """The pages of one annex."""
    when = dict(page.facts)
    return Section(
        title=page.title,
        heads=(
            say("Annex for the safety officer, {shop}", shop=page.shop),
            say("Annex: {title}, {date}, {clock}", title=page.title, date=when[say("Date")], clock=when[say("Clock")]),
        ),
        story=_story(report, page, size[0] - 2 * MARGIN),
        complete=page.complete,
        small_print=page.small_print,
        notice=page.notice,
    )


def _story(report: Report, page: Sheet, width: float) -> list[Flowable]:
    """Four parts, by whose numbers the technician's sheet points here."""
    story: list[Flowable] = [para(piece, 17, bold=True, after=4) for piece in pieces(page.title)]
    story += [facts(page), Spacer(0, 4), *result(page, width), Spacer(0, 5)]
    story += _part(1, say("all that has to be done, in full"))
    if page.stops:
        story += [*heading(say("Change this before anybody starts")), stops(page, width), Spacer(0, 5)]
    story += [*band(page, width), steps(page, width)]
    if page.unchecked:
        story.append(para(page.unchecked, SMALL))
    story.append(Spacer(0, 10))
    if brief_reasons(page)[1]:
        story += _block(
            report, Lines(say("INCOMPLETE: all that is not known or was not assessed"), page.missing), width
        )
    column = (width - GUTTER) / 2
    if page.asked:
        title = say("What has to be done, in full") if not page.stops else say("What stops it and what has to be done")
        story += [CondPageBreak(90), *heading(title), para(_how_to_ask(report), SMALL, color=GREY, after=4)]
        story += _columns([_merged(report, one, column) for one in page.asked], width)
    signed = list(to_sign(*page.certification, width))
    story += [CondPageBreak(sum(Side(signed, width, 0).heights)), *signed, Spacer(0, 8)]
    story += _part(2, say("first aid and other lists"))
    lists = [block for block in page.blocks if isinstance(block, Lines)]
    story += _columns([bullets(block, column, 9.5) for block in (*lists, page.cautions)], width)
    shown = [part for block in page.blocks if not isinstance(block, Lines) for part in _block(report, block, width)]
    story += [*_part(3, say("charts and tables"), shown), *shown]
    if page.left_out:
        story.append(para(page.left_out, 9.5, after=6))
    story += _part(4, say("what it rests on"))
    story += [para(" ".join(block.lines), SMALL, lead=block.title, after=4) for block in page.assumed]
    story += [para("; ".join(block.lines), SMALL, lead=block.title, after=4) for block in page.closing]
    return story


def _part(number: int, title: str, story: Sequence[Flowable] = ()) -> list[Flowable]:
    """Its heading, on the page of what comes first in its ``story``."""
    head = para(say("Part {number}: {title}", number=number, title=title), 13, bold=True, after=4)
    needs = story[0].height + 24 if story and isinstance(story[0], CondPageBreak) else 90
    return [CondPageBreak(needs), head]


def _how_to_ask(report: Report) -> str:
    return say(
        'The numbers in brackets are steps. Where a figure comes from: "hazstep why {job}" and the number after "why".',
        job=as_asked_for(report),
    )


def _columns(stacks: Sequence[Flowable], width: float) -> list[Flowable]:
    """Stacks in two columns of equal height, over as many pages as they need."""
    return [Columns(stacks, width), Spacer(0, 8)] if stacks else []


def _stack(parts: Sequence[Flowable], width: float, head: int) -> Flowable:
    """Parts under each other in a column, the first ``head`` of them kept with the next."""
    style = [*BARE, *padding(-1, -1, bottom=7)]
    if len(parts) > head:
        style.append(("NOSPLIT", (0, 0), (0, head)))
    return Table([[part] for part in parts], colWidths=[width], style=style)


def heading(text: str) -> list[Flowable]:
    return [para(piece, 12, bold=True, after=4) for piece in pieces(text)]


def _merged(report: Report, one: Merged, width: float) -> Flowable:
    """One finding with all its steps: what it says, what it lacks, what would change it, and its rule."""
    head = pieces(say("{topic}: {short}", topic=titled(one.title, bool(one.unchecked)), short=one.short))
    steps = [para(piece, SMALL, color=GREY) for piece in pieces(where(report, one.steps))]
    room = badge_room()
    first = Table([[Badge(one.mark, SMALL), steps]], colWidths=[room, width - room], style=[*BARE, *padding(bottom=1)])
    parts: list[Flowable] = [first, *(para(piece, 9, bold=True) for piece in head)]
    parts += [para(piece, SMALL) for piece in pieces(one.statement)]
    for lead, text in ((say("UNKNOWN:"), one.unknown), (say("What would change it:"), one.remedy)):
        if text:
            parts += [para(piece, SMALL, lead="" if i else lead) for i, piece in enumerate(pieces(text))]
    rule = say("Rule: {rule}; ", rule=one.rule) if one.rule else ""
    small = say("{rule}why {references}", rule=rule, references=", ".join(one.references))
    parts += [para(piece, SMALL, color=GREY) for piece in pieces(small)]
    return _stack(parts, width, 2 if len(head) == 1 else 1)


def _block(report: Report, block: Block, width: float) -> list[Flowable]:
    if isinstance(block, Chart):
        plot = Plot(report, block, width)
        steps = "; ".join(say("{i} {name}", i=i, name=step.name) for i, step in enumerate(report.job.steps, 1))
        lines = say("Thick line: careful estimate (95 of 100 cases lie under it). Thin line: middle estimate.")
        note = [
            para(piece, SMALL, color=GREY) for piece in pieces(say("{lines} Steps: {steps}.", lines=lines, steps=steps))
        ]
        return [CondPageBreak(plot.height + 60), *heading(block.title), plot, Spacer(0, 4), *note, Spacer(0, 12)]
    if isinstance(block, Grid):
        table = grid(block, width)
        # a short table stays whole with its title, a long one begins with some rows
        needs = min(150.0, table.wrap(width, 1e6)[1] + 22)
        return [CondPageBreak(needs), *heading(block.title), table, Spacer(0, 12)]
    return [CondPageBreak(60), bullets(block, width, 9.5)]


def bullets(block: Lines, width: float, size: float) -> Flowable:
    """A title and its sentences, a dash before each."""
    rows: list[list[Any]] = [[part, ""] for part in heading(block.title)]
    style = [*BARE, *padding(bottom=2), *padding(-1, -1, bottom=7)]
    style += [("SPAN", (0, i), (1, i)) for i in range(len(rows))]
    if len(rows) == 1 and block.lines:
        style.append(("NOSPLIT", (0, 0), (0, 1)))
    for line in block.lines:
        cut = enumerate(pieces(line))
        rows += [["" if i else para("-", size), para(piece, size, timed=True)] for i, piece in cut]
    return Table(rows, colWidths=[10, width - 10], style=style)


def grid(block: Grid, width: float) -> Flowable:
    """A table that flows over pages with its head repeated; columns share the width by their longest words."""
    columns, *rows = [tuple(text_safe(cell) for cell in row) for row in (block.columns, *block.rows)]
    widths = _widths(list(zip(columns, *rows, strict=True)), width)
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


def _widths(columns: Sequence[Sequence[str]], width: float) -> list[float]:
    """Room for the longest word of each column first; the rest goes to those that hold more."""

    def widest(texts: Iterable[str], most: float) -> float:
        return min(max((pdfmetrics.stringWidth(text, BOLD, SMALL) for text in texts), default=0.0), most) + 9

    least = [widest((word for cell in column for word in cell.split()), width / 3) for column in columns]
    more = [1 + widest(column, width) - room for column, room in zip(columns, least, strict=True)]
    left = width - sum(least)
    if left < 0:
        return [width * room / sum(least) for room in least]
    return [room + left * share / sum(more) for room, share in zip(least, more, strict=True)]
