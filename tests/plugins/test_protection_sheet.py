"""What the products can do, and the blocks that go on the sheet."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest
import safety_protection
from safety_protection import emergency
from safety_protection.rules import packs

from safety.cited import Unknown
from safety.model import Block, Figure, Finding, Grid, Lines, Respirator, Threshold
from safety.reference.citing import duty
from safety.reference.hazards import product_hazards

TOLUENE, BUTANONE = "108-88-3", "78-93-3"
TOLUENE_CODES = ("H225", "H304", "H315", "H336", "H361d", "H373")
BUTANONE_CODES = ("H225", "H319", "H336", "EUH066")

Run = Callable[..., tuple[list[Finding], dict[str, Block]]]


@pytest.fixture
def reference(make_reference: Any, make_substance: Any, make_limit: Any) -> Any:
    tables = {k: [{**r, "pack": "us-federal"} for r in rows] for k, rows in packs()[1].tables.items()}
    known = [make_substance(TOLUENE, hazards=TOLUENE_CODES), make_substance(BUTANONE, hazards=BUTANONE_CODES)]
    return make_reference(known, [make_limit(TOLUENE, "short-term", 150)], tables=tables)


@pytest.fixture
def run(make_step: Any, make_use: Any, make_job: Any, make_exposure: Any, reference: Any) -> Run:
    def one(*products: Any, ppm: float = 0.0, **shop: Any) -> tuple[list[Finding], dict[str, Block]]:
        steps = [make_step(f"step {i}", make_use(p)) for i, p in enumerate(products)]
        job = make_job(*steps, shop_={"rules": ("us-federal",), **shop})
        air = make_exposure(job, {TOLUENE: ppm}, shift_average={TOLUENE: 0.0})
        found = safety_protection.assess(job, air, reference)
        statements = {p.id: product_hazards(p, reference).codes for p in job.products}
        blocks = safety_protection.sheet_blocks(
            job, tuple(found), tuple(safety_protection.signs(statements, reference)), reference
        )
        return found, {b.key: b for b in blocks}

    return one


def test_every_step_gets_one_answer_for_each_topic(run: Run, make_product: Any) -> None:
    found, _ = run(make_product("a"), make_product("b"))
    for index in (0, 1):
        topics = sorted(f.topic for f in found if f.step == index)
        assert topics == ["breathing", "eyes", "hands", "skin"]
    assert all(f.plugin == "protection" and f.short and f.key for f in found)


def test_what_the_parts_imply_stands_beside_the_sheet_s_own_word(
    run: Run, make_product: Any, make_part: Any, reference: Any
) -> None:
    """The label once had the data sheet's statements alone: no sign for what toluene does to lungs and unborn."""
    product = make_product("primer", make_part(TOLUENE), hazards=("H225", "H315"))
    hazards = product_hazards(product, reference)
    assert hazards.codes == ("H225", "H315", "H304", "H336", "H361d", "H373")
    assert hazards.careful == {"H225", "H315", "H304", "H336", "H361", "H373"}
    grid = run(product)[1]["product-hazards"]
    assert isinstance(grid, Grid)
    assert grid.rows[0][1:3] == ("Danger", "GHS02 GHS07 GHS08")


def test_a_mismatch_is_a_control_with_the_sum_behind_it(run: Run, make_product: Any, make_part: Any) -> None:
    """It was a note, read by nobody: the supplier was to be asked, and no one was told to."""
    found, _ = run(
        make_product("primer", make_part(TOLUENE, 0.2, 0.3), make_part("", 0.7, 0.8, False, "resin"), hazards=("H225",))
    )
    note = next(f for f in found if f.key == "product-hazards-primer")
    assert (note.level, note.topic) == ("control", "data")
    assert "imply H304 (the viscosity is not known, so it counts as thin enough), H315, H336, H361d, H373 by 29" in (
        note.statement
    )
    assert note.short == "primer: its parts imply H315, H336, H361d and H373, not on its data sheet: ask the supplier"
    assert note.remedy == "Ask the supplier of primer about H304, H315, H336, H361d, H373."
    narcotic = next(f for f in note.figures if f.name == "H336")
    assert (narcotic.value, narcotic.unit) == (30.0, "%")
    cutoff = dict(narcotic.inputs)["cut-off"]
    assert isinstance(cutoff, Threshold)
    assert (cutoff.value, "1910.1200" in cutoff.citation) == (20.0, True)


