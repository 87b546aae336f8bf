"""Every number of the substance files against where it came from: value, condition and range.

Two sources. What came out of a data set of the packages chemicals and thermo is asked again; the place of the value
(``at``) names the data set or the method. What was read in print, or recalled, is held against printed.csv, which has
it in the unit and at the temperature the source prints (``seen``: yes, or memory; ``taken``: which end of a printed
range). Between them they leave no value out.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from safety import units
from safety.cited import Cited
from safety.formulas.exposure import GROUPS
from safety.formulas.ignition import VACUUM_PERMITTIVITY, antoine_pressure
from safety.model import Substance

pytestmark = pytest.mark.filterwarnings("ignore")  # what the two packages' own imports warn of

Ask = Callable[[Substance, Cited, str], float]  # what a package answers for a value and the data set it names


@cache
def _thermo(kind: str, cas: str) -> Any:
    import thermo

    return getattr(thermo, kind)(CASRN=cas)


def _asked(kind: str) -> Ask:
    def ask(substance: Substance, value: Cited, method: str) -> float:
        temperature = value.condition("temperature")
        assert temperature is not None, f"{substance.cas}.toml: write the temperature of {value.at}"
        if method == "CRC_HVAP_298":  # one value, at one temperature
            _at_room(substance, value)
        return float(_thermo(kind, substance.cas).calculate(temperature, method))

    return ask


def _at_room(substance: Substance, value: Cited) -> None:
    write = f'{substance.cas}.toml: write temperature = "25 degC" beside {value.at}, or a value of another data set'
    assert value.condition("temperature") == pytest.approx(298.15), write


def _density(substance: Substance, value: Cited, method: str) -> float:
    import chemicals

    return chemicals.MW(substance.cas) / 1000 / _asked("VolumeLiquid")(substance, value, method)


def _printed_density(substance: Substance, value: Cited, method: str) -> float:
    from chemicals.miscdata import CRC_organic_data as table

    assert method == "CRC_ORG"
    _at_room(substance, value)  # the handbook's, where it gives no other
    return float(table.at[substance.cas, "rho"])


def _held(function: str) -> Ask:
    def ask(substance: Substance, value: Cited, method: str) -> float:
        import chemicals

        return float(getattr(chemicals, function)(CASRN=substance.cas, method=method))

    return ask


def _refraction(substance: Substance, value: Cited, method: str) -> float:
    import chemicals

    cas = "108-38-3" if value.at.endswith(", row of m-xylene") else substance.cas
    index, temperature = chemicals.RI(cas, method=method)
    write = f'{substance.cas}.toml: write temperature = "{temperature - 273.15:g} degC" in {value.at}'
    assert value.condition("temperature") == pytest.approx(temperature, abs=0.01), write
    return float(index)


#: Ideal-gas heats of formation [J/mol] at 25 degC. CODATA Key Values for Thermodynamics (1989).
CARBON_DIOXIDE, WATER_VAPOUR = -393.51e3, -241.826e3


def _combustion(substance: Substance, value: Cited, method: str) -> float:
    """Lower heat of the vapour, from its heat of formation, burnt to carbon dioxide, water vapour and nitrogen."""
    import chemicals
    from chemicals.identifiers import search_chemical

    atoms = chemicals.simple_formula_parser(search_chemical(substance.cas).formula)
    assert set(atoms) <= {"C", "H", "O", "N"}, substance.name
    formation = chemicals.Hfg(substance.cas, method=method)
    heat = f"heat of formation {formation / 1000:.6g} kJ/mol"
    assert heat in value.at, f'{substance.cas}.toml: write "ideal-gas {heat}, ..." as at of [[heat_of_combustion]]'
    _at_room(substance, value)
    return float(formation) - atoms["C"] * CARBON_DIOXIDE - atoms["H"] / 2 * WATER_VAPOUR


#: property, what ``at`` begins with, whom to ask, how far the written digits may be (relative, absolute)
ASKED: tuple[tuple[str, str, Ask, float, float], ...] = (
    ("density", "liquid volume, method ", _density, 1e-4, 0.0),
    ("density", "liquid density, data set ", _printed_density, 1e-4, 0.0),
    ("vapour_pressure", "vapour pressure, method ", _asked("VaporPressure"), 1e-4, 0.0),
    ("heat_of_vaporisation", "heat of vaporisation, method ", _asked("EnthalpyVaporization"), 3e-4, 0.0),
    ("boiling_point", "boiling point, data set ", _held("Tb"), 0.0, 0.051),
    ("flash_point", "flash point, data set WIKIDATA", _held("T_flash"), 0.0, 0.051),
    ("log_kow", "log P, data set ", _held("logP"), 0.0, 0.001),
    ("lower_explosive_limit", "lower flammable limit, data set WIKIDATA", _held("LFL"), 1e-4, 0.0),
    ("upper_explosive_limit", "upper flammable limit, data set WIKIDATA", _held("UFL"), 1e-4, 0.0),
    ("refractive_index", "refractive index (sodium D line), data set ", _refraction, 1e-5, 0.0),
    ("heat_of_combustion", "ideal-gas heat of formation ", _combustion, 1e-4, 0.0),
)
METHOD = re.compile(r"(?:method|data set) ([A-Z0-9_]+)")


#: Compared by test_physics: molar masses, and the limits, flash points and ignition temperatures of two compilations.
ELSEWHERE = re.compile(r"molar mass, from the formula|.*, data set (IEC 60079-20-1 \(2010\)|NFPA 497 \(2008\))")


def _origin(name: str, value: Cited) -> tuple[Ask, str, float, float] | None:
    """Whom to ask for a value that a package holds, and how near the answer must be."""
    method = METHOD.search(value.at)
    for asked, begins, ask, relative, absolute in ASKED:
        if asked == name and value.at.startswith(begins) and method:
            return ask, method[1], relative, absolute
    return None


def test_a_copied_value_is_what_its_data_set_holds(substances: tuple[Substance, ...]) -> None:
    checked = 0
    for substance in substances:
        for name, values in substance.properties.items():
            for value in values:
                origin = _origin(name, value)
                if origin:
                    ask, method, relative, absolute = origin
                    expected = ask(substance, value, method)
                    write = f"{substance.cas}.toml: write what its data set holds as [[{name}]], or another at"
                    assert value.value == pytest.approx(expected, rel=relative, abs=absolute), write
                    checked += 1
    assert checked > 360


# ---------------------------------------------------------------- what was read in print

with (Path(__file__).parent / "printed.csv").open() as _stream:
    PRINTED = list(csv.DictReader(_stream))
KELVIN = ("flash_point", "boiling_point", "boiling_end", "autoignition")
#: Water at 4 degC [kg/m3], which a specific gravity is a multiple of: CRC Handbook. Molar volume at 25 degC [m3/mol]:
#: Pocket Guide, introduction.
WATER, MOLAR_VOLUME = 999.97, 24.45e-3


def _number(row: dict[str, str]) -> float:
    """What is printed, or the end of the printed range that was taken."""
    if not row["taken"]:
        return float(row["printed"])
    low, high = map(float, row["printed"].split("-"))
    return {"low": low, "high": high, "middle": (low + high) / 2}[row["taken"]]


def _si(row: dict[str, str]) -> float:
    unit = row["unit"]
    if unit == "permittivity:relaxation time, s":  # kappa = eps_0 * eps_r / tau
        permittivity, seconds = map(float, row["printed"].split(":"))
        return VACUUM_PERMITTIVITY * permittivity / seconds
    if unit == "water = 1":
        return _number(row) * WATER
    if unit == "% of 1 kg/L":
        return _number(row) * 10  # kg/m3
    if unit == "mg/m3 per ppm":
        return _number(row) * MOLAR_VOLUME  # kg/mol: 1 mg/m3 for 1 ppm is 1 g/m3 for a share of 0.1 %
    kind = {"molar_mass": "molar_mass", "density": "density", "vapour_pressure": "pressure", "log_kow": "number",
            "conductivity": "conductivity", "water_solubility": "solubility"}.get(row["property"], "air_share")  # fmt: skip
    return units.read(f"{_number(row)!r} {unit}", "temperature" if row["property"] in KELVIN else kind)


def _is(value: Cited, row: dict[str, str]) -> bool:
    """Value and temperature as printed, rounded to 0.1 K or three digits; what was rebuilt, to the digits it has."""
    rebuilt = row["unit"].startswith("permittivity")
    near = {"abs": 0.12} if row["property"] in KELVIN else {"rel": 0.03 if rebuilt else 0.01}
    there = value.condition("temperature")
    printed = units.read(row["temperature"], "temperature") if row["temperature"] else None
    same = printed is there is None or (None not in (printed, there) and there == pytest.approx(printed, abs=0.4))
    return same and value.value == pytest.approx(_si(row), **{"abs": 0.0, **near})


def test_every_other_value_is_the_printed_one(substances: tuple[Substance, ...]) -> None:
    """Each value that is in no package has a row that says the same, and each row has its value."""
    left = {id(row) for row in PRINTED}
    wrong = []
    for substance in substances:
        for name, values in substance.properties.items():
            for value in values if not name.startswith("antoine") else ():
                rows = [row for row in PRINTED if (row["cas"], row["property"], row["source"])
                        == (substance.cas, name, value.source.key)]  # fmt: skip
                fits = [row for row in rows if _is(value, row)]
                left -= {id(row) for row in fits}
                if not (fits or _origin(name, value) or ELSEWHERE.match(value.at) or _by_arithmetic(substance, value)):
                    wrong.append((substance.cas, name, value.source.key, value.value))
    columns = "the columns are those of its first line, and seen is yes or memory"
    assert wrong == [], f"write a row of each, as its source prints it, into tests/data/printed.csv; {columns}"
    gone = [row for row in PRINTED if id(row) in left]
    assert gone == [], "no file in data/substances has these rows of tests/data/printed.csv"


def test_printed_rows_say_where_they_are_from() -> None:
    for row in PRINTED:
        assert row["at"]
        assert row["seen"] in {"yes", "memory"}
    assert len(PRINTED) > 360


# ---------------------------------------------------------------- by arithmetic


def _by_arithmetic(substance: Substance, value: Cited) -> bool:
    """A vapour pressure interpolated on the substance's own equation (test_the_lines and test_physics hold it)."""
    if value.source.key == "burgess-wheeler":  # test_physics holds it
        return True
    if not ("interpolated" in value.remark or value.at.startswith("sum over the isomers")):
        return False
    a, b, c = (substance.properties[f"antoine_{x}"][0].value for x in "abc")
    temperature = value.condition("temperature")
    assert temperature is not None
    return bool(value.value == pytest.approx(float(antoine_pressure(a, b, c, temperature)), rel=0.01))


