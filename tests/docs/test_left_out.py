"""docs/left-out.md speaks of every key that may be left out, and of no other."""

from __future__ import annotations

import re
from pathlib import Path

from safety.files.shape_words import tables_of
from safety.files.shapes import JobFile, ProductFile, ShopFile

PAGE = Path(__file__).parents[2] / "docs" / "left-out.md"
WAYS = {"asked for", "unknown", "careful", "said", "careful, said", "nothing"}


def rows() -> list[list[str]]:
    lines = PAGE.read_text(encoding="utf-8").splitlines()
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in lines if line.startswith("| `")]


def optional() -> set[str]:
    """Every key with a default, by the last names of its table: "use.kept" for ``[[step.use]]``."""
    found = set()
    for shape in (ShopFile, ProductFile, JobFile):
        for name, _, fields in tables_of(shape):
            table = re.sub(r"^(?:step\.|product\.)", "", name.strip("[]"))
            found |= {f"{table}.{key}" for key, field in fields if not field.is_required()}
    return found


def test_every_key_that_may_be_left_out_has_its_decision() -> None:
    told = [row[0].strip("`") for row in rows()]
    assert sorted(told) == sorted(optional())


def test_each_decision_is_one_of_the_page_s_own_words_and_has_a_reason() -> None:
    for key, counts, way, why in rows():
        assert way in WAYS, key
        assert counts, key
        assert why, key
