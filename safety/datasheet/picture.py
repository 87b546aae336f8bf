"""A page of a data sheet as a picture, with words on it marked: drawn in a process of its own, as it is read in one.

``python -m safety.datasheet.picture FILE PAGE`` takes the words from its input, one a line, and prints a PNG.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any

import safety
from safety.datasheet.child import SECONDS, limit
from safety.datasheet.refused import Refused
from safety.words import say

_SCALE = 1.75  # of 72 dpi
_LARGEST = 2400.0  # pixels, either way
_CHUNK = 4  # words looked for together where a line is broken


def drawn(path: Path, page: int, words: Sequence[str]) -> bytes:
    """The picture as PNG. Raises Refused where the page cannot be drawn."""
    command = [sys.executable, "-m", "safety.datasheet.picture", os.path.abspath(path), str(page)]
    asked, home = "\n".join(" ".join(one.split()) for one in words).encode(), Path(safety.__file__).parents[1]
    try:
        done = subprocess.run(command, input=asked, capture_output=True, timeout=SECONDS + 10, check=False, cwd=home)
    except subprocess.TimeoutExpired:
        done = None
    if done is None or not done.stdout.startswith(b"\x89PNG"):
        raise Refused(say("This page cannot be drawn. Open the data sheet itself."))
    return done.stdout


def picture(raw: bytes, number: int, words: Iterable[str]) -> bytes:
    """A page as PNG, a frame around each place where the words stand."""
    import pypdfium2 as pdfium
    from PIL import ImageDraw

    page = pdfium.PdfDocument(raw)[number - 1]
    wide, high = page.get_size()
    scale = min(_SCALE, _LARGEST / max(wide, high, 1.0))
    image = page.render(scale=scale).to_pil().convert("RGB")
    pen, text = ImageDraw.Draw(image), page.get_textpage()
    for one in words:
        for left, bottom, right, top in _places(text, one):
            box = (left * scale - 4, (high - top) * scale - 4, right * scale + 4, (high - bottom) * scale + 4)
            pen.rectangle(box, outline=(20, 23, 26), width=2)
    stream = io.BytesIO()
    image.quantize(64).save(stream, "PNG", optimize=True)
    return stream.getvalue()


def _places(text: Any, words: str) -> Iterator[tuple[float, float, float, float]]:
    """Where the words stand: all together, else cell by cell of a row, else a few at a time over broken lines."""
    for cell in words.split(" | "):
        found = list(_found(text, cell))
        if not found:
            each = cell.split()
            parts = (" ".join(each[at : at + _CHUNK]) for at in range(0, len(each), _CHUNK))
            found = [box for part in parts if len(part) > 2 for box in _found(text, part)]
        yield from found


def _found(text: Any, words: str) -> Iterator[tuple[float, float, float, float]]:
    if not words.strip():
        return
    place = text.search(words).get_next()
    if place is not None:
        yield from (text.get_rect(at) for at in range(text.count_rects(*place)))


def main(file: str, page: str) -> None:
    limit()
    words = sys.stdin.read().splitlines()
    sys.stdout.buffer.write(picture(Path(file).read_bytes(), int(page), words))


if __name__ == "__main__":
    main(*sys.argv[1:3])
