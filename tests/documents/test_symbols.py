"""Hazard statement to symbol, against 29 CFR 1910.1200 appendix C (C.4) and EU 1272/2008 annex V."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from safety.render import signs
from safety.render.symbols import CODES, symbols, words
from safety.words import LANGUAGES, speaking, speech


@pytest.mark.parametrize(
    ("codes", "expected"),
    [
        # one line of annex V each
        (("H225",), ("GHS02",)),
        (("H226",), ("GHS02",)),
        (("H271",), ("GHS03",)),
        (("H280",), ("GHS04",)),
        (("H314",), ("GHS05",)),
        (("H290",), ("GHS05",)),
        (("H331",), ("GHS06",)),
        (("H336",), ("GHS07",)),
        (("H304",), ("GHS08",)),
        (("H361d",), ("GHS08",)),
        (("H350i",), ("GHS08",)),
        (("H411",), ("GHS09",)),
        (("H241",), ("GHS01", "GHS02")),
        # no symbol is assigned to these: appendix C, C.4.19 (flammable category 4); annex V (chronic 3 and 4)
        (("H227",), ()),
        (("H412", "H413"), ()),
        # combined statement: acute toxicity by two routes
        (("H301+H311",), ("GHS06",)),
        # appendix C, C.2.1: corrosion takes the exclamation mark for skin or eye irritation away
        (("H314", "H319"), ("GHS05",)),
        (("H318", "H315", "H335"), ("GHS05", "GHS07")),
        # ... the skull takes it away for acute toxicity only
        (("H301", "H332"), ("GHS06",)),
        (("H301", "H319"), ("GHS06", "GHS07")),
        # ... and the health hazard sign for a breathing sensitiser, for skin sensitisation and irritation
        (("H334", "H317", "H315"), ("GHS08",)),
        (("H351", "H317"), ("GHS07", "GHS08")),
    ],
)
def test_symbols(codes: tuple[str, ...], expected: tuple[str, ...]) -> None:
    assert symbols(codes) == expected


def test_every_symbol_can_be_drawn_inside_its_frame() -> None:
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1)
    for code in CODES:
        signs.draw(canvas, code, 100, 100, 30)
    canvas.save()
    assert len(PdfReader(buffer).pages) == 1
    for language in LANGUAGES:
        with speaking(speech(language)):
            assert [code for code in CODES if len(words(code).split()) != 2] == []
