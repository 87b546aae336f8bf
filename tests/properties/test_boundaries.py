"""What lies on the bound itself: the last input a formula takes, and the first it refuses, with the rule that says so."""

from __future__ import annotations

import csv
import json
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from safety import units
from safety.calc.call import call
from safety.calc.lookup import antoine_sets, solvent_part
from safety.formulas import catalogue
from safety.formulas.air import purge_time
from safety.formulas.exposure import exceedance_fraction, extended_shift_factor, lognormal_percentile, tolerance_factor
from safety.formulas.ignition import (
    BURGESS_WHEELER,
    LIMIT_TEMPERATURE,
    antoine_pressure,
    antoine_set,
    lower_limit_at,
    mixture_flash_point,
    vapour_pressure,
)
from safety.formulas.protection import (
    OSHA_BED_AREA,
    OSHA_BED_DENSITY,
    cartridge_service_life_rule_of_thumb,
    cartridge_service_life_wood,
    yoon_nelson_time,
)
from safety.formulas.solvent import VOC_DENSITY, voc_for_solids, voc_less_water_and_exempt
from safety.formulas.waste import LONGEST, last_day, spent_solvent_codes
from safety.reference import Reference, load

TABLE = Path(__file__).parents[1] / "published" / "osha-wood-table.csv"


def _wood(**changes: float) -> float:
    """Toluene, 500 ppm, on the bed of OSHA's table; see osha-wood-table.csv."""
    inputs = {
        "concentration": 500e-6, "breakthrough": 0.1, "molar_mass": 0.09214, "density": 866.9, "vapour_pressure": 3266.0,
        "refractive_index": 1.4961, "sorbent_mass": 0.026, "bed_area": OSHA_BED_AREA, "bed_density": OSHA_BED_DENSITY,
        "airflow": 26.65e-3 / 60, "temperature": 295.15,
    }  # fmt: skip
    return float(cartridge_service_life_wood(**{**inputs, **changes}))


def _thumb(boiling_point: float, concentration: float) -> float:
    return float(cartridge_service_life_rule_of_thumb(boiling_point, concentration, 0.5))


TOLUENE = (277.15, 9.05043, 1327.62, -55.525)  # flash point and Antoine constants

# The first input that is refused. Where a rule says which side the bound is on, it is named.
REFUSED: list[tuple[Callable[[], Any], str]] = [
    # OSHA change-schedule guidance: boiling over 70 degC, under 200 ppm
    (lambda: _thumb(343.15, 100e-6), "boils at or under 70 degC"),
    (lambda: _thumb(383.75, 200e-6), "200 ppm and more"),
    # definitions: a share of 1 or 0 has no quantile, no spread no percentile, air that is full holds no more
    (lambda: _wood(breakthrough=1.0), "breakthrough must be under 1"),
    (lambda: _wood(breakthrough=1.05), "breakthrough must be under 1"),
    (lambda: _wood(concentration=3266.0 / 101325.0), "over the vapour pressure"),
    (lambda: _wood(refractive_index=1.0), "refractive_index must be over 1"),
    (lambda: exceedance_fraction(1e-6, 1.0, 2e-6), "geometric_sd must be over 1"),
    (lambda: lognormal_percentile(1e-6, 0.99), "geometric_sd cannot be under 1"),
    (lambda: lognormal_percentile(1e-6, 2.0, 0.0), "share must lie between 0 and 1"),
    (lambda: lognormal_percentile(1e-6, 2.0, 1.0), "share must lie between 0 and 1"),
    (lambda: lognormal_percentile(1e-6, 2.0, 1.05), "share must lie between 0 and 1"),
    (lambda: tolerance_factor(6, 0.0), "confidence must lie between 0 and 1"),
    (lambda: tolerance_factor(6, 1.0), "confidence must lie between 0 and 1"),
    (lambda: tolerance_factor(6, 1.05), "confidence must lie between 0 and 1"),
    (lambda: tolerance_factor(1, 0.7), "count must be at least 2"),
    # Brief & Scala (1975): (24 - h)/16 leaves no shift of 24 hours, and none of 0
    (lambda: extended_shift_factor(0.0), "hours must lie between 0 and 24"),
    (lambda: extended_shift_factor(24.0), "hours must lie between 0 and 24"),
    # log10 P = A - B/(T + C) has no value at T = -C
    (lambda: antoine_pressure(9.0, 1300.0, -300.0, 300.0), "temperature is too low"),
    (lambda: mixture_flash_point([(0.60, *TOLUENE), (0.45, *TOLUENE)]), "must not sum to over 1"),
    # the Burgess-Wheeler line at the very temperature where it meets zero
    (
        lambda: lower_limit_at(BURGESS_WHEELER / 1e6 * 300.0, LIMIT_TEMPERATURE + 300.0, 1e6),
        "the limit falls to zero",
    ),
    # 40 CFR 63.750(f): water and exempt solvent are the whole volume; 30 TAC 115.423(1): nothing but VOC
    (lambda: voc_less_water_and_exempt(100.0, 0.75, 0.25), "must leave a part of the volume"),
    (lambda: voc_for_solids(VOC_DENSITY), "must be under the density of the VOC"),
    # shares are of the whole; a clock of more than ten years is a typing mistake
    (lambda: spent_solvent_codes([(0.5, ("F005",)), (0.50105, ())], 350.0), "must add up to 100 %"),
    (lambda: last_day(date(2026, 5, 7), LONGEST + 1), "days must be a whole number up to 3660"),
    (lambda: last_day(date(2026, 5, 7), 2.5), "days must be a whole number"),
    (lambda: last_day(date(2026, 5, 7), -1), "days must be a whole number"),
    (lambda: last_day(date.max - timedelta(days=LONGEST - 1), 0), "too far in the future"),
]


