"""docs/formulas.md is what the catalogue makes of itself, and every example in it runs."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from safety.cli.calc import command
from safety.formulas import catalogue
from tests.pages.formulas import EXAMPLES, page

PAGE = Path(__file__).parents[2] / "docs" / "formulas.md"
SHOWN = re.findall(r"^\$ hazstep calc (.+)\n(.+)$", PAGE.read_text(), re.MULTILINE)


def test_page_is_up_to_date() -> None:
    assert PAGE.read_text() == page(), "run: python -m tests.pages"


def test_every_formula_has_an_example() -> None:
    assert list(EXAMPLES) == list(catalogue())
    assert [line.split()[0] for line, _ in SHOWN] == list(catalogue())


@pytest.mark.parametrize(("line", "answer"), SHOWN, ids=[line.split()[0] for line, _ in SHOWN])
def test_example_runs(line: str, answer: str) -> None:
    result = CliRunner().invoke(command, shlex.split(line))
    assert result.exit_code == 0, result.output
    if answer != "```":  # examples that look up data show no answer
        assert result.output.splitlines()[0] == answer
