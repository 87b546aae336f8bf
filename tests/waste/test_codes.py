"""What a waste is. Sources: EPA letters and the rule each case names; cases without a letter are made on the rule."""

from __future__ import annotations

from dataclasses import replace

import pytest
from safety_waste import eu, traits, us
from safety_waste.shipping import findings as shipping
from safety_waste.shipping import reportable

from safety.cited import Unknown
from safety.model import Part
from safety.reference.citing import sources
from tests.waste.made_up import US, by_volume, product, rules, threshold, with_pack

TOLUENE, XYLENE, ACETONE, MEK, DCM, TCE = "108-88-3", "1330-20-7", "67-64-1", "78-93-3", "75-09-2", "79-01-6"
GLYCOL_ETHER, ISOPROPANOL, WATER, CHROMATE = "107-98-2", "67-63-0", "7732-18-5", "7789-06-2"
FED = rules(*US)


@pytest.mark.parametrize(
    ("shares", "codes"),
    [
        # EPA letter of 21 July 1987: 80 % xylene, 9 % toluene, 11 % glycol ethers is not listed
        (((XYLENE, 0.80), (TOLUENE, 0.09), (GLYCOL_ETHER, 0.11)), {"D001"}),
        # 40 CFR 261.31(a): one point more, and it is
        (((XYLENE, 0.80), (TOLUENE, 0.10), (GLYCOL_ETHER, 0.10)), {"F003", "F005", "D001"}),
        # EPA letter of 4 November 1992: xylene and acetone used for cleaning
        (((XYLENE, 0.50), (ACETONE, 0.50)), {"F003", "D001"}),
        (((ACETONE, 0.50), (ISOPROPANOL, 0.50)), {"D001"}),
        (((DCM, 0.06), (TOLUENE, 0.05), (GLYCOL_ETHER, 0.89)), {"F002", "F005", "D001"}),
        (((DCM, 0.06), (TOLUENE, 0.03), (GLYCOL_ETHER, 0.91)), {"D001"}),
    ],
)
def test_spent_solvents_by_volume_before_use(shares: tuple[tuple[str, float], ...], codes: set[str]) -> None:
    found = us.verdict(product(*by_volume(FED, *shares)), "free-liquid", FED)
    assert set(found.codes) == codes
    assert not [c for c in found.maybe if c.startswith("F")]


def test_a_range_that_leaves_the_listing_open_says_so() -> None:
    # 5 to 15 % toluene may be under or over the 10 % of 40 CFR 261.31(a)
    found = us.verdict(product(Part("t", TOLUENE, 0.05, 0.15), Part("h", "142-82-5", 0.85, 0.95)), "free-liquid", FED)
    assert found.maybe == ("F005",)
    assert any("leave F005 open" in text for text in found.confirm)


def test_degreasing_brings_its_own_code() -> None:
    pure = Part("dcm", DCM, 1.0, 1.0)
    assert "F001" in us.verdict(product(pure, purpose="degreaser"), "free-liquid", FED).codes
    found = us.verdict(product(pure), "free-liquid", FED)
    assert "F001" not in found.codes
    assert any("F001" in text for text in found.confirm)


@pytest.mark.parametrize(
    ("purpose", "form"),
    [
        ("primer", "scrapings"),  # EPA letters of 2 May 1986 and 20 May 1987: an ingredient is no spent solvent
        ("remover", "expired-product"),  # EPA letter of 14 April 1987: 55 % methylene chloride, never used
    ],
)
def test_ingredients_and_unused_products_are_not_spent(purpose: str, form: str) -> None:
    parts = (Part("dcm", DCM, 0.55, 0.55), Part("rest", GLYCOL_ETHER, 0.45, 0.45))
    found = us.verdict(product(*parts, purpose=purpose), form, FED)
    assert not [c for c in (*found.codes, *found.maybe) if c.startswith("F")]


@pytest.mark.parametrize(
    ("flash", "d001"),
    [(333.14, True), (333.15, False)],  # 40 CFR 261.21(a)(1): less than 60 degC
)
def test_ignitable_on_both_sides(flash: float, d001: bool) -> None:
    found = us.verdict(product(Part("g", GLYCOL_ETHER, 1.0, 1.0), flash_point=flash), "free-liquid", FED)
    assert ("D001" in found.codes) is d001


