"""Type, and the small pieces a page is set from. The only place where text becomes a paragraph."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path
from typing import Any
from xml.sax.saxutils import escape

from reportlab.lib.colors import Color, black, white
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.platypus import Flowable, Paragraph

from safety.clock import ClockTime
from safety.render import mandatory_signs, signs, text_safe
from safety.render.merging import Mark, word
from safety.render.symbols import words as symbol_words
from safety.words import runs, values_in

FONT, BOLD = "Sheet", "Sheet-Bold"
SMALL = 8.5  # the smallest type on any page [pt]
TIME = 12.0  # the smallest size of a clock time [pt]
GREY, RULE, PALE = Color(0.2, 0.2, 0.2), Color(0.4, 0.4, 0.4), Color(0.945, 0.945, 0.945)
_FONTS = Path(__file__).parents[1] / "data" / "fonts"
_LEADING = 1.165  # of a line by the size of its type: what this type is high from its lowest to its highest letter
#: The space between a number and a unit.
_NUMBER = re.compile(r"(?<=\d) (?=(?:[^\W\d]{1,3}|\S*[%/°²³]\S*)(?:[\s.,;:)]|$))")
_LONGEST = 1000  # characters set in one piece, so that no single piece can be taller than a page


class _Set(Paragraph):  # type: ignore[misc]
    """A paragraph that is broken into lines once for a width: a table asks for them again and again."""

    _broken: tuple[float, tuple[float, float]] | None = None

    def wrap(self, width: float, height: float) -> tuple[float, float]:
        # one that is put off to the next page has thrown its lines away
        if self._broken is None or self._broken[0] != width or not hasattr(self, "blPara"):
            self._broken = width, super().wrap(width, height)
        return self._broken[1]


@cache
def fonts() -> None:
    """Register the embedded type once."""
    pdfmetrics.registerFont(TTFont(FONT, str(_FONTS / "DejaVuSansCondensed.ttf")))
    pdfmetrics.registerFont(TTFont(BOLD, str(_FONTS / "DejaVuSansCondensed-Bold.ttf")))
    pdfmetrics.registerFontFamily(FONT, normal=FONT, bold=BOLD, italic=FONT, boldItalic=BOLD)


@cache
def _style(size: float, bold: bool, color: Color, after: float, centred: bool, leading: float) -> ParagraphStyle:
    return ParagraphStyle(
        "sheet",
        fontName=BOLD if bold else FONT,
        fontSize=size,
        leading=leading,
        textColor=color,
        spaceAfter=after,
        alignment=1 if centred else 0,
        splitLongWords=1,
        spaceShrinkage=0,  # else a line may run over its column
    )


def para(
    text: str,
    size: float = 9.5,
    *,
    bold: bool = False,
    color: Color = black,
    after: float = 0,
    timed: bool = False,
    centred: bool = False,
    lead: str = "",
    tail: str = "",
    small: float = 0.0,
) -> Paragraph:
    """Set ``text`` literally: nothing in it is ever read as markup.

    ``timed`` sets clock times in it bold and large; ``lead`` is set bold before it, ``tail`` plain and ``small`` after.
    """
    literal, tallest = _literal(text, size, timed)
    if lead:
        literal = f'<font name="{BOLD}">{_plain(lead)}</font> {literal}'
    if tail:
        last, _ = _literal(tail, small or size, timed)
        literal = f'{literal} <font name="{FONT}" size="{small or size}">{last}</font>'
    return _Set(literal, _style(size, bold, color, after, centred, tallest * _LEADING))


def indented(words: Paragraph, by: float) -> Paragraph:
    """The same words with their first line begun further in."""
    style = words.style.clone("begun", firstLineIndent=by)
    return _Set("", style, frags=words.frags)


def _plain(text: str) -> str:
    """Text escaped; a number and its unit stay in one line."""
    return escape(_NUMBER.sub("\u00a0", text_safe(text)))


def _literal(text: str, size: float, timed: bool) -> tuple[str, float]:
    """Text escaped, with its clock times set large, and the size of the tallest type in it."""
    if not timed or not values_in(text, ClockTime):
        return _plain(text), size
    large = max(TIME, size)
    words = [(_plain(f"|{run}|")[1:-1], time) for run, time in runs(text, ClockTime)]  # keeps its spaces
    return "".join(f'<font name="{BOLD}" size="{large}">{run}</font>' if time else run for run, time in words), large


def terms(pairs: list[tuple[str, str]], size: float, *, timed: bool = False, bold: bool = False) -> Paragraph:
    """Words with a small grey word before each, run on in one paragraph."""
    grey = f'<font name="{FONT}" size="{SMALL}" color="{GREY.hexval()}">'
    runs, tallest = [], size
    for term, words in pairs:
        literal, height = _literal(words, size, timed)
        tallest = max(tallest, height)
        runs.append(f"{grey}{escape(text_safe(term))}</font>&nbsp;&nbsp;{literal}" if term else literal)
    return Paragraph("&nbsp;&nbsp; ".join(runs), _style(size, bold, black, 0, False, tallest * _LEADING))


#: A table without any space of its own.
BARE: list[tuple[Any, ...]] = [
    ("VALIGN", (0, 0), (-1, -1), "TOP"),
    ("LEFTPADDING", (0, 0), (-1, -1), 0),
    ("RIGHTPADDING", (0, 0), (-1, -1), 0),
    ("TOPPADDING", (0, 0), (-1, -1), 0),
    ("BOTTOMPADDING", (0, 0), (-1, -1), 0),
]


def padding(first: int = 0, last: int = -1, **sides: float) -> list[tuple[Any, ...]]:
    """Table commands for the space inside the cells of some rows: ``left``, ``right``, ``top``, ``bottom`` [pt]."""
    return [(f"{side.upper()}PADDING", (0, first), (-1, last), space) for side, space in sides.items()]


def pieces(text: str) -> list[str]:
    """Cut a very long text at spaces, so that a page can always take the next piece."""
    if len(text) <= _LONGEST:
        return [text]
    text = text_safe(text)
    cut: list[str] = []
    while len(text) > _LONGEST:
        at = text.rfind(" ", 1, _LONGEST)
        at = _LONGEST if at < 0 else at
        cut.append(text[:at])
        text = text[at:].lstrip()
    return [*cut, text]


def shortened(text: str, font: str, size: float, width: float) -> str:
    """``text``, cut with three dots where it is wider than ``width``."""
    text = text_safe(text)
    if pdfmetrics.stringWidth(text, font, size) <= width:
        return text
    while text and pdfmetrics.stringWidth(text + "...", font, size) > width:
        text = text[:-1]
    return text.rstrip() + "..." if text else ""


def octagon(canvas: Any, x: float, y: float, size: float) -> None:
    """A solid octagon with its lower left corner of the box at x, y."""
    cut = size * 0.293
    far = size - cut
    corners = [(cut, 0), (far, 0), (size, cut), (size, far), (far, size), (cut, size), (0, far), (0, cut)]
    _closed(canvas, [(x + dx, y + dy) for dx, dy in corners], fill=1)


def triangle(canvas: Any, x: float, y: float, size: float) -> None:
    """An open triangle standing on y."""
    _closed(canvas, [(x, y), (x + size, y), (x + size / 2, y + size * 0.9)], fill=0)


def _closed(canvas: Any, points: list[tuple[float, float]], fill: int) -> None:
    path = canvas.beginPath()
    path.moveTo(*points[0])
    for point in points[1:]:
        path.lineTo(*point)
    path.close()
    canvas.drawPath(path, stroke=1 - fill, fill=fill)


class Badge(Flowable):  # type: ignore[misc]
    """The word of a level with its shape: never colour alone.

    It stands on the first line of words of ``size`` in the cell beside it.
    """

    def __init__(self, mark: Mark, size: float = 9.5):
        super().__init__()
        self.mark, self.word, self.size = mark, word(mark), size
        self.width, self.height = pdfmetrics.stringWidth(self.word, BOLD, SMALL) + 14, 12.0

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c = self.canv
        c.translate(0, 9.5 - self.size)
        c.setFont(BOLD, SMALL)
        if self.mark in ("UNKNOWN", "NOT ASSESSED"):
            c.setFillColor(black)
            c.rect(0, -0.5, self.width - 5, 12, stroke=0, fill=1)
            c.setFillColor(white)
            c.drawString(4.5, 2.5, self.word)
        elif self.mark == "STOP":
            c.setFillColor(signs.RED)
            octagon(c, 0, 0.5, 10.5)
            c.setFillColor(black)
            c.drawString(13.5, 2.5, self.word)
        elif self.mark:
            c.setStrokeColor(black)
            c.setFillColor(black)
            c.setLineWidth(1.3)
            c.setLineJoin(1)
            triangle(c, 0.7, 1.4, 9.2)
            c.setFont(FONT, SMALL)
            c.drawString(13.5, 2.5, self.word)


def badge_room() -> float:
    """The width of a column that holds any badge, in the language being spoken."""
    marks: tuple[Mark, ...] = ("STOP", "UNKNOWN", "Control")
    return 2.0 + max(float(Badge(mark).width) for mark in marks)


class Label(Flowable):  # type: ignore[misc]
    """A small grey word on the first line of words of ``size`` in the cell beside it."""

    def __init__(self, text: str, size: float = 9.5):
        super().__init__()
        self.text, self.size, self.height = text_safe(text), size, 12.0
        self.width = pdfmetrics.stringWidth(self.text, FONT, SMALL)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        self.canv.setFillColor(GREY)
        self.canv.setFont(FONT, SMALL)
        self.canv.drawString(0, self.height - self.size, self.text)


class Signs(Flowable):  # type: ignore[misc]
    """Hazard symbols side by side, two to a row, two words beneath each."""

    SIZE, WORD = 27.0, 9.4

    def __init__(self, codes: tuple[str, ...], width: float):
        super().__init__()
        self.codes, self.width = codes, width
        self.step = self.SIZE + 2 * self.WORD + 3
        self.height = -(-len(codes) // 2) * self.step

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for i, code in enumerate(self.codes):
            across = 1 if len(self.codes) == 1 else 2
            x = self.width * ((i % across) + 0.5) / across
            top = self.height - (i // 2) * self.step
            signs.draw(self.canv, code, x, top - self.SIZE / 2, self.SIZE)
            self.canv.setFillColor(black)
            self.canv.setFont(FONT, SMALL)
            for line, text in enumerate(text_safe(symbol_words(code)).split()):
                self.canv.drawCentredString(x, top - self.SIZE - (line + 0.85) * self.WORD, text)


class SignRow(Flowable):  # type: ignore[misc]
    """Hazard symbols in a row, two words to the right of each."""

    SIZE, STEP = 22.0, 65.0

    def __init__(self, codes: tuple[str, ...], width: float):
        super().__init__()
        self.codes, self.width = codes, width
        self.across = max(1, int(width // self.STEP))
        self.height = -(-len(codes) // self.across) * (self.SIZE + 2)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        for i, code in enumerate(self.codes):
            x = (i % self.across) * self.STEP
            middle = self.height - (i // self.across + 0.5) * (self.SIZE + 2)
            signs.draw(self.canv, code, x + self.SIZE / 2, middle, self.SIZE)
            self.canv.setFillColor(black)
            self.canv.setFont(FONT, SMALL)
            for line, text in enumerate(text_safe(symbol_words(code)).split()):
                self.canv.drawString(x + self.SIZE + 2, middle + 1.2 - line * 9.4, text)


class Verdict(Flowable):  # type: ignore[misc]
    """The one line everybody reads, in letters of a size: shape, words, and a frame that shows in black and white."""

    def __init__(self, mark: str, words: str, width: float, size: float = 16.0):
        super().__init__()
        self.mark, self.words, self.size = mark, words, size
        self.width, self.height = width, 2 * size - 7

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c, stop, size = self.canv, self.mark == "STOP", self.size
        c.setStrokeColor(black)
        c.setFillColor(signs.RED if stop else white)
        c.setLineWidth(1.4)
        c.rect(0.7, 0.7, self.width - 1.4, self.height - 1.4, stroke=0 if stop else 1, fill=1)
        c.setFillColor(white if stop else black)
        c.setLineJoin(1)
        x = 2 * size - 20
        if stop:
            octagon(c, x, size - 11.5, 16)
            x += size + 9
        elif self.mark == "Control":
            c.setLineWidth(2.2)
            triangle(c, x, size - 10.5, 15.5)
            x += size + 9
        c.setFont(BOLD, size)
        c.drawString(x, size / 2 - 1, self.words)


class When(Flowable):  # type: ignore[misc]
    """A step's clock time, what it is marked with, a box to write the real start in, and signs of what to wear."""

    BOX, SIGN = 36.0, 17.0

    def __init__(
        self,
        when: str,
        width: float,
        states: tuple[Mark, ...] = (),
        worn: tuple[str, ...] = (),
        size: float = 13.0,
    ):
        super().__init__()
        self.worn = worn
        self.when, self.width = text_safe(when), width
        self.badges = [Badge(state) for state in states]
        needs = pdfmetrics.stringWidth(self.when, BOLD, size)
        self.size = size if needs <= width else max(TIME, size * width / needs)
        # the words for the day go to a line of their own
        self.lines = simpleSplit(self.when, BOLD, self.size, width)
        # a word too wide for the place beside the box goes below it
        wide = [badge for badge in self.badges if badge.width > width - self.BOX]
        self.badges = [*(badge for badge in self.badges if badge not in wide), *wide]
        self.drops = [16.0 + 13.0 * i for i in range(len(states))]
        for i in range(len(states) - len(wide), len(states)):
            self.drops[i] = max(self.drops[i], 32.0 + 13.0 * (i - len(states) + len(wide)))
        used = max([18.0, *(drop + 2.0 for drop in self.drops)])
        self.height = 15.0 * len(self.lines) + 2 + used + (self.SIGN + 2 if worn else 0)

    def wrap(self, *_: float) -> tuple[float, float]:
        return self.width, self.height

    def draw(self) -> None:
        c = self.canv
        c.setFont(BOLD, self.size)
        for i, line in enumerate(self.lines):
            c.drawString(0, self.height - 12 - 15 * i, line)
        below = self.height - 15 * len(self.lines)
        c.setStrokeColor(RULE)
        c.setLineWidth(0.5)
        c.rect(self.width - self.BOX, below - 19, self.BOX, 17, stroke=1, fill=0)
        for badge, drop in zip(self.badges, self.drops, strict=True):
            badge.drawOn(c, 0, below - drop)
        for i, topic in enumerate(self.worn):
            mandatory_signs.draw(c, topic, self.SIGN * (0.5 + 1.15 * i), self.SIGN / 2, self.SIGN)
