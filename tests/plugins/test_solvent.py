"""What the solvent plugin says about a job. Sources stand beside the figures."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from itertools import product as every
from pathlib import Path
from typing import Any

import pytest
import safety_solvent
from safety_solvent import books, cleaning, coatings

from safety import reference
from safety.cited import Unknown
from safety.model import Answer, Figure, Finding, Grid, Part, Product, Range
from safety.reference import Reference
from tests.answered import blocks, findings

ACETONE, BUTANONE, METHANOL, TOLUENE, WATER = "67-64-1", "78-93-3", "67-56-1", "108-88-3", "7732-18-5"
MMHG = 101325 / 760


@pytest.fixture
def us(tmp_path: Path) -> Reference:
    """The data a shop under the federal rules has loaded."""
    return reference.load(("us-federal",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])


@pytest.fixture
def nothing(tmp_path: Path) -> Reference:
    return reference.load((), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])


@pytest.fixture
def judge(make_exposure: Any, us: Reference) -> Callable[..., dict[str, Finding]]:
    """Findings of the plugin by key, for a job."""

    def run(job: Any, data: Reference = us) -> dict[str, Finding]:
        found = findings(safety_solvent.assess(job, make_exposure(job, {}), data, None))
        assert {f.topic for f in found} == {"solvent"}
        return {f.key if f.step is None else f"{f.key}@{f.step}": f for f in found}

    return run


@pytest.fixture
def table(make_exposure: Any, us: Reference) -> Callable[..., Any]:
    """The plugin's table on the sheet of a job."""

    def run(job: Any) -> Any:
        (block,) = blocks(safety_solvent.assess(job, make_exposure(job, {}), us, None))
        return block

    return run


@pytest.fixture
def wiped(make_job: Any, make_step: Any, make_use: Any) -> Callable[..., Any]:
    """A job that wipes with one product, and what the shop has answered."""

    def make(cleaner: Product, operation: str = "", *answers: Answer) -> Any:
        use = make_use(cleaner, work="wipe", mass=Range(0.5, 0.5), area=1.0)
        job = make_job(replace(make_step("wipe", use), operation=operation))
        return replace(job, shop=replace(job.shop, answers=answers))

    return make


def blend(*parts: tuple[str, float], purpose: Any = "cleaner", **more: Any) -> Product:
    none = Unknown("not given")
    made = tuple(Part(cas, cas, share, share) for cas, share in parts)
    given = {"density": 800.0, "flash_point": none, "boiling_point": none, "hazards": none, "sds_revised": none}
    return Product("cleaner", "Cleaner", "any", made, purpose=purpose, **(given | more))


# ---------------------------------------------------------------- composite vapour pressure


def test_the_agency_memo(monkeypatch: pytest.MonkeyPatch, us: Reference) -> None:
    # EPA calculation memo on the aerospace rule, calc.wpd: 9.8 mm Hg from terms rounded to 0.1. Weights, molar masses
    # and pressures as printed there: 500 g water, 79.2 g of an exempt part, 80.5, 160.2 and 79.2 g of three VOC
    printed = {
        WATER: (500.0, 18.0, None),
        ACETONE: (79.2, 58.1, None),
        BUTANONE: (80.5, 72.1, 70.6),
        "108-10-1": (160.2, 100.2, 14.4),
        METHANOL: (79.2, 32.0, 95.5),
    }
    whole = sum(grams for grams, _, _ in printed.values())

    def as_printed(self: Reference, cas: str, temperature: float) -> Figure:
        assert temperature == pytest.approx(293.15)
        pressure = printed[cas][2]
        assert pressure is not None, "water and exempt parts have no pressure in this sum"
        return Figure("p", pressure * MMHG, "Pa")

    monkeypatch.setattr(Reference, "vapour_pressure", as_printed)
    made = blend(*((cas, grams / whole) for cas, (grams, _, _) in printed.items()))
    figure = cleaning.composite(made, us)
    assert isinstance(figure, Figure)
    assert figure.value / MMHG == pytest.approx(9.8, abs=0.1)
    assert figure.formula == "composite_vapour_pressure"


def test_acetone_only_dilutes(us: Reference) -> None:
    # the formula of 40 CFR 63.750(b)(2) with acetone exempt by 51.100(s)(1): half butanone, half acetone by weight is
    # 31.5 mm Hg with the memo's 70.6 mm Hg; the pressure here is the reference data's own, 1 % higher
    figure = cleaning.composite(blend((BUTANONE, 0.5), (ACETONE, 0.5)), us)
    assert isinstance(figure, Figure)
    assert figure.value / MMHG == pytest.approx(31.5, rel=0.02)