def test_a_little_alcohol_in_water_is_left_out() -> None:
    # EPA RCRA hotline, July 1992, question 3: 77 % water, 13 % alcohol, flash point 54 degC is not D001
    parts = (Part("w", WATER, 0.77, 0.77), Part("i", ISOPROPANOL, 0.13, 0.13), Part("g", GLYCOL_ETHER, 0.10, 0.10))
    assert "D001" not in us.verdict(product(*parts, flash_point=327.15), "free-liquid", FED).codes
    strong = (Part("w", WATER, 0.60, 0.60), Part("i", ISOPROPANOL, 0.40, 0.40))
    assert "D001" in us.verdict(product(*strong, flash_point=297.0), "free-liquid", FED).codes


def test_an_unknown_flash_point_is_not_harmless() -> None:
    found = us.verdict(product(Part("g", GLYCOL_ETHER, 1.0, 1.0), flash_point=Unknown("none")), "free-liquid", FED)
    assert "D001" in found.maybe


@pytest.mark.parametrize(
    ("share", "toxic"),
    # 40 CFR 261.24 table 1: 200 mg/L of MEK; EPA: total over 20, so 4000 mg/kg just reach it
    [(0.0040, True), (0.0039, False)],
)
def test_leaching_screen_on_both_sides(share: float, toxic: bool) -> None:
    parts = (Part("mek", MEK, share, share), Part("h", "142-82-5", 1 - share, 1 - share))
    assert ("D035" in us.verdict(product(*parts, purpose="adhesive"), "scrapings", FED).maybe) is toxic


def test_chromate_makes_cloths_toxic_by_something_that_is_no_solvent() -> None:
    primer = product(Part("strontium chromate", CHROMATE, 0.1, 0.2, False), Part("t", TOLUENE, 0.8, 0.9))
    assert "D007" in us.verdict(primer, "wet-cloths", FED).maybe
    assert any("not solvent" in why for why in us.wipes_barred(primer, FED))


def test_who_may_be_an_excluded_wipe() -> None:
    assert us.wipes_barred(product(Part("t", TOLUENE, 1.0, 1.0)), FED) == []
    assert us.wipes_barred(product(Part("mek", MEK, 1.0, 1.0)), FED) == []  # toxic by solvent alone is allowed
    # 40 CFR 261.4(b)(18): no trichloroethylene on wipes that are thrown away
    assert us.wipes_barred(product(Part("tce", TCE, 1.0, 1.0)), FED)
    assert us.wipes_barred(product(Part("t", TOLUENE, 1.0, 1.0), purpose="primer"), FED)
    state = with_pack(tables={"wipes_state": ({"adopted": False, "citation": "County 9", "edition": "2026"},)})
    assert "pack county" in us.wipes_barred(product(Part("t", TOLUENE, 1.0, 1.0)), state)[0]


def test_a_local_rule_may_list_smaller_shares() -> None:
    parts = by_volume(FED, (XYLENE, 0.80), (TOLUENE, 0.09), (GLYCOL_ETHER, 0.11))
    local = with_pack(threshold("spent-solvent-share", 0.05, "1", "at or over", "5 %"))
    found = us.verdict(product(*parts), "free-liquid", local)
    assert {"F003", "F005"} <= set(found.codes)
    assert "pack county" in sources(found.grounds)


@pytest.mark.parametrize(
    ("parts", "form", "code"),
    [
        # Decision 2000/532/EC, List of Waste
        ((Part("t", TOLUENE, 1.0, 1.0),), "free-liquid", "14 06 03*"),
        ((Part("dichloromethane", DCM, 1.0, 1.0),), "free-liquid", "14 06 02*"),
        ((Part("t", TOLUENE, 1.0, 1.0),), "wet-cloths", "15 02 02*"),
        ((Part("t", TOLUENE, 1.0, 1.0),), "empty-containers", "15 01 10*"),
    ],
)
def test_list_of_waste(parts: tuple[Part, ...], form: str, code: str) -> None:
    assert eu.verdict(product(*parts), form, rules("eu")).codes == (code,)


