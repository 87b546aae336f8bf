"""Values that know where they come from, and values that are not known."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Source:
    """A published work a value was taken from."""

    key: str
    title: str
    edition: str
    publisher: str = ""
    link: str = ""
    terms: str = ""


@dataclass(frozen=True, slots=True)
class Cited:
    """One value [SI base unit] with the place it was read at.

    ``conditions`` maps further numbers that belong to the value, in SI
    (``{"temperature": 293.15}`` for a vapour pressure).
    """

    value: float
    unit: str  # SI base unit of ``value``
    written: str  # as the data file has it: "4 degC"
    source: Source
    at: str  # table, page or entry: what lets a person check it in a minute
    unverified: str = ""  # why nobody has checked it yet; empty once checked
    remark: str = ""
    conditions: tuple[tuple[str, float], ...] = ()

    def condition(self, name: str) -> float | None:
        """The further number called ``name``, or None where the source gives none."""
        return dict(self.conditions).get(name)


@dataclass(frozen=True, slots=True)
class Unknown:
    """A value nobody gave. It has no arithmetic, so forgetting to ask is an error, not a number."""

    reason: str

    def __bool__(self) -> bool:
        raise TypeError(f"an unknown value has no truth: {self.reason}")
