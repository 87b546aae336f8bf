"""Respirators, cartridges and wash stations against the published tables; each case names its source."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from safety_protection import device_rules, devices, statements
from safety_protection.rules import threshold

from safety.cited import Cited, Source
from safety.formulas.protection import cartridge_service_life_rule_of_thumb, maximum_use_concentration
from safety.model import Respirator, Substance
from safety.reference import Reference
from safety.words import speaking, speech

TOLUENE = "108-88-3"
TABLE_1 = "29 CFR 1910.134(d)(3)(i)(A), Table 1"
EN_FACTORS = "table of assigned protection factors by EN class, United Kingdom"
EN_14387 = "EN 14387, filter types and classes"
THUMB = "OSHA Respiratory Protection eTool, rule of thumb (archived 2008)"

FACTORS = [
    # kind, facepiece, mode, factor, source
    ("air-purifying", "quarter mask", "", 5, TABLE_1),
    ("air-purifying", "half mask", "", 10, TABLE_1),
    ("air-purifying", "full facepiece", "", 50, TABLE_1),
    ("powered air-purifying", "half mask", "", 50, TABLE_1),
    ("powered air-purifying", "full facepiece", "", 1000, TABLE_1),
    ("powered air-purifying", "loose-fitting", "", 25, TABLE_1),
    # 1,000 only with the maker's evidence, which a stock list does not hold
    ("powered air-purifying", "hood", "", 25, TABLE_1),
    ("supplied air", "half mask", "demand", 10, TABLE_1),
    ("supplied air", "full facepiece", "demand", 50, TABLE_1),
    ("supplied air", "half mask", "continuous flow", 50, TABLE_1),
    ("supplied air", "full facepiece", "continuous flow", 1000, TABLE_1),
    ("supplied air", "half mask", "pressure demand", 50, TABLE_1),
    ("supplied air", "full facepiece", "pressure demand", 1000, TABLE_1),
    ("self-contained", "full facepiece", "demand", 50, TABLE_1),
    ("self-contained", "full facepiece", "pressure demand", 10000, TABLE_1),
]


def _respirator(kind: str, facepiece: str, mode: str, cartridge: str) -> Respirator:
    wears = cartridge if "purifying" in kind else ""
    return Respirator("r", kind, facepiece, wears, mode)


def _any(kind: str, facepiece: str) -> bool:
    return True


@pytest.mark.parametrize(("kind", "facepiece", "mode", "factor", "source"), FACTORS)
def test_factor_by_table_1(us: Reference, kind: str, facepiece: str, mode: str, factor: float, source: str) -> None:
    found = devices.device(_respirator(kind, facepiece, mode, "organic vapour"), us)
    assert isinstance(found, devices.Device)
    assert found.factor.value == factor
    assert found.factor.citation == source


@pytest.mark.parametrize(
    ("kind", "facepiece", "factor"),
    [("air-purifying", "half mask", 10), ("air-purifying", "full facepiece", 20)],
)
def test_european_factors_are_other_numbers(eu: Reference, kind: str, facepiece: str, factor: float) -> None:
    """Source: EN_FACTORS. The same full facepiece has 50 in the United States."""
    found = devices.device(_respirator(kind, facepiece, "", "A2"), eu)
    assert isinstance(found, devices.Device)
    assert found.factor.value == factor


def test_a_powered_hood_of_no_known_class_takes_the_lowest(eu: Reference) -> None:
    """TH1 10, TH2 20, TH3 40 (EN 12941): the stock list does not say which."""
    found = devices.device(_respirator("powered air-purifying", "hood", "", "A2P3"), eu)
    assert isinstance(found, devices.Device)
    assert found.factor.value == 10


def test_of_two_jurisdictions_the_lower_factor_holds(both: Reference) -> None:
    """Where both packs are loaded a full facepiece has 20 (EN_FACTORS), not 50 (TABLE_1)."""
    found = devices.device(_respirator("air-purifying", "full facepiece", "", "organic vapour"), both)
    assert isinstance(found, devices.Device)
    assert (found.factor.value, found.factor.pack) == (20, "eu")


def test_a_ratio_of_12_4_takes_the_class_of_25(us: Reference) -> None:
    """620 ppm over a limit of 50: 12.4, and the next class of TABLE_1 is 25."""
    assert next(c for c in devices.classes(us) if c >= 620 / 50) == 25


@pytest.mark.parametrize(("needed", "given"), [(10.0, 10), (10.01, 25), (50.0, 50), (50.01, 1000), (10000.0, 10000)])
def test_a_class_is_good_for_its_own_factor(us: Reference, needed: float, given: int) -> None:
    """29 CFR 1910.134(d)(3)(i)(A), Table 1; (d)(3)(i)(B)(1): the MUC is the factor times the limit, not less."""
    assert f"(factor {given})" in devices.class_words(us, needed, _any)


def test_a_factor_no_table_has_gets_no_device(us: Reference) -> None:
    found = devices.device(Respirator("r", "supplied air", "hood", "", "demand"), us)
    assert found == "r: the rules assign no factor to supplied air demand hood"


@pytest.mark.parametrize(("factor", "limit", "most"), [(10, 20e-6, 200e-6), (10, 50e-9, 500e-9)])
def test_maximum_use_concentration(factor: float, limit: float, most: float) -> None:
    """29 CFR 1910.134(b): 10 x 20 ppm; lead 50 ug/m3 with a half mask, 500 ug/m3."""
    assert maximum_use_concentration(factor, limit) == pytest.approx(most, rel=1e-12)


@pytest.mark.parametrize(("oxygen", "too_little"), [(0.194, True), (0.195, False)])
def test_oxygen_of_exactly_19_5_is_not_below(us: Reference, oxygen: float, too_little: bool) -> None:
    """29 CFR 1910.134(d)(2)(iii)."""
    least = threshold(us, "oxygen-least")
    assert least.compare == "under"
    assert (oxygen < least.value) is too_little


def test_only_two_devices_for_danger(us: Reference) -> None:
    """29 CFR 1910.134(d)(2)(i)."""
    words, rule = devices.danger_devices(us)
    first, second = words.split("; or ")
    assert first.startswith("self-contained breathing apparatus with a full facepiece, pressure demand")
    assert "30 minutes" in first
    assert second.startswith("supplied air with a full facepiece, pressure demand")
    assert "auxiliary" in second
    assert "1910.134(d)(2)(i)" in rule


# ---------------------------------------------------------------- cartridges

#: substance, boiling point [degC] from an open property library, whether EN 14387 asks for AX
BOILING = [("acetone", 56.1, True), ("dichloromethane", 39.8, True), ("methyl acetate", 56.7, True),
           ("methanol", 64.5, True), ("just at the line", 65.0, True), ("just over the line", 65.1, False),
           ("tetrahydrofuran", 66.0, False), ("n-hexane", 68.7, False), ("ethyl acetate", 77.1, False),
           ("toluene", 110.6, False)]  # fmt: skip


@pytest.mark.parametrize(("name", "celsius", "light"), BOILING)
def test_low_boilers_by_the_line_between_a_and_ax(eu: Reference, name: str, celsius: float, light: bool) -> None:
    """EN_14387: A over 65 degC, AX at or under it."""
    source = Source("s", "open property library", "1")
    boils = Cited(celsius + 273.15, "K", f"{celsius} degC", source, "table")
    assert devices.light(Substance("0-00-0", (name,), {"boiling_point": (boils,)}), eu) is light


@pytest.mark.parametrize(("letter", "ppm"), [("A1", 1000), ("A2", 5000), ("A3", 10000)])
def test_class_caps(eu: Reference, letter: str, ppm: float) -> None:
    """EN_14387."""
    found = devices.device(_respirator("air-purifying", "half mask", "", letter), eu)
    assert isinstance(found, devices.Device)
    assert found.cartridge["up_to_ppm"] == ppm


def test_ax_is_brown_and_for_single_use(eu: Reference) -> None:
    """EN_14387."""
    found = devices.device(_respirator("air-purifying", "half mask", "", "AX"), eu)
    assert isinstance(found, devices.Device)
    assert (found.letters, found.cartridge["single_use"]) == ("AX (brown)", True)


def test_a_colour_is_never_printed_alone(us: Reference, eu: Reference) -> None:
    """Black is organic vapour in the United States (42 CFR 84.113, ANSI K13.1), carbon monoxide in EN 14387."""
    american = devices.device(_respirator("air-purifying", "half mask", "", "organic vapour"), us)
    european = devices.device(_respirator("air-purifying", "half mask", "", "A2"), eu)
    assert isinstance(american, devices.Device)
    assert isinstance(european, devices.Device)
    assert (american.letters, european.letters) == ("OV (black)", "A2 (brown)")


@pytest.mark.parametrize(
    ("boiling", "ppm", "humidity", "rate", "hours"),
    [(110.6, 150, 0.5, 1, 8), (110.6, 150, 0.9, 1, 4), (79.6, 150, 0.5, 2, 4), (110.6, 20, 0.5, 1, 40)],
)
def test_rule_of_thumb(boiling: float, ppm: float, humidity: float, rate: float, hours: float) -> None:
    """THUMB: 8 h; halved over 85 % humidity; by the work rate; five times longer at a tenth."""
    found = cartridge_service_life_rule_of_thumb(boiling + 273.15, ppm * 1e-6, humidity, rate)
    assert found / 3600 == pytest.approx(hours, rel=1e-9)


HALF, HOOD, FULL = ("half mask",), ("hood", "loose-fitting"), ("full facepiece",)
PURIFY, POWERED, LINE = "air-purifying", "powered air-purifying", "supplied air"


@pytest.mark.parametrize(
    ("cas", "ppm", "kind", "facepieces", "cartridge", "barred"),
    [
        # 29 CFR 1910.1052(g)(3)(i): air-supplying only, and no half mask of any type
        ("75-09-2", 0.1, PURIFY, HALF + FULL, "organic vapour", True),
        ("75-09-2", 0.1, POWERED, HALF + FULL + HOOD, "organic vapour", True),
        ("75-09-2", 0.1, LINE, HALF, "", True),
        ("75-09-2", 5000.0, LINE, FULL + HOOD, "", False),
        # 1910.1047(g)(3)(i) and (ii): no half mask; a canister approved for ethylene oxide
        ("75-21-8", 0.5, LINE, HALF, "", True),
        ("75-21-8", 0.49, LINE, HALF, "", False),  # under the action level of (b)
        ("75-21-8", 0.5, LINE, FULL + HOOD, "", False),
        ("75-21-8", 0.5, PURIFY, FULL, "organic vapour", True),
        # 1910.1048(g)(3)(i)(B) and (ii): a cartridge for formaldehyde; half masks only with gas-proof goggles
        ("50-00-0", 0.5, PURIFY, HALF + FULL, "organic vapour", True),
        ("50-00-0", 0.5, LINE, HALF, "", False),
        ("50-00-0", 0.49, PURIFY, HALF, "organic vapour", False),
        # 1910.1028(g)(3)(i)(C): an organic vapour cartridge
        ("71-43-2", 1.0, PURIFY, HALF + FULL, "organic vapour", False),
        ("71-43-2", 1.0, PURIFY, HALF + FULL, "acid gas", True),
        # 1910.1017(g)(3)(i)(B) and (C): a cartridge to 10 ppm, a powered mask to 25
        ("75-01-4", 10.0, PURIFY, HALF + FULL, "organic vapour", False),
        ("75-01-4", 10.1, PURIFY, HALF + FULL, "organic vapour", True),
        ("75-01-4", 25.0, POWERED, FULL, "organic vapour", False),
        ("75-01-4", 25.1, POWERED, FULL, "organic vapour", True),
        ("75-01-4", 25.1, LINE, HALF, "", False),
        # 1910.1051(h)(3)(i), Table 1 (from memory): half masks to 10 ppm, full facepieces to 50
        ("106-99-0", 10.0, PURIFY, HALF, "organic vapour", False),
        ("106-99-0", 10.1, PURIFY, HALF, "organic vapour", True),
        ("106-99-0", 50.0, PURIFY, FULL, "organic vapour", False),
        ("106-99-0", 50.1, POWERED, FULL, "organic vapour", True),
    ],
)
def test_devices_a_law_bars_against_one_substance(
    us: Reference, cas: str, ppm: float, kind: str, facepieces: tuple[str, ...], cartridge: str, barred: bool
) -> None:
    bars = _air(us, {cas: ppm})
    for facepiece in facepieces:
        mode = "continuous flow" if kind == LINE else ""
        found = devices.device(_respirator(kind, facepiece, mode, cartridge), us)
        assert isinstance(found, devices.Device)
        assert bool(bars.against(found)) is barred, facepiece


@pytest.mark.parametrize("cas", ["822-06-0", "584-84-9", "101-68-8"])
def test_a_cartridge_against_diisocyanates_takes_a_written_schedule(us: Reference, cas: str) -> None:
    """OSHA letter of interpretation of 2000-07-18: not barred, but smell does not warn."""
    found = devices.device(_respirator(PURIFY, "full facepiece", "", "organic vapour"), us)
    assert isinstance(found, devices.Device)
    why = _air(us, {cas: 0.001}).against(found)
    assert "smell does not warn" in why
    assert "change schedule" in why
    assert _air(us, {cas: 0.001}, schedule=True).against(found) == ""


@pytest.mark.parametrize(
    ("cas", "ppm", "after"),
    [
        ("71-43-2", 1.0, {"shift"}),  # 1910.1028(g)(2)(ii): at the beginning of each shift
        ("50-00-0", 1.0, {"shift"}),  # 1910.1048(g)(2)(ii): at the end of the shift
        ("107-13-1", 1.0, {"shift"}),  # 1910.1045(h)(2)(ii)(A)
        ("75-01-4", 1.0, {"shift"}),  # 1910.1017(g)(3)(ii)(A)
        ("106-99-0", 5.0, {4.0}),  # 1910.1051 Table 1, from memory: 4, 3, 2 and 1 h
        ("106-99-0", 25.1, {4.0, 3.0, 2.0, 1.0}),
        (TOLUENE, 100.0, set()),
    ],
)
def test_how_long_a_law_lets_a_cartridge_stay(us: Reference, cas: str, ppm: float, after: set[object]) -> None:
    rows = device_rules.binding("cartridge_change", _exposure({cas: ppm}), 0, us)
    assert {"shift" if row.get("shift") else row["hours"] for row in rows} == after


def _exposure(ppm: dict[str, float]) -> Any:
    """Air of one step, as far as these rules look at it."""
    substances = tuple(Substance(cas, (cas,), {}, groups={"NCO": 2} if cas == "822-06-0" else {}) for cas in ppm)
    air = np.array([list(ppm.values())])
    return SimpleNamespace(substances=substances, steps=[SimpleNamespace(peak=air)], ppm=lambda mass: mass)


def _air(us: Reference, ppm: dict[str, float], schedule: bool = False) -> device_rules.Bars:
    return device_rules.Bars(device_rules.binding("device_bar", _exposure(ppm), 0, us), schedule)


# ---------------------------------------------------------------- wash stations, texts


@pytest.mark.parametrize(
    ("flow", "amount"),
    [("eyewash-flow", 90e-3), ("shower-flow", 1.125)],
)
def test_water_for_fifteen_minutes(us: Reference, flow: str, amount: float) -> None:
    """EN 15154-2: 6 L/min; ANSI/ISEA Z358.1: 75 L/min for 15 min; 20 gal/min make 300 gal, which is 1.136 m3."""
    water = threshold(us, flow).value * threshold(us, "wash-time").value
    assert water == pytest.approx(amount, rel=1e-9)
    if flow == "shower-flow":
        assert water == pytest.approx(300 * 3.785411784e-3, rel=0.01)


STATEMENTS = [
    ("H225", "Highly flammable liquid and vapour."),
    ("H304", "May be fatal if swallowed and enters airways."),
    ("H336", "May cause drowsiness or dizziness."),
    ("EUH066", "Repeated exposure may cause skin dryness or cracking."),
    ("P280", "Wear protective gloves/protective clothing/eye protection/face protection."),
    ("P301+P330+P331", "IF SWALLOWED: Rinse mouth. Do NOT induce vomiting."),
    ("P305+P351+P338",
     "IF IN EYES: Rinse cautiously with water for several minutes. Remove contact lenses, if present and easy to do. "
     "Continue rinsing."),
    ("P361+P364", "Take off immediately all contaminated clothing and wash it before reuse."),
]  # fmt: skip


@pytest.mark.parametrize(("code", "text"), STATEMENTS)
def test_label_texts_are_the_legal_ones(code: str, text: str) -> None:
    """Regulation (EC) No 1272/2008, Annexes III and IV, consolidated 2025-09-01."""
    assert statements.text(code) == text


def test_newer_statements_are_not_in_the_european_set() -> None:
    """P203 and P332+P317 are of later UN editions; the consolidated text of 2025-09-01 has neither."""
    assert (statements.text("P203"), statements.text("P332+P317")) == ("", "")


@pytest.mark.parametrize(
    ("language", "text"),
    [("es", "Puede provocar somnolencia o vértigo."), ("de", "Kann Schläfrigkeit und Benommenheit verursachen.")],
)
def test_each_language_has_the_same_codes_as_english(language: str, text: str) -> None:
    """The official translations of one regulation."""
    other, english = statements._texts(language), statements._texts("en")
    assert set(other) == set(english)
    with speaking(speech(language)):
        assert statements.text("H336") == text


def test_a_variant_without_a_text_falls_back_to_the_plain_code() -> None:
    assert statements.text("H361d").startswith("Suspected of damaging the unborn child")
    assert statements.text("H350x") == statements.text("H350") != ""
    assert "<" in statements.text("H373")
    assert statements.shown("H373") == "May cause damage to organs through prolonged or repeated exposure."


def test_a_class_is_named_where_the_stock_has_none(us: Reference) -> None:
    words = devices.class_words(us, 12.4, lambda kind, _: kind not in devices.CARTRIDGE_KINDS)
    assert words == "supplied air continuous flow hood or supplied air continuous flow loose-fitting (factor 25)"
    assert devices.class_words(us, 10001, _any) == ""


def test_an_unknown_cartridge_is_not_offered(us: Reference) -> None:
    odd = replace(_respirator("air-purifying", "half mask", "", "organic vapour"), cartridge="lavender")
    assert devices.device(odd, us) == 'r: its cartridge "lavender" is not a type the rules know'
