"""A chart of curves over the clock, in black: thick for the careful estimate, thin for the middle one."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from reportlab.lib.colors import black
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from safety.clock import Rounded, days_after, moment
from safety.model import Chart, Report
from safety.render import text_safe
from safety.render.layout import FONT, GREY, PALE, RULE, SMALL, shortened
from safety.units import significant
from safety.words import say

_DASHES: tuple[tuple[float, ...], ...] = ((), (6, 2.5), (1.2, 2.2), (8, 2, 1.2, 2))
_LEFT, _BOTTOM, _LEGEND, _STRIP = 40.0, 18.0, 14.0, 18.0
_LABELS, _LINE = 188.0, 11.0  # the column of limit names right of the plot, and one line of it
_BETWEEN = 8.0  # space between two labels of the clock
#: How far apart the labels of the clock may be [s]: 5 min to 12 h, 1 to 64 days.
_EVERY = (*(60 * m for m in (5, 10, 15, 30, 60, 120, 180, 240, 360, 720)), *(86400 * 2**i for i in range(7)))


@dataclass(frozen=True, slots=True)
class _Scale:
    """Values to points up from the floor of the plot."""

    low: float
    high: float
    logarithmic: bool
    height: float

    def at(self, value: float) -> float:
        if self.logarithmic:
            share = math.log10(max(value, self.low) / self.low) / math.log10(self.high / self.low)
        else:
            share = value / self.high
        return min(max(share, 0.0), 1.0) * self.height

    def ticks(self) -> list[float]:
        if self.logarithmic:
            first, last = round(math.log10(self.low)), round(math.log10(self.high))
            return [10.0**e for e in range(first, last + 1)]
        unit = 10.0 ** math.floor(math.log10(self.high))
        by = next(unit * s for s in (0.1, 0.2, 0.5, 1, 2) if self.high / (unit * s) <= 6)
        return [by * i for i in range(int(self.high / by + 1e-9) + 1)]


def _scale(block: Chart, height: float) -> _Scale:
    """Linear where everything that matters can be read on it, else decades."""
    heights = [max(c.high, default=0.0) for c in block.curves] + [level for _, level in block.levels]
    heights = [h for h in heights if h > 0 and math.isfinite(h)] or [1.0]
    top, least = max(heights), min(heights)
    if top / least < 25:
        return _Scale(0.0, top * 1.12, False, height)
    return _Scale(10.0 ** (math.floor(math.log10(least)) - 1), 10.0 ** math.ceil(math.log10(top * 1.05)), True, height)


def clock_ticks(start: datetime, until: float, width: float, spare: float = 0.0) -> list[tuple[float, str]]:
    """Round times of the clock [s after ``start`` to ``until``] with their labels, as many as fit beside each other.

    ``width`` is that of the plot; a label that would end more than ``spare`` beyond it is "".
    """
    of_day = start.hour * 3600 + start.minute * 60 + start.second
    for every in _EVERY:
        times = range(-of_day % every, math.floor(until) + 1, every)
        ticks = [(float(at), on_axis(start, at)) for at in times]
        wide = {label: pdfmetrics.stringWidth(label, FONT, SMALL) for _, label in ticks}
        if max(wide.values(), default=0.0) + _BETWEEN <= width * every / until:
            return [(at, "" if width * at / until + wide[x] / 2 > width + spare else x) for at, x in ticks]
    return []


def on_axis(start: datetime, seconds: float, rounded: Rounded = "near") -> str:
    """A clock time where there is little room: ``"09:45"``, or ``"+1 d 00:00"`` on a later day."""
    at = moment(start, seconds, rounded)
    days = days_after(start, at)
    return say("+{days} d {time}", days=days, time=f"{at:%H:%M}") if days else f"{at:%H:%M}"


class Plot(Flowable):  # type: ignore[misc]
    """One chart block as wide as the page."""

    def __init__(self, report: Report, block: Chart, width: float, height: float = 195.0):
        super().__init__()
        self.report, self.block, self.width = report, block, width
        self.legend = self._legend_rows()
        self.height = height + _LEGEND * len(self.legend)
        self.plot_w = width - _LEFT - (_LABELS if block.levels else 6)
        self.plot_h = height - _BOTTOM - _STRIP
        self.scale = _scale(block, self.plot_h)
        self.until = self._until()

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def _until(self) -> float:
        """The end of the clock shown: the job, and after it until the curves have come down."""
        floor = self.scale.low if self.scale.logarithmic else self.scale.high / 100
        last = self.report.timeline.end
        for curve in self.block.curves:
            last = max([last, *(t for t, v in zip(self.block.times, curve.high, strict=False) if v > floor)])
        return last * 1.02 or 1.0

    def _legend_rows(self) -> list[list[tuple[int, str]]]:
        """The curves' names in rows that fit."""
        rows: list[list[tuple[int, str]]] = [[]]
        used = 0.0
        for index, curve in enumerate(self.block.curves):
            name = shortened(curve.name, FONT, SMALL, self.width / 2 - 40)
            needs = pdfmetrics.stringWidth(name, FONT, SMALL) + 48
            if used + needs > self.width - _LEFT and rows[-1]:
                rows.append([])
                used = 0.0
            rows[-1].append((index, name))
            used += needs
        return rows

    def _x(self, seconds: float) -> float:
        return self.plot_w * seconds / self.until

    def draw(self) -> None:
        self._draw_legend()
        self.canv.translate(_LEFT, _BOTTOM)
        self._draw_steps()
        self._draw_axes()
        self._draw_curves()
        self._draw_levels()

    def _draw_legend(self) -> None:
        c = self.canv
        for row, entries in enumerate(self.legend):
            x, y = _LEFT, self.height - _LEGEND * (row + 1) + 4
            for index, name in entries:
                c.setStrokeColor(black)
                c.setLineWidth(1.8)
                c.setDash(_DASHES[index % len(_DASHES)])
                c.line(x, y + 3, x + 24, y + 3)
                c.setDash()
                c.setFillColor(black)
                c.setFont(FONT, SMALL)
                c.drawString(x + 29, y, name)
                x += 48 + pdfmetrics.stringWidth(name, FONT, SMALL)

    def _draw_steps(self) -> None:
        c = self.canv
        for index, step in enumerate(self.report.job.steps):
            begin, end = self.report.timeline.span(index)
            x, width = self._x(begin), self._x(end) - self._x(begin)
            if index % 2 == 0:
                c.setFillColor(PALE)
                c.rect(x, 0, width, self.plot_h + 12, stroke=0, fill=1)
            c.setFillColor(GREY)
            c.setFont(FONT, SMALL)
            name = say("{number} {name}", number=index + 1, name=step.name)
            fits = pdfmetrics.stringWidth(name, FONT, SMALL) + 4 <= width
            c.drawCentredString(x + width / 2, self.plot_h + 3, text_safe(name) if fits else str(index + 1))

    def _draw_axes(self) -> None:
        c, start = self.canv, self.report.job.start
        c.setStrokeColor(RULE)
        c.setLineWidth(0.4)
        c.setFillColor(black)
        c.setFont(FONT, SMALL)
        for tick in self.scale.ticks():
            y = self.scale.at(tick)
            c.line(-3, y, 0, y)
            c.drawRightString(-5, y - 3, f"{tick:g}")
        c.line(0, 0, 0, self.plot_h)
        c.line(0, 0, self.plot_w, 0)
        c.drawRightString(-5, self.plot_h + 9, shortened(self.block.unit, FONT, SMALL, _LEFT - 6))
        for at, label in clock_ticks(start, self.until, self.plot_w, self.width - _LEFT - self.plot_w):
            c.line(self._x(at), -3, self._x(at), 0)
            c.drawCentredString(self._x(at), -13, label)

    def _draw_curves(self) -> None:
        c = self.canv
        c.setStrokeColor(black)
        c.setLineJoin(1)
        for index, curve in enumerate(self.block.curves):
            c.setDash(_DASHES[index % len(_DASHES)])
            for values, width in ((curve.low, 0.6), (curve.high, 1.8)):
                path, begun = c.beginPath(), False
                for t, value in zip(self.block.times, values, strict=False):
                    if t <= self.until and math.isfinite(value):
                        (path.lineTo if begun else path.moveTo)(self._x(t), self.scale.at(value))
                        begun = True
                if begun:
                    c.setLineWidth(width)
                    c.drawPath(path, stroke=1, fill=0)
        c.setDash()

    def _draw_levels(self) -> None:
        """Limits across the plot, each led to its name in the column on the right."""
        c = self.canv
        levels = sorted(self.block.levels, key=lambda pair: pair[1])
        lines = [self.scale.at(level) for _, level in levels]
        c.setStrokeColor(black)
        c.setLineWidth(0.8)
        for y, at, (name, level) in zip(lines, _apart(lines, self.plot_h), levels, strict=True):
            path = c.beginPath()
            path.moveTo(0, y)
            path.lineTo(self.plot_w, y)
            path.lineTo(self.plot_w + 12, at)
            c.drawPath(path, stroke=1, fill=0)
            value = say(": {level} {unit}", level=significant(level), unit=text_safe(self.block.unit)[:20])
            room = _LABELS - 16 - pdfmetrics.stringWidth(value, FONT, SMALL)
            c.setFillColor(black)
            c.setFont(FONT, SMALL)
            c.drawString(self.plot_w + 15, at - 3, shortened(name, FONT, SMALL, room) + value)


def _apart(heights: list[float], top: float) -> list[float]:
    """Heights in rising order moved as little as it takes to set a line of type at each."""
    placed: list[float] = []
    for height in heights:
        placed.append(max(height, placed[-1] + _LINE) if placed else height)
    over = placed[-1] - top if placed else 0.0
    for i in range(len(placed) - 1, -1, -1):
        room = placed[i + 1] - _LINE if i + 1 < len(placed) else top
        if over > 0:
            placed[i] = min(placed[i], room)
    return placed
