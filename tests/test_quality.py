"""Style, types and the floor plan: so that one command, pytest, is everything."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest
import tomli

ROOT = Path(__file__).parents[1]
PROJECT = tomli.loads((ROOT / "pyproject.toml").read_text("utf-8"))
PLUGINS = sorted(p.name for p in (ROOT / "plugins").iterdir() if p.is_dir() and p.name.startswith("safety_"))


LINT_IMPORTS = "import sys; from importlinter.cli import lint_imports_command as lint; sys.exit(lint())"


@pytest.mark.parametrize(
    "tool",
    [
        ("-m", "ruff", "check", "."),
        ("-m", "ruff", "format", "--check", "."),
        pytest.param(
            ("-m", "mypy"),
            marks=pytest.mark.skipif(
                sys.version_info < (3, 11), reason="numpy and pint for Python 3.10 are old releases with other types"
            ),
        ),
        ("-c", LINT_IMPORTS, "--no-cache"),
    ],
    ids=["ruff check", "ruff format", "mypy", "import layers"],
)
def test_tool_finds_nothing(tool: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, *tool], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_plugin_folder_is_packed_and_found() -> None:
    packed = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"]
    found = PROJECT["project"]["entry-points"]["hazstep.plugins"]
    assert [f"plugins/{name}" for name in PLUGINS] == [p for p in packed if p != "safety"]
    assert sorted(found.values()) == PLUGINS


def test_no_module_has_over_four_hundred_lines() -> None:
    files = [*(ROOT / "safety").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]
    long = {str(f.relative_to(ROOT)): n for f in files if (n := len(f.read_text("utf-8").splitlines())) > 420}
    assert long == {}


def test_top_level_is_as_agreed() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode != 0:
        pytest.skip("not a git checkout: a source archive has no list of its files")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "safety", "plugins", "tests", "docs"}
    assert {name for name in top if not name.startswith(".")} <= allowed
