"""Eyes, face, skin and body from what the products can do and how the work throws them about."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import safety_protection
from safety_protection import skin
from safety_protection.rules import packs

from safety.cited import Unknown
from safety.model import Eyewear, Finding, Respirator

TOLUENE = "108-88-3"

Assess = Callable[..., dict[str, Finding]]

SPECTACLES = Eyewear("spectacles", "spectacles", "Spectacles")
GOGGLES = Eyewear("goggles", "splash goggles", "Goggles")
SHIELD = Eyewear("shield", "face shield", "Face shield")
ALL = (SPECTACLES, GOGGLES, SHIELD)


@pytest.fixture
def assess(make_step: Any, make_use: Any, make_product: Any, make_job: Any, make_exposure: Any, make_reference: Any,
           make_substance: Any, make_limit: Any) -> Assess:  # fmt: skip
    """The findings of one step by topic."""

    def one(hazards: Any = (), work: str = "wipe", eyewear: Any = ALL, respirators: Any = (), ppm: float = 0.0,
            limits: Any = (), product: Any = None, **step: Any) -> dict[str, Finding]:  # fmt: skip
        used = product or make_product("solvent", hazards=hazards)
        uses = (make_use(used, work),) if work else ()
        job = make_job(make_step("work", *uses, **step), shop_={"eyewear": eyewear, "respirators": respirators})
        air = make_exposure(job, {TOLUENE: ppm}, shift_average={TOLUENE: 0.0})
        tables = {k: [{**r, "pack": "us-federal"} for r in rows] for k, rows in packs()[1].tables.items()}
        reference = make_reference([make_substance(TOLUENE, hazards=())], limits, tables=tables)
        return {f.topic: f for f in safety_protection.assess(job, air, reference) if f.step == 0}

    return one


# ---------------------------------------------------------------- eyes


@pytest.mark.parametrize(
    ("hazards", "work", "short"),
    [
        (("H225",), "open", "Spectacles"),
        (("H319",), "wipe", "Goggles"),
        (("H319",), "brush", "Goggles"),
        ((), "pour", "Goggles"),
        (("H319",), "spray", "Goggles"),
        (("H318",), "open", "Goggles"),
        (("H318",), "wipe", "Goggles"),
        (("H318",), "pour", "Goggles and Face shield"),
        (("H314",), "spray", "Goggles and Face shield"),
    ],
)
def test_eyewear_by_hazard_and_work(assess: Assess, hazards: tuple[str, ...], work: str, short: str) -> None:
    """29 CFR 1910 Subpart I Appendix B: goggles for splash and mist, a shield on top for severe exposure."""
    found = assess(hazards, work)["eyes"]
    assert (found.level, found.short) == ("control", short)
    assert "1910.133" in found.rule


def test_overhead_work_takes_a_shield_over_goggles(assess: Assess) -> None:
    """Drops run behind an open shield: ours, built on the notes of Appendix B."""
    found = assess(("H225", "H319"), "brush", overhead=True)["eyes"]
    assert found.short == "Goggles and Face shield"
    assert "Goggles must bear D3 (ANSI Z87.1)." in found.statement


def test_a_shield_is_never_worn_without_goggles(assess: Assess) -> None:
    """Appendix B: face shields only over primary eye protection."""
    found = assess(("H314",), "pour", eyewear=(SHIELD,))["eyes"]
    assert (found.level, found.short) == ("stop", "No splash goggles in stock")
    assert found.remedy == "Get: splash goggles."


def test_goggles_stand_in_for_spectacles_but_not_the_other_way(assess: Assess) -> None:
    assert assess(("H225",), "open", eyewear=(GOGGLES,))["eyes"].short == "Goggles"
    assert assess(("H225",), "wipe", eyewear=(SPECTACLES,))["eyes"].level == "stop"


def test_a_full_facepiece_covers_both(assess: Assess, make_limit: Any) -> None:
    airline = Respirator("a", "supplied air", "full facepiece", "", "continuous flow", "Airline")
    limits = [make_limit(TOLUENE, "short-term", 150)]
    found = assess(("H318",), "pour", eyewear=(), respirators=(airline,), ppm=300.0, limits=limits)["eyes"]
    assert (found.level, found.short) == ("control", "Full facepiece")


def test_unknown_hazards_are_taken_as_blinding(assess: Assess, make_product: Any, make_part: Any) -> None:
    secret = make_product("secret", make_part("", 1.0, name="all of it"), hazards=Unknown("not given"))
    found = assess(work="pour", product=secret)
    assert found["eyes"].short == "Goggles and Face shield"
    assert "not fully known" in found["eyes"].statement
    assert "apron" in found["skin"].statement
    assert "not fully known" in found["skin"].unknown


@pytest.mark.parametrize("topic", ["hands", "eyes", "breathing", "skin"])
def test_a_step_with_nothing_gets_an_answer_all_the_same(assess: Assess, topic: str) -> None:
    found = assess(work="")[topic]
    assert found.level == "note"
    assert found.short
    assert found.statement.startswith("work: ")


# ---------------------------------------------------------------- skin


def test_flammable_liquid_on_clothes(assess: Assess, make_product: Any) -> None:
    """P303+P361+P353; NIOSH Pocket Guide, toluene: remove when wet (flammable)."""
    found = assess(("H225",))["skin"]
    assert "off at once" in found.statement
    assert "P303+P361+P353" in found.statement
    assert "cotton or antistatic" in found.statement
    slow = make_product("slow", hazards=("H319",), flash_point=400.0)
    assert "off at once" not in assess(product=slow)["skin"].statement
    # the parts' own flash point counts, whatever the sheet leaves out
    assert "off at once" in assess(("H319",))["skin"].statement


def test_long_sleeves_alone_are_a_note_and_more_than_that_a_control(assess: Assess, make_product: Any) -> None:
    """Our choice, no source: what everybody wears anyway is no control."""
    mild = make_product("mild", hazards=("H319",), flash_point=400.0)
    found = assess(product=mild)["skin"]
    assert (found.level, found.short) == ("note", "Long sleeves")
    assert assess(product=mild, overhead=True)["skin"].level == "control"


@pytest.mark.parametrize(("hazards", "duty"), [(("H314",), True), (("H318",), True), (("H319",), False)])
def test_eyewash_and_shower_are_a_duty_with_corrosives(assess: Assess, hazards: tuple[str, ...], duty: bool) -> None:
    """29 CFR 1910.151(c); EN 15154-2: 6 L/min for the eyes; ANSI/ISEA Z358.1: 75 L/min, 15 min, 10 s."""
    found = assess(hazards)["skin"]
    numbers = "Eyewash (6 L/min) and shower (75 L/min) within 10 s on a clear path, for 15 min." in found.statement
    assert numbers is duty
    if duty:
        assert {round(f.value * 1000, 1) for f in found.figures} == {90.0, 1125.0}
        assert "1910.151(c)" in found.rule


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("H310", "Work with a second person"),
        ("H312", "It can poison through the skin"),
        ("H315", "never wash hands with it"),
        ("EUH066", "never wash hands with it"),
        ("H317", "soiled clothes stay at work (P272)"),
        ("H334", "make the lungs allergic"),
        ("H360D", "pregnant asks the safety officer"),
    ],
)
def test_what_a_statement_asks_of_people(assess: Assess, code: str, words: str) -> None:
    assert words in assess((code,))["skin"].statement
    assert words not in assess(("H226",))["skin"].statement


def test_spray_and_overhead_work_cover_more(assess: Assess) -> None:
    assert "hooded coverall" in assess(("H225",), "spray")["skin"].statement
    assert "cuffs turned over the glove" in assess(("H225",), overhead=True)["skin"].statement


# ---------------------------------------------------------------- through the skin


@pytest.mark.parametrize(("mg", "flagged"), [(75, False), (73, True)])
def test_a_ratio_of_a_tenth_flags(
    make_substance: Any, make_reference: Any, make_limit: Any, mg: float, flagged: bool
) -> None:
    """NIOSH CIB 61: SI of 0.1 or more. Toluene at 75 mg/m3: 0.098 by the same model."""
    toluene = make_substance(TOLUENE, log_kow=2.73, water_solubility=0.526)
    limit = make_limit(TOLUENE, "twa", unit="mg/m3", value=mg * 1e-6, written=f"{mg} mg/m3")
    assert skin.uptake(toluene, make_reference([toluene], [limit])).flagged is flagged


def test_the_published_notation_stands_beside_the_computed_ratio(
    assess: Assess,
    make_step: Any,
    make_use: Any,
    make_job: Any,
    make_exposure: Any,
    make_reference: Any,
    make_limit: Any,
    make_substance: Any,
) -> None:
    marked = make_limit(TOLUENE, "twa", 100, skin=True, list="NIOSH REL")
    job = make_job(make_step("wipe", make_use()))
    reference = make_reference([make_substance(TOLUENE, hazards=())], [marked])
    found = next(
        f for f in safety_protection.assess(job, make_exposure(job, {}, substances=[]), reference) if f.topic == "skin"
    )
    assert (
        'marked "skin" by NIOSH REL; ratio not computed: no octanol-water coefficient of toluene is loaded'
        in found.statement
    )
    assert "air readings miss that part" in found.statement