#: The temperatures the equations are for [K]: -10 to 60 degC, of a recalled line 10 to 60 degC. Ours; a method's own
#: bounds and the two points of a line are tighter.
COLD, COOL, HOT = 263.15, 283.15, 333.15


def _sets(substances: tuple[Substance, ...]) -> list[tuple[Substance, Cited, tuple[float, float, float, float, float]]]:
    found = []
    for substance in substances:
        for a, b, c in zip(*(substance.properties.get(f"antoine_{x}", ()) for x in "abc"), strict=True):
            low, high = a.condition("low"), a.condition("high")
            write = f"{substance.cas}.toml: write low and high, the temperatures of its fit, in each [[antoine_a]]"
            assert low is not None, write
            assert high is not None, write
            found.append((substance, a, (a.value, b.value, c.value, low, high)))
    return found


def test_published_antoine_sets_are_the_published_ones(substances: tuple[Substance, ...]) -> None:
    """Poling, Prausnitz & O'Connell, as chemicals holds the table: constants and range."""
    from chemicals.vapor_pressure import Psat_data_AntoinePoling as table

    held = [entry for entry in _sets(substances) if entry[1].at.endswith("Psat_data_AntoinePoling")]
    assert len(held) > 20
    for substance, _, numbers in held:
        row = table.loc[substance.cas]
        wanted = [float(row[key]) for key in ("A", "B", "C", "Tmin", "Tmax")]
        write = f"{substance.cas}.toml: write these as antoine_a, _b, _c, low and high: {wanted}"
        assert numbers == pytest.approx(wanted, rel=6e-6), write


