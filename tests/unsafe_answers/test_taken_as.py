"""A part the maker does not name, which a person of the shop decided to take as another substance."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.files.reading import read_shop
from safety.model import Substance
from safety.problems import Problems
from safety.reference import Reference, fractions, load
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


@pytest.mark.parametrize("more", ['cas = "108-88-3"', "volatile = false"])
def test_what_stays_is_taken_as_no_other_and_none_as_itself(tmp_path: Path, more: str) -> None:
    with pytest.raises(Problems) as raised:
        read_shop(shop(tmp_path, f"{more}\n{STAND_IN}") / "shop.toml")
    (problem,) = raised.value.problems
    assert problem.wrong == "a part that stays is taken as no other, and none as itself"


def _known(folder: Path, cas: str) -> Reference:
    place = read_shop(shop(folder, f'cas = "{cas}"\n{STAND_IN}') / "shop.toml")
    return fractions.known(place.products.values(), load(["us-federal"], folder, date(2026, 3, 2)))


def test_a_number_that_nobody_knows_borrows_and_stays_itself(tmp_path: Path) -> None:
    """Before a part with a number could be taken as no other: an officer who had asked the maker had no way to say it."""
    data = _known(tmp_path, "137-26-8")
    own, lent = data.substance("137-26-8"), data.substance("108-88-3")
    assert isinstance(own, Substance)
    assert isinstance(lent, Substance)
    assert (own.names, own.hazards) == (("aromatic blend",), lent.hazards)
    assert [one.written for one in data.limits("137-26-8")] == [one.written for one in data.limits("108-88-3")]
    assert all(value.unverified for values in own.properties.values() for value in values)


def test_what_the_number_itself_can_do_stays(tmp_path: Path) -> None:
    """4,4'-MDI taken as toluene still makes lungs allergic, and keeps its limit."""
    data, mdi = _known(tmp_path, "101-68-8"), load(["us-federal"], tmp_path, date(2026, 3, 2))
    own, alone = data.substance("101-68-8"), mdi.substance("101-68-8")
    assert isinstance(own, Substance)
    assert isinstance(alone, Substance)
    assert {*alone.hazards, "H225"} <= {*own.hazards}  # type: ignore[misc]
    assert {(x.list, x.written) for x in mdi.limits("101-68-8") if x.kind != "idlh"} <= {
        (x.list, x.written) for x in data.limits("101-68-8")
    }
    assert own.has_equation
    assert own.groups == alone.groups


def test_the_sheet_says_who_decided_it_for_a_number(tmp_path: Path) -> None:
    report = sheet(shop(tmp_path, f'cas = "137-26-8"\n{STAND_IN}'), "wipe")
    assert [s.cas for s in report.exposure.substances] == ["137-26-8"]
    assert any("counts as CAS 108-88-3" in text and "R. Vale" in text for text in report.job.assumed)


def test_a_number_the_data_know_is_taken_as_no_other(tmp_path: Path) -> None:
    with pytest.raises(Problems) as raised:
        sheet(shop(tmp_path, f'cas = "67-64-1"\n{STAND_IN}'), "wipe")
    assert "the data know acetone itself: it is taken as no other" in {one.wrong for one in raised.value.problems}