def test_a_sheet_that_says_as_much_is_no_mismatch(run: Run, make_product: Any, make_part: Any) -> None:
    found, _ = run(make_product("toluene", make_part(TOLUENE), hazards=TOLUENE_CODES))
    assert next(f for f in found if f.key.startswith("product-hazards")).statement == (
        "toluene: the data sheet says H225, H304, H315, H336, H361d, H373."
    )
    # H314 outdoes H315 and H319, so leaving them out is no gap
    found, _ = run(
        make_product(
            "acid",
            make_part(TOLUENE, 0.12),
            make_part("", 0.88, volatile=False),
            hazards=("H225", "H314", "H304", "H360", "H372"),
        )
    )
    assert "imply" not in next(f for f in found if f.key.startswith("product-hazards")).statement


def test_without_a_sheet_the_parts_speak_and_the_gaps_are_said(run: Run, make_product: Any, make_part: Any) -> None:
    blend = make_product("blend", make_part(TOLUENE, 0.5), make_part(BUTANONE, 0.5), hazards=Unknown("not given"))
    found, blocks = run(blend)
    note = next(f for f in found if f.key.startswith("product-hazards"))
    assert "From its parts: H225, H304, H315, H319, H336, H361d, H373." in note.statement
    assert note.unknown == ""
    grid = blocks["product-hazards"]
    assert isinstance(grid, Grid)
    assert grid.rows[0][1] == "Danger (computed from its parts)"
    secret = make_product(
        "secret", make_part(TOLUENE, 0.5), make_part("", 0.5, name="additive"), hazards=Unknown("not given")
    )
    found, _ = run(secret)
    assert (
        "the hazards of additive are not disclosed"
        in next(f for f in found if f.key.startswith("product-hazards")).unknown
    )


def test_the_first_figure_carries_what_a_label_needs(run: Run, make_product: Any, make_part: Any) -> None:
    found, _ = run(make_product("solvent", make_part("", 1.0, name="solvent"), hazards=("H225", "H319")))
    head = next(f for f in found if f.key.startswith("product-hazards")).figures[0]
    assert isinstance(head, Figure)
    given = dict(head.inputs)
    assert (given["codes"], given["from"]) == ("H225 H319", "sheet")


def test_the_grid_gives_codes_with_their_legal_texts(run: Run, make_product: Any, make_part: Any) -> None:
    part = make_part("", 1.0, volatile=False, name="all of it")
    solvent = make_product("solvent", part, hazards=("H225", "H373"), flash_point=277.15)
    _, blocks = run(solvent, make_product("soap", part, hazards=(), flash_point=400.0))
    grid = blocks["product-hazards"]
    assert isinstance(grid, Grid)
    assert grid.title == "What the products can do"
    first, second = grid.rows
    assert first[3].split("\n") == [
        "H225 Highly flammable liquid and vapour.",
        "H373 May cause damage to organs through prolonged or repeated exposure.",
    ]
    assert second[1:] == ("No signal word", "", "No hazard statement")
    _, more = run(make_product("toluene", hazards=("H225",)))
    assert more["product-hazards"].rows[0][3].split("\n")[:2] == [  # type: ignore[union-attr]
        "H225 Highly flammable liquid and vapour.",
        "H304 May be fatal if swallowed and enters airways. (from its parts, not on its data sheet)",
    ]
    lines = blocks["precautions"]
    assert isinstance(lines, Lines)
    assert any(x.startswith("P210 Keep away from heat") for x in lines.lines)
    assert "(c) European Union, https://eur-lex.europa.eu" in lines.lines[-1]
    assert lines.lines[0] == "No statement for soap: its data sheet gives no hazard that calls for one."


def test_a_label_without_statements_is_said_and_told_from_one_nobody_knows(
    run: Run, make_product: Any, make_part: Any
) -> None:
    """The list once held nothing but the credit for the texts that were not there."""
    resin = make_part("", volatile=False, name="resin")
    soap = make_product("soap", resin, hazards=(), flash_point=400.0)
    lines = run(soap)[1]["precautions"].lines  # type: ignore[union-attr]
    assert lines == ("No statement for soap: its data sheet gives no hazard that calls for one.",)

    nothing = Unknown("not given")
    secret = make_product("secret", resin, hazards=nothing, flash_point=400.0)
    (line,) = run(secret)[1]["precautions"].lines  # type: ignore[union-attr]
    assert line.startswith("UNKNOWN for secret: what it can do is not all known")

    thin = make_product("thin", make_part(TOLUENE, 0.0001), hazards=nothing, flash_point=400.0)
    lines = run(thin)[1]["precautions"].lines  # type: ignore[union-attr]
    assert lines[:1] == ("No statement for thin: its parts give no hazard that calls for one. Its label may: read it.",)

    half = make_product("half", make_part(TOLUENE, 0.5), make_part("", 0.5, name="x"), hazards=nothing)
    lines = run(half, soap)[1]["precautions"].lines  # type: ignore[union-attr]
    assert lines[0].startswith("UNKNOWN for half")
    assert lines[1].startswith("No statement for soap")
    assert any(line.startswith("P210 ") for line in lines)
    assert "(c) European Union" in lines[-1]


