"""The nine hazard symbols of the Globally Harmonized System, drawn from simple shapes.

Own drawings after the descriptions in the UN text (annex 1): a black symbol on white in a red
frame set on its point. Coordinates run from -1 to 1 across the frame.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import cos, pi, sin
from typing import Any

from reportlab.lib.colors import Color, black, white

RED = Color(0.78, 0.0, 0.05)

Points = Sequence[tuple[float, float]]


def draw(canvas: Any, code: str, x: float, y: float, size: float) -> None:
    """Draw the sign ``code`` ("GHS02") ``size`` points high with its centre at x, y."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(size / 2, size / 2)
    canvas.setLineJoin(0)
    canvas.setStrokeColor(RED)
    canvas.setFillColor(white)
    canvas.setLineWidth(0.11)
    _shape(canvas, [(0, 0.92), (0.92, 0), (0, -0.92), (-0.92, 0)], stroke=1)
    canvas.setStrokeColor(black)
    canvas.setFillColor(black)
    canvas.setLineCap(1)
    _DRAWINGS[code](canvas)
    canvas.restoreState()


def _shape(canvas: Any, points: Points, stroke: int = 0) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=stroke, fill=1)


def _curves(canvas: Any, start: tuple[float, float], *curves: tuple[float, float, float, float, float, float]) -> None:
    """Fill the area inside Bezier curves."""
    path = canvas.beginPath()
    path.moveTo(*start)
    for curve in curves:
        path.curveTo(*curve)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)


def _star(x: float, y: float, outer: Sequence[float], inner: float) -> Points:
    """The corners of a star with one ray for each length in ``outer``."""
    rays = len(outer)
    points = []
    for i, length in enumerate(outer):
        for radius, turn in ((length, i), (inner, i + 0.5)):
            angle = pi / 2 + 2 * pi * turn / rays
            points.append((x + radius * cos(angle), y + radius * sin(angle)))
    return points


def _flames(canvas: Any, y: float, scale: float) -> None:
    """A flame with three tongues and a light core, standing on ``y``."""
    canvas.saveState()
    canvas.translate(0, y)
    canvas.scale(scale, scale)
    _curves(
        canvas,
        (0, 0),
        (-0.30, 0.00, -0.42, 0.20, -0.36, 0.42),
        (-0.34, 0.50, -0.31, 0.56, -0.30, 0.66),
        (-0.22, 0.58, -0.19, 0.52, -0.19, 0.44),
        (-0.10, 0.58, -0.14, 0.80, 0.02, 1.02),
        (0.03, 0.82, 0.16, 0.68, 0.18, 0.50),
        (0.22, 0.56, 0.24, 0.64, 0.23, 0.74),
        (0.34, 0.62, 0.44, 0.40, 0.38, 0.20),
        (0.33, 0.06, 0.18, 0.00, 0, 0),
    )
    canvas.setFillColor(white)
    _curves(
        canvas,
        (0, 0.06),
        (-0.20, 0.08, -0.22, 0.24, -0.12, 0.36),
        (-0.06, 0.44, -0.02, 0.50, 0.00, 0.60),
        (0.06, 0.48, 0.10, 0.42, 0.14, 0.32),
        (0.20, 0.18, 0.14, 0.07, 0, 0.06),
    )
    canvas.restoreState()


def _bomb(canvas: Any) -> None:
    _shape(canvas, _star(-0.02, 0.06, (0.52, 0.34, 0.50, 0.30, 0.40, 0.30, 0.46, 0.32, 0.50, 0.36), 0.2))
    canvas.setFillColor(white)
    canvas.circle(-0.04, -0.02, 0.27, stroke=0, fill=1)
    canvas.setFillColor(black)
    canvas.circle(-0.04, -0.02, 0.22, stroke=0, fill=1)
    for x, y in ((-0.34, -0.34), (0.30, -0.34), (0.46, 0.10), (-0.50, 0.08), (0.0, -0.46)):
        canvas.circle(x, y, 0.045, stroke=0, fill=1)


def _flame(canvas: Any) -> None:
    _flames(canvas, -0.34, 0.92)
    canvas.rect(-0.34, -0.47, 0.68, 0.07, stroke=0, fill=1)


def _oxidiser(canvas: Any) -> None:
    _flames(canvas, 0.02, 0.62)
    canvas.setLineWidth(0.09)
    canvas.circle(0, -0.18, 0.17, stroke=1, fill=0)
    canvas.rect(-0.26, -0.47, 0.52, 0.06, stroke=0, fill=1)


def _cylinder(canvas: Any) -> None:
    canvas.rotate(25)
    canvas.roundRect(-0.56, -0.15, 0.86, 0.3, 0.12, stroke=0, fill=1)
    canvas.rect(0.26, -0.07, 0.16, 0.14, stroke=0, fill=1)
    canvas.rect(0.40, -0.10, 0.10, 0.2, stroke=0, fill=1)