def test_the_worst_make_up_of_ranges_is_found(us: Reference) -> None:
    parts = ((BUTANONE, 0.1, 0.5), (TOLUENE, 0.1, 0.5), (ACETONE, 0.04, 0.44), (WATER, 0.0, 0.4))
    ranged = replace(blend(), parts=tuple(Part(cas, cas, low, high) for cas, low, high in parts))
    figure = cleaning.composite(ranged, us)
    assert isinstance(figure, Figure)
    best = 0.0
    for shares in every(*([low + i * (high - low) / 10 for i in range(11)] for _, low, high in parts)):
        if abs(sum(shares) - 1) < 1e-9:
            exact = cleaning.composite(blend(*((p[0], s) for p, s in zip(parts, shares, strict=True) if s)), us)
            assert isinstance(exact, Figure)
            best = max(best, exact.value)
    assert figure.value == pytest.approx(best, rel=1e-9)


def test_an_undisclosed_part_leaves_it_unknown(judge: Any, wiped: Any) -> None:
    hidden = replace(blend(), parts=(Part("toluene", TOLUENE, 0.5, 0.5), Part("a blend", "", 0.5, 0.5)))
    finding = judge(wiped(hidden))["hand-wipe:cleaner@0"]
    assert "a blend" in finding.unknown
    assert finding.short == "hand-wipe limit not known"  # the page sets UNKNOWN before it
    assert finding.level == "control"  # over the limit it would be one


# ---------------------------------------------------------------- the limit for hand-wipe cleaning


@pytest.mark.parametrize(
    ("parts", "operation", "level", "short"),
    [
        # 40 CFR 63.744(b)(2): 45 mm Hg; toluene 21.9, butanone 71 mm Hg at 20 degC
        (((TOLUENE, 1.0),), "", "note", "hand-wipe limit met"),
        (((BUTANONE, 1.0),), "", "control", "over the hand-wipe limit"),
        # 63.744(e)(3) surface activation before bonding and (e)(6) fuel tanks and confined spaces are exempt
        (((BUTANONE, 1.0),), "before-bonding", "note", "exempt operation (3)"),
        (((BUTANONE, 1.0),), "fuel-tanks-and-confined-spaces", "note", "exempt operation (6)"),
        # 63.741(f): no HAP, and acetone is no VOC
        (((ACETONE, 1.0),), "", "note", "hardly any VOC or HAP"),
        (((BUTANONE, 1.0),), "not-aerospace", "note", "outside the rule"),
        (((BUTANONE, 1.0),), "polishing", "control", "over the hand-wipe limit"),
    ],
)
def test_each_operation_stands_as_the_rule_has_it(
    judge: Any, wiped: Any, parts: Any, operation: str, level: str, short: str
) -> None:
    finding = judge(wiped(blend(*parts), operation))["hand-wipe:cleaner@0"]
    assert (finding.level, finding.short) == (level, short)


@pytest.mark.parametrize(
    ("cas", "share", "exempt"),
    [
        # 63.741(f): less than 1.0 percent is not counted, and less than 0.1 percent of a carcinogen
        (TOLUENE, 0.009, True),
        ("108-10-1", 0.009, False),  # methyl isobutyl ketone: IARC group 2B
        ("108-10-1", 0.0009, True),
        ("6283-86-9", 0.009, False),  # 2-ethylhexyl lactate: no loaded rule says what it is
        ("6283-86-9", 0.0009, True),
    ],
)
def test_a_carcinogen_and_what_no_rule_names_count_from_the_smaller_share(
    judge: Any, wiped: Any, cas: str, share: float, exempt: bool
) -> None:
    finding = judge(wiped(blend((ACETONE, 1 - share), (cas, share))))["hand-wipe:cleaner@0"]
    assert (finding.short == "hardly any VOC or HAP") is exempt


def test_at_the_limit_itself_a_cleaner_complies(monkeypatch: pytest.MonkeyPatch, judge: Any, wiped: Any) -> None:
    # 63.744(b)(2): "a composite vapor pressure of 45 mm Hg (24.1 in. H2O) or less at 20 degC"
    for pressure, short in ((45.0, "hand-wipe limit met"), (45.01, "over the hand-wipe limit")):
        monkeypatch.setattr(Reference, "vapour_pressure", lambda *_, p=pressure: Figure("p", p * MMHG, "Pa"))
        assert judge(wiped(blend((BUTANONE, 1.0))))["hand-wipe:cleaner@0"].short == short


