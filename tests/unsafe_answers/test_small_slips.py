"""Small slips to the mild side: a figure rounded the wrong way, a word taken for another."""

from __future__ import annotations

import pytest
from safety_ignition.sources import named

from safety.levels import at_least, at_most

OVEN = {"name": "heater", "words": ["oven"], "why": "It is hot.", "citation": "made up", "decomposes": "hot surface"}


@pytest.mark.parametrize(
    ("number", "least", "most"),
    [(97.45, "98", "97"), (90.7, "91", "90"), (9.21, "9.3", "9.2"), (50.0, "50", "50"), (0.992, "1", "0.99")],
)
def test_what_must_be_brought_about_is_never_rounded_down(number: float, least: str, most: str) -> None:
    """ "A hood at the work that takes 97 %" where 97.45 % had to be taken: under it the mask was needed after all."""
    assert (at_least(number), at_most(number)) == (least, most)


def test_a_word_that_only_looks_like_one_of_the_table_is_not_taken_for_it() -> None:
    """ "refrigerator in the open kitchen" was a heater, by "open" for "oven". It counts as one nobody knows."""
    (found,) = named(["refrigerator in the open kitchen"], [OVEN])
    assert found.name == "refrigerator in the open kitchen"
    assert found.decomposes == "unknown"
    (slip,) = named(["heeter"], [{**OVEN, "words": ["heater"]}])
    assert (slip.name, slip.decomposes) == ("heeter", "unknown"), "check offers the heater; the sheet guesses nothing"
