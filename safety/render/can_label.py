"""The label of a can, on a sheet of labels as PDF, and as text."""

from __future__ import annotations

from io import BytesIO
from typing import Any

from reportlab.lib.colors import black
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Paragraph

from safety.cans import CanLabel
from safety.model import Shop
from safety.render import keyword, qr, signs, symbols, text_safe
from safety.render.fixed import read_by
from safety.render.label_sheets import LabelSheet
from safety.render.layout import fonts, para
from safety.words import joined, say

_EDGE = 9.0  # pt free all around: printers and sheets are not exact
#: Across a symbol. Regulation (EC) No 1272/2008, Annex I, 1.2.1.4 asks for 10 mm at least up to 3 L (from memory).
_SIGN = 34.0
_GAP = 3.0
#: Sizes of the name, the signal word and the rest, the first that fits.
_SIZES = ((15.0, 13.0, 9.5), (13.0, 12.0, 8.5), (11.0, 11.0, 7.5), (10.0, 9.5, 6.5))
_LEAST = 7.5  # pt, of the precautions: smaller they are not read, and where they stand is told


class TooSmall(ValueError):
    """What must stand on the label finds no room on it."""


def text(label: CanLabel) -> str:
    """The label as text, its symbols as words."""
    shown = ", ".join(say("{code} {word}", code=c, word=symbols.words(c)) for c in label.signs.symbols)
    lines = [label.name, *label.against, *_hazards(label), say("Signs: {signs}", signs=shown or say("none"))]
    lines += [*label.signs.precautions, *_facts(label)]
    lines += [say("Code: {code}", code=label.code.shown)] if label.code else []
    return "\n".join(map(text_safe, lines)) + "\n"


def pdf(label: CanLabel, shop: Shop, sheet: LabelSheet, start: int, count: int) -> bytes:
    """``count`` labels from place ``start`` of a sheet on, and further sheets. The same label gives the same bytes.

    Raises TooSmall where not all that must stand on a label has room.
    """
    fonts()
    buffer = BytesIO()
    canvas = Canvas(buffer, pagesize=sheet.page, invariant=1)
    canvas.setTitle(text_safe(label.name))
    canvas.setAuthor("hazstep")
    canvas.setKeywords(keyword("label"))
    for number in range(start - 1, start - 1 + count):
        if number % sheet.each == 0 and number >= start:
            canvas.showPage()
        _draw(canvas, label, shop, sheet, *sheet.corner(number % sheet.each + 1))
    canvas.showPage()
    canvas.save()
    return buffer.getvalue()


def _hazards(label: CanLabel) -> list[str]:
    word = {"danger": say("Danger"), "warning": say("Warning"), "": ""}[label.signs.signal]
    sentences = list(label.signs.statements) or [say("Not classified as hazardous by its data sheet.")]
    return [*filter(None, [word]), *sentences]


def _facts(label: CanLabel) -> list[str]:
    return [
        say("Lot: {lot}. Expires: {day}", lot=label.lot, day=label.expires),
        say("Filled: {day}. In an emergency: {number}", day=label.filled.isoformat(), number=label.telephone),
        *filter(None, [read_by()]),
    ]


def _draw(canvas: Any, label: CanLabel, shop: Shop, sheet: LabelSheet, x: float, y: float) -> None:
    wide, high = sheet.width - 2 * _EDGE, sheet.height - 2 * _EDGE
    x, y = x + _EDGE, y + _EDGE
    taken = _pictures(canvas, label, shop, x, y, wide, high)
    words = _fitting(label, wide - taken - 6, high)
    top = y + high
    canvas.setFillColor(black)
    for part in words:
        part.drawOn(canvas, x, top - part.height)
        top -= part.height + 1


def _pictures(canvas: Any, label: CanLabel, shop: Shop, x: float, y: float, wide: float, high: float) -> float:
    """The code in the upper right corner, the symbols beneath it and, where they are more, left of it; how wide."""
    coded = qr.SIZE + qr.LETTERS if label.code else 0.0
    if label.code:
        qr.draw(canvas, label.code, shop.pages, x + wide - qr.SIZE, y + high - coded)
    step = _SIGN + _GAP
    places = [(column, coded + _GAP + row * step) for row in range(int((high - coded) // step)) for column in (1, 0)]
    rows = int((high + _GAP) // step)
    places += [(column, row * step) for column in range(2, 9) for row in range(rows)]
    taken = qr.SIZE if label.code or label.signs.symbols else 0.0
    for code, (column, down) in zip(label.signs.symbols, places, strict=False):
        right = x + wide - column * (_SIGN + 1.5) - (_GAP if column > 1 else 0.0)
        signs.draw(canvas, code, right - _SIGN / 2, y + high - down - _SIGN / 2, _SIGN)
        taken = max(taken, x + wide - right + _SIGN)
    return taken


def _fitting(label: CanLabel, wide: float, high: float) -> list[Paragraph]:
    """The words in the largest type that fits: with the precautions, or else with where they stand."""
    elsewhere = say("What to do about it stands in the safety data sheet.")
    full = joined(label.signs.precautions)
    tries = [(full, size) for size in _SIZES if size[2] >= _LEAST] + [(elsewhere if full else "", s) for s in _SIZES]
    for precautions, size in tries:
        words = _words(label, precautions, *size)
        if wide > 60 and sum(part.wrap(wide, 10000)[1] + 1 for part in words) <= high:
            return words
    raise TooSmall


def _words(label: CanLabel, precautions: str, name: float, signal: float, rest: float) -> list[Paragraph]:
    first, *more = _hazards(label)
    words = [para(label.name, name, bold=True), *(para(text, rest, bold=True) for text in label.against)]
    if label.signs.signal:
        words.append(para(first, signal, bold=True))
    sentences = more if label.signs.signal else [first, *more]
    words += [para(joined(sentences), rest, bold=True)]
    words += [para(precautions, rest)] if precautions else []
    return [*words, *(para(fact, rest) for fact in _facts(label))]