def test_removing_bonded_parts_is_asked_once_and_the_answer_is_printed(judge: Any, wiped: Any) -> None:
    question = "removing-bonded-parts"
    asked = judge(wiped(blend((BUTANONE, 1.0)), question))["hand-wipe:cleaner@0"]
    assert asked.level == "control"
    assert "environmental officer" in asked.statement
    assert f'question = "{question}"' in asked.remedy
    no = Answer(question, "no", "R. Vale", date(2026, 1, 12), "letter of the agency")
    decided = judge(wiped(blend((BUTANONE, 1.0)), question, no))["hand-wipe:cleaner@0"]
    assert decided.level == "note"
    assert "R. Vale on 2026-01-12 (letter of the agency)" in decided.statement
    yes = replace(no, answer="yes")
    held = judge(wiped(blend((BUTANONE, 1.0)), question, yes))["hand-wipe:cleaner@0"]
    assert (held.level, held.short) == ("control", "over the hand-wipe limit")


def test_whether_the_rule_holds_is_a_persons_to_say(judge: Any, wiped: Any) -> None:
    found = judge(wiped(blend((BUTANONE, 1.0))))
    assert found[cleaning.APPLIES].level == "note"  # the careful answer is taken meanwhile
    no = Answer(cleaning.APPLIES, "no", "R. Vale", date(2026, 1, 12))
    found = judge(wiped(blend((BUTANONE, 1.0)), "", no))
    assert cleaning.APPLIES not in found
    assert found["hand-wipe:cleaner@0"].level == "note"


def test_without_a_pack_nothing_is_judged_and_that_is_said(judge: Any, wiped: Any, nothing: Reference) -> None:
    found = judge(wiped(blend((BUTANONE, 1.0))), nothing)
    assert found["hand-wipe"].short == "no cleaning rule loaded"
    assert "nothing is judged" in found["solvent-planned"].statement
    assert {f.level for f in found.values()} == {"note"}


# ---------------------------------------------------------------- coatings


@pytest.mark.parametrize(
    ("category", "grams", "over"),
    [
        # 40 CFR 63.745(c): primer 350 g/L, general aviation rework 540; 25 Pa. Code 129.73, Table II: 850 g/L; at the
        # limit a coating complies
        ("primer", 360, True),
        ("primer", 350, False),
        ("primer-general-aviation-rework", 360, False),
        ("bonding-primer-to-250f", 850, False),
        ("adhesive-rubber-based", 870, True),
    ],
)
def test_content_against_the_limit_of_its_category(
    judge: Any, wiped: Any, category: str, grams: float, over: bool
) -> None:
    share = grams / 1000
    coat = replace(
        blend((BUTANONE, share), purpose="primer", density=1000.0, voc=float(grams), coating=category),
        parts=(Part("butanone", BUTANONE, share, share), Part("resin", "", 1 - share, 1 - share, volatile=False)),
    )
    finding = judge(wiped(coat))["coating:cleaner"]
    assert finding.level == ("control" if over else "note")


def test_less_water_and_exempt(us: Reference) -> None:
    # Paints & Coatings Resource Center (2004): solids 20.8 %, water 53.0 %, 8.52 lb/gal: 4.87 lb/gal less water
    pound = 0.45359237 / 3.785411784e-3
    coat = blend((BUTANONE, 0.262), (WATER, 0.53), purpose="primer", density=8.52 * pound)
    coat = replace(coat, parts=(*coat.parts, Part("resin", "", 0.208, 0.208, volatile=False)))
    figure = coatings.contents(coat, "VOC", us)
    assert isinstance(figure, Figure)
    assert figure.value / pound == pytest.approx(4.87, abs=0.01)


def test_a_month_of_coatings_is_averaged_by_volume(us: Reference) -> None:
    # TCEQ (2011), example of a month: 22 gal at 3.47, 6 at 4.00 and 5 at 2.52 lb/gal give 3.42
    pound, gallon = 0.45359237 / 3.785411784e-3, 3.785411784e-3
    used = []
    for number, (gallons, pounds) in enumerate(((22, 3.47), (6, 4.00), (5, 2.52))):
        share = pounds / 10
        parts = (Part("butanone", BUTANONE, share, share), Part("resin", "", 1 - share, 1 - share, volatile=False))
        coat = replace(blend(purpose="coating", coating="topcoat", density=10 * pound), id=f"c{number}", parts=parts)
        used.append((coat, gallons * gallon))
    (row,) = coatings.averages(used, us)
    assert row[0] == "topcoat and self-priming topcoat"
    assert row[2] == f"{3.42 * pound:.0f} g/L"  # 410 g/L, within 420


# ---------------------------------------------------------------- planned use


