"""What people of a shop decided, and the caps of its permits."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

from safety.model.data import Compare


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person of the shop decided where a rule is not plain, once and for all jobs."""

    question: str  # id of the question in a rules pack
    answer: Literal["yes", "no"]
    name: str  # who decided
    date: date
    reason: str = ""
    number: str = ""  # of the authorisation it rests on


@dataclass(frozen=True, slots=True)
class Permit:
    """A cap the shop's own permit or a local rule sets."""

    name: str
    value: float  # kg, or m3
    unit: Literal["kg", "m3"]
    written: str
    per: Literal["month", "year", "rolling 12 months"]
    of: str  # "VOC", "HAP", a CAS number, or a product id
    citation: str
    compare: Compare = "at or over"
