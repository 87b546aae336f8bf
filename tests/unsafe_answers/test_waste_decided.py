"""What a waste is: by its process first, and by a laboratory or a person before the data.

Decision 2000/532/EC, annex: chapter 08 before 14. Directive 2008/98/EC, Annex III, HP 3 (as listed by ECHA).
"""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import safety_waste
from safety_waste import eu
from safety_waste.codes import codes_text, verdicts

from safety.model import Part, Purpose
from safety.reference import Reference, load
from safety.words import joined
from tests.unsafe_answers.shops import write_shop
from tests.waste.made_up import product, rules

EU = rules("eu")
WATER, TOLUENE, DIESEL = "7732-18-5", "108-88-3", "68334-30-5"
SOLVENT = Part("toluene", TOLUENE, 1.0, 1.0)


@pytest.mark.parametrize(
    ("purpose", "form", "codes"),
    [
        ("coating", "free-liquid", {"08 01 11*"}),  # all of these were 14 06 03* before: "other solvents"
        ("primer", "expired-product", {"08 01 11*"}),  # was 16 03 05* or 16 05 08*
        ("ink", "free-liquid", {"08 03 12*"}),
        ("adhesive", "free-liquid", {"08 04 09*"}),
        ("sealant", "scrapings", {"08 04 09*"}),
        ("remover", "free-liquid", {"08 01 21*"}),
        ("remover", "scrapings", {"08 01 17*"}),  # was a sludge of adhesive, 08 04 11*
        ("softener", "scrapings", {"08 01 17*", "08 04 11*"}),  # of what, a person must say
        ("cleaner", "free-liquid", {"14 06 03*"}),
        ("cleaner", "wet-cloths", {"15 02 02*"}),
    ],
)
def test_the_process_comes_before_the_solvent(purpose: Purpose, form: str, codes: set[str]) -> None:
    found = eu.verdict(product(SOLVENT, purpose=purpose), form, EU)
    assert {*found.codes, *found.maybe} == codes


def test_what_nobody_says_the_purpose_of_may_be_of_any_process() -> None:
    """It was 14 06 03* for certain, though it might be a paint."""
    found = eu.verdict(product(SOLVENT, purpose=""), "free-liquid", EU)
    assert {"08 01 11*", "08 04 09*", "14 06 03*"} <= set(found.maybe)
    assert found.codes == ()


def test_a_paint_in_water_goes_by_its_mirror_entry() -> None:
    """Waterborne paint without a hazardous property was 14 06 03*, hazardous whatever was in it."""
    water = Part("water", WATER, 1.0, 1.0)
    paint = product(water, purpose="coating", flash_point=380.0, hazards=(), reactivity=())
    assert eu.verdict(paint, "free-liquid", EU).codes == ("08 01 12",)
    with_toluene = product(
        Part("water", WATER, 0.9, 0.9), Part("t", TOLUENE, 0.1, 0.1), purpose="coating", flash_point=380.0
    )
    assert eu.verdict(with_toluene, "free-liquid", EU).codes == ("08 01 11*",)


def test_water_that_washed_is_no_organic_solvent() -> None:
    found = eu.verdict(product(Part("water", WATER, 1.0, 1.0), flash_point=380.0, reactivity=()), "free-liquid", EU)
    assert not {c for c in (*found.codes, *found.maybe) if c.startswith("14")}


@pytest.mark.parametrize(("flash", "reached"), [(346.0, True), (348.15, True), (348.25, False)])
def test_a_fuel_is_flammable_up_to_75_degrees(flash: float, reached: bool) -> None:
    """Diesel with a flash point of 73 degC had no HP 3: only the 60 degC of other liquids was looked at."""
    fuel = product(Part("diesel", DIESEL, 1.0, 1.0), flash_point=flash)
    assert ("HP 3" in eu.properties(fuel, EU)[0]) is reached
    assert "HP 3" not in eu.properties(product(SOLVENT, flash_point=346.0), EU)[0]


FOUND = """\
[pack]
id = "found"
title = "What was found of our waste"
jurisdiction = "this shop"
edition = "2026-03"

[[waste_determination]]
product = "thinner"
form = "free-liquid"
rules = "EU"
codes = {codes}
ground = "{ground}"
name = "{name}"
citation = "report 12/26"
edition = "2026-03-02"
"""


def with_found(folder: Path, **said: Any) -> Reference:
    write_shop(folder, "", {}, {}, rules={"found": FOUND.format(**said)})
    return load(("eu", "rules/found.toml"), folder, date(2026, 11, 25), [("waste", safety_waste.contribute())])


@pytest.mark.parametrize(("form", "held"), [("free-liquid", True), ("scrapings", False)])
def test_a_laboratory_overrules_and_is_named(tmp_path: Path, form: str, held: bool) -> None:
    """There was no way to say what a laboratory had found: the data's code stood for ever."""
    found = with_found(tmp_path, codes='["08 01 12"]', ground="laboratory", name="Hall laboratory")
    (verdict,) = verdicts(product(SOLVENT, purpose="coating"), form, found)
    assert (verdict.codes == ("08 01 12",)) is held
    said = joined((codes_text(verdict), *verdict.because))
    assert ("Found by a laboratory: Hall laboratory (report 12/26, 2026-03-02" in said) is held
    if held:
        assert "08 01 11*" in said  # what it stands in the place of is not hidden
        assert verdict.confirm == ()


def test_a_decision_that_it_is_no_hazardous_waste_has_its_name(tmp_path: Path) -> None:
    found = with_found(tmp_path, codes="[]", ground="decision", name="R. Vale")
    (verdict,) = verdicts(product(SOLVENT), "free-liquid", found)
    assert not verdict.asked
    assert verdict.codes == verdict.maybe == verdict.hazards == ()
    assert "Decided by R. Vale" in joined(verdict.because)
    assert "No code" in codes_text(verdict)
