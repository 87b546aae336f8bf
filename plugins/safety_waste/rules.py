"""Rules of the waste packs as the rest of the plugin asks for them: rows and thresholds."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from safety.cited import Unknown
from safety.model import Product, Threshold
from safety.reference import Reference

PLUGIN = "waste"
DAY = 86400.0  # s


def meant_for(product: Product, table: str, reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows of a table of purposes that name a product's; none where nobody says what it is for."""
    return tuple(row for row in reference.table(table) if product.purpose in row["purposes"])


def threshold(name: str, reference: Reference) -> Threshold | None:
    """A threshold, or None where no pack of the shop sets it."""
    found = reference.threshold(name)
    return None if isinstance(found, Unknown) else found


def days(name: str, reference: Reference) -> tuple[int, Threshold] | None:
    """A limit in whole calendar days."""
    found = threshold(name, reference)
    return None if found is None else (round(found.value / DAY), found)
