"""How far what was read agrees with what an invented sheet says."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path

from safety.datasheet.reader import read_file
from safety.datasheet.record import Draft
from tests.datasheet.invented import Layout, Product, pdf

TODAY = date(2026, 11, 30)


def read(folder: Path, data: bytes, name: str = "sheet.pdf") -> list[Draft]:
    path = folder / name
    path.write_bytes(data)
    return read_file(path, TODAY)


def score(folder: Path, product: Product, layout: Layout) -> Counter[str]:
    """Fields that are right, wrong, missed and invented; and of those the unsafe ones."""
    (draft,) = read(folder, pdf(product, layout))
    counts: Counter[str] = Counter()
    counts["right" if draft.name == product.name else "wrong"] += 1
    for key, wanted in product.expect.items():
        value = draft.values.get(key)
        if value is None:
            counts["missed"] += 1
            counts["unsafe"] += key == "hazards"
            continue
        same = (
            value.written == wanted
            if value.size is None
            else abs(value.size / (1000 if key == "density" else 1) - wanted) < 0.006 * max(1, abs(wanted))
        )
        counts["right" if same else "wrong"] += 1
        counts["unsafe"] += not same and key in ("flash_point", "boiling_point", "hazards")
    left = list(draft.parts)
    for wanted in product.parts:
        part = next((one for one in left if one.cas == wanted.cas), None)
        if part is None:
            counts["missed"] += 1
            counts["unsafe"] += 1
            continue
        left.remove(part)
        fits = (part.low, part.high) == (wanted.low, wanted.high) and part.name.replace(" ", "") == wanted.name.replace(
            " ", ""
        )
        counts["right" if fits else "wrong"] += 1
        counts["unsafe"] += part.high < wanted.high
    counts["invented"] += len(left)
    return counts
