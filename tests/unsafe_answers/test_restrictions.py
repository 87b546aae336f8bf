"""A substance whose use stands under a law was once worked with in silence: "No respirator needed", and no word of it.

Under the European pack N-methyl-2-pyrrolidone and N,N-dimethylformamide were printed at two to three times the levels
of REACH Annex XVII, entries 71 and 76, with no word of the law. tests/data/restrictions.csv has each restriction with
its source; ``rules`` names the rows of ours that stand for it, ``tested_with`` the substances or codes it is tried on.
"""

from __future__ import annotations

import csv
import re
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import safety_protection
from safety_protection.rules import packs

from safety.files.toml import open_document
from safety.model import Finding, Report
from tests.unsafe_answers.shops import answers, sheet, write_shop

with (Path(__file__).parents[1] / "data" / "restrictions.csv").open(encoding="utf-8") as _stream:
    LISTED = list(csv.DictReader(_stream))
PACKS = {"EU": "eu", "US": "us-federal"}
#: After the last date on which one of them begins.
LATER = date(2027, 1, 15)

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
air_changes = ["{least} /hour", "{most} /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "guessed for the test"

[[respirator]]
id = "full"
kind = "air-purifying"
facepiece = "full facepiece"
cartridge = "A2P3"
sorbent_mass = "400 g"
bed_depth = "30 mm"
{more}
"""

PRODUCT = """
[product]
id = "{id}"
name = "Product {id}"
role = "cleaner"
purpose = "cleaner"
density = "1 g/mL"
{hazards}

[[product.part]]
{part}
"""

JOB = """
[job]
id = "work"
title = "Work"
place = "bay"
start = {day}T08:00:00
crew = 1

[[step]]
name = "Work"
duration = "30 min"
"""


def _law(report: Report, rule: str) -> list[Finding]:
    return [f for f in answers(report, "data", None) if f.key == f"restricted-{rule}"]


def _rows() -> dict[str, Any]:
    return {row["id"]: row for pack in packs() for row in pack.tables.get("restricted", ())}


# ---------------------------------------------------------------- every restriction that is known


@pytest.mark.parametrize("jurisdiction", PACKS)
def test_no_restriction_passes_in_silence(tmp_path: Path, jurisdiction: str) -> None:
    listed = [row for row in LISTED if row["jurisdiction"] == jurisdiction and row["rules"]]
    assert len(listed) > 45
    tried = sorted({what for row in listed for what in row["tested_with"].split(";")})
    products = {
        f"p{n}": PRODUCT.format(id=f"p{n}", hazards=f'hazards = ["{what}"]', part='name = "oil"\nweight = "100 %"')
        if what.startswith("H")
        else PRODUCT.format(id=f"p{n}", hazards='hazards = ["H302"]', part=f'cas = "{what}"\nweight = "10 %"')
        for n, what in enumerate(tried)
    }
    carried = "".join(f'\n[[job.carried]]\nproduct = "{name}"\namount = "1 L"\n' for name in products)
    text = JOB.format(day=LATER).replace("\n[[step]]", f"{carried}\n[[step]]")
    shop = SHOP.format(pack=PACKS[jurisdiction], least=2, most=4, more="")
    report = sheet(write_shop(tmp_path, shop, products, {"work": text}), "work", draws=60)
    silent = []
    for row in listed:
        said = [f for rule in row["rules"].split() for f in _law(report, rule) if f.level in ("stop", "control")]
        for what in row["tested_with"].split(";"):
            named = [f for f in said if re.search(rf"\bProduct p{tried.index(what)}\b", f.statement)]
            if not any(f.rule and "Ask" in f.statement for f in named):
                silent.append((row["id"], what))
    assert silent == []


def test_what_is_left_out_says_why() -> None:
    assert [row["id"] for row in LISTED if not row["rules"] and not row["left_out"]] == []
    assert {rule for row in LISTED for rule in row["rules"].split()} <= set(_rows())


def test_shares_and_days_are_those_of_the_list() -> None:
    """Each number with its source stands in restrictions.csv."""
    signs = {">=": "at or over", ">": "over", "<=": "over"}  # "up to 0.1 % is out of scope" begins over it
    wrong = []
    for listed in LISTED:
        for rule in listed["rules"].split():
            row = _rows()[rule]
            share = listed["unit"].startswith("% ") and "cas" in row and re.fullmatch(r"[\d.]+", listed["threshold"])
            if share and (row["percent"], row["compare"]) != (float(listed["threshold"]), signs[listed["basis"]]):
                wrong.append((listed["id"], rule, row["percent"], listed["threshold"]))
            begins = row.get("valid_from")
            first = re.match(r"\d{4}-\d\d-\d\d", listed["date_in_force"])
            if begins and first and rule.startswith("reach-svhc") and begins.isoformat() != first[0]:
                wrong.append((listed["id"], rule, begins, first[0]))
            # the sunset date is the last day without an authorisation
            if begins and first and rule.startswith("reach-xiv") and (begins - date.fromisoformat(first[0])).days != 1:
                wrong.append((listed["id"], rule, begins, first[0]))
    assert wrong == []


def test_what_nobody_has_read_in_the_law_is_marked() -> None:
    seen = {rule: row["seen"] for row in LISTED for rule in row["rules"].split()}
    marked = {rule for rule, row in _rows().items() if row.get("unverified")}
    assert {rule for rule, how in seen.items() if how in ("secondary", "memory")} - marked <= {
        "osha-75-09-2"  # read but for training and one due date
    }


# ---------------------------------------------------------------- levels to hold

SOLVENT = """
[product]
id = "solvent"
name = "Solvent"
role = "cleaner"
purpose = "cleaner"
density = "1 g/mL"
flash_point = "86 degC"
hazards = ["H319", "H360D"]

[[product.part]]
cas = "{cas}"
weight = "{share} %"
{more}

[[product.part]]
name = "soap"
weight = "{rest} %"
volatile = false
"""

WIPE = """
[job]
id = "work"
title = "Work"
place = "bay"
start = {day}T08:00:00
crew = 1

[[step]]
name = "Wipe"
duration = "2 h"

[[step.use]]
product = "solvent"
work = "{work}"
amount = "{amount}"
area = "3 m^2"
"""


def _wiped(
    folder: Path,
    cas: str,
    amount: str,
    *,
    share: float = 90,
    day: str = "2026-11-25",
    more: str = "",
    shop: str = "",
    work: str = "wipe",
    air: float = 2.0,
) -> Report:
    text = SHOP.format(pack="eu", least=air, most=2 * air, more=shop)
    solvent = SOLVENT.format(cas=cas, share=share, rest=100 - share, more=more)
    job = WIPE.format(day=day, amount=amount, work=work)
    return sheet(write_shop(folder, text, {"solvent": solvent}, {"work": job}), "work")


@pytest.mark.parametrize(
    ("cas", "rule", "dose"),
    [("872-50-4", "reach-xvii-71", "4.8 mg"), ("68-12-2", "reach-xvii-76", "1.1 mg")],
)
def test_over_the_level_of_the_law_nobody_starts(tmp_path: Path, cas: str, rule: str, dose: str) -> None:
    """Entry 71: 14.4 mg/m3 and 4.8 mg/kg a day; entry 76: 6 mg/m3 and 1.1 mg/kg a day. It said nothing of either."""
    (found,) = _law(_wiped(tmp_path / "much", cas, "500 mL"), rule)
    assert found.level == "stop"
    assert "REACH DNEL" in found.statement
    assert dose in found.statement
    assert "Annex XVII" in found.rule
    (little,) = _law(_wiped(tmp_path / "little", cas, "1 mL", air=20), rule)
    assert little.level == "control"
    assert "Ask the officer" in little.statement
    # half of what the law allows is a dose through the skin: it was printed, and the sheet passed as complete
    assert dose in little.unknown


def test_no_respirator_needed_was_wrong_at_the_level_of_the_law(tmp_path: Path) -> None:
    """DMF between its REACH level (2 ppm) and its binding limit (5 ppm): it said "No respirator needed"."""
    report = _wiped(tmp_path, "68-12-2", "6 mL", air=2)
    (law,) = _law(report, "reach-xvii-76")
    assert law.level == "stop"
    assert 1 < float(next(f.value for f in law.figures if f.name.startswith("protection factor"))) < 2.5
    (breathing,) = answers(report, "breathing", 0)
    assert breathing.level != "note"


@pytest.mark.parametrize(("share", "found"), [(0.2999, 0), (0.3, 1)])
def test_the_share_from_which_it_holds(tmp_path: Path, share: float, found: int) -> None:
    assert len(_law(_wiped(tmp_path, "872-50-4", "10 mL", share=share), "reach-xvii-71")) == found


def test_a_law_of_tomorrow_is_known_today(tmp_path: Path) -> None:
    """REACH Annex XVII, entry 80, from 2026-12-23 (N,N-dimethylacetamide)."""
    before = _wiped(tmp_path / "before", "127-19-5", "10 mL", day="2026-12-22")
    assert [f.level for f in _law(before, "reach-xvii-80")] == ["note"]
    after = _wiped(tmp_path / "after", "127-19-5", "10 mL", day="2026-12-23")
    (found,) = _law(after, "reach-xvii-80")
    assert found.level == "control"
    assert found.figures  # the level is judged, by the vapour pressure that ships


def test_a_part_that_is_said_not_to_evaporate_is_still_under_the_law(tmp_path: Path) -> None:
    """``volatile = false`` on a restricted substance took it out of the figures, and nothing was left to say."""
    still = _wiped(tmp_path / "wiped", "7789-06-2", "10 mL", more="volatile = false")
    assert [f.level for f in _law(still, "reach-xiv-strontium-chromate")] == ["stop"]
    sprayed = _wiped(tmp_path / "sprayed", "7789-06-2", "10 mL", more="volatile = false", work="spray")
    (level,) = _law(sprayed, "cmd-iii-chromium-vi")
    assert level.unknown


def test_the_officer_may_let_a_use_pass_and_is_named(tmp_path: Path) -> None:
    answer = (
        '[[answer]]\nquestion = "reach-xvii-71"\nanswer = "{}"\nname = "A. Vale"\ndate = 2026-10-01\nreason = "filter"'
    )
    (found,) = _law(_wiped(tmp_path / "yes", "872-50-4", "500 mL", shop=answer.format("yes")), "reach-xvii-71")
    assert (found.level, "A. Vale" in found.statement, found.unknown) == ("control", True, "")
    (found,) = _law(_wiped(tmp_path / "no", "872-50-4", "500 mL", shop=answer.format("no")), "reach-xvii-71")
    assert found.level == "stop"


def test_an_authorisation_has_a_number(tmp_path: Path) -> None:
    """REACH Annex XIV: a bare "yes" let strontium chromate pass, and nobody could look the authorisation up."""
    answer = (
        '[[answer]]\nquestion = "reach-xiv-strontium-chromate"\nanswer = "yes"\nname = "A. Vale"\n'
        'date = 2026-10-01\nreason = "our supplier\'s"\n{}'
    )
    rule = "reach-xiv-strontium-chromate"
    (bare,) = _law(_wiped(tmp_path / "bare", "7789-06-2", "10 mL", shop=answer.format("")), rule)
    assert bare.level == "stop"
    assert 'number = "REACH/..."' in bare.remedy
    numbered = answer.format('number = "REACH/19/29/0"')
    (found,) = _law(_wiped(tmp_path / "numbered", "7789-06-2", "10 mL", shop=numbered), rule)
    assert (found.level, "REACH/19/29/0" in found.statement) == ("control", True)


def test_an_unnamed_pigment_of_a_marked_product_may_be_under_a_law(tmp_path: Path) -> None:
    """H350 with no named part that carries it: the resin or pigment without a number does, and nobody asked which."""
    shop = SHOP.format(pack="eu", least=2, most=4, more="")
    part = 'name = "pigment"\nweight = "100 %"\nvolatile = false'
    job = WIPE.format(day="2026-11-25", amount="10 mL", work="wipe")
    for hazards, level in (("H350", ["control"]), ("H319", [])):
        product = PRODUCT.format(id="solvent", hazards=f'hazards = ["{hazards}"]', part=part)
        report = sheet(write_shop(tmp_path / hazards, shop, {"solvent": product}, {"work": job}), "work", draws=60)
        assert [f.level for f in _law(report, "unknown-solvent")] == level


# 29 CFR 1910.1026 (c), (d)(2), (e)(1), (f)(1)(ii), (k)(1); 1910.1027 and .1025 (b), (c); 1910.1048 (d)(3); 1910.1050
@pytest.mark.parametrize(
    ("row", "numbers"),
    [
        ("osha-chromium-vi", ("2.5 µg/m³", "5 µg/m³", "25 µg/m³", "30 days", "six months", "three")),
        ("osha-cadmium", ("2.5 µg/m³", "5 µg/m³", "wears a respirator")),
        ("osha-lead", ("30 µg/m³", "50 µg/m³")),
        ("osha-50-00-0", ("0.5 ppm", "0.75 ppm", "2 ppm", "six months", "every year")),
        ("osha-101-77-9", ("six months", "touch the skin")),
    ],
)
def test_a_standard_of_its_own_says_its_levels_and_when_it_is_measured_again(
    row: str, numbers: tuple[str, ...]
) -> None:
    """Lead and cadmium said "from the action level on" and nowhere which that is; no row said when it is due again."""
    pack = Path(safety_protection.__file__).parent / "rules" / "law-us-federal.toml"
    (text,) = [one["text"] for one in open_document(pack).data["restricted"] if one["id"] == row]
    for number in numbers:
        assert number in text, number