@pytest.mark.parametrize(("work", "says"), REFUSED, ids=[f"{i}: {says}" for i, (_, says) in enumerate(REFUSED)])
def test_the_first_that_is_refused(work: Callable[[], Any], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        work()


# The last input that is taken, and what it gives by the formula's own definition.
TAKEN: list[tuple[str, Callable[[], float], float]] = [
    ("a coverage of a twentieth", lambda: float(lognormal_percentile(1.0, 2.0, 0.05)), 2.0**-1.6448536),
    (
        "a confidence of a twentieth",
        lambda: float(tolerance_factor(6, 0.05)),
        0.8749,
    ),  # Odeh & Owen (1980), table 1: 0.875
    ("a share of the air that is all of it", lambda: float(_purge(1.0)), 1.3862944),
    ("a nearly empty line of the Antoine curve", lambda: float(antoine_pressure(3.0, 0.05, -299.95, 300.0)), 100.0),
    ("a gas-like refraction", lambda: float(_wood(refractive_index=1.05) >= 0.0), 1.0),
    ("Yoon and Nelson's curve before its start", lambda: float(yoon_nelson_time(1e-9, 600.0, 2.0)), 0.0),
    ("the longest clock", lambda: float(last_day(date(2026, 5, 7), LONGEST) == "2036-05-14"), 1.0),
    ("the last day of the calendar", lambda: float(last_day(date.max - timedelta(days=LONGEST), 0)[:4]), 9989.0),
]


def _purge(mixing: float) -> float:
    return float(purge_time(1.0, 1.0, 100e-6, 25e-6, mixing))


@pytest.mark.parametrize(("work", "expected"), [t[1:] for t in TAKEN], ids=[t[0] for t in TAKEN])
def test_the_last_that_is_taken(work: Callable[[], float], expected: float) -> None:
    assert work() == pytest.approx(expected, rel=2e-4)


@pytest.mark.parametrize("mixing", [0.0, 1.05])
def test_a_share_of_the_airflow_is_no_more_than_all_of_it(mixing: float) -> None:
    with pytest.raises(ValueError, match="mixing must lie above 0 and not over 1"):
        _purge(mixing)


@pytest.mark.parametrize(("count", "outside"), [(5, True), (6, False), (30, False), (31, True)])
def test_a_published_range_holds_its_own_ends(count: int, outside: bool) -> None:
    """EN 689:2018, annex F: the table of U_T runs from 6 to 30 measurements."""
    assert bool(catalogue()["tolerance_factor"].outside({"count": float(count)})) is outside


def test_an_equation_holds_at_the_ends_of_its_own_range(shipped_sets: list[tuple[str, float, float]]) -> None:
    """The bounds a file states belong to the range: no warning there, and no other set in its place."""
    assert len(shipped_sets) > 60
    for cas, low, high in shipped_sets:
        for temperature in (low, high):
            _, _, _, least, most = antoine_set(antoine_sets(cas), temperature)
            assert least <= temperature <= most
            vapour_pressure(antoine_sets(cas), temperature)  # a warning would be an error here


def test_a_bed_is_the_one_osha_s_table_was_fitted_with() -> None:
    """OSHA Wood Math Model Table: every row of osha-wood-table.csv is met with one bed, and it is ours."""
    with TABLE.open() as stream:
        inputs = [json.loads(row["inputs"]) for row in csv.DictReader(stream) if row["formula"].endswith("wood")]
    assert len(inputs) > 40
    assert {(i["bed_area"], i["bed_density"]) for i in inputs} == {("25 cm2", "0.4 g/cm3")}
    assert units.read("25 cm2", "area") == pytest.approx(OSHA_BED_AREA)
    assert units.read("0.4 g/cm3", "density") == pytest.approx(OSHA_BED_DENSITY)


@pytest.mark.parametrize(("name", "counts"), [("acetone", False), ("water", False), ("toluene", True)])
def test_what_only_dilutes_adds_no_vapour_pressure(name: str, counts: bool) -> None:
    """40 CFR 63.750(b)(2): the sum above the line runs over the compounds that are VOC or HAP."""
    assert (solvent_part(1.0, name)[2] > 0.0) is counts


@pytest.mark.parametrize(("seconds", "unit"), [(59, "s"), (60, "min")])
def test_a_minute_is_shown_as_a_minute(seconds: int, unit: str) -> None:
    answer = call("glove_wear_time", {"breakthrough": f"{seconds} s", "factor": "1"})
    assert answer.unit == unit


@pytest.fixture(scope="module")
def shipped_sets() -> list[tuple[str, float, float]]:
    """CAS number and range [K] of every Antoine set of the shipped data."""
    reference: Reference = load((), Path(__file__).parent, date(2026, 11, 25))
    found = []
    for cas in reference.known():
        substance = reference.substance(cas)
        for value in getattr(substance, "properties", {}).get("antoine_a", ()):
            found.append((cas, value.condition("low"), value.condition("high")))
    return found
