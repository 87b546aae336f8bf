"""How long a ten-page data sheet takes to read, beside asking the PDF library for every sign and its box.

Run it by its own command, from the folder of the project: ``python tests/benchmarks/draft.py``.
It is no part of the test run. It prints medians and exits with 1 where the target is missed.
"""

from __future__ import annotations

import random
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from statistics import median

sys.path.insert(0, str(Path(__file__).parents[2]))

from safety.datasheet.reader import read_file
from tests.datasheet.invented import PANEL, layout, pdf

ROUNDS, WORDS, TODAY = 7, 180, date(2026, 11, 30)
#: Times of the floor, what is compiled and imported at the first sheet left out.
TARGET = 4.5


def sheet() -> bytes:
    """Sixteen sections on ten pages, of about 70,000 signs."""
    chance = random.Random(1)
    words = [
        "keep",
        "the",
        "lid",
        "shut",
        "and",
        "ask",
        "a",
        "person",
        "who",
        "knows",
        "before",
        "you",
        "pour",
        "rinse",
        "wipe",
        "or",
        "burn",
        "anything",
        "near",
    ]
    filler = (" ".join(chance.choice(words) for _ in range(WORDS)).capitalize() + "." for _ in range(8))
    return pdf(replace(PANEL, filler=tuple(filler)), layout("ruled"))


def floor(data: bytes) -> int:
    """Every sign with its box, by the library alone."""
    import pypdfium2 as pdfium

    signs = 0
    for page in pdfium.PdfDocument(data):
        text = page.get_textpage()
        whole = text.get_text_range()
        signs += len(whole) + sum(text.get_charbox(at)[0] > 1e6 for at in range(text.count_chars()))
    return signs


def timed(call: Callable[[], object]) -> float:
    begun = time.process_time()
    call()
    return time.process_time() - begun


def main() -> int:
    """By turns, so that both meet the same machine."""
    data = sheet()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.pdf"
        path.write_bytes(data)
        first = timed(lambda: read_file(path, TODAY))
        pairs = [(timed(lambda: floor(data)), timed(lambda: read_file(path, TODAY))) for _ in range(ROUNDS)]
    bare, whole = (median(times) for times in zip(*pairs, strict=True))
    print(f"{floor(data)} signs: the first sheet {first:.2f} s, each further one {whole:.2f} s, the floor {bare:.2f} s")
    print(f"times of the floor: {whole / bare:.1f} (target {TARGET})")
    return int(whole > TARGET * bare)


if __name__ == "__main__":
    sys.exit(main())
