"""docs/formulas.md is what the catalogue makes of itself, and every example in it runs."""

from __future__ import annotations

import re
import shlex
from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli.calc import command
from safety.formulas import catalogue, described
from tests.pages.formulas import EXAMPLES, page, shipped

PAGE = Path(__file__).parents[2] / "docs" / "formulas.md"
SHOWN = re.findall(r"^\$ hazstep calc (.+)\n(.+)$", PAGE.read_text(), re.MULTILINE)


def test_page_is_up_to_date() -> None:
    assert PAGE.read_text() == page(), "run: python -m tests.pages"


def test_every_formula_has_an_example() -> None:
    every = [*catalogue(), *shipped()]
    assert EXAMPLES.keys() - set(every) == set(), "take them out of EXAMPLES in tests/pages/formulas.py"
    assert [line.split()[0] for line, _ in SHOWN] == every, "run: python -m tests.pages"


def burning_time(charge: float, draw: float) -> float:
    """How long a lamp burns.

    time = charge / draw

    charge [s] at full draw, draw [1] of it. Returns [s].
    """
    return charge / draw


def test_a_plugin_s_formula_stands_under_its_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """The page made itself of our own catalogue alone, while calc and why knew what plugins bring."""
    source = "rule of thumb of the trade (invented)"
    one = described(burning_time, gives="time", source=source, charge="time", draw="fraction")
    brought = {one.name: replace(one, group="lamp_rules")}
    with pytest.raises(SystemExit, match=r'EXAMPLES of tests/pages/formulas\.py a line "burning_time": '):
        page(brought)
    monkeypatch.setitem(EXAMPLES, one.name, 'charge="1 h" draw="50 %"')
    (section,) = re.findall(r"^## Lamp_rules\n(.*)", page(brought), re.MULTILINE | re.DOTALL)
    assert "### burning_time\n\nHow long a lamp burns.\n\n```\ntime = charge / draw\n```" in section
    assert section.endswith('$ hazstep calc burning_time charge="1 h" draw="50 %"\nburning_time = 120 min\n```\n')


@pytest.mark.parametrize(("line", "answer"), SHOWN, ids=[line.split()[0] for line, _ in SHOWN])
def test_example_runs(line: str, answer: str) -> None:
    result = CliRunner().invoke(command, shlex.split(line))
    assert result.exit_code == 0, result.output
    if answer != "```":  # examples that look up data show no answer
        assert result.output.splitlines()[0] == answer
