"""Who does the work: the days of what each person needs for it. Nothing of their health is kept."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Literal

from safety.model.data import nothing

#: What somebody may do on the page beside what everybody may.
Office = Literal["officer", "office"]


@dataclass(frozen=True, slots=True)
class Person:
    """One person of the shop. Of a medical examination only the day and its outcome are kept, never a finding."""

    id: str
    name: str  # initials are enough
    under_18: bool | None = None  # None: nobody said
    cleared: date | None = None  # the day a doctor cleared the person to wear a respirator; None: not known to be
    cleared_until: date | None = None  # the last day of it; None: no end is set
    fit_tests: Mapping[str, date] = field(default_factory=nothing, hash=False)  # Respirator.id -> day of the last one
    trained: Mapping[str, date] = field(default_factory=nothing, hash=False)  # what for -> day of the last training
    roles: tuple[Office, ...] = ()

    def cleared_on(self, day: date) -> bool:
        """Whether the clearance to wear a respirator holds on a day."""
        if self.cleared is None or self.cleared > day:
            return False
        return self.cleared_until is None or day <= self.cleared_until
