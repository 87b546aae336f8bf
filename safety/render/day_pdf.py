"""A day as one PDF: a page for all jobs on one clock, then the sheet of each. The same reports give the same bytes."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from textwrap import shorten
from typing import Any

from reportlab.lib.colors import black
from reportlab.platypus import CondPageBreak, Flowable, Spacer, Table

from safety.model import Report
from safety.render import technician, text_safe
from safety.render.card import cut, verdict
from safety.render.day import Day, Task, arrange_day
from safety.render.day_chart import Clock, legend
from safety.render.layout import BARE, GREY, RULE, SMALL, Badge, When, fonts, padding, para, pieces
from safety.render.merging import Mark, Said, numbered
from safety.render.pages import MARGIN, Section, book, page_size
from safety.render.pdf import heading, section
from safety.words import say, term


def day(reports: Sequence[Report]) -> bytes:
    """The day and all its sheets as one PDF file: US Letter where the shop prints US units, else A4."""
    fonts()
    arranged = arrange_day(reports)
    size = page_size(reports[0].job.shop)
    first = Section(
        title=arranged.title,
        heads=(say("Jobs of a day, {shop}", shop=arranged.shop), say("Jobs of a day, {title}", title=arranged.title)),
        story=_story(arranged, size[0] - 2 * MARGIN),
        complete=not arranged.missing,
        small_print=arranged.tasks[0].sheet.small_print,
        notice=arranged.tasks[0].sheet.notice,
    )
    sheets = [technician.section(task.report, task.sheet, size) for task in arranged.tasks]
    return book([first, *sheets], size, arranged.title, arranged.result[1], even=True)


def annexes(reports: Sequence[Report]) -> bytes:
    """The officer's annexes of a day's jobs as one PDF file."""
    fonts()
    arranged = arrange_day(reports)
    size = page_size(reports[0].job.shop)
    sheets = [section(task.report, task.sheet, size) for task in arranged.tasks]
    return book(sheets, size, arranged.title, arranged.result[1], "annex")


def _story(day: Day, width: float) -> list[Flowable]:
    story: list[Flowable] = [para(piece, 17, bold=True, after=4) for piece in pieces(day.title)]
    reasons = [shorten(text_safe(reason), 200, placeholder=" ...") for reason in day.missing]
    story += [*verdict(day.result, reasons, 0, width), Spacer(0, 7)]
    for _, tasks in groupby(day.tasks, key=lambda t: t.report.job.start.date()):
        story.append(_clock(list(tasks), width))
    story += [para(legend(), SMALL, color=GREY, after=8), _table(day, width), Spacer(0, 8)]
    said = [para(text, SMALL, lead=say("{title}:", title=t.sheet.title), after=3) for t in day.tasks for text in t.said]
    if said:
        story += [CondPageBreak(70), *heading(say("Beside each other, in full")), *said]
    return story


def _clock(tasks: Sequence[Task], width: float) -> Flowable:
    date = tasks[0].report.job.start.date().isoformat()
    rows = [[para(say("All jobs on one clock, {date}", date=date), 11, bold=True)], [Clock(tasks, width)]]
    return Table(rows, colWidths=[width], style=[*BARE, *padding(bottom=3), ("NOSPLIT", (0, 0), (0, -1))])


def _table(day: Day, width: float) -> Flowable:
    """A row for each job, set like the steps of a sheet."""
    first, second, gap = 96.0, 140.0, 7.0
    third = (width - first - second - 3 * gap) / 2
    heads = (say("Clock, real start"), say("Job"), say("Others, and the start"), say("Fire, and what else stops it"))
    clock, job, others, fire = (para(text, SMALL, bold=True) for text in heads)
    rows: list[list[Any]] = [[clock, "", job, "", others, "", fire]]
    style: list[Any] = [*BARE, *padding(0, 0, bottom=2), ("LINEBELOW", (0, 0), (-1, 0), 1.2, black)]
    dated = len({task.report.job.start.date() for task in day.tasks}) > 1
    for task in day.tasks:
        at = len(rows)
        cells = (
            [When(task.when, first, _states(task))],
            _named(task, dated),
            _said((*task.beside, *task.others)),
            _stops(task),
        )
        parts = [cut(cell, room) for cell, room in zip(cells, (first, second, third, third), strict=True)]
        for i in range(max(map(len, parts))):
            when, what, out, fire_too = (part[i] if i < len(part) else "" for part in parts)
            rows.append([when, "", what, "", out, "", fire_too])
        style += padding(at, at, top=3)
        style += padding(len(rows) - 1, len(rows) - 1, bottom=4)
        if at > 1:
            style.append(("LINEABOVE", (0, at), (-1, at), 0.5, RULE))
    style.append(("LINEBELOW", (0, -1), (-1, -1), 1.2, black))
    return Table(rows, colWidths=[first, gap, second, gap, third, gap, third], repeatRows=1, style=style)


def _states(task: Task) -> tuple[Mark, ...]:
    result = task.sheet.result[0]
    return tuple(dict.fromkeys((*((result,) if result else ()), *(("UNKNOWN",) if task.sheet.missing else ()))))


def _named(task: Task, dated: bool) -> list[Flowable]:
    job = task.report.job
    date = job.start.date().isoformat() if dated else ""
    cell: list[Flowable] = [para(piece, 10.5, bold=True, after=1) for piece in pieces(task.sheet.title)]
    for text in filter(None, (date, job.place.name or job.place.id, job.unit)):
        cell += [para(piece, SMALL, color=GREY) for piece in pieces(text)]
    return [*cell, para(task.sheet.result[1], 9)]


def _said(all_said: Iterable[Said]) -> list[Flowable]:
    cell: list[Flowable] = []
    for said in all_said:
        if said.mark:
            cell.append(Badge(said.mark))
        cell += [para(piece, 9.5, bold=bool(said.mark), timed=True, after=2) for piece in pieces(said.text)]
    return cell


def _stops(task: Task) -> list[Flowable]:
    """Hot work against another's vapour in full words; of all else that stops it, how much there is."""
    cell: list[Flowable] = []
    for one in task.fire:
        cell += [Badge("STOP"), *(para(piece, 9.5, bold=True, timed=True) for piece in pieces(one.short))]
        cell.append(para(numbered(one.steps), SMALL, color=GREY, after=2))
    if task.more:
        if not cell:
            cell.append(Badge("STOP"))
        topics = ", ".join(dict.fromkeys(term(one.title) for one in task.more))
        words = say("{count} on its sheet: {topics}", count=len(task.more), topics=topics)
        cell.append(para(words, 9.5, bold=True))
    return cell or [para(say("No stop found in what was assessed"), 9.5)]
