"""A part the maker does not name, which a person of the shop decided to take as another substance."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.files.reading import read_shop
from safety.problems import Problems
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_dangerous_levels import JOB
from tests.unsafe_answers.test_defaults import SHOP

PRODUCT = """\
[product]
id = "wash"
name = "Wash"
role = "cleaner"
purpose = "cleaner"
density = "0.87 g/mL"
flash_point = "4 degC"
boiling_point = "100 degC"
hazards = ["H225"]

[[product.part]]
{identity}
weight = "100 %"
"""
STAND_IN = """\
name = "aromatic blend"
taken_as = { cas = "108-88-3", reason = "The maker says: boils at 110 degC", name = "R. Vale", date = 2026-03-02 }
"""


def shop(folder: Path, identity: str) -> Path:
    product = PRODUCT.format(identity=identity)
    return write_shop(folder, SHOP, {"wash": product}, {"wipe": JOB.format(amount="30 mL", minutes=20, area=0.5)})


def test_a_declared_stand_in_is_used_and_said_on_the_sheet(tmp_path: Path) -> None:
    """The way past a trade secret was somebody else's CAS number as its own: no sheet showed who had decided that."""
    report = sheet(shop(tmp_path, STAND_IN), "wipe")
    assert [s.cas for s in report.exposure.substances] == ["108-88-3"]
    said = "aromatic blend in Wash counts as CAS 108-88-3: The maker says: boils at 110 degC. R. Vale decided so on 2026-03-02."
    assert said in report.job.assumed
    assert not [reason for reason in report.missing if "does not say what" in reason]


def test_without_one_it_stays_unknown(tmp_path: Path) -> None:
    report = sheet(shop(tmp_path, 'name = "aromatic blend"'), "wipe")
    assert [reason for reason in report.missing if "aromatic blend" in reason]
    assert not report.exposure.substances


@pytest.mark.parametrize("more", ['cas = "67-64-1"', "volatile = false"])
def test_a_part_that_is_known_is_taken_as_no_other(tmp_path: Path, more: str) -> None:
    with pytest.raises(Problems) as raised:
        read_shop(shop(tmp_path, f"{more}\n{STAND_IN}") / "shop.toml")
    (problem,) = raised.value.problems
    assert problem.wrong == "a part with a CAS number, or that stays, is taken as no other"
