"""The signs of the sheet for a screen: the same drawings, on a canvas that writes SVG."""

from __future__ import annotations

from functools import cache
from typing import Any

from safety.render import mandatory_signs, signs

_CAPS = ("butt", "round", "square")
_JOINS = ("miter", "round", "bevel")
#: How far one drawing reaches from its middle.
_SIDE = 1.0


class _Path:
    """A shape made of lines and curves."""

    def __init__(self) -> None:
        self.d: list[str] = []

    def moveTo(self, *at: float) -> None:
        self.d.append(f"M{_numbers(at)}")

    def lineTo(self, *at: float) -> None:
        self.d.append(f"L{_numbers(at)}")

    def curveTo(self, *at: float) -> None:
        self.d.append(f"C{_numbers(at)}")

    def close(self) -> None:
        self.d.append("Z")


class _Canvas:
    """As much of ReportLab's canvas as the drawings use."""

    def __init__(self) -> None:
        self.out: list[str] = []
        self._state: dict[str, Any] = {"fill": "#000", "stroke": "#000", "width": 1.0, "cap": 0, "join": 0, "open": 0}
        self._saved: list[dict[str, Any]] = []

    def saveState(self) -> None:
        self._saved.append(dict(self._state))
        self._state["open"] = 0

    def restoreState(self) -> None:
        self.out.append("</g>" * self._state["open"])
        self._state = self._saved.pop()

    def translate(self, x: float, y: float) -> None:
        self._group(f"translate({_numbers((x, y))})")

    def scale(self, x: float, y: float) -> None:
        self._group(f"scale({_numbers((x, y))})")

    def rotate(self, degrees: float) -> None:
        self._group(f"rotate({_numbers((degrees,))})")

    def _group(self, transform: str) -> None:
        self.out.append(f'<g transform="{transform}">')
        self._state["open"] += 1

    def setFillColor(self, color: Any) -> None:
        self._state["fill"] = _hex(color)

    def setStrokeColor(self, color: Any) -> None:
        self._state["stroke"] = _hex(color)

    def setLineWidth(self, width: float) -> None:
        self._state["width"] = width

    def setLineCap(self, cap: int) -> None:
        self._state["cap"] = cap

    def setLineJoin(self, join: int) -> None:
        self._state["join"] = join

    def circle(self, x: float, y: float, r: float, stroke: int = 1, fill: int = 0) -> None:
        self._add(f'circle cx="{x:g}" cy="{y:g}" r="{r:g}"', stroke, fill)

    def ellipse(self, x1: float, y1: float, x2: float, y2: float, stroke: int = 1, fill: int = 0) -> None:
        x, y, rx, ry = (x1 + x2) / 2, (y1 + y2) / 2, abs(x2 - x1) / 2, abs(y2 - y1) / 2
        self._add(f'ellipse cx="{x:.4g}" cy="{y:.4g}" rx="{rx:.4g}" ry="{ry:.4g}"', stroke, fill)

    def rect(self, x: float, y: float, width: float, height: float, stroke: int = 1, fill: int = 0) -> None:
        self._add(f'rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}"', stroke, fill)

    def roundRect(
        self, x: float, y: float, width: float, height: float, radius: float, stroke: int = 1, fill: int = 0
    ) -> None:
        shape = f'rect x="{x:g}" y="{y:g}" width="{width:g}" height="{height:g}" rx="{radius:g}"'
        self._add(shape, stroke, fill)

    def line(self, x1: float, y1: float, x2: float, y2: float) -> None:
        self._add(f'line x1="{x1:g}" y1="{y1:g}" x2="{x2:g}" y2="{y2:g}"', 1, 0)

    def beginPath(self) -> _Path:
        return _Path()

    def drawPath(self, path: _Path, stroke: int = 1, fill: int = 0) -> None:
        self._add(f'path d="{"".join(path.d)}"', stroke, fill)

    def _add(self, shape: str, stroke: int, fill: int) -> None:
        now = self._state
        paint = f' fill="{now["fill"] if fill else "none"}"'
        if stroke:
            paint += f' stroke="{now["stroke"]}" stroke-width="{now["width"]:g}"'
            paint += f' stroke-linecap="{_CAPS[now["cap"]]}" stroke-linejoin="{_JOINS[now["join"]]}"'
        self.out.append(f"<{shape}{paint}/>")


def _numbers(values: tuple[float, ...]) -> str:
    return " ".join(f"{value:.4g}" for value in values)


def _hex(color: Any) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in (color.red, color.green, color.blue))


@cache
def mandatory_sign(topic: str) -> str:
    """What to wear, as a drawing beside its words; "" for a topic that has no sign."""
    return _drawn(mandatory_signs.draw, topic) if topic in mandatory_signs.SIGNS else ""


@cache
def ghs_sign(code: str) -> str:
    """A hazard symbol by its code, beside its words."""
    return _drawn(signs.draw, code)


def _drawn(draw: Any, which: str) -> str:
    canvas = _Canvas()
    draw(canvas, which, 0, 0, 2 * _SIDE)
    inside = "".join(canvas.out)
    return (
        f'<svg class="sign" viewBox="-1 -1 2 2" aria-hidden="true" focusable="false">'
        f'<g transform="scale(1 -1)">{inside}</g></svg>'
    )
