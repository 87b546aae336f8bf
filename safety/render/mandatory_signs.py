"""What to wear, as mandatory signs in the manner of ISO 7010: a white figure on a full blue disc.

Own drawings after the standard's titles (M004 wear eye protection, M009 wear protective gloves, M010 wear protective
clothing, M017 wear respiratory protection). Coordinates run from -1 to 1 across the disc. Printed without colour the
disc is dark and the figure white, so the sign reads the same.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from reportlab.lib.colors import Color, white

BLUE = Color(0.0, 0.26, 0.55)


def draw(canvas: Any, topic: str, x: float, y: float, size: float) -> None:
    """Draw the sign for a topic (a key of SIGNS) ``size`` points high with its centre at x, y."""
    canvas.saveState()
    canvas.translate(x, y)
    canvas.scale(size / 2, size / 2)
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    canvas.setFillColor(BLUE)
    canvas.circle(0, 0, 0.97, stroke=0, fill=1)
    canvas.setFillColor(white)
    canvas.setStrokeColor(white)
    SIGNS[topic](canvas)
    canvas.restoreState()


def _gloves(canvas: Any) -> None:
    """One hand, fingers up, with the cuff of the glove."""
    canvas.setLineWidth(0.19)
    for foot, tip in ((-0.30, (-0.36, 0.44)), (-0.10, (-0.12, 0.66)), (0.10, (0.12, 0.66)), (0.30, (0.36, 0.46))):
        canvas.line(foot, -0.05, *tip)
    canvas.line(-0.34, -0.22, -0.62, 0.10)  # the thumb
    canvas.roundRect(-0.40, -0.38, 0.80, 0.50, 0.12, stroke=0, fill=1)
    canvas.rect(-0.36, -0.74, 0.72, 0.28, stroke=0, fill=1)


def _head(canvas: Any) -> None:
    canvas.ellipse(-0.46, -0.62, 0.46, 0.68, stroke=0, fill=1)
    canvas.setFillColor(BLUE)
    canvas.setStrokeColor(BLUE)


def _respirator(canvas: Any) -> None:
    """A face with a half mask, its two cartridges and its straps."""
    _head(canvas)
    path = canvas.beginPath()
    path.moveTo(0.0, 0.16)
    for point in ((0.30, -0.14), (0.22, -0.46), (-0.22, -0.46), (-0.30, -0.14)):
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.setLineWidth(0.07)
    for side in (-1, 1):
        canvas.line(side * 0.28, -0.10, side * 0.46, 0.10)
        canvas.setFillColor(white)
        canvas.circle(side * 0.40, -0.40, 0.19, stroke=1, fill=1)
    canvas.setFillColor(BLUE)
    for side in (-1, 1):
        canvas.circle(side * 0.19, 0.26, 0.07, stroke=0, fill=1)


def _eyes(canvas: Any) -> None:
    """A face with goggles and their strap."""
    _head(canvas)
    canvas.setLineWidth(0.10)
    canvas.line(-0.46, 0.20, 0.46, 0.20)
    for left in (-0.38, 0.04):
        canvas.roundRect(left, 0.04, 0.34, 0.30, 0.10, stroke=0, fill=1)
    canvas.setLineWidth(0.06)
    canvas.line(-0.14, -0.34, 0.14, -0.34)


def _clothing(canvas: Any) -> None:
    """A person in closed clothes with long sleeves."""
    canvas.circle(0, 0.62, 0.17, stroke=0, fill=1)
    canvas.rect(-0.26, -0.20, 0.52, 0.58, stroke=0, fill=1)
    canvas.setLineWidth(0.20)
    for side in (-1, 1):
        canvas.line(side * 0.22, 0.28, side * 0.50, -0.14)
        canvas.line(side * 0.15, -0.20, side * 0.17, -0.70)
    canvas.setStrokeColor(BLUE)
    canvas.setLineWidth(0.05)
    canvas.line(0, 0.36, 0, -0.18)


#: Topic -> its sign, in the order of a sheet.
SIGNS: dict[str, Callable[[Any], None]] = {
    "hands": _gloves,
    "breathing": _respirator,
    "eyes": _eyes,
    "skin": _clothing,
}
