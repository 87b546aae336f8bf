"""The size of every unit against scipy.constants, which takes it from NIST Special Publication 811 and CODATA."""

from __future__ import annotations

import subprocess
import sys

import pytest
from scipy import constants

from safety import units

GALLON, FOOT, POUND, HOUR = constants.gallon, constants.foot, constants.pound, constants.hour
TORR = constants.torr  # a 760th of an atmosphere
MERCURY = 13595.1 * constants.g * 1e-3  # a millimetre of mercury of conventional density, SP 811 appendix B

#: kind -> what one of each unit is in the kind's base unit. The decimal ones are what their prefixes say (SI Brochure).
SIZES = {
    "mass": {"g": 1e-3, "mg": 1e-6, "ug": 1e-9, "t": 1e3, "lb": POUND, "oz": constants.ounce},
    "volume": {
        "L": 1e-3, "mL": 1e-6, "cm3": 1e-6, "ft3": FOOT**3, "US_gal": GALLON, "US_qt": GALLON / 4,
        "US_pt": GALLON / 8, "US_fl_oz": constants.fluid_ounce_US,
    },
    "length": {
        "cm": 1e-2, "mm": 1e-3, "um": constants.micron, "in": constants.inch, "ft": FOOT, "yd": constants.yard,
        "mil": constants.mil,
    },
    "area": {"cm2": 1e-4, "ft2": FOOT**2, "in2": constants.inch**2},
    "time": {"min": constants.minute, "h": HOUR, "d": constants.day},
    "density": {"g/mL": 1e3, "lb/US_gal": POUND / GALLON},
    "airflow": {"cfm": FOOT**3 / 60, "ft3/min": FOOT**3 / 60, "m3/h": 1 / HOUR},
    "pressure": {
        "hPa": 1e2, "kPa": 1e3, "bar": constants.bar, "mbar": constants.bar / 1e3, "atm": constants.atm,
        "mmHg": MERCURY, "torr": TORR, "psi": constants.psi,
    },
    "molar_energy": {"kJ/mol": 1e3, "kcal/mol": 1e3 * constants.calorie_th},
    "conductivity": {"pS/m": constants.pico},
    "heat_transfer": {"W/m2/K": 1.0},
    "air_share": {"%": 1e-2, "ppm": 1e-6},
    "fraction": {"%": 1e-2, "ppm": 1e-6},
}  # fmt: skip


@pytest.mark.parametrize(("kind", "unit"), [(kind, unit) for kind, sizes in SIZES.items() for unit in sizes])
def test_a_unit_is_as_large_as_published(kind: str, unit: str) -> None:
    size = SIZES[kind][unit]
    # torr and mmHg differ in the seventh digit: 1e-8 tells them apart
    assert units.read(f"0.5 {unit}", kind) == pytest.approx(0.5 * size, rel=1e-8, abs=0.0)
    assert units.convert(0.5 * size, kind, unit) == pytest.approx(0.5, rel=1e-8)


@pytest.mark.parametrize(("text", "kelvin"), [("20 degC", 293.15), ("68 degF", 293.15), ("-40 degF", 233.15)])
def test_a_degree_is_a_degree(text: str, kelvin: float) -> None:
    assert constants.convert_temperature(20.0, "Celsius", "Kelvin") == 293.15
    assert units.read(text, "temperature") == pytest.approx(kelvin, abs=1e-9)


def test_no_unit_needs_pint_to_be_read() -> None:
    """A third of the time of ``hazstep check`` went into loading pint, to be told again what the table holds."""
    code = (
        "import sys; from safety import units\n"
        "for name, kind in units.KINDS.items():\n"
        "    for unit in kind.units: units.convert(1.0, name, unit)\n"
        "sys.exit('pint' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0


def test_pint_is_asked_for_what_the_table_lacks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(units, "_factors", dict)
    assert units.convert(1.0, "mass", "g") == 1000.0
