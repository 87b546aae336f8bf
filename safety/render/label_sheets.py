"""Sheets of labels, by the size of a label and how many stand on a page: common practice, no source."""

from __future__ import annotations

from dataclasses import dataclass

from reportlab.lib.pagesizes import A4, letter
from reportlab.lib.units import inch, mm


@dataclass(frozen=True, slots=True)
class LabelSheet:
    """Lengths in points. Labels are counted along each row from the left, row by row from the top, from 1."""

    page: tuple[float, float]
    rows: int
    columns: int
    width: float
    height: float
    gap: float  # between two columns; rows stand without any

    @property
    def each(self) -> int:
        return self.rows * self.columns

    def corner(self, place: int) -> tuple[float, float]:
        """The lower left corner of a label; the block of labels stands in the middle of the page."""
        row, column = divmod(place - 1, self.columns)
        left = (self.page[0] - self.columns * self.width - (self.columns - 1) * self.gap) / 2
        top = (self.page[1] + self.rows * self.height) / 2
        return left + column * (self.width + self.gap), top - (row + 1) * self.height


#: Size of a label, rows x columns -> the sheet.
SHEETS = {
    "4x3.33in-3x2": LabelSheet(letter, 3, 2, 4 * inch, 10 * inch / 3, 0.1875 * inch),
    "4x2in-5x2": LabelSheet(letter, 5, 2, 4 * inch, 2 * inch, 0.1875 * inch),
    "105x148mm-2x2": LabelSheet(A4, 2, 2, A4[0] / 2, A4[1] / 2, 0.0),
    "99x68mm-4x2": LabelSheet(A4, 4, 2, 99.1 * mm, 67.7 * mm, 2.5 * mm),
    "105x74mm-4x2": LabelSheet(A4, 4, 2, A4[0] / 2, A4[1] / 4, 0.0),
}
