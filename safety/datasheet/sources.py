"""Where each value of a draft was read: the page and the words that the draft's file has above it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

_SAID = re.compile(r'# [^\d"]{1,20}(\d{1,3}): "(.*)"')
_VALUE = re.compile(r"([a-z_]+)\s*=\s*(.+)")
_MORE = "#   "  # a comment that goes on


@dataclass(frozen=True, slots=True)
class Said:
    """One value of a draft; ``page`` is 0 where nothing says where it was read."""

    key: str
    value: str
    page: int = 0
    words: str = ""


def sources(text: str) -> Iterator[Said]:
    """Every value of a draft in its order, each with what stands above it. Several values may share one comment."""
    page, words, table = 0, "", ""
    for line in _joined(text.splitlines()):
        if found := _SAID.fullmatch(line):
            page, words = int(found[1]), found[2]
        elif line.startswith("["):
            page, words, table = 0, "", line.strip("[] ")
        elif line.startswith("# ") or not line.strip():
            continue
        elif found := _VALUE.fullmatch(line):
            yield Said(found[1], found[2], page, words)
            if table == "product":  # each value has a comment of its own; those of a part share one
                page, words = 0, ""


def _joined(lines: Iterable[str]) -> Iterator[str]:
    """Comments over several lines as one line each."""
    held = ""
    for line in lines:
        if held and line.startswith(_MORE):
            held = f"{held} {line.removeprefix(_MORE)}"
            continue
        if held:
            yield held
        held = line
    if held:
        yield held


def sheet_of(text: str, names: Iterable[str]) -> str:
    """The data sheet a draft was read from, among those that are there; "" where it is none of them."""
    head = "\n".join(_joined(text.splitlines()[:8]))
    return next((name for name in names if f'"{name}"' in head), "")
