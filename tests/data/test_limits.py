"""The shipped rules packs against the texts they come from."""

from __future__ import annotations

import csv
from datetime import date
from pathlib import Path

import numpy as np
import pytest

from safety.cited import Cited, Unknown
from safety.formulas.exposure import GROUPS
from safety.model import Limit, Threshold
from safety.reference import Reference, crossed, load
from safety.units import convert, read

HERE = Path(__file__).parent
DAY = date(2026, 11, 25)


def _one(reference: Reference, of: str, list_: str, kind: str) -> Limit:
    """The limit of a substance, by its CAS number, or on a group of atoms, by its name."""
    limits = (*(reference.limits(of) if of not in GROUPS else ()), *reference.limits_on_groups())
    found = [limit for limit in limits if limit.of == of and (limit.list, limit.kind) == (list_, kind)]
    assert len(found) == 1
    return found[0]


# 29 CFR 1910.1000 Table Z-2: toluene 200 / 300 / 500 ppm for 10 minutes; trichloroethylene 100 / 200 / 300 ppm for
# 5 minutes in any 2 hours; tetrachloroethylene 100 / 200 / 300 ppm for 5 minutes in any 3 hours; styrene 100 / 200 /
# 600 ppm for 5 minutes in any 3 hours (as NIOSH quotes it in its IDLH documentation, May 1994).
TABLE_Z_2 = [
    ("108-88-3", 200, 300, 500, 10, 8),  # no window is printed: the heading says "for an 8-hr shift"
    ("79-01-6", 100, 200, 300, 5, 2),
    ("127-18-4", 100, 200, 300, 5, 3),
    ("100-42-5", 100, 200, 600, 5, 3),
]


@pytest.mark.parametrize(("cas", "average", "ceiling", "peak", "minutes", "hours"), TABLE_Z_2)
def test_table_z_2(
    shipped: Reference, cas: str, average: int, ceiling: int, peak: int, minutes: int, hours: int
) -> None:
    twa = _one(shipped, cas, "OSHA PEL", "twa")
    assert shipped.limit_ppm(twa) == pytest.approx(average)
    assert twa.averaging == 8 * 3600
    top = _one(shipped, cas, "OSHA PEL", "ceiling")
    assert shipped.limit_ppm(top) == pytest.approx(ceiling)
    assert top.averaging == 0
    spike = _one(shipped, cas, "OSHA PEL", "peak")
    assert shipped.limit_ppm(spike) == pytest.approx(peak)
    assert (spike.peak_duration, spike.peak_window) == (minutes * 60, hours * 3600)
    assert not shipped.limits(cas, "short-term") or all(
        limit.list != "OSHA PEL" for limit in shipped.limits(cas, "short-term")
    )


# ---------------------------------------------------------------- every limit as printed

with (HERE / "printed_limits.csv").open() as _stream:
    PRINTED = list(csv.DictReader(_stream))


def test_every_limit_is_the_printed_one(shipped: Reference) -> None:
    """printed_limits.csv has each limit as its own list prints it, and the two packs hold no other.

    A row with a date is a limit that changes: it is looked for on that day, the last or the first it holds.
    """
    packs = {day: load(("us-federal", "eu"), HERE, day) for day in {_day(row) for row in PRINTED}}
    for row in PRINTED:
        limit = _one(packs[_day(row)], row["cas"], row["list"], row["kind"])
        number, unit = (row["ppm"], "ppm") if row["ppm"] else (row["mg_m3"], "mg/m3")
        kind = "air_share" if row["ppm"] else "concentration"
        assert limit.value == pytest.approx(read(f"{number} {unit}", kind), rel=1e-9, abs=0.0), row
        if row["ppm"] and row["mg_m3"] and limit.remark.startswith("printed with "):
            assert limit.remark.split()[2] == row["mg_m3"], row
    keys = {(row["cas"], row["list"], row["kind"]) for row in PRINTED}
    days = (date(2024, 1, 1), DAY, date(2029, 1, 1))
    loaded = [load(("us-federal", "eu"), HERE, day) for day in days]
    assert {(x.of, x.list, x.kind) for r in loaded for pack in r.packs for x in pack.limits} == keys


