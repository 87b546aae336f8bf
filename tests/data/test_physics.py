"""The value used against other published values, and what was copied from a library against that library.

References: NIOSH Pocket Guide, IEC 60079-20-1, NFPA 497 and 77, INRS sheets, ATSDR, CRC Handbook and Yaws as held in
the data files; the Python packages chemicals and thermo, asked afresh here.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator
from pathlib import Path

import pytest

from safety.cited import Cited, Unknown
from safety.formulas.ignition import lower_limit_from_heat
from safety.model import Figure, Substance
from safety.reference import Reference
from safety.reference.data_files import DATA
from tests.data.test_files import BASE_OILS, BY_THE_PRODUCT

pytestmark = pytest.mark.filterwarnings("ignore")  # what the two packages' own imports warn of

# What two good sources may differ by: relative, or in kelvin. The vapour pressure, flash point and explosive limit
# bounds are those of the comparison the values were chosen by; molar mass is the Pocket Guide's rounding to 0.1 g/mol.
RELATIVE = {"molar_mass": 0.002, "lower_explosive_limit": 0.10, "upper_explosive_limit": 0.10, "vapour_pressure": 0.10}
KELVIN = {"boiling_point": 3.0, "flash_point": 3.0}

with (Path(__file__).parent / "disagreements.csv").open() as _stream:
    KNOWN = {(row["cas"], row["property"], row["source"]): row["reason"] for row in csv.DictReader(_stream)}

# Fewer comparisons than this mean that data were lost.
LEAST = {
    "molar_mass": 30, "boiling_point": 90, "flash_point": 55, "lower_explosive_limit": 68,
    "upper_explosive_limit": 60, "vapour_pressure": 48,
}  # fmt: skip

Case = tuple[tuple[str, str, str], float]  # what is compared; deviation as a share of what is allowed


@pytest.fixture(scope="module")
def comparisons(shipped: Reference, substances: tuple[Substance, ...]) -> list[Case]:
    """Every value from another source than the preferred one, and how far it lies from it."""
    return [case for s in substances for case in (*_values(s), *_pressures(shipped, s))]


def _values(substance: Substance) -> Iterator[Case]:
    for name in (*RELATIVE, *KELVIN):
        first, *others = substance.properties.get(name, ()) or (None,)
        for other in others if name != "vapour_pressure" else ():
            if first is not None and other.source != first.source:
                yield (substance.cas, name, other.source.key), _deviation(name, other.value, first.value)


def _pressures(reference: Reference, substance: Substance) -> Iterator[Case]:
    """Single printed vapour pressures against the first Antoine set, where that came from elsewhere."""
    equation = substance.best("antoine_a")
    for point in substance.properties.get("vapour_pressure", ()):
        if isinstance(equation, Cited) and point.source != equation.source:
            computed = reference.vapour_pressure(substance.cas, point.condition("temperature") or 0.0)
            assert isinstance(computed, Figure)
            yield (
                (substance.cas, "vapour_pressure", point.source.key),
                _deviation("vapour_pressure", point.value, computed.value),
            )


def _deviation(name: str, value: float, used: float) -> float:
    return abs(value - used) / KELVIN[name] if name in KELVIN else abs(value / used - 1) / RELATIVE[name]


def test_sources_agree_or_the_disagreement_is_known(comparisons: list[Case]) -> None:
    wrong = sorted({key for key, deviation in comparisons if deviation > 1 + 1e-9} - set(KNOWN))
    assert wrong == [], "mend the value, or write a row with the reason into tests/data/disagreements.csv"


def test_known_disagreements_are_real(comparisons: list[Case]) -> None:
    real = {key for key, deviation in comparisons if deviation > 1 + 1e-9}
    assert set(KNOWN) - real == set()
    assert all(KNOWN.values())


def test_enough_is_compared(comparisons: list[Case]) -> None:
    count = {name: sum(key[1] == name for key, _ in comparisons) for name in (*RELATIVE, *KELVIN)}
    assert {name: least for name, least in LEAST.items() if count[name] < least} == {}
    assert len({key[0] for key, _ in comparisons}) >= 36  # substances


# ---------------------------------------------------------------- against the libraries, asked afresh

LOOKED_UP = {
    ("boiling_point", "crc"): ("Tb", ("CRC_ORG", "CRC_INORG")),
    ("boiling_point", "yaws"): ("Tb", ("YAWS",)),
    ("flash_point", "iec-60079-20-1"): ("T_flash", ("IEC 60079-20-1 (2010)",)),
    ("flash_point", "nfpa-497"): ("T_flash", ("NFPA 497 (2008)",)),
    ("autoignition", "iec-60079-20-1"): ("T_autoignition", ("IEC 60079-20-1 (2010)",)),
    ("autoignition", "nfpa-497"): ("T_autoignition", ("NFPA 497 (2008)",)),
    ("lower_explosive_limit", "iec-60079-20-1"): ("LFL", ("IEC 60079-20-1 (2010)",)),
    ("lower_explosive_limit", "nfpa-497"): ("LFL", ("NFPA 497 (2008)",)),
    ("upper_explosive_limit", "iec-60079-20-1"): ("UFL", ("IEC 60079-20-1 (2010)",)),
    ("upper_explosive_limit", "nfpa-497"): ("UFL", ("NFPA 497 (2008)",)),
}


def test_what_was_copied_from_a_data_set_is_what_the_data_set_holds(substances: tuple[Substance, ...]) -> None:
    import chemicals

    checked = 0
    for substance in substances:
        for (name, source), (function, methods) in LOOKED_UP.items():
            for value in substance.properties.get(name, ()):
                if value.source.key == source:
                    found = (getattr(chemicals, function)(CASRN=substance.cas, method=method) for method in methods)
                    expected = next((f for f in found if f is not None), None)
                    assert expected is not None, (substance.name, name, source)
                    # written to a tenth of a degree, or as the data set prints a limit
                    assert value.value == pytest.approx(expected, abs=0.051 if name in _DEGREES else 2e-5), (
                        substance.name,
                        name,
                    )
                    checked += 1
    assert checked > 200


_DEGREES = ("boiling_point", "flash_point", "autoignition")


def test_molar_masses_are_those_of_the_formula(substances: tuple[Substance, ...]) -> None:
    import chemicals

    mixtures = {"8032-32-4", "8052-41-3", "8008-20-6", "1333-86-4", "8006-64-2", "9016-87-9", "26471-62-5"}
    for substance in substances:
        if substance.cas not in mixtures | BY_THE_PRODUCT | BASE_OILS:
            mass = substance.best("molar_mass")
            assert isinstance(mass, Cited), f"{substance.cas}.toml: write [[molar_mass]] with its source"
            pure = {"1330-20-7": "108-38-3"}.get(substance.cas, substance.cas)  # the isomers of xylene weigh the same
            write = f'{substance.cas}.toml: write [[molar_mass]] value = "{chemicals.MW(pure):.6g} g/mol"'
            assert mass.value == pytest.approx(chemicals.MW(pure) / 1000, rel=2e-5), write


METHODS = ("ANTOINE_POLING", "WAGNER_POLING", "HEOS_FIT", "LANDOLT", "DIPPR_PERRY_8E", "VDI_PPDS", "IAPWS_PSAT")


def test_antoine_sets_follow_the_equation_they_were_fitted_to(
    shipped: Reference, substances: tuple[Substance, ...]
) -> None:
    """Every 5 K over the fitted range: within 0.5 % of the method the fit names (thermo, asked afresh)."""
    from thermo import VaporPressure

    checked = 0
    for substance in substances:
        equation = substance.best("antoine_a")
        method = next((m for m in METHODS if isinstance(equation, Cited) and f"method {m}," in equation.at), None)
        if method is None:
            continue
        library = VaporPressure(CASRN=substance.cas)
        assert isinstance(equation, Cited)
        low, high = equation.condition("low") or 0.0, equation.condition("high") or 0.0
        for temperature in range(int(low) + 1, int(high) + 1, 5):
            figure = shipped.vapour_pressure(substance.cas, float(temperature))
            assert isinstance(figure, Figure)
            assert figure.note == ""
            expected = library.calculate(float(temperature), method)
            assert figure.value == pytest.approx(expected, rel=0.005), (substance.name, temperature)
            checked += 1
    assert checked > 400


def test_mixed_xylene_is_the_stated_blend(shipped: Reference) -> None:
    """Raoult's law over the isomers' own equations, with the shares the file states."""
    shares = {"108-38-3": 0.45, "95-47-6": 0.20, "106-42-3": 0.20, "100-41-4": 0.15}
    for temperature in (273.15, 293.15, 313.15):
        parts = {cas: shipped.vapour_pressure(cas, temperature) for cas in shares}
        blend = shipped.vapour_pressure("1330-20-7", temperature)
        assert isinstance(blend, Figure)
        total = sum(shares[cas] * p.value for cas, p in parts.items() if isinstance(p, Figure))
        assert blend.value == pytest.approx(total, rel=1e-4)


def test_boiling_points_follow_from_the_wide_antoine_sets(substances: tuple[Substance, ...]) -> None:
    """Where a published set reaches that far, it gives one atmosphere within 1 K of the boiling point in use."""
    checked = 0
    for substance in substances:
        boiling = substance.best("boiling_point")
        for a, b, c in zip(*(substance.properties.get(f"antoine_{x}", ()) for x in "abc"), strict=True):
            if isinstance(boiling, Cited) and "Psat_data" in a.at and (a.condition("high") or 0.0) > boiling.value:
                at_one_atmosphere = b.value / (a.value - math.log10(101325)) - c.value
                write = (
                    f"{substance.cas}.toml: take other Antoine constants or another boiling point, or end high below it"
                )
                assert at_one_atmosphere == pytest.approx(boiling.value, abs=1.0), write
                checked += 1
    assert checked >= 20


# Net enthalpy of combustion of the liquid [kJ/mol], Perry's Chemical Engineers' Handbook, 8th edition, table 2-179
# (recalled). The data files hold that of the vapour, which is higher by the heat of vaporisation.
PERRY = {"67-56-1": 638.1, "71-43-2": 3136.0, "110-54-3": 3855.1, "142-82-5": 4464.7, "64-17-5": 1235.0}


def test_heats_of_combustion_against_measured_ones(substances: tuple[Substance, ...]) -> None:
    for substance in substances:
        if substance.cas in PERRY:
            combustion, vaporisation = substance.best("heat_of_combustion"), substance.best("heat_of_vaporisation")
            assert isinstance(combustion, Cited)
            assert isinstance(vaporisation, Cited)
            liquid = (combustion.value - vaporisation.value) / 1000
            assert liquid == pytest.approx(PERRY[substance.cas], rel=0.003), substance.name


# ---------------------------------------------------------------- a lower limit from the heat of combustion


def test_a_lower_limit_from_the_heat_is_never_over_a_published_one(substances: tuple[Substance, ...]) -> None:
    """Held against what the compilations and the Pocket Guide give for carbon, hydrogen and oxygen: 0.4 to 1 times."""
    checked = 0
    for substance in substances:
        heat, made_of = substance.best("heat_of_combustion"), substance.composition
        published = [
            v.value for v in substance.properties.get("lower_explosive_limit", ()) if v.source.key != "burgess-wheeler"
        ]
        if isinstance(made_of, Unknown) or isinstance(heat, Unknown) or not published:
            continue
        if set(made_of.elements) <= {"C", "H", "O"}:
            low = float(lower_limit_from_heat(heat.value))
            write = (
                f"{substance.cas}.toml: its [[heat_of_combustion]] goes with a lower limit of {low:.2%}: look up both"
            )
            assert 0.4 * min(published) < low < min(published), write
            checked += 1
    assert checked > 45


def test_an_estimated_lower_limit_is_the_formulas(substances: tuple[Substance, ...]) -> None:
    found = 0
    for substance in substances:
        for value in substance.properties.get("lower_explosive_limit", ()):
            if value.source.key == "burgess-wheeler":
                heat = substance.best("heat_of_combustion")
                assert isinstance(heat, Cited)
                assert value.value == pytest.approx(float(lower_limit_from_heat(heat.value)), rel=0.04)  # two digits
                assert value.unverified
                assert heat.written in value.at
                found += 1
    assert found == sum("burgess-wheeler" in path.read_text("utf-8") for path in (DATA / "substances").glob("*.toml"))
