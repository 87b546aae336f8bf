"""Every threshold and every table of the shipped packs is read by something.

Eight thresholds and six tables were loaded, printed in docs/data.md and held against their sources, and nothing read
them: a pH, a distance, a spill. A rule nobody reads is either used or not shipped.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from safety.files.toml import open_document
from safety.reference.data_files import DATA

ROOT = Path(__file__).parents[2]
PACKS = sorted([*(DATA / "rules").glob("*.toml"), *(ROOT / "plugins").glob("*/rules/*.toml")])
#: A literal part of a made-up name that tells enough: f"return-copy-ask-{size}".
ENOUGH = 6
#: Tables that say for an earlier version what to write instead, or are marked as kept for people.
FOR_PEOPLE = {"wipes_are"}


@cache
def words() -> tuple[frozenset[str], tuple[re.Pattern[str], ...]]:
    """Every text constant of the code but for the declarations of tables, and every made-up text as a pattern."""
    said, made = set(), set()
    for file in [*(ROOT / "safety").rglob("*.py"), *(ROOT / "plugins").rglob("*.py")]:
        if file.name == "tables.py" and file.parent.name.startswith("safety_"):
            continue
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Constant) and isinstance(node.value, str):
                said.add(node.value)
            elif isinstance(node, ast.JoinedStr):
                parts = [str(p.value) if isinstance(p, ast.Constant) else "" for p in node.values]
                if sum(map(len, parts)) >= ENOUGH:
                    made.add("[a-z-]*".join(map(re.escape, parts)) if parts else "")
    return frozenset(said), tuple(re.compile(pattern) for pattern in made if pattern)


def rows() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for pack in PACKS:
        for table, found in open_document(pack).data.items():
            for row in found if isinstance(found, list) else ():
                yield f"{pack.parent.parent.name}/{pack.stem}", table, row


def read(name: str) -> bool:
    said, made = words()
    return name in said or any(pattern.fullmatch(name) for pattern in made)


@cache
def named_by_rows() -> frozenset[str]:
    """Thresholds that a row names, of a table that is itself read."""
    found: set[str] = set()
    for _, table, row in rows():
        if table != "threshold" and read(table):
            for value in row.values():
                found |= {one for one in (value if isinstance(value, list) else [value]) if isinstance(one, str)}
    return frozenset(found)


@pytest.mark.parametrize("name", sorted({row["name"] for _, table, row in rows() if table == "threshold"}))
def test_a_threshold_has_a_reader(name: str) -> None:
    assert read(name) or name in named_by_rows(), f"nothing reads {name}: use it, or take it out of the packs"


@pytest.mark.parametrize("table", sorted({table for _, table, _ in rows()} - {"threshold", *FOR_PEOPLE}))
def test_a_table_has_a_reader(table: str) -> None:
    assert read(table), f"nothing reads [[{table}]]: use it, or take it out of the packs"
