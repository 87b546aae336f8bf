"""Style, types and the floor plan: so that one command, pytest, is everything."""

from __future__ import annotations

import ast
import subprocess
import sys
from importlib.metadata import distribution
from pathlib import Path

import pytest
import tomli

from safety.hosting import host

ROOT = Path(__file__).parents[1]
TEXT = (ROOT / "pyproject.toml").read_text("utf-8")
PROJECT = tomli.loads(TEXT)
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
    ],
    ids=["ruff check", "ruff format", "mypy"],
)
def test_tool_finds_nothing(tool: tuple[str, ...]) -> None:
    done = subprocess.run([sys.executable, *tool], cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_imports_follow_the_contracts(tmp_path: Path) -> None:
    """Those of pyproject.toml, over every plugin folder: a list of them once left the newest out in silence."""
    names = ", ".join(f'"{name}"' for name in PLUGINS)
    config = tmp_path / "contracts.toml"
    config.write_text(TEXT.replace('"safety_*"', names), "utf-8")
    command = (sys.executable, "-c", LINT_IMPORTS, "--no-cache", "--config", str(config))
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True)
    assert done.returncode == 0, done.stdout + done.stderr


def test_every_plugin_folder_is_found_and_missed_when_it_is_gone() -> None:
    declared = PROJECT["project"]["entry-points"][host.GROUP]
    wanted = {name.removeprefix("safety_"): name for name in PLUGINS}
    lines = "".join(f'\n{name} = "{module}"' for name, module in wanted.items() if declared.get(name) != module)
    assert declared == wanted, f'under [project.entry-points."{host.GROUP}"] in pyproject.toml:{lines}'
    installed = {e.name: e.value for e in distribution("hazstep").entry_points if e.group == host.GROUP}
    assert installed == declared, "run: pip install --no-deps -e ."


def test_no_module_has_over_420_lines() -> None:
    files = [*(ROOT / "safety").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]
    long = {str(f.relative_to(ROOT)): n for f in files if (n := len(f.read_text("utf-8").splitlines())) > 420}
    assert long == {}


def test_no_function_has_over_sixty_lines() -> None:
    """Nor over 15 branches, which ruff counts (C901, PLR0912): a verdict first, then the sentence made from it."""
    files = [*(ROOT / "safety").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]
    long = {
        f"{file.relative_to(ROOT)}: {node.name}": lines
        for file in files
        for node in ast.walk(ast.parse(file.read_text("utf-8")))
        if isinstance(node, ast.FunctionDef) and (lines := (node.end_lineno or 0) - node.lineno + 1) > 60
    }
    assert long == {}, "let one function find the verdict, and others make the sentences from it"


def test_top_level_is_as_agreed() -> None:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True)
    if listed.returncode != 0:
        pytest.skip("not a git checkout: a source archive has no list of its files")
    top = {line.split("/")[0] for line in listed.stdout.splitlines()}
    allowed = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "safety", "plugins", "tests", "docs"}
    assert {name for name in top if not name.startswith(".")} <= allowed
