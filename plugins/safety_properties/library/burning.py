"""What burns and from when: rows of three compilations, each held against the vapour pressure before it is believed.

A closed cup flashes about where the air over the liquid reaches the lower limit (158 substances of IEC 60079-20-1: -9
to +20 K from there). A row far from that is another substance's, in another unit, of an open cup, or a bound printed
as a value, and then nothing of it is used. Predicted flash points are not read at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety.cited import Cited
from safety.formulas.basis import ATMOSPHERE
from safety.words import say
from safety_properties.library.pressure import Curve
from safety_properties.library.tables import Table, number

#: How far a flash point may lie from where the saturated vapour reaches the lower limit [K].
FITS = 25.0
#: How far two tables may lie apart to confirm one another, where no lower limit is known [K].
AGREES = 10.0

IEC = Table("Safety/IS IEC 60079-20-1 2010.tsv", "IEC 60079-20-1:2010")
NFPA = Table("Safety/NFPA 497 2008.tsv", "NFPA 497:2008")
#: Anybody's entries: only where nothing else is said.
OPEN = Table("Misc/wikidata_properties.tsv", "Wikidata", plain=True)


@dataclass(frozen=True, slots=True)
class _Row:
    table: Table
    flash: float | None  # K
    lower: float | None  # mole fraction
    upper: float | None
    ignites: float | None  # K


def values(cas: str, curve: Curve) -> tuple[dict[str, tuple[Cited, ...]], list[str]]:
    """The believed values by property, the careful one first; and a sentence for each row that is not used."""
    rows = [_read(table, table.row(cas)) for table in (IEC, NFPA, OPEN)]
    used, refused = [], []
    for row in rows:
        others = [one for one in rows if one is not row]
        if row.flash is None or _sound(row, others, curve):
            used.append(row)
        else:
            refused.append(
                say("Not used: {table}, flash point {c:.0f} °C.", table=row.table.title, c=row.flash - 273.15)
            )
    if any(row.lower or row.flash for row in used if row.table is not OPEN):
        used = [row for row in used if row.table is not OPEN]
    found: dict[str, tuple[Cited, ...]] = {}
    for name, key, unit, low_first in (
        ("flash_point", "flash", "K", True),
        ("lower_explosive_limit", "lower", "1", True),
        ("upper_explosive_limit", "upper", "1", False),
        ("autoignition", "ignites", "K", True),
    ):
        given = [(value, row.table) for row in used if (value := getattr(row, key)) is not None]
        given.sort(key=lambda pair: pair[0] if low_first else -pair[0])
        if given:
            found[name] = tuple(table.cited(v, unit, _written(v, unit), cas) for v, table in given)
    return found, refused


def _read(table: Table, cells: Mapping[str, str]) -> _Row:
    lower, upper = number(cells.get("LFL")), number(cells.get("UFL"))
    if lower is not None and not 0.001 <= lower < (upper or 1.0):
        lower = upper = None
    return _Row(table, number(cells.get("T_flash")), lower, upper, number(cells.get("T_autoignition")))


def _sound(row: _Row, others: list[_Row], curve: Curve) -> bool:
    """Whether a row's flash point goes with the vapour pressure, or, without a lower limit, with another table's."""
    assert row.flash is not None
    lower = row.lower or min((one.lower for one in others if one.lower), default=None)
    saturated = curve.temperature(lower * ATMOSPHERE) if lower else None
    if saturated is not None:
        return abs(row.flash - saturated) <= FITS
    return any(one.flash is not None and abs(one.flash - row.flash) <= AGREES for one in others)


def _written(value: float, unit: str) -> str:
    return f"{value - 273.15:.4g} degC" if unit == "K" else f"{value * 100:.4g} %"