@pytest.mark.parametrize(
    ("hazards", "key", "said", "unsaid"),
    [
        (("H225", "H304"), "first-aid", "Do NOT induce vomiting", ""),
        (("H225",), "first-aid", "Call a poison center", "Do NOT induce vomiting"),
        (("H318",), "first-aid", "Doctor at once", "if it still hurts"),
        (("H319",), "first-aid", "if it still hurts", "Doctor at once"),
        (("H334",), "first-aid", "P342+P311", ""),
        (("H225",), "spill", "no flame, no switch, no spark", ""),
        (("H319",), "spill", "Soak up", "spark"),
        (("H410",), "spill", "Block drains", ""),
        (("H225",), "fire", "Never a jet of water", ""),
        (("H319",), "fire", "Raise the alarm", "jet of water"),
    ],
)
def test_emergency_lines_by_hazard(
    run: Run, make_product: Any, make_part: Any, hazards: tuple[str, ...], key: str, said: str, unsaid: str
) -> None:
    """P-statements of Regulation (EC) No 1272/2008; 29 CFR 1910.120(a)(3) for what is a small spill."""
    # a part of which nothing is known adds no hazard of its own; the flash point is high
    plain = make_product("p", make_part("", 1.0, volatile=False), hazards=hazards, flash_point=400.0)
    _, blocks = run(plain)
    lines = blocks[key]
    assert isinstance(lines, Lines)
    text = "\n".join(lines.lines)
    assert said in text
    assert not unsaid or unsaid not in text
    assert "data sheet goes first" in text or "data sheet says goes first" in text


def test_letters_of_fire_classes_follow_the_country(make_reference: Any) -> None:
    """Class C is live current in the United States (NFPA 10) and gas in Europe (EN 2)."""
    said = {
        pack.id: "".join(emergency.fire(frozenset({"H225"}), duty(make_reference(tables=pack.tables), "extinguisher")))
        for pack in packs()
        if "duty" in pack.tables
    }
    assert "(class B, and C where power is on)" in said["us-federal"]
    assert "(class B; cut the power first)" in said["eu"]


def test_a_mask_on_the_sheet_brings_its_conditions(run: Run, make_product: Any) -> None:
    """29 CFR 1910.134(a)(1), (c), (e), (f), (d)(3)(iii)."""
    product = make_product("solvent")
    assert "respirator-use" not in run(product)[1]
    airline = Respirator("a", "supplied air", "full facepiece", "", "continuous flow", "Airline")
    lines = run(product, ppm=300.0, respirators=(airline,))[1]["respirator-use"]
    assert isinstance(lines, Lines)
    assert "a respirator comes last" in lines.lines[-1].lower()  # said behind what keeps who has put it on
    assert any("1910.134(c), (e), (f)" in x for x in lines.lines)


def test_hazards_nobody_knows_are_not_printed_as_none(run: Run, make_product: Any, make_part: Any) -> None:
    """The table once said "No signal word" and "No hazard statement" of a liquid without any data."""
    nothing = Unknown("not given")
    part = make_part("6283-86-9", name="a liquid without data")
    blank = make_product("blank", part, hazards=nothing, flash_point=nothing)
    found, blocks = run(blank)
    grid = blocks["product-hazards"]
    assert isinstance(grid, Grid)
    assert grid.rows[0][1].startswith("UNKNOWN")
    assert grid.rows[0][3] == "UNKNOWN: what it can do"
    note = next(f for f in found if f.key.startswith("product-hazards"))
    assert (note.short, "no hazard statement" in note.statement) == ("blank: not all it can do is known", False)
    worst = {
        "first-aid": ("Do NOT induce vomiting", "Doctor at once"),
        "spill": ("no flame, no switch, no spark", "Block drains"),
        "fire": ("Never a jet of water",),
    }
    for key, lines in worst.items():
        block = blocks[key]
        assert isinstance(block, Lines)
        assert block.lines[0].startswith("What blank can do is not all known.")
        assert all(line in "\n".join(block.lines) for line in lines)
    half = make_product("half", make_part(TOLUENE, 0.5), make_part("", 0.5, name="x"), hazards=Unknown("not given"))
    assert run(half)[1]["product-hazards"].rows[0][3].endswith("UNKNOWN: what else it can do")  # type: ignore[union-attr]
