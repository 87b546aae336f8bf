"""Respirators a law bars for what is in the air were chosen beside the sentence that bars them.

29 CFR 1910.1052(g)(3)(i), dichloromethane: the atmosphere-supplying respirators of 1910.134 Table 1, "however,
employers must not select or use half masks of any type". 29 CFR 1910.1028(g)(2)(ii), benzene: a new cartridge at the
start of each shift at the latest.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.model import Finding
from tests.unsafe_answers.shops import answers, sheet, write_shop

SHOP = """
[shop]
name = "Invented bench"
altitude = "0 m"
print_units = "si"
rules = ["us-federal"]

[[place]]
id = "bench"
kind = "room"
volume = "2000 m3"
temperature = "20 degC"
[[place.air]]
state = "fan on"
air_changes = "6 /hour"
air_speed = "0.2 m/s"
basis = "tracer gas"
measured = 2026-01-10

[[glove]]
id = "film"
material = "multilayer laminate"
thickness = "0.06 mm"

[[eyewear]]
id = "goggles"
kind = "splash goggles"
"""
LINES = {
    "half-line": ("supplied air", "half mask", "continuous flow"),
    "half-demand": ("supplied air", "half mask", "demand"),
    "hood-line": ("supplied air", "hood", "continuous flow"),
    "full-line": ("supplied air", "full facepiece", "continuous flow"),
    "half-cartridge": ("air-purifying", "half mask", ""),
    "full-cartridge": ("air-purifying", "full facepiece", ""),
}
PRODUCT = """
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "{density}"
flash_point = "unknown"
boiling_point = "unknown"
hazards = ["H351"]
sds_revised = 2026-01-15
{parts}
"""
PART = """
[[product.part]]
cas = "{cas}"
weight = "{weight} %"
"""
JOB = """
[job]
id = "job"
title = "Wipe a plate"
start = 2026-03-10T08:00:00
crew = 1
place = "bench"
surface = "steel"
[[step]]
name = "Wipe"
duration = ["{minutes} min", "{minutes} min"]
[[step.use]]
product = "wash"
work = "wipe"
amount = "{amount}"
area = "2 m2"
"""


def _breathing(folder: Path, parts: dict[str, float], *stock: str, amount: str = "10 g", minutes: int = 15) -> Finding:
    respirators = ""
    for name in stock:
        kind, facepiece, mode = LINES[name]
        cartridge = '\ncartridge = "organic vapour"\nsorbent_mass = "100 g"\nbed_depth = "25 mm"' if not mode else ""
        line = f'\nmode = "{mode}"' if mode else cartridge
        respirators += (
            f'\n[[respirator]]\nid = "{name}"\nname = "{name}"\nkind = "{kind}"\nfacepiece = "{facepiece}"{line}\n'
        )
    product = PRODUCT.format(
        density="1.2 g/mL", parts="".join(PART.format(cas=cas, weight=w) for cas, w in parts.items())
    )
    shop = write_shop(
        folder, SHOP + respirators, {"wash": product}, {"job": JOB.format(amount=amount, minutes=minutes)}
    )
    return next(f for f in answers(sheet(shop, "job"), "breathing", 0))


DCM, TOLUENE, BENZENE = "75-09-2", "108-88-3", "71-43-2"


@pytest.mark.parametrize("stock", [("half-line", "half-demand", "half-cartridge", "full-cartridge")])
def test_no_half_mask_and_no_cartridge_against_dichloromethane(tmp_path: Path, stock: tuple[str, ...]) -> None:
    """Chosen before: the half mask airline, beside "the rule asks at least for ... hood or helmet"."""
    found = _breathing(tmp_path, {DCM: 100.0}, *stock)
    assert (found.level, found.short) == ("stop", "No respirator in stock will do")
    assert "half-line: Against dichloromethane no half mask of any kind may be used" in found.statement
    assert "It takes: supplied air continuous flow hood" in found.statement  # what is allowed is named
    assert "half mask or" not in found.statement.split("It takes:")[1]


def test_what_the_law_allows_against_dichloromethane_is_chosen(tmp_path: Path) -> None:
    found = _breathing(tmp_path, {DCM: 100.0}, "half-line", "hood-line", "full-line")
    assert found.level == "control"
    assert found.short == "hood-line"


def test_a_mask_put_on_for_another_vapour_is_barred_too(tmp_path: Path) -> None:
    """The mask is put on for toluene; a half mask leaves the eyes to the dichloromethane beside it all the same."""
    found = _breathing(tmp_path, {TOLUENE: 99.95, DCM: 0.05}, "half-line", "half-cartridge", amount="60 g", minutes=30)
    assert "toluene" in found.statement
    assert (found.level, found.short) == ("stop", "No respirator in stock will do")


def test_the_superseded_table_of_levels_is_gone(tmp_path: Path) -> None:
    """Printed before: "At this level the rule asks at least for", from a table taken out in 2006."""
    found = _breathing(tmp_path, {DCM: 100.0}, "full-line")
    assert "asks at least for" not in found.statement


def test_a_cartridge_against_benzene_goes_on_new_each_shift(tmp_path: Path) -> None:
    """1910.1028(g)(2)(ii): at the end of its life or the start of each shift, whichever is first. Not said before."""
    found = _breathing(tmp_path, {TOLUENE: 99.0, BENZENE: 1.0}, "full-cartridge", amount="30 g")
    assert found.level == "control"
    assert "29 CFR 1910.1028(g)(2)(ii)" in found.statement
    law = next(f for f in found.figures if "1910.1028(g)(2)(ii)" in f.name)
    assert law.value == 8 * 3600
