"""What the lists say a substance can do: one record for each statement, with the days it holds."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from safety.cited import Source

#: What dimethyl sulfoxide draws out of an oil (IP 346), where a class does not hold for little of it: note L.
EXTRACT = "DMSO extract"


@dataclass(frozen=True, slots=True)
class Band:
    """A specific concentration limit: what a mixture carries from this share of the substance on."""

    code: str  # "H371"
    hazard_class: str  # "STOT SE"
    category: str  # "2"
    low: float  # share by weight, "at or over"
    high: float | None = None  # share by weight, "under"; None = no upper end


@dataclass(frozen=True, slots=True)
class Classification:
    """One hazard statement of a substance. Only ``code`` is always known."""

    code: str  # "H373", "EUH066"
    hazard_class: str = ""  # "STOT RE"; "" = not known
    category: str = ""  # "2", "1A"; "" = not known, so it may be any
    limits: tuple[Band, ...] = ()
    m_factor: float | None = None  # by which the share of a very toxic part counts in water
    ate: float | None = None  # acute toxicity estimate: kg/kg body weight, or kg/m3 of air as vapour
    minimum: bool = False  # the list gives the least category: the supplier may have to give a worse one
    unless: tuple[str, float] | None = None  # (CAS or EXTRACT, share): does not hold where it contains less of that
    source: Source | None = None
    at: str = ""
    unverified: str = ""
    remark: str = ""
    valid_from: date | None = None  # first day in force; None = always was
    valid_until: date | None = None  # last day in force; None = no end is set

    def on(self, day: date) -> bool:
        """Whether it is in force on a day."""
        return (self.valid_from or date.min) <= day <= (self.valid_until or date.max)
