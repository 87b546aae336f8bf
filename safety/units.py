"""Text with a unit to SI and back. The only module that imports pint.

A person's text never reaches pint: our own pattern takes the number, a fixed list of unit
names takes the unit, and pint only says what one of that unit is worth. What it said of every unit of
KINDS stands in ``data/factors.tsv``, so that a command need not load it to be told again.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable
from dataclasses import dataclass
from difflib import get_close_matches
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING

from safety.words import joined, message, say, term

if TYPE_CHECKING:
    from pint import UnitRegistry

_NUMBER = re.compile(r"([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d{1,3})?)\s*(.*)\Z", re.ASCII | re.DOTALL)


#: What people write for a unit, or a part of one, beside what the tables of kinds have.
SPELT = {"ml": "mL", "l": "L", "hour": "h", "hours": "h", "minute": "min", "minutes": "min", "second": "s",
          "seconds": "s", "day": "d", "days": "d", "µg": "ug", "μg": "ug"}  # fmt: skip


class UnitError(ValueError):
    """A quantity that cannot be read. ``wrong`` says why, ``write`` what to write instead."""

    def __init__(self, wrong: str, write: str):
        self.wrong, self.write = wrong, write
        super().__init__(joined((wrong, write), "; "))


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of quantity: its SI base unit, the units people may write, and what is plausible.

    ``low`` and ``high`` are in the base unit and included.
    """

    name: str
    base: str
    units: tuple[str, ...]
    low: float
    high: float
    example: str


def _kind(name: str, base: str, units: str, low: float, high: float, example: str) -> tuple[str, Kind]:
    return name, Kind(name, base, tuple(units.split()), low, high, example)


_SHARES = "% ppm 1"
KINDS: dict[str, Kind] = dict(
    [
        _kind("mass", "kg", "kg g mg ug t lb oz", 0, 1e9, "250 g"),
        _kind("volume", "m3", "m3 m^3 m³ L mL cm3 cm^3 ft3 ft^3 US_gal US_qt US_pt US_fl_oz", 0, 1e9, "250 mL"),
        _kind("length", "m", "m cm mm um in inch ft yd mil", 0, 1e5, "1.5 m"),
        _kind("area", "m2", "m2 m^2 m² cm2 cm^2 cm² ft2 ft^2 ft² in2 in^2 in²", 0, 1e6, "1.5 m^2"),
        _kind("time", "s", "s second seconds min minute minutes h hour hours d day days", 0, 1e10, "10 min"),
        _kind("temperature", "K", "degC °C degF °F K", 173.15, 1773.15, "24 degC"),
        _kind("temperature_difference", "K", "K", 0, 1000, "5 K"),
        _kind("density", "kg/m3", "kg/m3 kg/m^3 g/cm3 g/cm^3 g/mL kg/L g/L lb/US_gal", 0, 25000, "0.87 g/mL"),
        _kind("concentration", "kg/m3", "kg/m3 g/m3 g/m^3 mg/m3 mg/m^3 mg/m³ ug/m3 ug/m^3 mg/L g/L", 0, 3e4, "5 mg/m3"),
        _kind("solubility", "kg/m3", "kg/m3 g/L mg/L mg/mL", 0, 2000, "0.53 g/L"),
        _kind("air_share", "1", "ppm % 1", 0, 1, "200 ppm"),
        _kind("fraction", "1", _SHARES, 0, 1, "25 %"),
        _kind("dose", "1", "g/kg mg/kg", 0, 1, "1200 mg/kg"),  # of body weight
        _kind("number", "1", "1", -1e12, 1e12, "4"),
        _kind("count", "1", "1", 0, 1e9, "3"),
        _kind("mass_rate", "kg/s", "kg/s g/s mg/s kg/h g/min mg/min g/h lb/h lb/min", 0, 1e6, "1.2 g/min"),
        _kind("airflow", "m3/s", "m3/s m^3/s m3/min m^3/min m3/h m^3/h L/s L/min cfm ft3/min", 0, 1e6, "500 cfm"),
        _kind("air_changes", "1/s", "1/s /s 1/min /min 1/h /h 1/hour /hour", 0, 10, "6 /hour"),
        _kind("rate", "1/s", "1/s /s 1/min /min 1/h /h 1/hour /hour", 0, 1e6, "0.03 /min"),
        _kind("speed", "m/s", "m/s m/min cm/s ft/min ft/s", 0, 100, "0.1 m/s"),
        _kind("pressure", "Pa", "Pa hPa kPa bar mbar atm mmHg torr psi", 0, 1e8, "2.9 kPa"),
        _kind("molar_mass", "kg/mol", "kg/mol g/mol", 0.002, 2, "92.14 g/mol"),
        _kind("area_density", "kg/m2", "kg/m2 kg/m^2 g/m2 g/m^2 mg/cm2", 0, 100, "150 g/m^2"),
        _kind("film_volume", "m", "mL/m2 mL/m^2 L/m2 L/m^2", 0, 1, "100 mL/m^2"),
        _kind("spreading_rate", "1/m", "m2/L m^2/L ft2/US_gal ft^2/US_gal", 1, 1e7, "8 m^2/L"),
        _kind("flux", "kg/m2/s", "kg/m2/s g/m2/s g/m2/min g/m2/h", 0, 1e4, "0.1 g/m2/s"),
        _kind("molar_energy", "J/mol", "J/mol kJ/mol kcal/mol", 0, 1e8, "38 kJ/mol"),
        _kind("conductivity", "S/m", "S/m pS/m", 0, 100, "1 pS/m"),
        _kind("permeability", "m/s", "m/s cm/s cm/h", 0, 1, "0.02 cm/h"),
        _kind("diffusivity", "m2/s", "m2/s cm2/s", 0, 1, "0.085 cm2/s"),
        _kind("viscosity", "m2/s", "m2/s mm2/s mm^2/s mm²/s cSt", 0, 1, "1.2 mm2/s"),  # kinematic
        _kind("molar_volume", "m3/mol", "m3/mol cm3/mol", 0, 1, "31 cm3/mol"),
        _kind("ppm", "ppm", "ppm", 0, 1e6, "200 ppm"),  # the number itself, for formulas that turn ppm into mass
        _kind("amount", "mol", "mol", 0, 1e9, "0.65 mol"),
        _kind("kelvin", "K", "K", -1e4, 1e5, "1345 K"),  # a constant of an equation, such as Antoine's b and c
        _kind("heat_transfer", "W/m2/K", "W/m2/K", 0, 1e6, "5 W/m2/K"),
    ]
)  # fmt: skip


