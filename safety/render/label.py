"""The label of a waste container, as a PDF page to print and stick on, and as text."""

from __future__ import annotations

from collections.abc import Sequence
from io import BytesIO
from typing import Any

from reportlab.lib.colors import black
from reportlab.lib.pagesizes import A5, landscape
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfgen.canvas import Canvas

from safety.model import Grid, Shop
from safety.paper_codes import PaperCode
from safety.render import keyword, qr, signs, symbols, text_safe
from safety.render.fixed import read_by
from safety.render.layout import BOLD, FONT, GREY, SMALL, fonts, para
from safety.words import say

HALF_LETTER = (612.0, 396.0)  # pt
_MARGIN = 24.0
_SIGN = 62.0  # pt, across; labels are read from a step away
_LEAST = 24.0  # pt, where they are many
_WORDS = 14.0  # pt, of the words beneath a sign
_HEAD = 46.0  # pt, the largest size of the words the rule requires


def text(grid: Grid, shop: Shop, shown: Sequence[str], code: PaperCode) -> str:
    """The label as text: the words the rule requires first, at the end the symbols ``shown``."""
    words, rows = _split(grid)
    codes = ", ".join(say("{code} {word}", code=c, word=symbols.words(c)) for c in shown)
    lines = [words, text_safe(grid.title), text_safe(shop.name)]
    lines += [say("{what}: {known}", what=what, known=known) for what, known in rows]
    lines.append(say("Signs: {signs}", signs=codes or say("none known, draw them by hand")))
    lines.append(say("Code: {code}", code=code.shown))
    return "\n".join([*lines, *filter(None, (text_safe(shop.notice), read_by())), _before_use()]) + "\n"


def pdf(grid: Grid, shop: Shop, shown: Sequence[str], code: PaperCode) -> bytes:
    """The label as a PDF of one page, half a Letter sheet or A5. The same content gives the same bytes."""
    fonts()
    size = HALF_LETTER if shop.print_units == "us" else landscape(A5)
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=size, invariant=1)
    canvas.setTitle(text_safe(grid.title))
    canvas.setAuthor("hazstep")
    canvas.setKeywords(keyword("label"))
    words, rows = _split(grid)
    top = _head(canvas, size, words, grid, shop)
    bottom = _foot(canvas, size, shop)
    qr.draw(canvas, code, shop.pages, size[0] - _MARGIN - 6 - qr.SIZE, bottom)
    _body(canvas, size, rows, shown, top, bottom)
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _split(grid: Grid) -> tuple[str, list[tuple[str, str]]]:
    """The words of the first row, and the other rows; a plugin's table may be of any shape."""
    rows = [(text_safe(row[0]), text_safe(" ".join(row[1:]))) for row in grid.rows if row]
    return (rows[0][1], rows[1:]) if rows else (say("UNKNOWN"), [])


def _before_use() -> str:
    return say("Made from the shop's records. A person responsible for waste checks it before it is stuck on.")


def _head(canvas: Any, size: tuple[float, float], words: str, grid: Grid, shop: Shop) -> float:
    """The words the rule requires, as large as fits, in a thick frame; returns where the rest begins."""
    wide = size[0] - 2 * _MARGIN
    type_size = _HEAD
    while type_size > 16 and pdfmetrics.stringWidth(words, BOLD, type_size) > wide - 24:
        type_size -= 1
    heading = para(words, type_size, bold=True, centred=True)
    height = heading.wrap(wide - 24, size[1])[1]
    top = size[1] - _MARGIN
    canvas.setLineWidth(3)
    canvas.setStrokeColor(black)
    canvas.rect(_MARGIN, _MARGIN, wide, size[1] - 2 * _MARGIN, stroke=1, fill=0)
    heading.drawOn(canvas, _MARGIN + 12, top - height - 6)
    line = top - height - 18
    canvas.setLineWidth(1.5)
    canvas.line(_MARGIN, line, size[0] - _MARGIN, line)
    name = para(say("{container}, {shop}", container=grid.title, shop=shop.name), 12, bold=True)
    used = name.wrap(wide - 24, 60)[1]
    name.drawOn(canvas, _MARGIN + 12, line - used - 6)
    return float(line - used - 12)


def _foot(canvas: Any, size: tuple[float, float], shop: Shop) -> float:
    """What the label is made from, and the shop's notice; returns where the body must end."""
    foot = para(" / ".join(filter(None, (shop.notice, read_by(), _before_use()))), SMALL, color=GREY)
    height = foot.wrap(size[0] - 2 * _MARGIN - 24, 60)[1]
    foot.drawOn(canvas, _MARGIN + 12, _MARGIN + 6)
    return float(_MARGIN + 10 + height)


def _body(
    canvas: Any,
    size: tuple[float, float],
    rows: list[tuple[str, str]],
    codes: Sequence[str],
    top: float,
    bottom: float,
) -> None:
    """Rows at the left, signs in two columns at the right; the type shrinks until all of it fits."""
    side = 2 * _SIGN + 24 if codes else qr.SIZE + 12
    wide = size[0] - 2 * _MARGIN - 24 - side
    for first, others in ((15.0, 12.0), (13.0, 10.5), (12.0, 9.5), (10.5, SMALL), (SMALL, SMALL), (7.0, 6.5)):
        # contents, start and hazard are what a person looks for; the rest may be smaller
        set_rows = [
            (para(what, others, color=GREY), para(known, first if i < 3 else others, bold=i < 3))
            for i, (what, known) in enumerate(rows)
        ]
        heights = [max(a.wrap(86, 1000)[1], b.wrap(wide - 92, 1000)[1]) + 3 for a, b in set_rows]
        if sum(heights) <= top - bottom:
            break
    y = top
    for (what, known), height in zip(set_rows, heights, strict=True):
        for part, x in ((what, _MARGIN + 12), (known, _MARGIN + 104)):
            part.drawOn(canvas, x, y - part.height)
        y -= height
    _draw_signs(canvas, size, codes, top, bottom + qr.SIZE + qr.LETTERS)


def _draw_signs(canvas: Any, size: tuple[float, float], codes: Sequence[str], top: float, bottom: float) -> None:
    """In two columns above the code; smaller where they are many."""
    rows = max(1, -(-len(codes) // 2))
    high = max(_LEAST, min(_SIGN, (top - bottom) / rows - _WORDS))
    for i, code in enumerate(codes):
        x = size[0] - _MARGIN - 12 - _SIGN * (1.5 - i % 2) - (8 if i % 2 == 0 else 0)
        y = top - high / 2 - (i // 2) * (high + _WORDS)
        signs.draw(canvas, code, x, y, high)
        canvas.setFillColor(black)
        canvas.setFont(FONT, SMALL)
        canvas.drawCentredString(x, y - high / 2 - 9, symbols.words(code))