@pytest.mark.parametrize(
    ("share", "reached"),
    [(0.030, True), (0.0299, False)],  # Regulation (EU) 1357/2014, HP 10: H361 from 3 %; from memory in the pack
)
def test_toxic_for_reproduction_on_both_sides(share: float, reached: bool) -> None:
    parts = (Part("t", TOLUENE, share, share), Part("w", WATER, 1 - share, 1 - share))
    names, used, _, _ = eu.properties(product(*parts, flash_point=350.0), rules("eu"))
    assert ("HP 10" in names) is reached
    assert [row["unverified"] for row in used if row["property"] == "HP 10"] == [
        "limits and cut-offs from memory"
    ] * reached


def test_every_answer_names_its_rule_and_what_is_unverified() -> None:
    found = eu.verdict(product(Part("t", TOLUENE, 1.0, 1.0)), "scrapings", rules("eu"))
    told = sources(found.grounds)
    assert "Decision 2000/532/EC" in told
    assert "unverified" in told
    assert found.confirm


@pytest.mark.parametrize(
    ("flash", "boiling", "group"),
    [
        (264.15, 352.15, "II"),  # 49 CFR 173.121(a): flash under 23 degC
        (300.15, 390.15, "III"),
        (240.15, 305.15, "I"),
    ],
)
def test_a_shipping_draft_has_its_packing_group(flash: float, boiling: float, group: str) -> None:
    solvent = product(
        Part("t", TOLUENE, 0.5, 0.5), Part("x", XYLENE, 0.5, 0.5), flash_point=flash, boiling_point=boiling
    )
    (draft,) = shipping([(solvent, "free-liquid")], FED)
    assert f"UN1993, Waste Flammable liquids, n.o.s., class 3, packing group {group}" in draft.statement
    assert draft.statement.startswith("Draft for a trained person")
    assert "unverified" in draft.rule


def test_a_neat_solvent_ships_under_its_own_name() -> None:
    (draft,) = shipping([(product(Part("a", ACETONE, 0.99, 1.0)), "free-liquid")], FED)
    assert "UN1090" in draft.statement


# our choice, no source: what is 95 % one solvent goes by that solvent's own name, from the lowest share it may have
@pytest.mark.parametrize(("least", "un"), [(0.95, "UN1090"), (0.9499, "UN1993")])
def test_a_solvent_is_neat_from_its_share_on(least: float, un: str) -> None:
    (draft,) = shipping([(product(Part("a", ACETONE, least, 1.0)), "free-liquid")], FED)
    assert un in draft.statement


# our choice, no source: half of it or more is surely water
@pytest.mark.parametrize(("least", "aqueous"), [(0.5, True), (0.4999, False)])
def test_a_product_is_aqueous_from_half_water_on(least: float, aqueous: bool) -> None:
    wash = product(Part("w", WATER, least, 1.0, False), Part("g", GLYCOL_ETHER, 0.0, 0.5))
    assert ("aqueous" in traits.of_product(wash, FED)) is aqueous


@pytest.mark.parametrize(("kilograms", "rq"), [(45.35, []), (45.36, ["F005"])])  # 40 CFR 302.4: F005 100 lb
def test_reportable_quantity_on_both_sides(kilograms: float, rq: list[str]) -> None:
    assert [row["code"] for row in reportable(["F005"], kilograms, FED)] == rq


# what eats skin is an acid or an alkali by its number too, where the data on it leave H290 and H314 out
def test_an_acid_whose_data_say_little_is_an_acid() -> None:
    """By the name of the part it was one until names decided nothing more; then only H290 or H314 made it one."""
    mild = replace(FED.substance(ACETONE), cas="7664-93-9", hazards=("H302",), classes=())
    rules = FED.asking(lambda cas: mild if cas == mild.cas else None)
    assert "acid" in traits.of_product(product(Part("drain cleaner", mild.cas, 0.1, 0.2, False)), rules)
