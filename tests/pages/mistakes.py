"""docs/mistakes.md, made from tests/mistakes.

Each ``<base>-<name>.toml`` is one file of the sound shop in ``tests/mistakes/base`` with a mistake in it, and
the ``.txt`` beside it is what a person is told.
"""

from __future__ import annotations

from difflib import ndiff
from pathlib import Path

HERE = Path(__file__).parents[1] / "mistakes"
#: First word of a case's name -> the sound file it stands in for.
BASES = {
    "shop": "shop.toml",
    "wash": "products/wash.toml",
    "primer": "products/primer.toml",
    "job": "jobs/clean.toml",
    "rules": "rules/house.toml",
}
_TITLES = {
    "shop": "shop.toml",
    "wash": "A product",
    "primer": "A product put on in coats",
    "job": "A job",
    "rules": "A rules pack",
}
_MOST = 12  # changed lines shown
_HEAD = """\
# Mistakes and what you are told

This page is made by `python -m tests.pages`; do not edit it by hand.

Every mistake gives one line: the file, the line, the table and key, what is wrong, and what to write. All mistakes of
all files are listed in one run, and the exit status is 2. Lines with `-` are from a sound file, lines with `+` are
what was written instead. Keys under `x` are those of a plugin called house_rules, as in [plugins.md](plugins.md).
"""


def changed(case: Path) -> list[str]:
    """The lines in which a case differs from the sound file it stands in for."""
    sound = (HERE / "base" / BASES[case.stem.split("-")[0]]).read_text(encoding="utf-8").splitlines()
    text = case.read_text(encoding="utf-8").splitlines()
    lines = [line.rstrip() for line in ndiff(sound, text) if line[:1] in "+-"]
    return lines if len(lines) <= _MOST else [*lines[:_MOST], "..."]


def page() -> str:
    """Return the whole page."""
    parts = [_HEAD]
    for base, title in _TITLES.items():
        parts.append(f"## {title}\n")
        for case in sorted(HERE.glob(f"{base}-*.toml")):
            name = case.stem.removeprefix(f"{base}-").replace("-", " ")
            told = case.with_suffix(".txt").read_text(encoding="utf-8").strip()
            diff = "\n".join(changed(case))
            parts.append(f"### {name[0].upper()}{name[1:]}\n\n```diff\n{diff}\n```\n\n```text\n{told}\n```\n")
    return "\n".join(parts)
