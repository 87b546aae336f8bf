"""A level beside a limit reads as the comparison says: over, under, or at it."""

from __future__ import annotations

import math
import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from safety import levels, units


@pytest.mark.parametrize(
    ("level", "limit", "digits", "text"),
    [
        (149.0, 150.0, 2, "149"),
        (146.0, 150.0, 2, "146"),
        (154.0, 150.0, 2, "154"),
        (156.0, 150.0, 2, "160"),
        (150.3, 150.0, 2, "just over 150"),
        (149.7, 150.0, 2, "just under 150"),
        (150.0, 150.0, 2, "150"),
        (150.0 * (1 + 1e-12), 150.0, 2, "150"),
        (1.0004, 1.0, 2, "just over 1"),
        (1.004, 1.0, 3, "1.004"),
        (0.9996, 1.0, 2, "just under 1"),
        (42.49, 42.5, 2, "42"),
        (42.51, 42.5, 3, "42.51"),
        (42.5, 42.5, 2, "42.5"),
        # limits of four figures that have no more are printed in full, others to three
        (1233.0, 1234.0, 3, "1230"),
        (1234.4, 1234.0, 2, "just over 1234"),
        (42.531, 42.53111, 2, "just under 42.5"),
        (42.5312, 42.53111, 3, "42.53"),
        (0.0, 5.0, 2, "0"),
        (math.inf, 5.0, 2, "no limit"),
        (2e-5, 1e-5, 2, "2.0e-05"),
        # a trace is said by what it is less than, not by a power of ten
        (9.8e-19, 0.02, 2, "less than 0.000002"),
        (1.9e-6, 0.02, 2, "less than 0.000002"),
        (4.9e-15, 100.0, 2, "less than 0.01"),
    ],
)
def test_a_level_is_told_apart_from_its_limit(level: float, limit: float, digits: int, text: str) -> None:
    assert levels.compared(level, limit, digits=digits) == text


def test_of_several_limits_the_nearest_is_named() -> None:
    assert levels.compared(10.004, 1.0, 10.0, 50.0) == "just over 10"
    assert levels.compared(10.02, 1.0, 10.0, 50.0) == "10.02"
    assert levels.compared(7.86, 1.0, 10.0, 50.0) == "7.86"
    assert levels.compared(7.86) == "7.86"


@given(
    st.floats(1e-3, 1e6), st.sampled_from([0.1, 1.0, 10.0, 42.5, 100.0, 150.0, 1000.0]), st.integers(1, 4), st.data()
)
def test_what_is_printed_compares_as_the_numbers_do(
    factor: float, limit: float, digits: int, data: st.DataObject
) -> None:
    level = data.draw(st.one_of(st.just(factor), st.floats(0.99, 1.01).map(lambda share: share * limit)))
    text = levels.compared(level, limit, digits=digits)
    words = re.fullmatch(r"(just over |just under |less than |)(\S+)", text)
    assert words
    value = float(words[2])
    if math.isclose(level, limit, rel_tol=1e-9):
        assert (words[1], value) == ("", limit)
    elif words[1] == "less than ":
        assert level < value < limit
    elif words[1]:
        assert (value, words[1]) == (limit, "just over " if level > limit else "just under ")
    else:
        assert (value > limit, value < limit) == (level > limit, level < limit)


def test_quantities_that_would_look_alike_are_told_apart() -> None:
    def litres(volume: float) -> str:
        return units.show(volume, "volume", "L")

    assert levels.shown(0.20001, 0.2, litres) == "just over 200 L"
    assert levels.shown(0.19999, 0.2, litres) == "just under 200 L"
    assert levels.shown(0.2, 0.2, litres) == "200 L"
    assert levels.shown(0.203, 0.2, litres) == "203 L"
