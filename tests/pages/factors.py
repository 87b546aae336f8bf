"""``safety/data/factors.tsv``: what one of each unit is worth, as pint says it."""

from __future__ import annotations

from safety.units import KINDS, by_pint

HEAD = """\
# What one of each unit is worth, made by pint from units.txt: python -m tests.pages
# unit, base unit, and a and b such that a value in the base unit is a * value + b
"""


def page() -> str:
    of = dict.fromkeys((unit, kind.base) for kind in KINDS.values() for unit in kind.units)
    return HEAD + "".join(f"{unit}\t{base}\t{a!r}\t{b!r}\n" for unit, base in of for a, b in [by_pint(unit, base)])
