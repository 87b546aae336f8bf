"""Nobody could ask which jobs use a substance: the answer "none" came from looking through files by eye.

A product that does not say all it holds is named apart: its silence is no "no".
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.holds import Holder, Wanted, holders, wanted
from safety.problems import Problems
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop

SHOP = """
[shop]
name = "Sign painters by the bridge (invented)"
altitude = "0 m"
rules = ["us-federal"]
[[place]]
id = "loft"
kind = "room"
volume = "80 m^3"
temperature = ["18 degC", "24 degC"]
[[place.air]]
state = "window shut"
air_changes = ["0.3 /hour", "1 /hour"]
air_speed = ["0.03 m/s", "0.1 m/s"]
basis = "our guess"
"""
#: Trichloroethylene: H350 and H341 by the list of classes, whatever the can says.
SPIRIT = """
[product]
id = "spot-remover"
name = "Spot remover"
role = "cleaner"
purpose = "cleaner"
density = "1.1 g/mL"
flash_point = "unknown"
boiling_point = "unknown"
sds_revised = 2026-01-15
hazards = ["H336"]
[[product.part]]
name = "acetone"
cas = "67-64-1"
weight = "99.95 %"
[[product.part]]
name = "trichloroethylene"
cas = "79-01-6"
weight = "0.05 %"
"""
BLEND = """
[product]
id = "brush-wash"
name = "Brush wash"
role = "cleaner"
purpose = "cleaner"
density = "0.8 g/mL"
flash_point = "unknown"
boiling_point = "unknown"
sds_revised = "unknown"
hazards = "unknown"
[[product.part]]
name = "acetone"
cas = "67-64-1"
weight = "60 %"
"""
NAPHTHA = """
[product]
id = "thinner"
name = "Thinner"
role = "thinner"
purpose = "thinner"
density = "0.75 g/mL"
flash_point = "10 degC"
boiling_point = "95 degC"
sds_revised = 2026-01-15
hazards = ["H225", "H304"]
[[product.part]]
name = "naphtha"
cas = "64742-89-8"
weight = "100 %"
boiling_range = ["95 degC", "140 degC"]
"""
JOB = """
[job]
id = "spots"
title = "Take the spots out of the banner"
place = "loft"
start = 2026-05-04T09:00:00
crew = 1
[[step]]
name = "Dab"
duration = "10 min"
[[step.use]]
product = "spot-remover"
work = "wipe"
amount = "20 mL"
area = "0.1 m^2"
[[step]]
name = "Wash the brushes"
duration = "5 min"
[[step.use]]
product = "brush-wash"
work = "wipe"
amount = "20 mL"
area = "0.1 m^2"
"""
DAY = date(2026, 5, 4)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    products = {"spot-remover": SPIRIT, "brush-wash": BLEND, "thinner": NAPHTHA}
    return write_shop(tmp_path_factory.mktemp("signs") / "shop", SHOP, products, {"spots": JOB})


def found(folder: Path, what: Wanted) -> dict[str, Holder]:
    return {one.product: one for one in holders(Workplace.open(folder), what, DAY)}


def test_a_substance_is_found_with_its_share_job_and_step(folder: Path) -> None:
    acetone = found(folder, wanted("67-64-1"))
    (held,) = acetone["spot-remover"].held
    assert (held.part, held.low, held.high) == ("acetone", pytest.approx(0.9995), pytest.approx(0.9995))
    assert [(used.job, used.steps) for used in acetone["spot-remover"].jobs] == [("spots", ("Dab",))]
    assert not acetone["spot-remover"].untold
    assert "thinner" not in acetone  # it says all it holds


def test_a_product_that_does_not_say_all_it_holds_may_hold_it(folder: Path) -> None:
    toluene = found(folder, wanted("108-88-3"))
    assert set(toluene) == {"brush-wash"}
    assert not toluene["brush-wash"].held
    assert toluene["brush-wash"].untold == ("the rest (not in the product file) has no CAS number",)
    assert [used.steps for used in toluene["brush-wash"].jobs] == [("Wash the brushes",)]


def test_a_part_under_every_cut_off_is_still_a_part_with_the_hazard(folder: Path) -> None:
    """CLP Annex VI: trichloroethylene is Carc. 1B, H350. At 0.05 % no rule for mixtures makes the can H350."""
    cancer = found(folder, wanted("H350"))
    assert [(h.part, h.why) for h in cancer["spot-remover"].held] == [
        ("trichloroethylene", "H350 by the substance data")
    ]
    assert not cancer["brush-wash"].held
    assert "nobody has written what its data sheet says of hazards" in cancer["brush-wash"].untold


def test_benzene_inside_a_petroleum_fraction_is_not_ruled_out(folder: Path) -> None:
    benzene = found(folder, wanted("71-43-2"))
    assert benzene["thinner"].untold == ("nobody has written how much benzene naphtha holds",)
    assert benzene["thinner"].jobs == ()


@pytest.mark.parametrize(
    ("text", "what"), [("h350", Wanted(code="H350")), ("H350i", Wanted(code="H350")), (" 71-43-2 ", Wanted("71-43-2"))]
)
def test_what_people_type_is_read(text: str, what: Wanted) -> None:
    assert wanted(text) == what


@pytest.mark.parametrize("text", ["108-88-4", "toluene", "H9", "", "H360F and H350"])
def test_anything_else_is_one_clear_line(text: str) -> None:
    with pytest.raises(Problems) as refused:
        wanted(text)
    (problem,) = refused.value.problems
    assert 'write a CAS number such as "108-88-3", or an H-code such as "H350"' in str(problem)


def test_the_command_says_incomplete_where_nobody_knows(folder: Path) -> None:
    run = CliRunner().invoke(main, ["uses", "71-43-2", "--shop", str(folder), "--as-of", "2026-05-04"])
    assert run.exit_code == 3
    assert "Products that hold it: 0." in run.output
    assert "thinner: Thinner: nobody has written how much benzene naphtha holds. Used in: no job." in run.output
    run = CliRunner().invoke(main, ["uses", "75-09-2", "--shop", str(folder), "--format", "json"])
    assert [one["product"] for one in json.loads(run.output)["products"]] == ["brush-wash"]
