"""A mixture gets the statements the law gives it: specific limits first, and no sum where the law takes each part alone.

On a joinery of its own with made-up products, under the European rules unless a test says otherwise.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.marks import unchecked
from safety.model import ProductHazards
from tests.unsafe_answers.shops import sheet, write_shop

SHOP = """\
[shop]
name = "Lantern joinery"
altitude = "0 m"
rules = ["{rules}"]

[[place]]
id = "room"
kind = "room"
volume = "120 m^3"
temperature = "21 degC"
near_radius = "0.6 m"

[[place.air]]
state = "shut"
air_changes = "1 /hour"
air_speed = "0.1 m/s"
basis = "tracer gas"
measured = 2026-04-02
"""

JOB = """\
[job]
id = "wipe"
title = "Wipe"
place = "room"
air = "shut"
start = {day}T09:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "5 min"

[[step.use]]
product = "mix"
work = "wipe"
amount = "20 mL"
area = "0.2 m^2"
"""

PRODUCT = """\
[product]
id = "mix"
name = "Mix"
role = "cleaner"
purpose = "cleaner"
density = "0.95 g/mL"
flash_point = "{flash}"
boiling_point = "150 degC"
hazards = {hazards}
sds_revised = 2026-01-10
"""

WATER = "7732-18-5"


def hazards(
    folder: Path,
    *parts: tuple[str, float],
    rules: str = "eu",
    day: str = "2026-11-25",
    flash: str = "95 degC",
    said: str = '"unknown"',
) -> ProductHazards:
    """What a product of these parts (CAS number, percent) can do; the rest of it is water."""
    rest = 100 - sum(percent for _, percent in parts)
    rows = "".join(
        f'\n[[product.part]]\ncas = "{cas}"\nweight = "{percent:g} %"\n'
        for cas, percent in (*parts, (WATER, rest))
        if percent
    )
    product = PRODUCT.format(flash=flash, hazards=said) + rows
    write_shop(folder, SHOP.format(rules=rules), {"mix": product}, {"wipe": JOB.format(day=day)})
    (found,) = sheet(folder, "wipe").hazards
    return found


def codes(found: ProductHazards) -> set[str]:
    return {one.code for one in found.implied}


HDI, NMP, METHANOL, THF = "822-06-0", "872-50-4", "67-56-1", "109-99-9"


def test_a_diisocyanate_is_a_sensitiser_from_its_own_limit(tmp_path: Path) -> None:
    """0.8 % HDI computed neither H334 nor H317: the generic 1 % stood in for 0.5 % (Annex VI, row 615-011-00-1)."""
    assert {"H334", "H317"} <= codes(hazards(tmp_path / "over", (HDI, 0.8)))
    assert {"H334", "H317"} <= codes(hazards(tmp_path / "at", (HDI, 0.5)))
    under = codes(hazards(tmp_path / "under", (HDI, 0.49)))
    assert not {"H334", "H317"} & under
    assert {"EUH204", "EUH208"} <= under  # whoever is allergic already reads it from 0.1 %; isocyanates at any share
    assert "EUH204" in codes(hazards(tmp_path / "trace", (HDI, 0.01)))


def test_the_sheet_names_the_limit_and_its_list(tmp_path: Path) -> None:
    found = hazards(tmp_path, (HDI, 0.8))
    figure = next(one.figure for one in found.implied if one.code == "H334")
    limit = dict(figure.inputs)["cut-off"]
    assert (figure.value, limit.value, limit.written) == (0.8, 0.5, "0.5 %")
    assert "European Chemicals Agency, row 615-011-00-1" in limit.citation


def test_benzyl_alcohol_makes_allergic(tmp_path: Path) -> None:
    """5 % gave nothing at all: H317 came into the list in September 2025, and the store had no dates."""
    assert "H317" in codes(hazards(tmp_path / "now", ("100-51-6", 5)))
    assert "H317" not in codes(hazards(tmp_path / "then", ("100-51-6", 5), day="2025-08-31"))


def test_limonene_is_not_dipentene(tmp_path: Path) -> None:
    """H410 for a product of which the list says H412; H400 with its factor of 1 is right."""
    found = codes(hazards(tmp_path, ("5989-27-5", 60), flash="48 degC"))
    assert {"H400", "H412"} <= found
    assert not {"H410", "H411"} & found


def test_hexane_harms_organs_for_certain_since_may_2026(tmp_path: Path) -> None:
    """At 12 % it said H373; and before May at 7 % nothing, where the list's own limit was 5 %."""
    assert "H372" in codes(hazards(tmp_path / "now", ("110-54-3", 12)))
    assert "H373" in codes(hazards(tmp_path / "low", ("110-54-3", 7)))
    assert "H373" in codes(hazards(tmp_path / "before", ("110-54-3", 7), day="2026-04-30"))
    assert "H373" not in codes(hazards(tmp_path / "under", ("110-54-3", 4.9), day="2026-04-30"))


