"""An adhesive with MDI typed as a resin, ``volatile = false``, and sold as not classified, once gave "No respirator
needed" and no word on asthma. What can make lungs or skin allergic asks for no level, and nothing switches it off.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Finding, Report
from safety.problems import Problems
from safety.render import text
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Invented shop"
altitude = "0 m"
print_units = "si"
rules = ["{pack}"]

[[place]]
id = "bay"
kind = "room"
volume = "300 m^3"
temperature = "20 degC"

[[place.air]]
state = "doors shut"
air_changes = ["2 /hour", "4 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "guessed for the test"

[[glove]]
id = "butyl"
material = "butyl"
thickness = "0.5 mm"
{glove}

[[eyewear]]
id = "goggles"
kind = "splash goggles"
"""
TIME = """
[glove.breakthrough."101-68-8"]
time = "480 min"
standard = "EN 16523-1"
temperature = "23 degC"
"""
GLUE = """
[product]
id = "glue"
name = "Glue"
role = "adhesive"
purpose = "adhesive"
density = "1.2 g/mL"
flash_point = "200 degC"
{says}

[[product.part]]
{part}
weight = "{share} %"
{volatile}

[[product.part]]
name = "polyol"
weight = "{rest} %"
volatile = false
"""
JOB = """
[job]
id = "glue"
title = "Glue a panel"
place = "bay"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Glue"
duration = "20 min"
{more}

[[step.use]]
product = "glue"
work = "{work}"
amount = "500 mL"
area = "2 m^2"
"""

MDI, HDI = "101-68-8", "822-06-0"
SILENT = "not_classified = true"


def _glued(
    folder: Path,
    *,
    part: str = f'cas = "{MDI}"',
    share: float = 30,
    says: str = SILENT,
    volatile: str = "volatile = false",
    work: str = "brush",
    more: str = "",
    pack: str = "eu",
    glove: str = TIME,
) -> Report:
    product = GLUE.format(says=says, part=part, share=share, rest=100 - share, volatile=volatile)
    shop = SHOP.format(pack=pack, glove=glove)
    return sheet(write_shop(folder, shop, {"glue": product}, {"glue": JOB.format(work=work, more=more)}), "glue")


def _who(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.key == "allergy-glue"]


def _front(report: Report) -> str:
    return " ".join(text.sheet(report).partition("Step by step")[0].split())


@pytest.mark.parametrize("pack", ["eu", "us-federal"])
def test_the_front_says_who_may_not_do_this(tmp_path: Path, pack: str) -> None:
    report = _glued(tmp_path, pack=pack)
    (who,) = _who(report)
    assert (who.level, who.topic, who.step) == ("control", "breathing", None)
    assert "asthma" in who.statement
    assert "Ask the doctor of the works" in who.statement
    assert "Glue: not for people with asthma, or allergic to it" in _front(report)


def test_the_front_names_the_training_the_law_asks_for(tmp_path: Path) -> None:
    """REACH Annex XVII, entry 74: from 0.1 % of all diisocyanates together, since 2023-08-24."""
    report = _glued(tmp_path / "much")
    (law,) = [f for f in report.findings if f.key == "restricted-reach-xvii-74"]
    assert law.level == "control"
    assert "training" in law.statement
    assert "trained people only" in _front(report)
    little = _glued(tmp_path / "little", share=0.099)
    assert [f for f in little.findings if f.key == "restricted-reach-xvii-74"] == []


@pytest.mark.parametrize("pack", ["eu", "us-federal"])
def test_breathing_gives_no_all_clear(tmp_path: Path, pack: str) -> None:
    """It said "No respirator needed"."""
    (found,) = answers(_glued(tmp_path, pack=pack), "breathing", 0)
    assert found.level == "control"
    assert "None" not in found.short
    assert "Do not spray, heat or sand it" in found.statement


@pytest.mark.parametrize(
    ("work", "more"),
    [("spray", ""), ("brush", 'surface_temperature = "60 degC"')],
    ids=["sprayed", "warmed"],
)
def test_sprayed_or_warmed_it_stops(tmp_path: Path, work: str, more: str) -> None:
    (found,) = answers(_glued(tmp_path, work=work, more=more), "breathing", 0)
    assert (found.level, bool(found.unknown)) == ("stop", True)


# ---------------------------------------------------------------- nothing switches it off


@pytest.mark.parametrize("says", [SILENT, 'hazards = ["H319"]', 'hazards = ["H334"]', ""])
@pytest.mark.parametrize("share", [0.1, 30])
def test_no_word_of_the_data_sheet_switches_it_off(tmp_path: Path, says: str, share: float) -> None:
    (who,) = _who(_glued(tmp_path, says=says, share=share))
    assert "asthma" in who.statement


