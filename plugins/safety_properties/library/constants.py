"""Single numbers of a substance: density, boiling point, heats, and what it dissolves in."""

from __future__ import annotations

import re
from collections.abc import Iterator
from statistics import median

from safety.cited import Cited
from safety.formulas.basis import ATMOSPHERE
from safety_properties.library import pressure
from safety_properties.library.pressure import Chosen, Curve
from safety_properties.library.tables import Identity, Table, number, signed

_CRC = "CRC Handbook of Chemistry and Physics"
_ORGANIC = Table("Misc/Physical Constants of Organic Compounds.csv", _CRC)
_REFRACTION = Table("Misc/CRC Handbook Organic RI.csv", _CRC)
_EVAPORATION = Table("Phase Change/CRC Handbook Heat of Vaporization.tsv", _CRC)
_DENSITY_VDI = Table("Density/VDI PPDS Density of Saturated Liquids.tsv", "VDI Heat Atlas")
_DENSITY_PERRY = Table("Density/Perry Parameters 105.tsv", "Perry's Chemical Engineers' Handbook")
_BOILING = (
    _ORGANIC,
    Table("Misc/webbook_constants.tsv", "NIST Chemistry WebBook", plain=True),
    Table("Phase Change/Yaws Boiling Points.tsv", "Yaws, boiling points"),
)
_FORMATION = (
    Table("Reactions/ATcT 1.112 (g).tsv", "Active Thermochemical Tables 1.112"),
    Table("Reactions/API TDB Albahri Hf (g).tsv", "API Technical Data Book"),
    Table("Reactions/Yaws Hf S0 (g).tsv", "Yaws, heats of formation"),
)
_LOG_KOW = (
    Table("Environment/CRC logP table.tsv", _CRC),
    Table("Environment/Syrres logP data.csv.gz", "Syracuse Research, measured and estimated"),
)
_ATOMS = re.compile(r"([A-Z][a-z]?)(\d*)")

#: At which the handbook prints densities and heats [K].
_PRINTED = 298.15
#: Boiling points further apart than this are not of one substance at one pressure [K].
_ONE_BOILING_POINT = 5.0
#: Heats of formation of carbon dioxide and water vapour [J/mol] (CODATA Key Values, 1989).
_CARBON_DIOXIDE, _WATER = -393510.0, -241826.0


def values(one: Identity, chosen: Chosen) -> dict[str, tuple[Cited, ...]]:
    """Each property with the values that are believed, the one to use first."""
    return {
        "molar_mass": (one.table.cited(one.molar_mass / 1000, "kg/mol", f"{one.molar_mass:.6g} g/mol", one.cas),),
        "density": tuple(_densities(one)),
        "boiling_point": tuple(_boiling(one.cas, chosen)),
        "heat_of_vaporisation": tuple(_heat_of_evaporation(one.cas)),
        "heat_of_combustion": tuple(_heat_of_combustion(one)),
        "log_kow": tuple(_log_kow(one.cas)),
        "refractive_index": tuple(_refraction(one.cas)),
    }


def _boiling(cas: str, chosen: Chosen) -> Iterator[Cited]:
    """Those that agree; a lone one only where its vapour pressure is about an atmosphere.

    Else it may be one of those that were read at a reduced pressure.
    """
    given = [(v, table) for table in _BOILING if (v := number(table.row(cas).get("Tb")))]
    middle = median(v for v, _ in given) if given else 0.0
    agreed = [(v, table) for v, table in given if abs(v - middle) <= _ONE_BOILING_POINT]
    if len(agreed) < 2:
        agreed = [(v, table) for v, table in given if _boils(v, chosen.curve)]
    for value, table in agreed:
        yield table.cited(value, "K", f"{value - 273.15:.4g} degC", cas)


def _boils(temperature: float, curve: Curve) -> bool:
    value = curve.at(temperature) if temperature <= curve.high else None
    return value is not None and 0.8 < value / ATMOSPHERE < 1.25


def _densities(one: Identity) -> Iterator[Cited]:
    """Of the liquid: from equations at room temperature, and as the handbook prints it."""
    room, printed = pressure.ROOM, _ORGANIC.row(one.cas)
    liquid = (number(printed.get("Tm")) or room) < room
    for value, table, temperature in (
        (_saturated(_DENSITY_VDI.row(one.cas), room), _DENSITY_VDI, room),
        (_dippr_105(_DENSITY_PERRY.row(one.cas), room, one.molar_mass), _DENSITY_PERRY, room),
        (number(printed.get("rho")) if liquid else None, _ORGANIC, _PRINTED),
    ):
        if value and 300 < value < 4000:
            yield table.cited(value, "kg/m3", f"{value:.4g} kg/m3", one.cas, temperature=temperature)


def _saturated(row: dict[str, str], temperature: float) -> float | None:
    """Density of the boiling liquid [kg/m3]."""
    critical, at_critical = number(row.get("Tc")), number(row.get("rhoc"))
    factors = [signed(row.get(name)) for name in "ABCD"]
    if not critical or not at_critical or temperature >= critical or None in factors:
        return None
    tau = 1 - temperature / critical
    powers = (0.35, 2 / 3, 1.0, 4 / 3)
    return float(at_critical + sum((f or 0.0) * tau**p for f, p in zip(factors, powers, strict=True)))


def _dippr_105(row: dict[str, str], temperature: float, molar_mass: float) -> float | None:
    """Density [kg/m3] from an equation in mol/m3; ``molar_mass`` in g/mol."""
    c1, c2, c3, c4, low, high = (number(row.get(k)) for k in ("C1", "C2", "C3", "C4", "Tmin", "Tmax"))
    if not (c1 and c2 and c3 and c4 and low and high) or not low <= temperature <= min(high, c3):
        return None
    return float(c1 / c2 ** (1 + (1 - temperature / c3) ** c4) * molar_mass / 1000)


def _heat_of_evaporation(cas: str) -> Iterator[Cited]:
    if value := number(_EVAPORATION.row(cas).get("Hvap298")):
        yield _EVAPORATION.cited(value, "J/mol", f"{value / 1000:g} kJ/mol", cas, temperature=_PRINTED)


def _heat_of_combustion(one: Identity) -> Iterator[Cited]:
    """The lower heat of the vapour, by arithmetic from its heat of formation; of carbon, hydrogen and oxygen only."""
    atoms: dict[str, int] = {}
    for symbol, count in _ATOMS.findall(one.formula):
        atoms[symbol] = atoms.get(symbol, 0) + int(count or 1)
    if not {"C", "H"} <= set(atoms) <= {"C", "H", "O"}:
        return
    for table in _FORMATION:
        formed = signed(table.row(one.cas).get("Hfg"))
        if formed is not None:
            heat = formed - atoms["C"] * _CARBON_DIOXIDE - atoms["H"] / 2 * _WATER
            remark = f"from the heat of formation {formed / 1000:g} kJ/mol, to carbon dioxide and water vapour"
            yield table.cited(heat, "J/mol", f"{heat / 1000:.5g} kJ/mol", one.cas, remark=remark, temperature=_PRINTED)
            return


def _log_kow(cas: str) -> Iterator[Cited]:
    for table in _LOG_KOW:
        value = signed(table.row(cas).get("logP"))
        if value is not None:
            yield table.cited(value, "1", f"{value:g}", cas)


def _refraction(cas: str) -> Iterator[Cited]:
    row = _REFRACTION.row(cas)
    value, temperature = number(row.get("RI")), number(row.get("RIT"))
    if value and temperature:
        yield _REFRACTION.cited(value, "1", f"{value:g}", cas, temperature=temperature)
