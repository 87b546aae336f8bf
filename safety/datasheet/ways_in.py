"""Acute toxicity in words: "Toxic if swallowed, in contact with skin or if inhaled" is three statements in one."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations

#: The second figure of the code of each way in: swallowed, through the skin, breathed in.
_FIGURES = "013"


def by_the_way_in(levels: Sequence[str], ways: Sequence[str], last: str) -> Iterator[tuple[str, str]]:
    """Every level of harm by every row of ways in, the longest first: codes parted by "+", and a pattern.

    ``levels`` from the worst on, ``ways`` in the order swallowed, skin, breathed; ``last`` parts the last two.
    """
    for level, word in enumerate(levels):
        for count in (3, 2, 1):
            for some in permutations(zip(_FIGURES, ways, strict=True), count):
                names = [name for _, name in some]
                said = r",? ".join(names[:-1]) + r",?" + last + names[-1] if count > 1 else names[0]
                yield "+".join(f"H3{figure}{level}" for figure, _ in some), rf"{word} {said}"
