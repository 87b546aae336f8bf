"""A chart over months, in black: each month's rolling year, and the limits that lie near enough to be drawn."""

from __future__ import annotations

import math

from reportlab.lib.colors import black
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable

from safety.model import Chart
from safety.render import text_safe
from safety.render.layout import FONT, GREY, RULE, SMALL, shortened
from safety.units import significant
from safety.words import say

_DASHES: tuple[tuple[float, ...], ...] = ((), (6, 2.5), (1.2, 2.2))
_LEFT, _BOTTOM, _LEGEND = 44.0, 18.0, 16.0
_LABELS, _LINE = 200.0, 11.0
#: A limit further above the curves than this is named below and not drawn: it would press them flat.
_NEAR = 4.0


class Months(Flowable):  # type: ignore[misc]
    """One chart of months as wide as the page."""

    def __init__(self, block: Chart, width: float, height: float = 190.0):
        super().__init__()
        self.block, self.width, self.height = block, width, height
        highest = max((v for c in block.curves for v in c.high), default=0.0) or 1.0
        self.levels = [(name, v) for name, v in block.levels if v <= _NEAR * highest]
        self.top = 1.1 * max([highest, *(v for _, v in self.levels)])
        self.plot_w = width - _LEFT - (_LABELS if self.levels else 10)
        self.plot_h = height - _BOTTOM - _LEGEND

    @property
    def far(self) -> list[tuple[str, float]]:
        """The limits that lie above the chart."""
        return [level for level in self.block.levels if level not in self.levels]

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self._draw_legend()
        self.canv.translate(_LEFT, _BOTTOM)
        self._draw_axes()
        self._draw_curves()
        self._draw_levels()

    def _y(self, value: float) -> float:
        return self.plot_h * min(value / self.top, 1.0)

    def _x(self, index: int) -> float:
        return self.plot_w * (index + 0.5) / max(len(self.block.labels), 1)

    def _draw_legend(self) -> None:
        c, x = self.canv, _LEFT
        for index, curve in enumerate(self.block.curves):
            c.setStrokeColor(black)
            c.setLineWidth(1.8)
            c.setDash(_DASHES[index % len(_DASHES)])
            c.line(x, self.height - 8, x + 24, self.height - 8)
            c.setDash()
            c.setFillColor(black)
            c.setFont(FONT, SMALL)
            c.drawString(x + 29, self.height - 11, text_safe(curve.name))
            x += 48 + pdfmetrics.stringWidth(curve.name, FONT, SMALL)

    def _draw_axes(self) -> None:
        c = self.canv
        c.setStrokeColor(RULE)
        c.setLineWidth(0.4)
        c.setFillColor(black)
        c.setFont(FONT, SMALL)
        unit = 10.0 ** math.floor(math.log10(self.top))
        by = next(unit * s for s in (0.1, 0.2, 0.5, 1, 2) if self.top / (unit * s) <= 6)
        for i in range(int(self.top / by + 1e-9) + 1):
            c.line(-3, self._y(i * by), 0, self._y(i * by))
            c.drawRightString(-5, self._y(i * by) - 3, significant(i * by))
        c.line(0, 0, 0, self.plot_h)
        c.line(0, 0, self.plot_w, 0)
        c.setFillColor(GREY)
        c.drawRightString(-5, self.plot_h + 5, text_safe(self.block.unit))
        c.setFillColor(black)
        for index, label in enumerate(self.block.labels):
            c.line(self._x(index), -3, self._x(index), 0)
            c.drawCentredString(self._x(index), -13, text_safe(label))

    def _draw_curves(self) -> None:
        c = self.canv
        c.setStrokeColor(black)
        c.setLineJoin(1)
        for index, curve in enumerate(self.block.curves):
            c.setDash(_DASHES[index % len(_DASHES)])
            for values, width in ((curve.low, 0.6), (curve.high, 1.8)):
                path = c.beginPath()
                for i, value in enumerate(values):
                    (path.lineTo if i else path.moveTo)(self._x(i), self._y(value))
                c.setLineWidth(width)
                c.drawPath(path, stroke=1, fill=0)
        c.setDash()

    def _draw_levels(self) -> None:
        c, last = self.canv, -_LINE
        c.setStrokeColor(black)
        c.setLineWidth(0.8)
        for name, value in sorted(self.levels, key=lambda level: level[1]):
            y = self._y(value)
            at = max(y, last + _LINE)
            last = at
            path = c.beginPath()
            path.moveTo(0, y)
            path.lineTo(self.plot_w, y)
            path.lineTo(self.plot_w + 10, at)
            c.drawPath(path, stroke=1, fill=0)
            number = say(": {level} {unit}", level=significant(value), unit=text_safe(self.block.unit))
            room = _LABELS - 14 - pdfmetrics.stringWidth(number, FONT, SMALL)
            c.setFont(FONT, SMALL)
            c.drawString(self.plot_w + 13, at - 3, shortened(name, FONT, SMALL, room) + number)
