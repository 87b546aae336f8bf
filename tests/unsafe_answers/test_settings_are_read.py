"""A setting nobody reads changed nothing, and nobody was told.

The page about the files gave glove_safety_factor as its example, and no plugin read it: a shop that wrote it to tighten
its glove times had the times of before.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli.check import command
from safety.problems import Problems
from safety.workplace import Workplace
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_history import SHOP, WASH
from tests.unsafe_answers.test_solvent_in_waste import JOB


def shop(folder: Path, line: str) -> Path:
    return write_shop(folder, SHOP + f"\n[settings]\n{line}\n", {"wash": WASH}, {"wipe": JOB})


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ("glove_safety_factor = 4", 'no plugin reads the setting "glove_safety_factor"'),
        ("solvent_plan_O8 = 150", 'did you mean "solvent_plan_O8_YYYY"'),
        ("solvent_plan_O8_2026-13 = 150", 'no plugin reads the setting "solvent_plan_O8_2026-13"'),
        ('solvent_plan_O8_2026 = "much"', '"much"'),
        ('cartridge_change_time = "2 kg"', "cartridge_change_time"),
    ],
)
def test_a_setting_nobody_reads_is_a_mistake(tmp_path: Path, line: str, said: str) -> None:
    folder = shop(tmp_path, line)
    with pytest.raises(Problems) as told:
        Workplace.open(folder).planned(["wipe"])
    text = str(told.value)
    assert said in text
    assert "shop.toml" in text
    done = CliRunner().invoke(command, [str(folder)])
    assert done.exit_code != 0
    assert said in (done.output + str(done.exception))


@pytest.mark.parametrize(
    "line", ["solvent_plan_O8_2026 = 150", "solvent_plan_O1_2026-06 = '3 kg'", "glove_movement_factor = 0.5"]
)
def test_a_setting_that_is_read_is_none(tmp_path: Path, line: str) -> None:
    assert Workplace.open(shop(tmp_path, line)).planned(["wipe"])
