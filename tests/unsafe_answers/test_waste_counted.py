"""What counts towards the category of a generator: 40 CFR 262.13, 261.4(b)(18), 261.33(e), 273, 262 subpart L."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import safety_waste
from safety_waste import eu, month, us
from safety_waste.due import due
from safety_waste.fill import Fill

from safety.cited import Unknown
from safety.model import Container, Grid, Part, Period, Product
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_books import PRODUCT
from tests.unsafe_answers.test_own_keys import SHOP
from tests.waste.made_up import US, container, ledger, line, product, rules, shop, with_pack

FED = rules(*US)
DCM, WATER, CS2, TOLUENE, CHLOROFORM = "75-09-2", "7732-18-5", "75-15-0", "108-88-3", "67-66-3"
WASH = replace(product(Part("water", WATER, 1.0, 1.0), flash_point=380.0, hazards=()), id="wash", name="Wash")
THINNER = product(Part("t", TOLUENE, 1.0, 1.0))
ROW = {
    "product": "wash",
    "rules": "US",
    "ground": "decision",
    "name": "R. Vale",
    "citation": "memo 3",
    "edition": "2026",
}
DRUM, RAGS = container("drum"), container("rags", "satellite", "wet-cloths")


def asked(*lines: Any, containers: tuple[Container, ...] = (DRUM, RAGS), reference: Any = FED, until: str = "2026-11-30",
          products: tuple[Product, ...] = (WASH, THINNER)) -> Any:  # fmt: skip
    own = replace(shop(*containers), products={p.id: p for p in products})
    return month.months(ledger(lines), own, reference, date.fromisoformat(until)), own


def test_what_no_code_was_found_for_is_asked_and_not_counted_for_ever() -> None:
    """200 kg of a washing water without a code made a small generator of the shop, and nobody was asked."""
    lines = (line("2026-11-03", mass=200.0, product="wash"), line("2026-11-04", mass=20.0, product="thinner"))
    found, own = asked(*lines)
    one = found["2026-11"]
    assert (one.counted, one.asked) == (20.0, 200.0)
    assert month.category_of(one, FED)[0] == "VSQG"
    assert one.at_least  # what is asked may be more of it
    assert month.strictest(found, "2026-11", "2026-11", FED) == "SQG"  # no time grows longer by a question
    blocks = safety_waste.log_blocks(Period("2026-11", "2026-11"), ledger(lines), FED, own, ())
    grid = next(b for b in blocks if isinstance(b, Grid) and b.key == "waste-months")
    (point,) = grid.unknown
    assert "No waste code was found for Wash" in point.text  # type: ignore[union-attr]


@pytest.mark.parametrize(("codes", "counted", "none"), [((), 0.0, 200.0), (("D002",), 200.0, 0.0)])
def test_an_answer_settles_it(codes: tuple[str, ...], counted: float, none: float) -> None:
    found, _ = asked(
        line("2026-11-03", mass=200.0, product="wash"),
        reference=with_pack(tables={"waste_determination": ({**ROW, "codes": list(codes)},)}),
    )
    one = found["2026-11"]
    assert (one.counted, one.asked, one.none) == (counted, 0.0, none)


@pytest.mark.parametrize(("until", "counted", "wipes"), [("2026-06-30", 0.0, 30.0), ("2026-07-01", 30.0, 0.0)])
def test_wipes_kept_over_180_days_count(until: str, counted: float, wipes: float) -> None:
    """Rags that stayed in their bin for a year were excluded wipes for ever. 180 days from 1 January: 30 June."""
    found, _ = asked(line("2026-01-01", "rags", mass=30.0, product="thinner"), until=until)
    assert sum(m.counted for m in found.values()) == counted
    assert sum(m.wipes for m in found.values()) == wipes
    if counted:
        assert found["2026-07"].counted == counted  # from the day they were no longer excluded


def test_wipes_that_went_in_time_do_not_count() -> None:
    lines = (
        line("2026-01-01", "rags", mass=30.0, product="thinner"),
        line("2026-06-30", "rags", mass=30.0, kind="ship", receiver="Laundry"),
        line("2026-07-02", "rags", mass=5.0, product="thinner"),
    )
    assert sum(m.counted for m in asked(*lines)[0].values()) == 0.0


def test_a_little_over_a_kilogram_of_acute_waste_makes_a_large_generator() -> None:
    """The limit of 1 kg stood in the pack and nothing read it."""
    bisulfide = replace(product(Part("cs2", CS2, 1.0, 1.0)), id="cs2")
    for mass, category in ((1.0, "VSQG"), (1.1, "LQG")):
        found, _ = asked(line("2026-11-03", mass=mass, product="cs2", way="from stock"), products=(bisulfide,))
        assert month.category_of(found["2026-11"], FED)[0] == category


@pytest.mark.parametrize("regime", ["universal waste", "used oil", "episodic event"])
def test_waste_under_rules_of_its_own_does_not_count(regime: Any) -> None:
    """The pack listed them as not counted, and there was no way to say that a container is of one."""
    found, _ = asked(line("2026-11-03", mass=500.0, product="thinner"), containers=(replace(DRUM, regime=regime),))
    assert (found["2026-11"].counted, found["2026-11"].apart) == (0.0, 500.0)


@pytest.mark.parametrize(
    ("regime", "last"), [("universal waste", date(2027, 1, 1)), ("episodic event", date(2026, 3, 2))]
)
def test_they_have_a_last_day_of_their_own(regime: Any, last: date) -> None:
    """The 60 days of an episodic event stood in the pack and nothing read them: 40 CFR 262.232."""
    one = Fill(replace(DRUM, regime=regime), date(2026, 1, 1), 10.0)
    assert due(one, {}, date(2026, 2, 1), shop(DRUM), FED).last == last


def test_a_solvent_without_a_flash_point_is_not_ignitable() -> None:
    """Dichloromethane got D001, since "it has none" could not be said: it was not known, and so ignitable."""
    none = Unknown("its file says that it has none")
    plain = product(Part("dcm", DCM, 1.0, 1.0), flash_point=none, hazards=("H351",))
    said = replace(plain, no_flash_point="data sheet, section 9")
    assert "D001" in us.verdict(plain, "free-liquid", FED).maybe
    found = us.verdict(said, "free-liquid", FED)
    assert "D001" not in (*found.codes, *found.maybe)
    assert any("data sheet, section 9" in text for text in found.because)
    assert "HP 3" not in eu.properties(said, rules("eu"))[0]
    assert not any("flash point" in text for text in eu.properties(said, rules("eu"))[2])


def test_none_is_read_from_the_file_and_is_not_harmless_for_fire(tmp_path: Path) -> None:
    """A liquid without a flash point can have a vapour that burns: only the rules on waste go by it."""
    text = PRODUCT.format(hazards='hazards = ["H351"]').replace('"-18 degC"', '"none"')
    text = text.replace("sds_revised", 'flash_point_ground = "section 9"\nsds_revised', 1)
    folder = write_shop(tmp_path, SHOP, {"wash": text}, {})
    wash = Workplace.open(folder).shop.products["wash"]
    assert isinstance(wash.flash_point, Unknown)
    assert wash.no_flash_point == "section 9"


@pytest.mark.parametrize(("cas", "code"), [(CHLOROFORM, "D022"), ("107-06-2", "D028"), ("7439-97-6", "D009")])
def test_every_constituent_of_the_leaching_table_is_looked_at(cas: str, code: str) -> None:
    """40 CFR 261.24, Table 1: of 40 constituents 17 were known, and chloroform got no code."""
    assert code in us.verdict(product(Part(cas, cas, 0.1, 0.1)), "free-liquid", FED).maybe