def test_printed_limits_say_where_they_are_from() -> None:
    for row in PRINTED:
        assert row["citation"]
        assert row["seen"] in {"yes", "secondary", "memory"}
        assert row["ppm"] or row["mg_m3"]


def _day(row: dict[str, str]) -> date:
    return date.fromisoformat(row["on"]) if row["on"] else DAY


# NIOSH Pocket Guide: what a ceiling is averaged over, and what a REL is.
@pytest.mark.parametrize(
    ("cas", "written", "averaging"),
    [
        ("71-36-3", "50 ppm", 0),  # n-butanol, at any time
        ("142-82-5", "440 ppm", 900),  # n-heptane, 15 minutes
        ("8032-32-4", "1800 mg/m3", 900),  # VM&P naphtha, 15 minutes
        ("8052-41-3", "1800 mg/m3", 900),  # Stoddard solvent, 15 minutes
        ("822-06-0", "0.02 ppm", 600),  # HDI, 10 minutes
    ],
)
def test_niosh_ceilings(shipped: Reference, cas: str, written: str, averaging: int) -> None:
    ceiling = _one(shipped, cas, "NIOSH REL", "ceiling")
    assert (ceiling.written, ceiling.averaging) == (written, averaging)


def test_averaging_times(shipped: Reference) -> None:
    """OSHA and EU 8 h, NIOSH up to 10 h (chromium 8 h); short-term values 15 min."""
    for limit in (x for cas in shipped.known() for x in shipped.limits(cas)):
        if limit.kind == "short-term":
            assert limit.averaging == 900
        if limit.kind == "twa":
            chromate = limit.cas in ("7789-06-2", "13530-65-9")
            assert limit.averaging == (36000 if limit.list == "NIOSH REL" and not chromate else 28800), limit


def test_lower_lists_hide_behind_legal_ones(shipped: Reference) -> None:
    """NIOSH Pocket Guide: the legal and the recommended average, ppm."""
    for cas, legal, recommended in (
        ("110-54-3", 500, 50),
        ("142-82-5", 500, 85),
        ("108-94-1", 50, 25),
        ("108-10-1", 100, 50),
    ):
        us = load(("us-federal",), HERE, date(2026, 1, 1))
        assert us.limit_ppm(_one(us, cas, "OSHA PEL", "twa")) == pytest.approx(legal)
        governing = us.governing(cas, "twa")
        assert isinstance(governing, Limit)
        assert us.limit_ppm(governing) == pytest.approx(recommended)


def test_no_number_is_not_a_zero_and_says_which_kind_of_nothing(shipped: Reference) -> None:
    us = load(("us-federal",), HERE, date(2026, 1, 1))
    glycol = us.governing("107-98-2", "idlh")
    assert isinstance(glycol, Limit)  # "not determined", so a tenth of the lower explosive limit stands in: 1.6 %
    assert (glycol.list, glycol.written) == ("10 % of the lower explosive limit (stand-in)", "1600 ppm")
    assert isinstance(us.governing("822-06-0", "ceiling"), Limit)
    isocyanate = us.limits("822-06-0", "twa")
    assert {limit.list for limit in isocyanate} == {"NIOSH REL"}
    bromopropane = us.governing("106-94-5", "twa")
    assert isinstance(bromopropane, Unknown)
    assert "OSHA PEL: none" in bromopropane.reason