def test_a_fit_deviates_by_what_it_says_over_the_range_it_says(substances: tuple[Substance, ...]) -> None:
    """The worst deviation each file states, found again every kelvin over the stated range (thermo, asked afresh)."""
    import chemicals

    checked = 0
    for substance, a, (*constants, low, high) in _sets(substances):
        method = re.match(r"method (\w+), refitted", a.at)
        if method is None:
            continue
        library = _thermo("VaporPressure", substance.cas)
        kelvins = np.append(np.arange(low, high, 1.0), high)
        ours = antoine_pressure(*constants, kelvins)  # type: ignore[arg-type]
        worst = 100 * max(abs(p / library.calculate(t, method[1]) - 1) for t, p in zip(kelvins, ours, strict=True))
        stated = re.search(r"worst deviation of the fit (below )?([\d.]+) %", a.remark)
        write = f'{substance.cas}.toml, [[antoine_a]]: write remark = "worst deviation of the fit {worst:.3g} %"'
        assert stated, write
        assert worst <= float(stated[2]) if stated[1] else worst == pytest.approx(float(stated[2]), rel=0.03), write
        own = re.search(r"holds from ([\d.]+) K", a.remark)  # an extrapolated method: from 0 degC
        bound, _ = library.T_limits[method[1]]
        freezes = chemicals.Tt(substance.cas) or 0.0  # triple point
        begins = 273.15 if own else max(COLD, bound, freezes)
        assert low == pytest.approx(begins, abs=0.01), (
            f'{substance.cas}.toml, [[antoine_a]]: fit it from {begins:.2f} K on, and write low = "{begins:.2f} K"'
        )
        assert not own or float(own[1]) == pytest.approx(bound, abs=0.06)
        assert high == HOT
        checked += 1
    assert checked > 30


