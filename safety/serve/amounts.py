"""Amounts written down from the page: the very ``use`` records that ``hazstep record use`` writes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from safety.ledger.entries import Stored
from safety.ledger.store import Ledger
from safety.model import Job, Lot, Shop

#: What is asked once about an amount, and then kept as it was said: it is over three times the plan, under a third
#: of it, ten times it or a tenth (a slipped digit), or more than the lot still holds.
Doubt = Literal["over plan", "under plan", "slipped digit", "more than the lot"]


@dataclass(frozen=True, slots=True)
class Planned:
    """What one product of a step is planned to take, in the unit its file uses."""

    product: str
    name: str
    low: float
    high: float
    unit: str  # as the job's file writes it: "mL"
    kind: Literal["mass", "volume"]
    lots: tuple[Lot, ...]  # usable ones first: opened and in date, then in date, then the others
    usable: tuple[str, ...]

    @property
    def middle(self) -> float:
        return (self.low + self.high) / 2


@dataclass(frozen=True, slots=True)
class Question:
    """A question about an amount, before it is written down."""

    doubt: Doubt
    amount: str  # as typed: "6250 mL"
    meant: str = ""  # of a slipped digit: "625 mL"
    planned: str = ""  # "500 to 750 mL"
    left: str = ""  # of a lot that holds less


@dataclass(frozen=True, slots=True)
class Kept:
    """A record that is in the ledger."""

    stored: Stored
    fields: dict[str, Any]


def planned(job: Job, step: int, ledger: Ledger | None, day: str) -> tuple[Planned, ...]:
    """What a step is planned to take, product by product; none of what has no amount in the plan."""
    raise NotImplementedError


def question(plan: Planned, amount: str, lot: str) -> Question | None:
    """What is to be asked about an amount, once."""
    raise NotImplementedError


def as_planned(shop: Shop, ledger: Ledger, job: str, step: str, plan: Planned, **more: Any) -> Kept:
    """Write down the middle of the plan, guessed, with the note "as planned, 500 mL to 750 mL"."""
    raise NotImplementedError


def write(shop: Shop, ledger: Ledger, fields: dict[str, str], now: datetime) -> Kept:
    """Write down a use as typed on the pad. Raises Refused and Problems."""
    raise NotImplementedError


def take_back(ledger: Ledger, key: str, who: str, why: str) -> tuple[Stored, ...]:
    """Undo: the record and its reversal both stay."""
    raise NotImplementedError