@pytest.mark.parametrize("code", ["H334", "EUH204"])
def test_the_data_sheet_alone_is_enough(tmp_path: Path, code: str) -> None:
    """A resin without a number, and the data sheet's own word."""
    report = _glued(tmp_path, part='name = "resin"', says=f'hazards = ["{code}"]')
    (who,) = _who(report)
    assert "asthma" in who.statement
    assert answers(report, "breathing", 0)[0].level == "control"
    sprayed = _glued(tmp_path / "sprayed", part='name = "resin"', says=f'hazards = ["{code}"]', work="spray")
    assert answers(sprayed, "breathing", 0)[0].level == "stop"


@pytest.mark.parametrize("code", ["H317", "EUH203", "EUH205", "EUH208"])
def test_skin_has_its_own_word(tmp_path: Path, code: str) -> None:
    (who,) = _who(_glued(tmp_path, part='name = "resin"', says=f'hazards = ["{code}"]'))
    assert (who.topic, who.short) == ("skin", "Glue: not for people allergic to it")


def test_under_the_share_that_makes_allergic_who_is_allergic_is_still_warned(tmp_path: Path) -> None:
    """CLP, Annex II 2.8: a tenth of the limit brings on an allergy. Isocyanates are named at any share (2.4)."""
    codes = {}
    for share in (0.1, 0.05, 0.005):
        (found,) = [f for f in _glued(tmp_path / str(share), share=share).findings if f.key == "product-hazards-glue"]
        codes[share] = set(str(dict(found.figures[0].inputs)["careful"]).split())
    assert {"H334", "H317", "EUH204"} <= codes[0.1]
    assert {"EUH208", "EUH204"} <= codes[0.05]
    assert "H334" not in codes[0.05]
    assert "EUH204" in codes[0.005]
    assert "EUH208" not in codes[0.005]


def test_the_glove_is_asked_for_its_time_against_it(tmp_path: Path) -> None:
    """A part that was said to stay needed no time of a glove, and one that had it could not be used."""
    without = answers(_glued(tmp_path / "without", glove=""), "hands", 0)[0]
    assert without.level == "stop"
    assert "4,4'-methylenediphenyl diisocyanate" in without.remedy
    assert answers(_glued(tmp_path / "with"), "hands", 0)[0].level == "control"


# ---------------------------------------------------------------- volatile = false against the data


@pytest.mark.parametrize("cas", [HDI, "108-88-3", "872-50-4"])
def test_what_the_data_know_to_evaporate_cannot_be_said_to_stay(tmp_path: Path, cas: str) -> None:
    """HDI typed as a resin: no vapour, no limit, no fire, no record of solvent, and nothing said so."""
    with pytest.raises(Problems) as wrong:
        _glued(tmp_path, part=f'cas = "{cas}"')
    (line,) = map(str, wrong.value.problems)
    assert "products/glue.toml" in line
    assert "volatile" in line
    assert "evaporates" in line


def test_a_cut_of_petroleum_cannot_be_said_to_stay(tmp_path: Path) -> None:
    """White spirit typed as a resin: a whole sheet without vapour, limit or fire, and nothing said so."""
    with pytest.raises(Problems) as wrong:
        _glued(tmp_path, part='cas = "64742-48-9"')
    (line,) = map(str, wrong.value.problems)
    assert "hydrotreated heavy naphtha evaporates" in line
    assert "boiling_range" in line


@pytest.mark.parametrize("cas", [MDI, "9016-87-9", "91-08-7"])
def test_a_diisocyanate_without_a_vapour_pressure_is_not_known_to_stay(tmp_path: Path, cas: str) -> None:
    """A file that has its classes and no vapour pressure took away the doubt that there was without the file."""
    found = answers(_glued(tmp_path, part=f'cas = "{cas}"', pack="us-federal"), "breathing", 0)
    assert any("No data on" in f.unknown for f in found)


def test_a_real_resin_may_stay(tmp_path: Path) -> None:
    report = _glued(tmp_path, part='cas = "7789-06-2"\nname = "pigment"', says='hazards = ["H350", "H317"]')
    assert answers(report, "hands", 0)


@pytest.mark.parametrize(("water", "asked"), [(0, True), (60, False)])
def test_a_mist_of_what_stays_is_no_all_clear_for_fire(tmp_path: Path, water: int, asked: bool) -> None:
    """All of it ``volatile = false``, no flash point, sprayed: it said that nothing here can be lit."""
    wet = f'\n[[product.part]]\ncas = "7732-18-5"\nweight = "{water} %"\n' if water else ""
    product = GLUE.format(says=SILENT, part='name = "wax"', share=30, rest=70 - water, volatile="volatile = false")
    product = product.replace('flash_point = "200 degC"\n', "") + wet
    shop = SHOP.format(pack="us-federal", glove="")
    folder = write_shop(tmp_path, shop, {"glue": product}, {"glue": JOB.format(work="spray", more="")})
    found = answers(sheet(folder, "glue"), "fire", 0)
    assert any(f.level == "control" for f in found) is asked
