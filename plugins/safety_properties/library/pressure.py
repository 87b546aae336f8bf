"""The vapour pressure at room temperature: five equations of seven handbooks, of which the middle one is used."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Protocol

from safety.words import message
from safety_properties.library.tables import UNCHECKED, Table

ROOM = 293.15  # K
#: A table that begins above room temperature is still good to about 15 % this far below (measured on all substances of
#: six tables: 95 of 100 within 13 %); further down, a factor of two to ten. [K]
STRETCH = 20.0
#: Spread of the tables at room temperature from which the mark says so.
WIDE = 0.10
#: Below this a liquid gives off next to nothing, and tables are guesses [Pa]. Common practice, no source.
FAINT = 0.1
#: What the three constants are fitted over, where the table holds that far [K].
LOW, HIGH = 263.15, 333.15
#: Largest error of the fit that is taken.
POOR_FIT = 0.02

STRETCHED = message("from an installed library, below its table's range, good to about 15 %; nobody has checked it")
ALONE = message("from an installed library that has one table of it; nobody has checked it")
SPREAD = message("from an installed library whose tables lie more than 10 % apart; nobody has checked it")


class Equation(Protocol):
    def __call__(self, temperature: float) -> float: ...


@dataclass(frozen=True, slots=True)
class Curve:
    """A vapour pressure [Pa] over temperature [K], and where its table says that it holds."""

    table: Table
    equation: Equation
    low: float
    high: float

    def at(self, temperature: float) -> float | None:
        """The pressure, or None where the equation gives none (rows below their own range turn complex)."""
        try:
            value = self.equation(temperature)
        except (ArithmeticError, ValueError, TypeError):
            return None
        return value if isinstance(value, float) and 0 < value < 1e9 else None

    def temperature(self, pressure: float) -> float | None:
        """Where the pressure [Pa] is reached [K]; None outside of what the equation can give."""
        low, high = max(self.low - 4 * STRETCH, 120.0), self.high
        bottom, top = self.at(low), self.at(high)
        while bottom is None and low < high:
            low += 10.0
            bottom = self.at(low)
        if bottom is None or top is None or not bottom <= pressure <= top:
            return None
        for _ in range(60):
            middle = (low + high) / 2
            value = self.at(middle)
            low, high = (middle, high) if value is None or value < pressure else (low, middle)
        return low


@dataclass(frozen=True, slots=True)
class Chosen:
    """The curve that is used, its constants (log10 P/Pa = a - b/(T + c)) and how good it is."""

    curve: Curve
    constants: tuple[float, float, float]
    low: float
    high: float
    room: float  # Pa at ROOM
    mark: str
    remark: str


def curves(cas: str) -> list[Curve]:
    """Every curve there is, as its table gives it."""
    found = []
    for table, read in _TABLES:
        row = table.row(cas)
        try:
            equation, low, high = read(row) if row else (None, 0.0, 0.0)
        except (KeyError, ValueError):  # a cell is empty
            continue
        if equation is not None and low < high:
            found.append(Curve(table, equation, low, high))
    return found


def choose(found: list[Curve]) -> Chosen | None:
    """The curve in the middle of those that hold at room temperature, else the nearest above; None where none is."""
    inside = sorted(((p, c) for c in found if c.low <= ROOM <= c.high and (p := c.at(ROOM))), key=lambda pair: pair[0])
    if inside:
        order = sorted(range(len(inside)), key=lambda i: abs(i - len(inside) // 2))
        spread = inside[-1][0] / inside[0][0] - 1
        mark = ALONE if len(inside) == 1 else SPREAD if spread > WIDE else UNCHECKED
        remark = f"tables that hold at 20 degC: {len(inside)}, {inside[0][0]:.4g} to {inside[-1][0]:.4g} Pa"
        tried = [(inside[i][1], mark, remark) for i in order]
    else:
        near = sorted((c for c in found if ROOM < c.low <= ROOM + STRETCH), key=lambda c: c.low)
        tried = [(c, STRETCHED, f"its table begins at {c.low:.1f} K") for c in near]
    return next(filter(None, (_fitted(*one) for one in tried)), None)


def _fitted(curve: Curve, mark: str, remark: str) -> Chosen | None:
    low, high = max(curve.low, LOW), min(curve.high, HIGH)
    if high - low < STRETCH:  # a narrow table, or one that begins above room temperature
        low, high = curve.low, min(curve.low + 2 * STRETCH, curve.high)
    constants = _constants(curve, low, high)
    room = curve.at(ROOM)
    if constants is None or room is None:
        return None
    a, b, c = constants
    if low > ROOM and c > 0:  # bent the wrong way: below its range such a curve is off by a factor of two
        return None
    worst = 0.0
    for step in range(11):
        temperature = low + (high - low) * step / 10
        exact = curve.at(temperature)
        if exact is None:
            return None
        worst = max(worst, abs(10 ** (a - b / (temperature + c)) / exact - 1))
    if worst > POOR_FIT:
        return None
    return Chosen(curve, constants, low, high, room, mark, f"{remark}; refitted, worst {worst * 100:.2g} %")


def _constants(curve: Curve, low: float, high: float) -> tuple[float, float, float] | None:
    """The constants through three points, the middle one halfway: their differences give c, and c the others."""
    points = [curve.at(t) for t in (low, (low + high) / 2, high)]
    if None in points:
        return None
    one, two, three = (math.log10(p) for p in points if p is not None)
    if not one < two < three:
        return None
    ratio = (two - one) / (three - two)
    if ratio <= 1.001:
        return None
    c = (high - ratio * low) / (ratio - 1)
    if low + c <= 0:
        return None
    b = (three - one) / (1 / (low + c) - 1 / (high + c))
    return one + b / (low + c), b, c


# ---------------------------------------------------------------- the tables


Read = tuple[Equation, float, float]


def _numbers(row: Mapping[str, str], *names: str) -> Iterator[float]:
    return (float(row[name]) for name in names)


def _antoine(row: Mapping[str, str], base: float = 10.0) -> Read:
    a, b, c, low, high = _numbers(row, "A", "B", "C", "Tmin", "Tmax")

    def equation(temperature: float) -> float:
        return float(base ** (a - b / (temperature + c))) if temperature + c > 0 else math.nan

    return equation, low, high


def _wagner(row: Mapping[str, str], powers: tuple[float, float], low: str, high: str) -> Read:
    a, b, c, d, critical, pressure, bottom, top = _numbers(row, "A", "B", "C", "D", "Tc", "Pc", low, high)

    def equation(temperature: float) -> float:
        tau = 1 - temperature / critical
        terms = a * tau + b * tau**1.5 + c * tau ** powers[0] + d * tau ** powers[1]
        return float(pressure * math.exp(terms / (1 - tau)))

    return equation, bottom, min(top, critical)


def _dippr_101(row: Mapping[str, str]) -> Read:
    c1, c2, c3, c4, c5, low, high = _numbers(row, "C1", "C2", "C3", "C4", "C5", "Tmin", "Tmax")

    def equation(temperature: float) -> float:
        return math.exp(c1 + c2 / temperature + c3 * math.log(temperature) + c4 * temperature**c5)

    return equation, low, high


_POLING = "Poling et al., The Properties of Gases and Liquids"
_TABLES = (
    (
        Table("Vapor Pressure/Wagner Collection Poling.tsv", _POLING),
        partial(_wagner, powers=(2.5, 5.0), low="Tmin", high="Tmax"),
    ),
    (Table("Vapor Pressure/Antoine Collection Poling.tsv", _POLING), _antoine),
    (
        Table("Vapor Pressure/Wagner Original McGarry.tsv", "McGarry 1983, vapour pressure correlations"),
        partial(_wagner, powers=(3.0, 6.0), low="Tmin", high="Tc"),
    ),
    (
        Table(
            "Vapor Pressure/Table 2-8 Vapor Pressure of Inorganic and Organic Liquids.tsv",
            "Perry's Chemical Engineers' Handbook",
        ),
        _dippr_101,
    ),
    (
        Table("Vapor Pressure/VDI PPDS Boiling temperatures at different pressures.tsv", "VDI Heat Atlas"),
        partial(_wagner, powers=(2.5, 5.0), low="Tm", high="Tc"),
    ),
    (
        Table("Vapor Pressure/Landolt_antoine_V20.tsv", "Landolt-Börnstein IV/20"),
        partial(_antoine, base=math.e),
    ),
)
