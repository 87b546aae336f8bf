"""So few draws that the error of their 95th percentile cannot be seen decide nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli import main
from safety.compare import propose
from safety.day import assess_day
from safety.exposure.result import DECIDES, FEWEST
from safety.problems import Problems
from safety.workplace import Workplace, assess_job
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_defaults import COAT, HEPTANE, SHOP
from tests.unsafe_answers.test_unknown_amounts import TWO


@pytest.fixture
def job(tmp_path: Path) -> Path:
    products = {"thin": HEPTANE, "coat": COAT.format(coats="coats = { any = 1 }\n")}
    folder = write_shop(tmp_path, SHOP, products, {"two": TWO.format(first="120 mL", second="250 mL")})
    return folder / "jobs" / "two.toml"


def test_the_fewest_draws_are_those_whose_highest_bounds_the_percentile() -> None:
    """That the highest of n lies above the 95th percentile has the chance 1 - 0.95^n, free of any distribution."""
    assert 1 - 0.95**FEWEST >= DECIDES > 1 - 0.95 ** (FEWEST - 1)


@pytest.mark.parametrize("command", [("sheet",), ("compare", "--try"), ("compare", "--change", "job.crew=2")])
def test_a_decision_on_fewer_draws_is_refused(job: Path, command: tuple[str, ...]) -> None:
    """50 draws were accepted: their highest stood in for a bound it is only in 92 of 100 cases, and said nothing."""
    words = [command[0], str(job), *command[1:]]
    run = CliRunner().invoke(main, [*words, "--draws", str(FEWEST - 1)])
    assert run.exit_code == 2
    assert f"{FEWEST}<=x" in run.output
    if "--try" not in command:  # the same option of the same command, and many sheets
        assert CliRunner().invoke(main, [*words, "--draws", str(FEWEST)]).exit_code != 2


def test_so_is_one_through_the_library(job: Path) -> None:
    for refused in (
        lambda: assess_job(job, draws=FEWEST - 1),
        lambda: assess_day(Workplace.open(job), [job], draws=FEWEST - 1),
        lambda: propose(Workplace.open(job), job, draws=FEWEST - 1),
    ):
        with pytest.raises(Problems, match=f"58 draws are too few .*write {FEWEST} or more"):
            refused()
