"""A step "Weld" with arc welding once printed "No eyewear needed, No gloves needed, No respirator needed, Work clothes"
on a page that is headed, and signed, as a certification of hazard assessment. The program looks at products only.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety import words
from safety.model import Report, Topic
from safety.render import text
from safety.render.arrange import arrange
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Invented shop"
altitude = "0 m"
print_units = "si"
rules = ["{pack}"]

[[place]]
id = "yard"
kind = "room"
volume = "900 m^3"
temperature = "18 degC"

[[place.air]]
state = "gate shut"
air_changes = ["1 /hour", "2 /hour"]
air_speed = ["0.1 m/s", "0.2 m/s"]
basis = "guessed for the test"
"""

WELD = """
[job]
id = "weld"
title = "Weld a bracket"
place = "yard"
start = 2026-11-25T08:00:00
crew = 1

[[step]]
name = "Weld"
duration = "40 min"
ignition_sources = ["arc welding"]
"""

#: What was printed, each as if nothing could hurt.
FLAT = (
    "No eyewear needed",
    "No gloves needed",
    "No respirator needed",
    "No fire risk found in this step",
    "None planned\n",
)


@pytest.fixture(params=["eu", "us-federal"])
def weld(request: pytest.FixtureRequest, tmp_path: Path) -> Report:
    return sheet(write_shop(tmp_path, SHOP.format(pack=request.param), {}, {"weld": WELD}), "weld", draws=60)


@pytest.mark.parametrize("topic", ["hands", "eyes", "breathing", "skin"])
def test_none_is_said_of_the_products_alone(weld: Report, topic: Topic) -> None:
    (found,) = answers(weld, topic, 0)
    assert "these products" in found.short
    assert "the work itself may need" in found.short
    assert "was not looked at" in found.statement


@pytest.mark.parametrize("topic", ["fire", "air", "waste"])
def test_no_other_topic_gives_an_all_clear(weld: Report, topic: Topic) -> None:
    (found,) = answers(weld, topic, 0)
    assert "these products" in found.short


def test_the_page_says_nowhere_that_a_welder_needs_nothing(weld: Report) -> None:
    for full in (False, True):
        printed = text.sheet(weld, full)
        assert [phrase for phrase in FLAT if phrase in printed] == []
    assert arrange(weld).result[1] != "No stop found"


def test_the_page_in_spanish_says_so_too(tmp_path: Path) -> None:
    with words.speaking(words.speech("es")):
        folder = write_shop(tmp_path, SHOP.format(pack="eu"), {}, {"weld": WELD})
        printed = " ".join(text.sheet(sheet(folder, "weld", draws=60)).split())
    assert printed.count("Nada por estos productos. El trabajo en sí puede requerirlo") == 3


def test_what_is_signed_claims_no_more_than_was_assessed(weld: Report) -> None:
    sentence, _ = arrange(weld).certification
    assert "for the products named on it, and for nothing else" in sentence
    assert "noise" in sentence


WIPE = """
[product]
id = "wipe"
name = "Wipe"
role = "cleaner"
purpose = "cleaner"
density = "0.79 g/mL"
flash_point = "12 degC"
hazards = ["H225", "H319", "H336"]

[[product.part]]
cas = "67-63-0"
weight = "100 %"
"""


def test_far_under_a_limit_none_is_said_of_the_products_too(tmp_path: Path) -> None:
    use = '\n[[step.use]]\nproduct = "wipe"\nwork = "wipe"\namount = "5 mL"\narea = "0.1 m^2"\n'
    report = sheet(write_shop(tmp_path, SHOP.format(pack="us-federal"), {"wipe": WIPE}, {"weld": WELD + use}), "weld")
    (found,) = answers(report, "breathing", 0)
    assert (found.level, found.short) == ("note", "None because of these products; the work itself may need it")
    assert "% of the" in found.statement
