"""What a file gives from one bound to another, and what a data sheet says of one part of a product."""

from __future__ import annotations

from dataclasses import dataclass

from safety.model.data import LimitKind


@dataclass(frozen=True, slots=True)
class Range:
    """A quantity between its 5th and 95th percentile; ``low == high`` means one number was given."""

    low: float
    high: float
    written: str = ""  # as the file has it; empty for our own defaults
    basis: str = ""  # where a default comes from; empty where the shop gave it

    @property
    def exact(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True, slots=True)
class StatedLimit:
    """An exposure limit of a part as section 8 of its product's data sheet prints it."""

    kind: LimitKind
    value: float  # mole fraction in air where ``by_volume``, else kg/m3
    by_volume: bool
    written: str
    list: str  # whose limit the sheet says it is


@dataclass(frozen=True, slots=True)
class Stated:
    """What a product's data sheet says of one of its parts alone (sections 3, 8 and 9). None where it says nothing."""

    boiling_range: Range | None = None  # K, where a petroleum fraction begins and ends to boil (D86, ISO 3405)
    density: float | None = None  # kg/m3, at 15 degC
    vapour_pressure: Range | None = None  # Pa
    vapour_pressure_at: float = 293.15  # K
    flash_point: float | None = None  # K
    lower_explosive_limit: float | None = None  # mole fraction
    viscosity: float | None = None  # m2/s, kinematic, at 40 degC
    benzene: Range | None = None  # share by weight of the part
    dmso_extract: Range | None = None  # share by weight of the part, by IP 346
    carbon_numbers: tuple[int, int] | None = None
    aromatics: Range | None = None  # share by weight of the part
    limits: tuple[StatedLimit, ...] = ()


NOT_STATED = Stated()
