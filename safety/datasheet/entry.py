"""One part of a product as section 3 prints it."""

from __future__ import annotations

from dataclasses import dataclass, field

from safety.datasheet.shares import Share


@dataclass(slots=True)
class Entry:
    """One part as printed, before anything is made of it."""

    name: str = ""
    cas: list[str] = field(default_factory=list)
    ec: list[str] = field(default_factory=list)
    share: Share | None = None
    printed: str = ""  # the share
    withheld: bool = False  # the identity
    codes: list[str] = field(default_factory=list)
    quote: str = ""
    page: int = 0