@pytest.mark.parametrize("rules", ["eu", "us-federal"])
def test_nmp_irritates_the_airways_from_ten_percent(tmp_path: Path, rules: str) -> None:
    """15 % computed no H335 in either pack: the generic 20 % stood in for the list's 10 %."""
    assert "H335" in codes(hazards(tmp_path / "over", (NMP, 15), rules=rules))
    assert "H335" not in codes(hazards(tmp_path / "under", (NMP, 9.9), rules=rules))


def test_a_limit_above_the_generic_one_holds_where_the_law_says_so(tmp_path: Path) -> None:
    """22 % THF: Europe's own limit is 25 %; the United States have no list, so their 10 % and 20 % stand."""
    assert not {"H319", "H335"} & codes(hazards(tmp_path / "eu", (THF, 22)))
    assert {"H319", "H335"} <= codes(hazards(tmp_path / "us", (THF, 22), rules="us-federal"))
    assert "H371" not in codes(hazards(tmp_path / "methanol", (METHANOL, 2)))
    assert "H371" in codes(hazards(tmp_path / "more", (METHANOL, 3)))


def test_parts_are_not_added_up_where_the_law_takes_each_alone(tmp_path: Path) -> None:
    """2 % toluene and 2 % styrene (both H361d) were given H361d from 3 %: CLP Annex I 3.7.3.1.1 takes each alone.

    The sum hid the rule; and what cannot happen alone was asked of the supplier for nothing.
    """
    both = hazards(tmp_path / "both", ("108-88-3", 2), ("100-42-5", 2))
    assert not {"H361", "H361d"} & codes(both)
    assert "H361d" in codes(hazards(tmp_path / "one", ("108-88-3", 3)))


def test_irritants_are_still_added_up(tmp_path: Path) -> None:
    """6 % toluene and 6 % xylene: 12 % of H315, from 10 % (CLP Annex I Table 3.2.3)."""
    assert "H315" in codes(hazards(tmp_path, ("108-88-3", 6), ("1330-20-7", 6)))


def test_the_united_states_say_whose_classes_they_use(tmp_path: Path) -> None:
    found = hazards(tmp_path, (NMP, 15), rules="us-federal")
    (row,) = found.basis
    assert row["text"] == "What its parts can do is taken from the European list: the United States have none."
    assert not any(row["text"] for row in hazards(tmp_path / "eu", (NMP, 15)).basis)


def test_what_was_not_read_is_marked_where_it_decides(tmp_path: Path) -> None:
    """H317 of benzyl alcohol rests on a page about the change: the figure carries the class with its mark."""
    found = hazards(tmp_path, ("100-51-6", 5))
    figure = next(one.figure for one in found.implied if one.code == "H317")
    (held,) = [value for label, value in figure.inputs if label == "class"]
    assert held.valid_from == date(2025, 9, 1)
    assert "21st adaptation" in held.unverified
    (told,) = [f for f in sheet(tmp_path, "wipe").findings if f.key == "product-hazards-mix"]
    assert any(mark.name == "H317" and mark.why == held.unverified for mark in unchecked(told))