def test_planned_mass_of_a_county_example(judge: Any, table: Any, wiped: Any) -> None:
    # Mecklenburg County, VOC Emission Calculation Examples: 4000 gal at 12.19 lb/gal with 15 % xylene is 7314 lb
    pound, gallon = 0.45359237, 3.785411784e-3
    parts = (Part("xylene", "1330-20-7", 0.15, 0.15), Part("solids", "", 0.85, 0.85, volatile=False))
    paint = replace(blend(density=12.19 * pound / gallon), parts=parts)
    job = wiped(paint)
    mass = 4000 * 12.19 * pound
    uses = tuple(replace(u, mass=Range(mass, mass)) for u in job.steps[0].uses)
    job = replace(job, steps=(replace(job.steps[0], uses=uses),))
    found = judge(job)
    figures = {f.name: f for f in found["solvent-planned@0"].figures}
    assert figures["HAP in Cleaner planned"].value / pound == pytest.approx(7314, abs=1)
    assert figures["HAP in Cleaner planned"].formula == "pollutant_mass"
    assert "estimate" in found["solvent-planned@0"].statement
    block = table(job)
    assert isinstance(block, Grid)
    assert "estimate" in block.title
    assert [cells[0] for cells in block.rows] == ["Cleaner"]


def test_coats_and_what_is_left_wet_are_counted(
    judge: Any, make_job: Any, make_step: Any, make_use: Any, make_leftover: Any
) -> None:
    from safety.model import Application

    cleaner = blend((TOLUENE, 1.0))
    primer = replace(blend((TOLUENE, 1.0), purpose="primer"), id="primer", application=Application({"aluminium": 2}))
    steps = (
        make_step("wipe", make_use(cleaner, work="wipe", mass=Range(0.2, 0.2), area=1.0)),
        make_step("prime", make_use(primer, work="brush", mass=Range(0.3, 0.3), area=1.0)),
    )
    left = make_leftover(cleaner, mass=Range(0.1, 0.1), area=0.1)
    job = replace(make_job(replace(steps[0], leaves_wet=(left,)), steps[1]), surface="aluminium")
    whole = judge(job)["solvent-planned"]
    assert whole.figures[0].value == pytest.approx(0.2 + 0.1 + 2 * 0.3)


def test_an_unknown_amount_is_said_and_a_shipped_estimate_is_called_one(judge: Any, wiped: Any) -> None:
    job = wiped(blend((TOLUENE, 1.0)))
    uses = (replace(job.steps[0].uses[0], mass=Unknown("the job gives no amount")),)
    found = judge(replace(job, steps=(replace(job.steps[0], uses=uses),)))
    assert "The job gives no amount" in found["solvent-planned@0"].unknown
    assert found["solvent-planned"].short == "amount not known"  # never zero
    assert " 0 " not in found["solvent-planned"].statement
    assert "estimate" in found["solvent-planned@0"].unknown
    assert found["solvent-planned"].unknown


def test_a_sum_of_planned_solvent_says_what_is_missing_from_it(
    judge: Any, table: Any, make_job: Any, make_step: Any, make_use: Any
) -> None:
    known = make_use(blend((TOLUENE, 1.0)), work="wipe", mass=Range(0.2, 0.2), area=1.0)
    other = replace(blend((TOLUENE, 1.0)), id="other", name="Other")
    third = make_use(replace(other, id="third", name="Third"), work="wipe", mass=Range(0.1, 0.1), area=1.0)
    dark = make_use(other, work="wipe", mass=Unknown("nobody weighed it"), area=1.0)
    for last, ending in ((dark, " + UNKNOWN"), (replace(dark, mass=Range(0.1, 0.1)), "g")):
        job = make_job(make_step("one", known), make_step("two", last), make_step("three", third))
        block = table(job)
        whole = next(row for row in block.rows if row[0] == "Whole job")
        assert all(cell.endswith(ending) for cell in whole[1:3])