@pytest.mark.parametrize("cas", ["7789-06-2", "13530-65-9"])
def test_chromates_are_counted_as_chromium(shipped: Reference, cas: str) -> None:
    """29 CFR 1910.1026(c): 5 ug/m3; Directive 2004/37/EC: 0.005 mg/m3; ppm of a dust means nothing.

    Both count chromium: of strontium chromate, 51.996 of 203.614 g/mol, 19.6 ug/m3 hold 5.
    """
    share = {"7789-06-2": 51.996 / 203.614, "13530-65-9": 51.996 / 181.373}[cas]
    osha = _one(shipped, cas, "OSHA PEL", "twa")
    assert osha.value == pytest.approx(5e-9)
    assert shipped.limit_mass(osha) == pytest.approx(5e-9 / share, rel=1e-4)
    assert osha.as_group == "Cr"
    assert isinstance(shipped.limit_ppm(osha), Unknown)
    eu = _one(shipped, cas, "EU binding OELV", "twa")
    assert shipped.limit_mass(eu) == pytest.approx(5e-9 / share, rel=1e-4)  # weighed, so no step from 20 to 25 degC
    governing = shipped.governing(cas, "twa")
    assert isinstance(governing, Limit)
    assert (governing.list, governing.written) == ("NIOSH REL", "0.2 ug Cr/m3")


# ---------------------------------------------------------------- dated limits


# Directive 2004/37/EC, Annex III: benzene 1 ppm until 5 April 2024, 0.5 ppm until 5 April 2026, then 0.2 ppm;
# chromium(VI) 0.010 mg/m3 until 17 January 2025. Directive 98/24/EC, Annex I: diisocyanates 10 ug NCO/m3 until 31
# December 2028, then 6.
@pytest.mark.parametrize(
    ("cas", "kind", "day", "written"),
    [
        ("71-43-2", "twa", date(2024, 4, 4), "1 ppm"),
        ("71-43-2", "twa", date(2024, 4, 5), "0.5 ppm"),
        ("71-43-2", "twa", date(2026, 4, 4), "0.5 ppm"),
        ("71-43-2", "twa", date(2026, 4, 5), "0.2 ppm"),
        ("71-43-2", "twa", date(2026, 4, 6), "0.2 ppm"),
        ("7789-06-2", "twa", date(2025, 1, 16), "0.01 mg Cr/m3"),
        ("7789-06-2", "twa", date(2025, 1, 17), "0.005 mg Cr/m3"),
        ("822-06-0", "twa", date(2028, 12, 31), "10 ug NCO/m3"),
        ("822-06-0", "twa", date(2029, 1, 1), "6 ug NCO/m3"),
        ("822-06-0", "short-term", date(2028, 12, 31), "20 ug NCO/m3"),
        ("822-06-0", "short-term", date(2029, 1, 1), "12 ug NCO/m3"),
    ],
)
def test_only_the_limit_in_force_on_the_day_counts(cas: str, kind: str, day: date, written: str) -> None:
    reference = load(("eu",), HERE, day)
    assert _one(reference, cas, "EU binding OELV", kind).written == written


# ---------------------------------------------------------------- printed pairs


#: 8 mg/m3 for 2 ppm: the directive rounds 7.5 up; 150 for 25 ppm: NIOSH rounds 145 up.
ROUNDED_UP = {("110-80-5", "8"), ("108-83-8", "150")}


def test_printed_pairs_of_ppm_and_mass_fit_their_own_list(shipped: Reference) -> None:
    """OSHA and NIOSH print mg/m3 for 25 degC, the EU for 20 degC: within 3 %, the rounding in the law."""
    checked = 0
    for limit in (x for cas in shipped.known() for x in shipped.limits(cas)):
        if limit.unit != "ppm" or not limit.remark.startswith("printed with "):
            continue
        if (limit.cas, limit.remark.split()[2]) in ROUNDED_UP:
            continue
        printed = float(limit.remark.split()[2])
        mass = shipped.limit_mass(limit)
        assert isinstance(mass, float)
        at_list = mass * 298.15 / limit.reference_temperature
        assert printed == pytest.approx(convert(at_list, "concentration", "mg/m3"), rel=0.03), limit
        assert f"{limit.reference_temperature - 273.15:.0f} degC" in limit.remark
        checked += 1
    assert checked > 90


