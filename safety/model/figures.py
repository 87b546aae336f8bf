"""Numbers with what they were made from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any


@dataclass(frozen=True, slots=True)
class Figure:
    """A number on a sheet, with what it was made from. ``value`` is in ``unit``."""

    name: str
    value: float
    unit: str
    formula: str = ""  # a name in the formula catalogue, or "" for a datum
    inputs: tuple[tuple[str, Any], ...] = ()  # label -> Figure, Cited, Limit, Threshold, Range or text
    p50: float | None = None  # where the value is a 95th percentile
    note: str = ""