#: What the kinds that people write most are called; the others go by their own name.
_CALLED = {
    "mass": message("mass"),
    "volume": message("volume"),
    "length": message("length"),
    "area": message("area"),
    "time": message("time"),
    "temperature": message("temperature"),
    "density": message("density"),
    "air_share": message("air share"),
    "fraction": message("fraction"),
    "airflow": message("airflow"),
    "air_changes": message("air changes"),
    "rate": message("rate"),
    "speed": message("speed"),
    "pressure": message("pressure"),
    "viscosity": message("viscosity"),
    "area_density": message("area density"),
    "film_volume": message("film volume"),
    "spreading_rate": message("spreading rate"),
}


def called(kind: str) -> str:
    """What a kind of quantity is called, in the language being spoken."""
    return term(_CALLED.get(kind, kind.replace("_", " ")))


@cache
def _registry() -> UnitRegistry[float]:
    from pint import UnitRegistry

    return UnitRegistry(str(Path(__file__).parent / "data" / "units.txt"), cache_folder=None)


@cache
def _factors() -> dict[tuple[str, str], tuple[float, float]]:
    """What pint said of each unit when the table was written."""
    lines = (Path(__file__).parent / "data" / "factors.tsv").read_text("utf-8").splitlines()
    rows = (line.split("\t") for line in lines if not line.startswith("#"))
    return {(unit, base): (float(scale), float(zero)) for unit, base, scale, zero in rows}


def _scale(unit: str, base: str) -> tuple[float, float]:
    """Return (a, b) such that the value in ``base`` is a * value + b."""
    return _factors().get((unit, base)) or by_pint(unit, base)


@lru_cache(4096)
def by_pint(unit: str, base: str) -> tuple[float, float]:
    """The same, as pint says it: what the table is made of, and what it does not hold yet."""
    if base == "1":
        return {"1": 1.0, "%": 0.01, "ppm": 1e-6, "g/kg": 1e-3, "mg/kg": 1e-6}[unit], 0.0
    registry = _registry()
    pint_unit = registry.parse_units(_for_pint(unit))
    pint_base = registry.parse_units(_for_pint(base))
    zero = registry.Quantity(0.0, pint_unit).to(pint_base).magnitude
    return registry.Quantity(1.0, pint_unit).to(pint_base).magnitude - zero, zero


