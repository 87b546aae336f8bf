"""The page for the office as the first page of a log: always one, whatever there is to say. The rest is behind it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import Any, TypeVar

from reportlab.lib.colors import black, white
from reportlab.pdfbase import pdfmetrics
from reportlab.platypus import Flowable, Paragraph

from safety.render.layout import BOLD, FONT, GREY, SMALL, para, shortened
from safety.render.office import Bar, Leaving, Office, Open
from safety.words import say

_LEFT = 0.6  # share of the width that the amounts and the bars have
_GAP = 20.0
_COUNT = 36.0  # of a box with a number [pt]
_SIGN = 62.0  # of the sign-off at the foot
_BAR = 8.0
#: A bar ends at this many times its limit; what is more gets the head of an arrow.
_END = 1.25

T = TypeVar("T")


class Front(Flowable):  # type: ignore[misc]
    """All of the page. What finds no room is counted and stands behind it; what is gravest comes first."""

    def __init__(self, office: Office, sign_off: tuple[str, tuple[str, ...]], size: tuple[float, float]):
        super().__init__()
        self.office, self.sign_off = office, sign_off
        self.width, self.height = size

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        top = self._title()
        top = self._counts(top) - 12
        left, right = _LEFT * (self.width - _GAP), (1 - _LEFT) * (self.width - _GAP)
        x = left + _GAP
        y = self._amounts(top, left)
        bars = [_text(_legend(), left), *(_bar(bar, left) for bar in self.office.drawn)]
        bars += [_text(text, left) for text in self.office.small]
        _column(
            self.canv, 0, y - 10, left, _SIGN + 8, say("Against each limit"), self.office.no_bars, bars,
        )  # fmt: skip
        half = (top - _SIGN) / 2
        y = _column(
            self.canv, x, top, right, max(_SIGN + 8, half), say("Must leave, or must not be used"),
            self.office.none_leaving, [_leaving(one, right) for one in self.office.leaving],
        )  # fmt: skip
        _column(
            self.canv, x, y - 10, right, _SIGN + 8, say("Not known, and who can settle it"), self.office.none_open,
            _open(self.office.open, right),
        )  # fmt: skip
        self._sign()

    def _title(self) -> float:
        self.canv.setFillColor(black)
        self.canv.setFont(BOLD, 17)
        self.canv.drawString(0, self.height - 16, shortened(self.office.title, BOLD, 17, self.width))
        return self.height - 26

    def _counts(self, top: float) -> float:
        """A box for each state with its number: black where it is over, thick where it is not settled."""
        wide = (self.width - 4 * 8) / 5
        for i, (word, number) in enumerate(self.office.counts):
            x, bottom = i * (wide + 8), top - _COUNT
            grave = number > 0 and i in (0, 4)
            open_ = number > 0 and i in (1, 2)
            self.canv.setStrokeColor(black)
            self.canv.setLineWidth(2 if open_ else 0.6)
            self.canv.setFillColor(black if grave else white)
            self.canv.rect(x, bottom, wide, _COUNT, stroke=1, fill=1)
            self.canv.setFillColor(white if grave else black)
            self.canv.setFont(BOLD, 20)
            self.canv.drawString(x + 8, bottom + 11, str(number))
            room = wide - 22 - pdfmetrics.stringWidth(str(number), BOLD, 20)
            label = para(word, 10, bold=True, color=white if grave else black)
            height = label.wrap(room, _COUNT)[1]
            label.drawOn(self.canv, x + wide - 8 - room, bottom + (_COUNT - height) / 2)
        return top - _COUNT

    def _amounts(self, top: float, wide: float) -> float:
        heads = self.office.heads
        y = _heading(self.canv, 0, top, wide, say("How much"))
        columns = [wide * (0.34 + 0.33 * i) for i in range(len(heads))]
        for row in (("", *heads), *self.office.amounts):
            cells = [para(row[0], 9.5, bold=True)]
            cells += [para(cell, 9.5 if row[0] else SMALL, color=black if row[0] else GREY) for cell in row[1:]]
            heights = [
                cell.wrap(room, 100)[1]
                for cell, room in zip(cells, (0.33 * wide, *[0.32 * wide] * len(heads)), strict=True)
            ]
            for cell, x in zip(cells, (0.0, *columns), strict=True):
                cell.drawOn(self.canv, x, y - cell.height)
            y -= max(heights) + 2
        return y

    def _sign(self) -> None:
        sentence, fields = self.sign_off
        words = para(sentence, 9)
        words.wrap(self.width, 30)
        words.drawOn(self.canv, 0, _SIGN - 16)
        wide = self.width / len(fields)
        self.canv.setStrokeColor(black)
        self.canv.setLineWidth(0.6)
        for i, field in enumerate(fields):
            self.canv.rect(i * wide, 0, wide, 38, stroke=1, fill=0)
            self.canv.setFillColor(GREY)
            self.canv.setFont(FONT, SMALL)
            self.canv.drawString(i * wide + 5, 27, shortened(field, FONT, SMALL, wide - 10))


#: A row of a column: its height, and what draws it with its upper left corner at x, y.
_Row = tuple[float, Callable[[Any, float, float], None]]


def _column(
    canvas: Any, x: float, top: float, wide: float, bottom: float, title: str, nothing: str, rows: Sequence[_Row]
) -> float:
    """A heading and as many rows as find room; how many do not is said in their place. Returns where it ends."""
    y = _heading(canvas, x, top, wide, title)
    if nothing:
        return _words(canvas, para(nothing, 9), x, y, wide)
    shown = _fitting([height for height, _ in rows], y - bottom)
    for height, draw in rows[:shown]:
        draw(canvas, x, y)
        y -= height
    if shown < len(rows):
        text = say("and {count} more, behind this page", count=len(rows) - shown)
        y = _words(canvas, para(text, 9, bold=True), x, y, wide)
    return y


def _fitting(heights: Sequence[float], room: float) -> int:
    """How many rows fit, with a line left for what does not."""
    if sum(heights) <= room:
        return len(heights)
    used, shown = 13.0, 0
    for height in heights:
        used += height
        if used > room:
            break
        shown += 1
    return shown


def _heading(canvas: Any, x: float, top: float, wide: float, text: str) -> float:
    canvas.setFillColor(black)
    canvas.setFont(BOLD, 11)
    canvas.drawString(x, top - 11, shortened(text, BOLD, 11, wide))
    canvas.setStrokeColor(black)
    canvas.setLineWidth(1)
    canvas.line(x, top - 15, x + wide, top - 15)
    return top - 19


def _words(canvas: Any, words: Paragraph, x: float, y: float, wide: float) -> float:
    height = words.wrap(wide, 1000)[1]
    words.drawOn(canvas, x, y - height)
    return float(y - height)


def _bar(bar: Bar, wide: float) -> _Row:
    """Its name and state, the bar, and the amounts in words."""
    state = bar.state_word
    room = pdfmetrics.stringWidth(state, BOLD, 9) + 10
    words = para(bar.words, SMALL)
    height = words.wrap(wide, 100)[1]

    def draw(canvas: Any, x: float, y: float) -> None:
        canvas.setFillColor(black)
        canvas.setFont(BOLD, 9)
        canvas.drawString(x, y - 9, shortened(bar.of.name, BOLD, 9, wide - room - 8))
        if bar.state == "over":
            canvas.rect(x + wide - room, y - 12, room, 12, stroke=0, fill=1)
            canvas.setFillColor(white)
        canvas.drawRightString(x + wide - 5, y - 9, state)
        draw_bar(canvas, bar, x, y - 14 - _BAR, wide, _BAR)
        words.drawOn(canvas, x, y - 18 - _BAR - height)

    return 18 + _BAR + height + 4, draw


def _legend() -> str:
    return say("Full: so far. Striped: still planned. Thick line: the limit. ?: not all is counted.")


def _text(text: str, wide: float) -> _Row:
    words = para(text, SMALL)
    height = words.wrap(wide, 1000)[1]
    return height + 4, lambda canvas, x, y: words.drawOn(canvas, x, y - height)


def draw_bar(canvas: Any, bar: Bar, x: float, y: float, wide: float, high: float) -> None:
    """Full: so far. Striped: still planned. A thick line: the limit. "?": something is missing from it."""
    limit = wide / _END
    so_far, end = (min(share * limit, wide) for share in (max(bar.share, 0.0), max(bar.share, 0.0) + bar.ahead))
    canvas.saveState()
    canvas.setStrokeColor(black)
    canvas.setLineWidth(0.8)
    canvas.rect(x, y, wide, high, stroke=1, fill=0)
    canvas.setFillColor(black)
    canvas.rect(x, y, so_far, high, stroke=0, fill=1)
    if end > so_far:
        _stripes(canvas, x + so_far, y, end - so_far, high)
    if bar.share + bar.ahead > _END:
        canvas.setFillColor(white)
        path = canvas.beginPath()
        path.moveTo(x + wide - 9, y + 1.5)
        path.lineTo(x + wide - 2, y + high / 2)
        path.lineTo(x + wide - 9, y + high - 1.5)
        path.close()
        canvas.drawPath(path, stroke=0, fill=1)
    elif not (bar.of.whole and bar.of.ahead_whole):
        canvas.setFillColor(black)
        canvas.setFont(BOLD, SMALL)
        canvas.drawString(x + min(end + 3, wide - 7), y + 1, "?")
    canvas.setStrokeColor(black)
    canvas.setLineWidth(2)
    canvas.line(x + limit, y - 2.5, x + limit, y + high + 2.5)
    if so_far > limit:
        canvas.setStrokeColor(white)
        canvas.setLineWidth(0.8)
        canvas.line(x + limit + 1.6, y, x + limit + 1.6, y + high)
        canvas.line(x + limit - 1.6, y, x + limit - 1.6, y + high)
    canvas.restoreState()


def _stripes(canvas: Any, x: float, y: float, wide: float, high: float) -> None:
    canvas.saveState()
    path = canvas.beginPath()
    path.rect(x, y, wide, high)
    canvas.clipPath(path, stroke=0, fill=0)
    canvas.setStrokeColor(black)
    canvas.setLineWidth(1.2)
    at = x - high
    while at < x + wide:
        canvas.line(at, y, at + high, y + high)
        at += 3.6
    canvas.restoreState()


def _leaving(one: Leaving, wide: float) -> _Row:
    what = say("{what}: {why}", what=one.of.what, why=one.of.why)
    words = para(what, 9, lead=say("{when}.", when=one.words))
    height = words.wrap(wide - 14, 1000)[1]

    def draw(canvas: Any, x: float, y: float) -> None:
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.8)
        canvas.setFillColor(black)
        canvas.rect(x, y - 9.5, 8, 8, stroke=1, fill=one.over)
        words.drawOn(canvas, x + 14, y - height)

    return height + 4, draw


def _open(points: Iterable[Open], wide: float) -> list[_Row]:
    """Each with who can settle it; the name stands once above several."""
    rows: list[_Row] = []
    before = ""
    for one in points:
        rows.append(_point(one, wide, named=one.who != before))
        before = one.who
    return rows


def _point(one: Open, wide: float, named: bool) -> _Row:
    who = para(one.who, 9, bold=True)
    tall = who.wrap(wide, 100)[1] if named else 0.0
    text = say("{text} And {more} more like it.", text=one.text, more=one.more) if one.more else one.text
    words = para(text, SMALL)
    height = words.wrap(wide - 12, 1000)[1]

    def draw(canvas: Any, x: float, y: float) -> None:
        if named:
            who.drawOn(canvas, x, y - tall)
        canvas.setStrokeColor(black)
        canvas.setLineWidth(0.8)
        canvas.rect(x, y - tall - 8.5, 6.5, 6.5, stroke=1, fill=0)
        words.drawOn(canvas, x + 12, y - tall - height)

    return tall + height + 4, draw
