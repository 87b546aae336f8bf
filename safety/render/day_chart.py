"""Jobs of one day as bars on one clock, in black: the steps, what of them is hot, and how long the air is not clear."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from itertools import groupby

from reportlab.lib.colors import black, white
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from safety.model import ClockSpan, Ignites, Report, with_role
from safety.render.charts import clock_ticks, on_axis
from safety.render.day import Task
from safety.render.layout import BOLD, FONT, GREY, PALE, RULE, SMALL, shortened
from safety.words import say

_LABEL, _ROW, _PLACE, _AXIS, _BAR = 150.0, 25.0, 15.0, 18.0, 14.0
_BEYOND = 4 * 3600.0  # how long after the last job the clock runs on at most [s]


class Clock(Flowable):  # type: ignore[misc]
    """The jobs that start on one day, those of a place under each other."""

    def __init__(self, tasks: Sequence[Task], width: float):
        super().__init__()
        self.places = [list(group) for _, group in groupby(sorted(tasks, key=_place), key=lambda t: _place(t)[0])]
        self.width = width
        self.height = _AXIS + len(tasks) * _ROW + len(self.places) * _PLACE
        self.start = min(t.report.job.start for t in tasks).replace(minute=0, second=0)
        ends = [self._at(t, t.report.timeline.end) for t in tasks]
        clear = [self._at(t, clears) for t in tasks if (clears := _clear(t)) is not None]
        earliest = [self._at(t, seconds) for t in tasks for seconds in _earliest(t)]
        self.until = max(*ends, min(max(clear + earliest + ends), max(ends) + _BEYOND)) * 1.02

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def _at(self, task: Task, seconds: float) -> float:
        """Seconds of a job's clock on the clock of all."""
        return (task.report.job.start - self.start).total_seconds() + seconds

    def _x(self, task: Task, seconds: float) -> float:
        return _LABEL + (self.width - _LABEL) * min(self._at(task, seconds) / self.until, 1.0)

    def draw(self) -> None:
        self._draw_axis()
        y = self.height
        for tasks in self.places:
            y -= _PLACE
            place = tasks[0].report.job.place
            self.canv.setFillColor(GREY)
            self.canv.setFont(FONT, SMALL)
            self.canv.drawString(0, y + 4, shortened(place.name or place.id, FONT, SMALL, self.width))
            self.canv.setStrokeColor(RULE)
            self.canv.setLineWidth(0.5)
            self.canv.line(0, y + 1, self.width, y + 1)
            for task in tasks:
                y -= _ROW
                self._draw_job(task, y)

    def _draw_axis(self) -> None:
        c, room = self.canv, self.width - _LABEL
        c.setFont(FONT, SMALL)
        for at, label in clock_ticks(self.start, self.until, room):
            x = _LABEL + room * at / self.until
            c.setStrokeColor(RULE)
            c.setLineWidth(0.3)
            c.line(x, _AXIS - 4, x, self.height - _PLACE)
            c.setFillColor(black)
            c.drawCentredString(x, 2, label)

    def _draw_job(self, task: Task, y: float) -> None:
        c, report = self.canv, task.report
        c.setFillColor(black)
        c.setFont(BOLD, SMALL)
        c.drawString(0, y + 8, shortened(report.job.title, BOLD, SMALL, _LABEL - 8))
        base = y + 5
        for index in range(len(report.job.steps)):
            begin, end = report.timeline.span(index)
            x, far = self._x(task, begin), self._x(task, end)
            hot = _is_hot(report, index)
            c.setFillColor(black if hot else PALE if index % 2 == 0 else white)
            c.setStrokeColor(black)
            c.setLineWidth(0.7)
            c.rect(x, base, max(far - x, 0.7), _BAR, stroke=1, fill=1)
            number = str(index + 1)
            if pdfmetrics.stringWidth(number, FONT, SMALL) + 1.5 <= far - x:
                c.setFillColor(white if hot else black)
                c.setFont(BOLD if hot else FONT, SMALL)
                c.drawCentredString((x + far) / 2, base + 4, number)
        self._draw_clearing(task, base)
        for seconds in _earliest(task):
            self._draw_start(task, seconds, base)

    def _draw_clearing(self, task: Task, base: float) -> None:
        """Slanting lines from the last step until the air is clear; to the edge where nobody knows when."""
        end = task.report.timeline.end
        if not (task.report.exposure.substances or task.report.exposure.unknowns):
            return
        clear = _clear(task)
        x, far = self._x(task, end), self.width if clear is None else self._x(task, clear)
        if far - x < 1:
            return
        c = self.canv
        c.saveState()
        path = c.beginPath()
        path.rect(x, base, far - x, _BAR)
        c.clipPath(path, stroke=0)
        c.setStrokeColor(black)
        c.setLineWidth(0.5)
        at = x - _BAR
        while at < far:
            c.line(at, base, at + _BAR, base + _BAR)
            at += 3.5
        c.restoreState()
        c.setStrokeColor(black)
        c.setLineWidth(0.7)
        c.rect(x, base, far - x, _BAR, stroke=1, fill=0)

    def _draw_start(self, task: Task, seconds: float, base: float) -> None:
        """A wedge at the earliest safe start after another job, with its time."""
        c, x = self.canv, self._x(task, seconds)
        words = on_axis(task.report.job.start, seconds, "up")
        wide = pdfmetrics.stringWidth(words, BOLD, SMALL)
        c.setFillColor(black)
        path = c.beginPath()
        path.moveTo(x, base)
        path.lineTo(x, base + _BAR)
        path.lineTo(x + 8, base + _BAR / 2)
        path.close()
        c.drawPath(path, stroke=0, fill=1)
        fits = x + 11 + wide <= self.width
        left = x + 10 if fits else x - wide - 4
        c.setFillColor(white)
        c.rect(left - 1, base + 2, wide + 2, 10, stroke=0, fill=1)
        c.setFillColor(black)
        c.setFont(BOLD, SMALL)
        c.drawString(left, base + 4, words)


def _is_hot(report: Report, index: int) -> bool:
    """Whether a step brings an ignition source; what it names counts as one where nobody has looked at it."""
    looked_at = [role.source for finding, role in with_role(report.findings, Ignites) if finding.step == index]
    return any(looked_at) if looked_at else bool(report.job.steps[index].ignition_sources)


def _place(task: Task) -> tuple[str, datetime]:
    return task.report.job.place.id, task.report.job.start


def _clear(task: Task) -> float | None:
    """When the air is clear after a job [s of its clock]; None where nobody knows."""
    ends = [span.end for _, span in with_role(task.report.findings, ClockSpan) if span.what == "air not clear"]
    return _latest(ends)


def _earliest(task: Task) -> list[float]:
    """The earliest safe start after the other jobs [s of its clock]; none where it need not wait, or nobody knows."""
    spans = [span for _, span in with_role(task.report.findings, ClockSpan) if span.what == "after another job"]
    latest = _latest([span.end for span in spans])
    return [latest] if latest else []


def _latest(ends: Sequence[float | None]) -> float | None:
    """The latest of some ends; None where there is none, or nobody knows one of them."""
    known = [end for end in ends if end is not None]
    return max(known) if known and len(known) == len(ends) else None


def legend() -> str:
    return say(
        "Boxes: the steps by number; black: a step that names an ignition source. "
        "Slanting lines: the air is not clear, or nobody knows that it is. "
        "Wedge: not before this time, for the air of an earlier job."
    )
