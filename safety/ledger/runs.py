"""Runs: a job that is being done, and every tap made in it. Lines are added and never changed."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Literal

from safety.ledger.store import Ledger


@dataclass(frozen=True, slots=True)
class Run:
    """One doing of a job. ``started`` has the shop's own zone offset: clock times of the day are in it."""

    key: str
    job: str
    title: str
    unit: str
    sheet: str  # id of the frozen sheet it was started with; "" where none was kept
    started: datetime
    who: str
    checks: str = ""  # what was ticked before the start, as JSON
    anyway: str = ""  # why it was started with something unknown, and by whom


@dataclass(frozen=True, slots=True)
class TapLine:
    """One tap as it is kept. ``at`` and ``heard`` are aware, in UTC."""

    key: str
    run: str
    kind: str
    at: datetime
    heard: datetime
    step: int = -1
    coat: int = 0
    value: str = ""
    who: str = ""
    device: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Audit:
    """Who did what from where: for everything that is no tap and no amount."""

    at: datetime
    device: str
    who: str
    address: str
    what: str
    object: str = ""
    before: str = ""  # hash
    after: str = ""


#: What became of a tap: it is new, was there already (the same key), or somebody else's tap was first.
Became = Literal["new", "there", "first"]


def begin_run(ledger: Ledger, run: Run) -> tuple[Run, bool]:
    """Begin a run; one with the same key is given back as it is kept, with False."""
    raise NotImplementedError


def runs(ledger: Ledger, open_only: bool = False) -> tuple[Run, ...]:
    """Every run, the newest first; with ``open_only`` those that nobody has closed."""
    raise NotImplementedError


def add_tap(ledger: Ledger, tap: TapLine) -> tuple[TapLine, Became]:
    """Keep a tap, and return the line that stands: this one, or the one that was there first."""
    raise NotImplementedError


def taps_of(ledger: Ledger, run: str) -> tuple[TapLine, ...]:
    """Every tap of a run, as they were heard."""
    raise NotImplementedError


def audit(ledger: Ledger, line: Audit) -> None:
    """Keep a line of who did what."""
    raise NotImplementedError


def audits(ledger: Ledger, newest: int = 200) -> tuple[Audit, ...]:
    """The newest lines of who did what."""
    raise NotImplementedError