def test_a_line_goes_through_its_two_points(substances: tuple[Substance, ...]) -> None:
    """log P against 1/T through two printed points; where only one pressure is printed, the other is the boiling point."""
    checked = 0
    for substance, a, (first, second, third, low, high) in _sets(substances):
        points = re.match(
            r"line of log P against 1/T through two points: ([\d.]+) Pa at ([\d.]+) degC and "
            r"(?:([\d.]+) Pa at ([\d.]+)|the (?:boiling point|start of boiling,) ([\d.]+)) degC",
            a.remark,
        )
        if points is None:
            continue
        pressure, celsius, other, hotter, boiling = (float(p) if p else 0.0 for p in points.groups())
        one, two = 1 / (celsius + 273.15), 1 / ((hotter or boiling) + 273.15)
        slope = (math.log10(other or 101325) - math.log10(pressure)) / (one - two)
        start = math.log10(pressure) + slope * one
        ends = (celsius + 273.15, hotter + 273.15) if other else (COOL, HOT)
        write = f"{substance.cas}.toml: through these points antoine_a = {start:.7g}, antoine_b = {slope:.7g} K, "
        write += f"antoine_c = 0 K, low and high = {ends}; and the point is a [[vapour_pressure]] too"
        assert second == pytest.approx(slope, rel=1e-5), write
        assert first == pytest.approx(start, rel=1e-5), write
        assert third == 0, write
        assert (low, high) == ends, write
        assert any(v.value == pytest.approx(pressure, rel=0.01) for v in substance.properties["vapour_pressure"]), write
        checked += 1
    assert checked >= 10


def test_the_blend_of_xylenes_holds_for_the_range_of_its_isomers(substances: tuple[Substance, ...]) -> None:
    """test_physics holds the equation to Raoult's law from 0 to 40 degC; here its range, ours."""
    (low, high), = ((n[3], n[4]) for s, _, n in _sets(substances) if s.cas == "1330-20-7")  # fmt: skip
    assert (low, high) == (COLD, HOT)


def test_groups_a_limit_counts_are_those_of_the_formula(substances: tuple[Substance, ...]) -> None:
    """One chromium in the two chromates, two NCO in hexamethylene diisocyanate: formulas and weights of chemicals."""
    import chemicals

    assert GROUPS["Cr"] * 1e3 == pytest.approx(chemicals.MW("7440-47-3"), rel=1e-5)
    assert GROUPS["NCO"] * 1e3 == pytest.approx(14.007 + 12.011 + 15.999, rel=1e-5)
    groups = {s.cas: s.groups for s in substances if s.groups}
    assert set(groups) == {
        "7789-06-2", "13530-65-9", "822-06-0", "101-68-8", "584-84-9", "91-08-7", "26471-62-5", "9016-87-9"
    }  # fmt: skip
    for cas in ("7789-06-2", "13530-65-9"):
        atoms = chemicals.simple_formula_parser(chemicals.search_chemical(cas).formula)
        assert groups[cas] == {"Cr": atoms["Cr"]}
    for cas in ("822-06-0", "101-68-8", "584-84-9", "91-08-7"):
        atoms = chemicals.simple_formula_parser(chemicals.search_chemical(cas).formula)
        assert groups[cas] == {"NCO": atoms["N"]}
        assert atoms["N"] == atoms["O"] == 2
    assert groups["26471-62-5"] == groups["584-84-9"]  # a mixture of the two isomers
    # polymeric MDI: 30 to 32 % of NCO by weight in the trade (common practice, no source)
    (crude,) = (s for s in substances if s.cas == "9016-87-9")
    mass = crude.best("molar_mass")
    assert isinstance(mass, Cited)
    assert crude.groups["NCO"] * GROUPS["NCO"] / mass.value == pytest.approx(0.31, abs=0.01)