def test_a_mass_limit_turns_into_ppm_at_its_own_temperature(shipped: Reference) -> None:
    """24.45 L/mol at 25 degC and 24.06 L/mol at 20 degC, as the lists round them (Pocket Guide; TRGS 900, 24.1)."""
    toluene = shipped.substance("108-88-3")
    assert not isinstance(toluene, Unknown)
    molar_mass = toluene.best("molar_mass")
    assert isinstance(molar_mass, Cited)
    base = _one(shipped, "108-88-3", "EU indicative OELV", "twa")
    for kelvin, litres in ((298.15, 24.45), (293.15, 24.06)):
        limit = _with(base, value=192e-6, unit="mg/m3", reference_temperature=kelvin)
        assert shipped.limit_ppm(limit) == pytest.approx(192 * litres / (molar_mass.value * 1000), rel=1e-3)


def _with(limit: Limit, **changes: object) -> Limit:
    from dataclasses import replace

    return replace(limit, **changes)  # type: ignore[arg-type]


#: Where NIOSH prints the lower limit that a fire figure is a tenth of.
NIOSH = ("npg", "niosh-idlh")


def test_fire_based_idlh_values_are_a_tenth_of_the_lower_limit_niosh_prints(shipped: Reference) -> None:
    checked = 0
    for cas in shipped.known():
        substance = shipped.substance(cas)
        for limit in shipped.limits(cas, "idlh"):
            if "a fire figure" in limit.remark and not isinstance(substance, Unknown):
                lower = next(v for v in substance.properties["lower_explosive_limit"] if v.source.key in NIOSH)
                assert limit.value == pytest.approx(lower.value / 10, rel=0.06), substance.name
                checked += 1
    assert checked >= 17


# ---------------------------------------------------------------- thresholds


# 29 CFR 1915.13(b)(3)(i): "maintained below 10 percent", so 10 % itself stops the job. BG RCI answer 2.1: at least 5 K, 15 K, so the margin itself is enough. ISGOTT: below 50 pS/m.
@pytest.mark.parametrize(
    ("name", "value", "just_below", "on_it", "just_above"),
    [
        ("explosive-atmosphere-stop", 0.10, False, True, True),
        ("flash-margin-pure", 5.0, True, False, False),
        ("flash-margin-mixture", 15.0, True, False, False),
        ("static-accumulator", 50e-12, True, False, False),
        ("enclosed-below-volume", 20.0, True, False, False),
    ],
)
def test_thresholds_on_both_sides_of_their_bound(
    shipped: Reference, name: str, value: float, just_below: bool, on_it: bool, just_above: bool
) -> None:
    threshold = shipped.threshold(name)
    assert isinstance(threshold, Threshold)
    assert threshold.value == pytest.approx(value)
    bound = threshold.value
    sides = [crossed(x, bound, threshold.compare) for x in (np.nextafter(bound, 0), bound, np.nextafter(bound, 1e9))]
    assert sides == [just_below, on_it, just_above]


def test_a_limit_is_passed_only_above_it(shipped: Reference) -> None:
    """29 CFR 1910.1000(a): "shall not exceed"; the directives: "above which exposure should not occur".

    REACH Annex XVII, entries 71 and 76: exposure is kept "below" the level.
    """
    for limit in (x for cas in shipped.known() for x in shipped.limits(cas) if x.pack in ("us-federal", "eu")):
        assert crossed(limit.value, limit.value, limit.compare) == (limit.list == "REACH DNEL")
        assert crossed(np.nextafter(limit.value, 1), limit.value, limit.compare)


@pytest.mark.parametrize(
    ("compare", "expected"),
    [
        ("over", [False, False, True]),
        ("at or over", [False, True, True]),
        ("under", [True, False, False]),
        ("at or under", [True, True, False]),
    ],
)
def test_every_sign_over_an_array(compare: str, expected: list[bool]) -> None:
    assert crossed(np.array([1.0, 2.0, 3.0]), 2.0, compare).tolist() == expected  # type: ignore[arg-type]
