"""docs/terms.md lists the vocabulary: what it names is there, and what plugins are handed is named."""

from __future__ import annotations

import re
from dataclasses import fields, is_dataclass
from importlib import import_module
from pathlib import Path

import pytest

from safety import cited, exposure, model
from safety.exposure import result
from safety.formulas import catalogue
from safety.model import PROPERTY_NAMES

ROOT = Path(__file__).parents[2]
PAGE = (ROOT / "docs" / "terms.md").read_text("utf-8")
CODE = sorted(set(re.findall(r"`([^`]+)`", PAGE)))
WHERE = (model, exposure, result, cited)


def found(name: str) -> bool:
    """Whether a class, a field of one, a property of a substance, a formula or a module is called so."""
    first, _, rest = name.partition(".")
    if first == "safety":
        module, _, last = name.rpartition(".")
        try:
            return bool(import_module(name))
        except ModuleNotFoundError:
            return hasattr(import_module(module), last)
    owner = next((getattr(where, first) for where in WHERE if hasattr(where, first)), None)
    if rest:
        known = {f.name for f in fields(owner)} if is_dataclass(owner) else set()
        return rest in known or hasattr(owner, rest)
    modules = {path.stem for folder in ("safety", "plugins") for path in (ROOT / folder).rglob("*.py")}
    return owner is not None or name in {*PROPERTY_NAMES, *catalogue(), *modules}


@pytest.mark.parametrize("name", CODE)
def test_what_the_page_names_is_there(name: str) -> None:
    assert found(name), f"docs/terms.md: nothing is called {name}; write its name of today"


def test_every_record_of_the_core_has_a_term() -> None:
    public = {name for name in model.__all__ if isinstance(getattr(model, name), type)}
    missing = sorted(public - {name.split(".")[0] for name in CODE})
    assert not missing, f"write a line on each into docs/terms.md: {missing}"
