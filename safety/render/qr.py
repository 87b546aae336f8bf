"""The code of a thing on paper, drawn as a QR code (ISO/IEC 18004) with its letters beneath."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import lru_cache
from itertools import groupby, pairwise
from typing import Any

from reportlab.graphics.barcode import qrencoder
from reportlab.lib.colors import black, white
from reportlab.lib.units import mm

from safety.paper_codes import PaperCode
from safety.render.layout import BOLD, SMALL

#: Across, with the white around it [pt]: a phone reads it at arm's length, a copier at 100 dots an inch.
SIZE = 25.0 * mm
#: Of the line of letters beneath [pt].
LETTERS = 10.0
_WHITE = 4  # modules on each side, as the standard asks
_LEVEL = qrencoder.QRErrorCorrectLevel.M  # of a small one, in fewer and larger squares: 15 % of it may be smeared


def draw(canvas: Any, code: PaperCode, pages: str, x: float, y: float, size: float = SIZE) -> None:
    """Draw a code ``size`` points wide and ``LETTERS`` higher, its lower left corner at x, y.

    ``pages`` is the address of the shop's pages, "" where it has none. A quarter of it may be smeared or torn.
    """
    canvas.saveState()
    canvas.setFillColor(white)
    canvas.rect(x, y, size, LETTERS, stroke=0, fill=1)
    canvas.setFillColor(black)
    canvas.setFont(BOLD, SMALL)
    canvas.drawCentredString(x + size / 2, y + 2.5, code.shown)
    canvas.restoreState()
    square(canvas, code.content(pages), x, y + LETTERS, size, qrencoder.QRErrorCorrectLevel.Q)


def square(canvas: Any, content: str, x: float, y: float, size: float, level: int = _LEVEL) -> None:
    """Draw the squares of a code, with the white around them."""
    rows = _modules(str(content), level)  # plain letters: the encoder looks into them
    module = size / (len(rows) + 2 * _WHITE)
    canvas.saveState()
    canvas.setFillColor(white)
    canvas.rect(x, y, size, size, stroke=0, fill=1)
    canvas.setFillColor(black)
    path = canvas.beginPath()
    for number, row in enumerate(rows, 1):
        column = _WHITE
        for dark, run in groupby(row):
            length = len(list(run))
            if dark:
                # a little over the row below it, so that no hair of white stands between the two
                low = y + size - (_WHITE + number) * module
                path.rect(x + column * module, low - 0.05 * module, length * module, 1.05 * module)
            column += length
    canvas.drawPath(path, stroke=0, fill=1)
    canvas.restoreState()


@lru_cache(maxsize=256)
def _modules(content: str, level: int) -> tuple[tuple[bool, ...], ...]:
    """Its dark and light squares, row by row. The encoder would take some texts for Chinese."""
    capitals = qrencoder.QRAlphaNum.valid(content)
    made = _Code(None, level)
    made.addData(qrencoder.QRAlphaNum(content) if capitals else qrencoder.QR8bitByte(content))
    made.make()
    return tuple(tuple(map(bool, row)) for row in made.modules)


class _Code(qrencoder.QRCode):  # type: ignore[misc]
    """One whose mask is chosen as the standard asks, in a tenth of the time the encoder's own way takes."""

    def getBestMaskPattern(self) -> int:
        lost = []
        for pattern in range(8):
            self.makeImpl(True, pattern)
            lost.append(_hard_to_read(self.modules))
        return lost.index(min(lost))


def _hard_to_read(modules: Sequence[Sequence[bool]]) -> int:
    """The points a masked code loses: long runs, blocks, what looks like a corner, more dark than light."""
    rows, columns = (
        ["".join("01"[dark] for dark in line) for line in way] for way in (modules, zip(*modules, strict=True))
    )
    points = 0
    for line in (*rows, *columns):
        points += sum(len(run) - 2 for run in re.findall("0{5,}|1{5,}", line))
        points += 40 * (line.count("10111010000") + line.count("00001011101"))
    numbers, all_but_first = [int(row, 2) for row in rows], (1 << len(rows) - 1) - 1
    for upper, lower in pairwise(numbers):
        differ = upper ^ lower
        points += 3 * f"{~(differ | differ >> 1 | upper ^ upper >> 1) & all_but_first:b}".count("1")
    dark = 100 * "".join(rows).count("1") // len(rows) ** 2
    return points + 10 * (abs(dark - 50) // 5)
