"""No flat "none" over what is wet, what can make lungs allergic, or what nobody knows.

A wood shop of its own: a paste stripper, a glue, a sealer sold as not classified, and a chlorinated wash.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Finding, Report, Topic
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Invented joinery"
altitude = "0 m"
rules = ["{pack}"]

[[place]]
id = "loft"
kind = "room"
volume = "300 m^3"
temperature = "20 degC"

[[place.air]]
state = "open"
air_changes = ["3 /hour", "5 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "guessed for the test"

[[glove]]
id = "butyl"
material = "butyl"
thickness = "0.5 mm"

[[eyewear]]
id = "goggles"
kind = "splash goggles"
"""
PRODUCT = """
[product]
id = "stuff"
name = "Stuff"
role = "adhesive"
purpose = "adhesive"
density = "1.2 g/mL"
flash_point = "150 degC"
{says}
sds_revised = 2026-02-01

[[product.part]]
{part}
weight = "100 %"
"""
JOB = """
[job]
id = "work"
title = "Work"
place = "loft"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Put on"
duration = "20 min"
{first}

[[step.use]]
product = "stuff"
work = "{work}"
amount = "500 mL"
area = "2 m^2"

[[step]]
name = "Press"
duration = "10 min"
{second}
"""
RESIN = 'name = "binder"\nvolatile = false'
SILENT = "not_classified = true"


def _sheet(
    folder: Path, part: str = RESIN, says: str = SILENT, work: str = "brush", first: str = "", second: str = "",
    pack: str = "us-federal",
) -> Report:  # fmt: skip
    product = PRODUCT.format(says=says, part=part)
    job = JOB.format(work=work, first=first, second=second)
    return sheet(write_shop(folder, SHOP.format(pack=pack), {"stuff": product}, {"work": job}), "work")


def _one(report: Report, topic: Topic, step: int) -> Finding:
    (found,) = answers(report, topic, step)
    return found


def _data(report: Report) -> Finding:
    return next(f for f in report.findings if f.key == "product-hazards-stuff")


@pytest.mark.parametrize("pack", ["us-federal", "eu"])
def test_isocyanate_groups_make_lungs_allergic_whatever_carries_them(tmp_path: Path, pack: str) -> None:
    """A prepolymer with ``groups = ["NCO"]`` and no CAS number, sold as not classified: "None because of these
    products", and no word on asthma (Regulation (EC) No 1272/2008, Annex II 2.4: monomers, oligomers, prepolymers)."""
    report = _sheet(tmp_path, 'name = "prepolymer"\nvolatile = false\ngroups = ["NCO"]', pack=pack)
    assert "asthma" in next(f for f in report.findings if f.key == "allergy-stuff").statement
    assert _one(report, "breathing", 0).level == "control"
    assert "EUH204" in _data(report).short
    # and no law on diisocyanates is passed over because nobody names them
    assert any(f.key == "restricted-unknown-stuff" for f in report.findings)


def test_glue_that_is_still_wet_is_no_all_clear_for_the_next_step(tmp_path: Path) -> None:
    """The step after the trowelling said "None because of these products"."""
    report = _sheet(tmp_path, 'name = "MDI"\ncas = "101-68-8"\nvolatile = false')
    found = _one(report, "breathing", 1)
    assert found.level == "control"
    assert "can make lungs allergic" in found.statement


def test_not_classified_with_parts_nobody_knows_is_not_harmless(tmp_path: Path) -> None:
    """The front said "Stuff: no signal word", the step "None because of these products"."""
    report = _sheet(tmp_path)
    assert _data(report).level == "control"
    assert "sold as not classified, not all its parts are known" in _data(report).short
    assert "None because" not in _one(report, "breathing", 0).short
    # a number without data is as unknown as a name: potassium hydroxide once passed like this
    numbered = _sheet(tmp_path / "numbered", 'cas = "1310-58-3"\nname = "lye"\nvolatile = false')
    assert _data(numbered).level == "control"


def test_no_list_of_hazards_gives_no_all_clear(tmp_path: Path) -> None:
    """What it can do is not known, and breathing said "None because of these products"."""
    found = _one(_sheet(tmp_path, says=""), "breathing", 0)
    assert found.level == "control"
    assert "Not all that Stuff can do is known" in found.statement


@pytest.mark.parametrize("work", ["wipe", "spray", "soak", "pour"])
def test_no_contact_is_not_believed_of_what_the_step_puts_on(tmp_path: Path, work: str) -> None:
    """``contact = "none"`` in a step that wipes or sprays: no gloves, no eyewear, work clothes."""
    stripper = 'name = "N-methyl-2-pyrrolidone"\ncas = "872-50-4"'
    report = _sheet(tmp_path, stripper, 'hazards = ["H360", "H319"]', work, first='contact = "none"')
    assert _one(report, "hands", 0).level != "note"
    assert _one(report, "eyes", 0).level == "control"
    later = _sheet(tmp_path / "later", stripper, 'hazards = ["H360", "H319"]', "soak", second='contact = "none"')
    assert _one(later, "hands", 1).level != "note"
    assert _one(later, "eyes", 1).level == "control"


@pytest.mark.parametrize(
    "source",
    ["TIG, switched", "MIG set with generator", "carbon arc gouging, air line", "socket fusion iron",
     "battery hot wire cutter", "plastic sheet sealer", "charging cable arc", "sanding (belt, runs hot)"],
)  # fmt: skip
def test_a_harmless_word_clears_no_other(tmp_path: Path, source: str) -> None:
    """One word of the list ("switch", "generator", "air line") made arcs harmless in chlorinated vapour."""
    report = _sheet(
        tmp_path, 'name = "tetrachloroethylene"\ncas = "127-18-4"', 'hazards = ["H351"]', "wipe",
        second=f'ignition_sources = ["{source}"]',
    )  # fmt: skip
    assert any(f.level == "stop" and "gases that kill" in f.short for f in answers(report, "fire", 1))


def test_a_row_of_the_same_law_that_speaks_of_less_takes_nothing_away(tmp_path: Path) -> None:
    """A house row with the id of a federal ban, a smaller share and another substance made the ban vanish:
    "pack us-federal says stop, 0.1, ban: looser, not used", of a law on dichloromethane, by a row on ethyl acetate."""
    house = """
[pack]
id = "house"
title = "House rules"
jurisdiction = "house"
edition = "2026"

[[restricted]]
id = "tsca-75-09-2"
cas = ["141-78-6"]
percent = 0.01
level = "stop"
text = "Not in this shop."
citation = "house rule 1"
edition = "2026"

[[sensitiser]]
id = "mdi"
cas = ["141-78-6"]
always = ["EUH208"]
gives = ["EUH208"]
percent = 0.01
citation = "house rule 2"
edition = "2026"
"""
    parts = PRODUCT.format(says='hazards = ["H225"]', part='cas = "75-09-2"\nname = "dichloromethane"').replace(
        '"100 %"', '"60 %"'
    )
    parts += '\n[[product.part]]\ncas = "101-68-8"\nname = "MDI"\nvolatile = false\nweight = "40 %"\n'
    for number, packs in enumerate(('us-federal", "rules/house.toml', 'rules/house.toml", "us-federal')):
        job = JOB.format(work="brush", first="", second="")
        files = {"stuff": parts}, {"work": job}, {"house": house}
        report = sheet(write_shop(tmp_path / str(number), SHOP.format(pack=packs), *files), "work")
        assert [f.level for f in report.findings if f.key == "restricted-tsca-75-09-2"] == ["stop"]
        assert any(f.key == "allergy-stuff" and "asthma" in f.statement for f in report.findings)
