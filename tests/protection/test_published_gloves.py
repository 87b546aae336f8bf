"""Published knowledge of gloves: what rules out, what only seems to grant. Each case names its source."""

from __future__ import annotations

import pytest
from safety_protection import glove_data
from safety_protection.glove_times import family

from safety.formulas.protection import glove_wear_time, permeation_lag_time
from safety.reference.substance_files import cas_is_valid

CHART = "OSHA 3151 selection chart, from memory"
TOLUENE, BUTANONE, DCM, NMP, WATER = "108-88-3", "78-93-3", "75-09-2", "872-50-4", "7732-18-5"

RATINGS = [
    # substance, material, word of the chart, does it rule out
    (BUTANONE, "neoprene", "rated good, for limited service", False),
    # natural rubber is rated good too, and another list does not name it: tests/unsafe_answers/test_contradicted_gloves.py
    (BUTANONE, "butyl", "rated very good, for limited service", False),
    (BUTANONE, "nitrile", "rated poor, for limited service", True),
    (TOLUENE, "neoprene", "rated fair, for limited service", False),
    (TOLUENE, "natural rubber", "rated poor, for limited service", True),
    (TOLUENE, "butyl", "rated poor, for limited service", True),
    (TOLUENE, "nitrile", "rated fair, for limited service", False),
    ("123-86-4", "nitrile", "rated poor", True),
    ("127-18-4", "nitrile", "rated good", False),
]


@pytest.mark.parametrize(("cas", "material", "word", "out"), RATINGS)
def test_the_chart_rules_out_the_poor(cas: str, material: str, word: str, out: bool) -> None:
    """CHART; its rating "good" grants nothing."""
    said = [a for a in glove_data.advice(cas, material) if a.source.key == "osha-3151"]
    assert [a.says for a in said] == [word]
    assert (glove_data.ruled_out(cas, material) is not None) is out
    assert said[0].unverified  # nobody has seen the chart itself


def test_the_chart_does_not_list_dichloromethane() -> None:
    """CHART: neither dichloromethane nor NMP is in it."""
    for material in ("neoprene", "natural rubber", "butyl", "nitrile"):
        for cas in (DCM, NMP):
            assert not [a for a in glove_data.advice(cas, material) if a.source.key == "osha-3151"]


@pytest.mark.parametrize("material", ["nitrile", "neoprene", "PVC"])
def test_dichloromethane_goes_through_in_minutes(material: str) -> None:
    """Journal abstract on dichloromethane and perchloroethylene: 2 to 8 min through all but PVA."""
    out = glove_data.ruled_out(DCM, material)
    assert out is not None
    assert out.says == "broke through in 2 to 8 min"


@pytest.mark.parametrize("cas", [WATER, "67-56-1", "64-17-5"])
def test_water_and_alcohol_destroy_pva(cas: str) -> None:
    """From memory."""
    assert glove_data.ruled_out(cas, "PVA") is not None
    assert glove_data.ruled_out(cas, "nitrile") is None


@pytest.mark.parametrize(
    ("cas", "materials"),
    [
        ("67-64-1", {"butyl", "laminate"}),
        ("108-10-1", {"butyl"}),
        ("109-99-9", {"laminate"}),
        ("1330-20-7", {"fluoroelastomer", "laminate"}),
        ("142-82-5", {"nitrile", "fluoroelastomer"}),
    ],
)
def test_recommended_kinds(cas: str, materials: set[str]) -> None:
    """Glove Selection Guidelines, University of Nevada, Reno, January 2022 (laminate for acetone from memory)."""
    assert {words[0].material for words in glove_data.kinds_for([cas])} == materials


def test_a_blend_takes_a_kind_that_serves_every_part() -> None:
    """Xylene: fluoroelastomer or laminate; butanone: butyl or laminate; a ketone swells fluoroelastomer."""
    kinds = glove_data.kinds_for(["1330-20-7", BUTANONE])
    assert [words[0].material for words in kinds] == ["laminate"]
    assert glove_data.kinds_for(["1330-20-7", NMP]) == ()


@pytest.mark.parametrize(
    ("cas", "millimetres", "seconds"),
    [(TOLUENE, 0.10, 33.3), ("1330-20-7", 0.38, 12.9 * 60), (TOLUENE, 0.38, 8 * 60), (TOLUENE, 0.56, 17 * 60)],
)
def test_lag_time_through_nitrile(cas: str, millimetres: float, seconds: float) -> None:
    """Chao and others 2003: D = 0.50 and 0.31e-6 cm2/s. Grows with the square of the thickness."""
    diffusivity = glove_data.diffusivity(cas, "nitrile")
    assert diffusivity is not None
    assert permeation_lag_time(millimetres * 1e-3, diffusivity.value) == pytest.approx(seconds, rel=0.04)


def test_movement_shortens() -> None:
    """Phalen and Wong 2012: 18 % shorter on average, 33 % at worst, of 20 min."""
    assert glove_wear_time(1200.0, 1 - 0.18) / 60 == pytest.approx(16.4)
    assert glove_wear_time(1200.0, 1 - 0.33) / 60 == pytest.approx(13.4)


@pytest.mark.parametrize(
    ("standard", "kin"),
    [("EN 16523-1", "EN"), ("EN ISO 374-1", "EN"), ("en 374-3", "EN"), ("ASTM F739", "ASTM"), ("astm f739-20", "ASTM"),
     ("EN 16523-1:2015+A1:2018", "EN"), ("ISO 6529", "ISO 6529"), ("not EN 374-3", "not EN 374-3"),
     ("order 37412", "order 37412")],
)  # fmt: skip
def test_families_of_standards(standard: str, kin: str) -> None:
    """EN 16523-1 ends at 1 ug/cm2/min, ASTM F739 at 0.1: their minutes do not compare."""
    assert family(standard) == kin


@pytest.mark.parametrize(
    ("written", "known"),
    [
        ("PE/EVAL laminate", "laminate"),
        ("Butyl rubber", "butyl"),
        ("Natural rubber  latex", "natural rubber"),
        ("FKM", "fluoroelastomer"),
        ("NBR", "nitrile"),
        # a word in a text is no name: each of these was a material before
        ("latex-free nitrile", ""),
        ("nitrile over natural rubber", ""),
        ("Latex (natural rubber)", ""),
        ("vinyl-coated cotton", ""),
        ("chloroprene", "neoprene"),
        ("vinyl", "PVC"),
        ("leather", ""),
        ("", ""),
    ],
)
def test_materials_by_the_words_stock_lists_use(written: str, known: str) -> None:
    assert glove_data.material(written) == known


def test_every_number_in_the_data_is_a_substance() -> None:
    """Check digits by the rule of Chemical Abstracts Service: a test-lab page was seen with 109-88-3 for toluene."""
    data = glove_data._published()
    numbers = {cas for cas, _ in (*data.advice, *data.diffusion)} | set(data.recommended)
    assert len(numbers) > 30
    assert all(cas_is_valid(cas) for cas in numbers)
    assert not cas_is_valid("109-88-3")