def _corrosion(canvas: Any) -> None:
    # two glasses pour, one on a bar that is eaten away, one on a hand
    canvas.setLineWidth(0.05)
    for x, turn in ((-0.34, 24), (0.30, -24)):
        canvas.saveState()
        canvas.translate(x, 0.30)
        canvas.rotate(turn)
        canvas.setFillColor(white)
        canvas.roundRect(-0.26, -0.075, 0.46, 0.15, 0.07, stroke=1, fill=1)
        canvas.setFillColor(black)
        canvas.rect(-0.2, -0.07, 0.34, 0.07, stroke=0, fill=1)
        canvas.restoreState()
    for x in (-0.52, 0.50):
        canvas.circle(x * 0.98, 0.06, 0.032, stroke=0, fill=1)
    for x in (-0.44, 0.44):
        canvas.circle(x, -0.04, 0.032, stroke=0, fill=1)
    for x in (-0.34, 0.34):
        canvas.circle(x, -0.0, 0.032, stroke=0, fill=1)
    _shape(
        canvas,
        [
            (-0.58, -0.18),
            (-0.50, -0.18),
            (-0.42, -0.27),
            (-0.34, -0.24),
            (-0.28, -0.18),
            (-0.04, -0.18),
            (-0.04, -0.34),
            (-0.44, -0.34),
        ],
    )
    _curves(
        canvas,
        (0.06, -0.30),
        (0.14, -0.16, 0.24, -0.16, 0.32, -0.20),
        (0.36, -0.26, 0.40, -0.24, 0.46, -0.16),
        (0.52, -0.12, 0.58, -0.16, 0.54, -0.22),
        (0.46, -0.32, 0.38, -0.38, 0.28, -0.38),
        (0.18, -0.38, 0.12, -0.40, 0.06, -0.30),
    )


def _skull(canvas: Any) -> None:
    canvas.translate(0, 0.04)
    canvas.scale(0.88, 0.88)
    canvas.setLineWidth(0.09)
    for side in (-1, 1):
        canvas.line(-0.44 * side, -0.12, 0.44 * side, -0.46)
        for x, y in ((-0.46, -0.08), (-0.50, -0.16), (0.46, -0.50), (0.50, -0.42)):
            canvas.circle(x * side, y, 0.06, stroke=0, fill=1)
    canvas.ellipse(-0.27, 0.02, 0.27, 0.54, stroke=0, fill=1)
    canvas.roundRect(-0.15, -0.14, 0.30, 0.26, 0.04, stroke=0, fill=1)
    canvas.setFillColor(white)
    for x in (-0.115, 0.115):
        canvas.ellipse(x - 0.08, 0.15, x + 0.08, 0.30, stroke=0, fill=1)
    _shape(canvas, [(0, 0.15), (-0.045, 0.06), (0.045, 0.06)])
    for x in (-0.07, 0, 0.07):
        canvas.rect(x - 0.012, -0.12, 0.024, 0.1, stroke=0, fill=1)


def _exclamation(canvas: Any) -> None:
    _curves(
        canvas,
        (-0.07, -0.18),
        (-0.10, 0.10, -0.16, 0.30, -0.15, 0.44),
        (-0.14, 0.60, 0.14, 0.60, 0.15, 0.44),
        (0.16, 0.30, 0.10, 0.10, 0.07, -0.18),
    )
    canvas.circle(0, -0.38, 0.115, stroke=0, fill=1)


def _health(canvas: Any) -> None:
    canvas.circle(0, 0.42, 0.16, stroke=0, fill=1)
    _curves(
        canvas,
        (-0.30, -0.50),
        (-0.30, -0.30, -0.36, -0.10, -0.44, -0.02),
        (-0.40, 0.16, -0.22, 0.22, -0.09, 0.24),
        (-0.04, 0.20, 0.04, 0.20, 0.09, 0.24),
        (0.22, 0.22, 0.40, 0.16, 0.44, -0.02),
        (0.36, -0.10, 0.30, -0.30, 0.30, -0.50),
    )
    canvas.setFillColor(white)
    _shape(canvas, _star(0, -0.10, (0.27, 0.2, 0.2, 0.27, 0.2, 0.2), 0.07))


def _environment(canvas: Any) -> None:
    canvas.setLineWidth(0.07)
    canvas.line(-0.20, -0.24, -0.20, 0.44)
    canvas.setLineWidth(0.045)
    for x0, y0, x1, y1 in (
        (-0.20, 0.06, -0.42, 0.24),
        (-0.20, 0.16, 0.02, 0.34),
        (-0.20, 0.30, -0.34, 0.40),
        (-0.08, 0.25, -0.06, 0.42),
        (-0.32, 0.15, -0.46, 0.12),
    ):
        canvas.line(x0, y0, x1, y1)
    _curves(
        canvas, (-0.62, -0.18), (-0.40, -0.10, -0.10, -0.16, 0.0, -0.30), (-0.20, -0.38, -0.40, -0.34, -0.62, -0.18)
    )
    canvas.line(-0.40, -0.40, 0.40, -0.40)
    _curves(canvas, (0.02, -0.12), (0.14, 0.06, 0.34, 0.06, 0.46, -0.10), (0.34, -0.26, 0.14, -0.26, 0.02, -0.12))
    _shape(canvas, [(0.42, -0.10), (0.60, 0.02), (0.58, -0.24)])
    canvas.setFillColor(white)
    canvas.circle(0.13, -0.08, 0.028, stroke=0, fill=1)


_DRAWINGS: dict[str, Callable[[Any], None]] = {
    "GHS01": _bomb,
    "GHS02": _flame,
    "GHS03": _oxidiser,
    "GHS04": _cylinder,
    "GHS05": _corrosion,
    "GHS06": _skull,
    "GHS07": _exclamation,
    "GHS08": _health,
    "GHS09": _environment,
}