def test_a_part_nobody_can_sort_is_weighed_all_the_same(
    judge: Any, table: Any, make_job: Any, make_step: Any, make_use: Any
) -> None:
    """Its mass is known and so are the kinds that rules do settle: UNKNOWN stands where no rule answers, with a bound.

    Half of it is toluene, so the lactate, 40 to 50 % by its sheet, must be the other half.
    """
    lactate = "6283-86-9"  # in no list of pollutants, and not exempt
    mixed = replace(
        blend((TOLUENE, 0.5)),
        parts=(Part("toluene", TOLUENE, 0.5, 0.5), Part("2-ethylhexyl lactate", lactate, 0.4, 0.5)),
    )
    use = make_use(mixed, work="wipe", mass=Range(0.2, 0.4), area=1.0)
    job = make_job(make_step("one", use), make_step("two", use))
    found = judge(job)
    assert found["solvent-planned@0"].unknown == ""  # what the step takes is known
    whole = found["solvent-planned"]
    assert whole.short == "estimate 800 g in all; how much of it is HAP is not known"
    assert whole.statement.startswith("An estimate, at most: product planned for the job 800 g;")
    assert whole.unknown == "Cleaner: no loaded rule says whether 2-ethylhexyl lactate counts as HAP."
    block = table(job)
    columns = ("Product", "Middle", "At most", "VOC at most", "HAP at most", "Exempt at most")
    assert block.columns == columns
    assert block.rows == (
        ("Cleaner", "600 g", "800 g", "800 g", "800 g", "0 kg"),
        ("of which 2-ethylhexyl lactate in Cleaner", "300 g", "400 g", "400 g", "UNKNOWN, at most 400 g", "0 kg"),
    )
    # and a step without an amount says UNKNOWN for all of it, beside the rest
    dark = replace(use, mass=Unknown("nobody weighed it"))
    job = make_job(make_step("one", use), make_step("two", dark))
    found = judge(job)
    assert "at least 400 g in all" in found["solvent-planned"].short
    block = table(job)
    assert [cells[1:3] for cells in block.rows] == [("300 g", "400 g"), ("150 g", "200 g"), ("UNKNOWN", "UNKNOWN")]


def test_a_part_the_maker_hides_may_be_of_any_kind(judge: Any, table: Any, wiped: Any) -> None:
    parts = (Part("toluene", TOLUENE, 0.8, 0.8), Part("a blend", "", 0.2, 0.2))
    job = wiped(replace(blend((TOLUENE, 1.0)), parts=parts))
    found = judge(job)
    block = table(job)
    assert [cell.startswith("UNKNOWN, at most ") for cell in block.rows[1][1:]] == [False, False, True, True, True]
    assert found["solvent-planned"].short.endswith("how much of it is VOC, HAP, exempt is not known")


# ---------------------------------------------------------------- what counts


def test_what_counts_hangs_on_the_jurisdiction(tmp_path: Path, us: Reference) -> None:
    # acetone: no VOC by 40 CFR 51.100(s)(1), one by 2010/75/EU article 3(45) (0.01 kPa or more at 293.15 K)
    eu = reference.load(("eu",), tmp_path, date(2026, 11, 25), [("solvent", safety_solvent.contribute())])
    pure = blend((ACETONE, 1.0)).parts

    def counted(data: Reference) -> dict[str, float]:
        return {kind.key: books.share(pure, kind, "acetone").high for kind in books.kinds(data)}

    assert counted(us) == {"VOC": 0.0, "HAP": 0.0, "exempt": 1.0}
    assert counted(eu) == {"VOC": 1.0}


def test_butanone_left_the_list_of_pollutants(us: Reference) -> None:
    # 70 FR 75047, 2005-12-19
    kinds = {kind.key: kind for kind in books.kinds(us)}
    assert kinds["HAP"].counts(BUTANONE) is False
    assert kinds["HAP"].counts(TOLUENE) is True
    assert kinds["HAP"].counts("6283-86-9") is None  # no pack says


# ---------------------------------------------------------------- a level and a limit that round to the same figure


def test_a_figure_that_rounds_to_its_limit_says_on_which_side_it_is(
    monkeypatch: pytest.MonkeyPatch, judge: Any, wiped: Any
) -> None:
    for pressure, told in ((45.01, "just over 45 mmHg"), (44.99, "just under 45 mmHg")):
        monkeypatch.setattr(Reference, "vapour_pressure", lambda *_, p=pressure: Figure("p", p * MMHG, "Pa"))
        found = judge(wiped(blend((BUTANONE, 1.0))))["hand-wipe:cleaner@0"]
        assert f"composite vapour pressure of at most {told} at 20 °C" in found.statement
    for grams, told in ((350.2, "just over 350 g/L"), (349.8, "just under 350 g/L"), (350.0, "350 g/L")):
        share = grams / 1000
        coat = replace(
            blend((BUTANONE, share), purpose="primer", density=1000.0, voc=grams, coating="primer"),
            parts=(Part("butanone", BUTANONE, share, share), Part("resin", "", 1 - share, 1 - share, volatile=False)),
        )
        assert f"VOC less water and exempt {told}" in _si(judge(wiped(coat))["coating:cleaner"].statement)


def _si(text: str) -> str:
    """Without the US unit before the metric one."""
    return re.sub(r"[\d.]+ lb/gal \(([^)]*)\)", r"\1", text)
