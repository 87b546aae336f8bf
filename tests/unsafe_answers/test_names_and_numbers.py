"""A part whose name and CAS number are of two different substances."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.model import Report
from safety.problems import Problems
from tests.unsafe_answers.shops import sheet, write_shop
from tests.unsafe_answers.test_dangerous_levels import JOB, PRODUCT
from tests.unsafe_answers.test_defaults import SHOP


def shop(folder: Path, cas: str, name: str) -> Path:
    product = PRODUCT.format(cas=cas, weight="100 %", more="") + f'name = "{name}"\n'
    job = JOB.format(amount="30 mL", minutes=20, area=0.5)
    return write_shop(folder, SHOP, {"wash": product}, {"wipe": job})


def wiped(folder: Path, cas: str, name: str) -> Report:
    return sheet(shop(folder, cas, name), "wipe", 60)


@pytest.mark.parametrize(
    ("cas", "name", "other"),
    [
        ("67-64-1", "n-hexane", "110-54-3"),  # acetone's 250 ppm for the 50 of n-hexane
        ("108-88-3", "Benzene", "71-43-2"),
        ("584-02-1", "toluene", "108-88-3"),  # a number of the library
        ("64742-89-8", "toluene", "108-88-3"),  # a number of a mixture nobody has data on
    ],
)
def test_a_known_substance_under_another_ones_number_is_a_mistake(
    tmp_path: Path, cas: str, name: str, other: str
) -> None:
    """The sheet computed the number's substance, printed the other one's name, and said nothing."""
    with pytest.raises(Problems) as raised:
        wiped(tmp_path, cas, name)
    (problem,) = raised.value.problems
    assert problem.wrong == f'"{name}" has CAS number {other}, not {cas}'
    assert problem.file.endswith("products/wash.toml")
    assert problem.line > 0


def test_check_finds_it_too(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(shop(tmp_path, "67-64-1", "n-hexane"))
    done = CliRunner().invoke(main, ["check"])
    assert done.exit_code == 2
    assert '"n-hexane" has CAS number 110-54-3, not 67-64-1' in done.output + done.stderr


@pytest.mark.parametrize(
    ("cas", "name"),
    [
        ("67-64-1", "ACETONE"),
        ("67-64-1", "cleaning solvent 3"),  # a maker's own word
        ("67-64-1", "propan-2-one"),
        ("64742-82-1", "white spirit"),  # a name that several numbers share
        ("64742-82-1", "Stoddard solvent"),
        ("64742-89-8", "naphtha"),  # the name of another mixture
    ],
)
def test_another_word_for_the_same_is_none(tmp_path: Path, cas: str, name: str) -> None:
    assert wiped(tmp_path, cas, name).findings
