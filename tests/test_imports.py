"""What must not be imported to print help: a person waits for it at every start."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("pint", "numpy", "pydantic", "reportlab", "scipy", "importlib.metadata", "pluggy", "tomli")


def loaded(arguments: list[str]) -> set[str]:
    """The modules a fresh interpreter holds after a run of hazstep that ends by itself."""
    code = (
        "import sys\n"
        "from safety.cli import main\n"
        "try:\n"
        f"    main({arguments!r})\n"
        "except SystemExit:\n"
        "    pass\n"
        "print(*sys.modules, sep='\\n', file=sys.stderr)\n"
    )
    run = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return set(run.stderr.splitlines())


@pytest.mark.parametrize("arguments", [["--help"], ["--version"], ["shet"]])
def test_help_imports_nothing_heavy(arguments: list[str]) -> None:
    modules = loaded(arguments)
    assert "safety.cli" in modules
    assert not modules & set(HEAVY)


def test_help_of_a_command_imports_only_that_command() -> None:
    modules = loaded(["sheet", "--help"])
    assert "safety.cli.sheet" in modules
    assert not modules & {*HEAVY, "safety.cli.calc", "safety.cli.demo"}


def test_the_list_would_notice() -> None:
    # the same look at a command that has to load them
    assert "numpy" in loaded(["calc"])


def test_help_costs_little_more_than_that_of_an_empty_program() -> None:
    """Counted in modules, since a clock says more of the machine than of us: at most half as many again."""
    empty = "import sys, click\nprint(*sys.modules, sep='\\n')\n"
    least = subprocess.run([sys.executable, "-c", empty], capture_output=True, text=True, check=True).stdout.split()
    assert len(loaded(["--help"])) <= 1.5 * len(least)
