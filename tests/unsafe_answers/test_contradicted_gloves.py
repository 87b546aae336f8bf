"""A glove was "rated very good" by one chart where another published list does not name it for the substance.

Acetone on natural rubber: very good in the chart, about 10 minutes in the other list. Compared were OSHA 3151, table 4
(as remembered) and Glove Selection Guidelines, University of Nevada, Reno (January 2022, read); acetone with the list of
Cornell University (1999, as quoted). Where the chart is the stricter one (butyl against nitric acid) it stands.
"""

from __future__ import annotations

import pytest
from safety_protection import glove_data

DIFFER = [
    ("67-64-1", "natural rubber"),
    ("56-23-5", "nitrile"),
    ("68-12-2", "nitrile"),
    ("64-17-5", "natural rubber"),
    ("64-17-5", "nitrile"),
    ("50-00-0", "natural rubber"),
    ("67-56-1", "natural rubber"),
    ("67-56-1", "nitrile"),
    ("78-93-3", "natural rubber"),
    ("67-63-0", "natural rubber"),
    ("79-01-6", "nitrile"),
]


@pytest.mark.parametrize(("cas", "material"), DIFFER)
def test_no_rating_is_shown_that_another_list_does_not_bear_out(cas: str, material: str) -> None:
    (rated,) = [one for one in glove_data.advice(cas, material) if one.rating]
    assert rated.says.startswith("no rating, two published lists differ (the other: Glove")
    assert "good" not in rated.says
    assert not rated.rules_out


def test_the_stricter_of_two_words_stands() -> None:
    (rated,) = [one for one in glove_data.advice("7697-37-2", "butyl") if one.rating]
    assert rated.says == "rated fair, for limited service"


def test_what_nobody_disputes_is_shown() -> None:
    (rated,) = [one for one in glove_data.advice("67-64-1", "butyl") if one.rating]
    assert rated.says == "rated very good, for limited service"
