"""The demo shop's sheets, of few draws: each assessed once in a process, for all tests that only read them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from safety.model import Report
from safety.reference.data_files import DATA
from safety.workplace import Workplace

SHOP: Path = DATA / "demo"
JOBS = tuple(sorted(path.stem for path in (SHOP / "jobs").glob("*.toml")))
DRAWS = 60


@cache
def report(job: str) -> Report:
    """The assessed job of this id, in English."""
    return assessed(job)


def assessed(job: str) -> Report:
    """The same in the language being spoken, opened and assessed anew: records hold sentences too."""
    return Workplace.open(SHOP).assess(job, draws=DRAWS)
