"""What our own plugins use of the program is documented API: a stranger could have written each of them."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from importlib import import_module, util
from pathlib import Path

import pytest

from safety import model
from safety.formulas import catalogue
from tests.pages.plugin_api import API, said

PLUGINS = Path(__file__).parents[2] / "plugins"
FILES = sorted(PLUGINS.rglob("*.py"))


def used(tree: ast.Module) -> Iterator[tuple[str, str]]:
    """(module, name) of everything of ours that a file imports, or reaches through a module it imports."""
    modules: dict[str, str] = {}
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            yield from ((one.name, "") for one in node.names if one.name.partition(".")[0] == "safety")
        if isinstance(node, ast.ImportFrom) and (node.module or "").partition(".")[0] == "safety":
            for one in node.names:
                inner = f"{node.module}.{one.name}"
                if _is_module(inner):
                    modules[one.asname or one.name] = inner
                else:
                    yield str(node.module), one.name
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name) and node.value.id in modules:
            yield modules[node.value.id], node.attr


def _is_module(name: str) -> bool:
    above, _, last = name.rpartition(".")
    try:
        return util.find_spec(name) is not None and not callable(getattr(import_module(above), last, None))
    except ModuleNotFoundError:
        return False


def _promised(module: str, name: str) -> bool:
    if module == "safety.model":
        return name in model.__all__
    return name in API.get(module, ()) or (module.startswith("safety.formulas.") and name in catalogue())


@pytest.mark.parametrize("file", FILES, ids=[f.relative_to(PLUGINS).as_posix() for f in FILES])
def test_a_plugin_uses_nothing_that_is_not_promised(file: Path) -> None:
    """``exposure.origin``, ``levels``, ``long_shift`` and twenty more modules were used and stood in no page."""
    secret = sorted({one for one in used(ast.parse(file.read_text("utf-8"))) if not _promised(*one)})
    assert not secret, f"add it to tests/pages/plugin_api.py, or do without: {secret}"


def test_every_promised_name_is_there_and_says_what_it_is_for() -> None:
    for module, names in API.items():
        for name in names:
            assert hasattr(import_module(module), name), f"{module}.{name}"
            assert said(module, name).strip(), f"{module}.{name}: write a docstring, or a line in SAID"


def test_a_name_that_is_not_promised_is_found() -> None:
    code = (
        "from safety.hosting import host\nfrom safety import levels\nhost.load()\nlevels.secret()\nimport safety.words"
    )
    found = [one for one in used(ast.parse(code)) if not _promised(*one)]
    assert found == [("safety.words", ""), ("safety.hosting.host", "load"), ("safety.levels", "secret")]