def _for_pint(unit: str) -> str:
    """The unit in letters and figures that every release of pint takes."""
    text = f"1{unit}" if unit.startswith("/") else unit
    return text.replace("°", "deg").replace("²", "2").replace("³", "3")


@lru_cache(4096)
def read(text: str, kind: str) -> float:
    """Read ``"250 mL"`` as a quantity of ``kind`` and return it in the kind's SI base unit.

    Raises UnitError with what is wrong and what to write, KeyError for a kind that does not exist.
    """
    k = KINDS[kind]
    write = say('write for example "{example}"', example=k.example)
    match = _NUMBER.match(text.strip())
    if not match:
        wrong = say('"{text}" does not begin with a plain number', text=text)
        raise UnitError(wrong, say("{write} (a point for the decimals)", write=write))
    number, unit = float(match[1]), match[2].strip()
    if not unit and k.base == "1":
        unit = "1"
    if not unit:
        wrong = say('"{text}" has no unit', text=text)
        raise UnitError(wrong, say("{write} ({units})", write=write, units=", ".join(k.units)))
    written, unit = unit, unit_of(unit, k)
    if not unit:
        unit = written
        near = did_you_mean(unit, k.units)
        wrong = say('"{unit}" is not a unit of {kind}', unit=unit, kind=called(k.name))
        raise UnitError(wrong, say("{near}{write} ({units})", near=near, write=write, units=", ".join(k.units)))
    scale, offset = _scale(unit, k.base)
    # 77 degF is 298.15 K, not 298.149999999999 K: a limit must not hang on the last binary digit
    value = float(f"{number * scale + offset:.12g}")
    if number < 0 == offset <= k.low:
        raise UnitError(
            say('"{text}" is less than zero', text=text), say("check the number and its unit, {write}", write=write)
        )
    if not math.isfinite(value) or not k.low <= value <= k.high:
        low, high = show(k.low, kind, unit), show(k.high, kind, unit)
        wrong = say('"{text}" is outside what is possible here ({low} to {high})', text=text, low=low, high=high)
        raise UnitError(wrong, say("check the number and its unit, {write}", write=write))
    return value


def unit_of(written: str, kind: Kind) -> str:
    """The unit of a kind, however its powers and words are spelt ("m³/hour", "ml"); "" where it is none of them."""
    if written in kind.units:
        return written
    return next((unit for unit in kind.units if plainly(unit) == plainly(written)), "")


@lru_cache(4096)
def plainly(unit: str) -> str:
    powers = unit.replace("³", "3").replace("²", "2").replace("^", "")
    return re.sub(r"[^\W\d_]+", lambda word: SPELT.get(word[0], word[0]), powers)


def did_you_mean(unit: str, known: Iterable[str]) -> str:
    """Return ``did you mean "cfm"? `` for a slip in one of ``known``; "" where nothing is like it, or it is a unit."""
    if any(unit in kind.units for kind in KINDS.values()):
        return ""
    names = list(known)
    same = [name for name in names if name.lower() == unit.lower()]
    close = same or get_close_matches(unit, names, 1, 0.6)
    return say('did you mean "{unit}"? ', unit=close[0]) if close else ""


def written_unit(text: str) -> str:
    """Return the unit part of ``"250 mL"`` as it is written, known or not; "" where there is none."""
    match = _NUMBER.match(text.strip())
    return match[2].strip() if match else ""


def convert(value: float, kind: str, unit: str) -> float:
    """Return an SI ``value`` in ``unit``."""
    scale, offset = _scale(unit, KINDS[kind].base)
    return (value - offset) / scale


def show(value: float, kind: str, unit: str, digits: int = 3) -> str:
    """Return an SI ``value`` as text in ``unit`` with ``digits`` significant figures. Rounding happens here only."""
    number = convert(value, kind, unit)
    return f"{significant(number, digits)} {'' if unit == '1' else unit}".rstrip()


def significant(number: float, digits: int = 3) -> str:
    """A number to so many significant figures, without an exponent or zeros at the end of the decimals."""
    if not math.isfinite(number):
        return "no limit" if number > 0 else str(number)
    if number == 0:
        return "0"
    places = digits - 1 - math.floor(math.log10(abs(number)))
    rounded = round(number, places)
    if abs(rounded) < 1e-4 or abs(rounded) >= 1e9:
        return f"{rounded:.{digits - 1}e}"
    text = f"{rounded:.{max(places, 0)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text
