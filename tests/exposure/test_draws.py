"""Even draws: right percentiles, same numbers for the same seed, nobody moves anybody else."""

from __future__ import annotations

from itertools import combinations, product
from math import sqrt

import numpy as np
import pytest

from safety.exposure.draws import _ROTATION, PRIMES, Draws, Stream
from safety.model import Part, Range

X, Y = Stream("near radius", (0,)), Stream("kept", (0, 3))


def test_a_range_is_its_5th_and_95th_percentile() -> None:
    draws = Draws(2000, 1)
    for values, low, high in (
        (draws.positive(Stream("air changes", (0, 0)), Range(0.3, 2.0)), 0.3, 2.0),
        (draws.normal(Stream("temperature", (0,)), Range(290.0, 300.0)), 290.0, 300.0),
        (draws.share(Stream("kept", (0, 7)), Range(0.1, 0.4)), 0.1, 0.4),
    ):
        assert np.percentile(values, (5, 95)) == pytest.approx((low, high), rel=2e-3)


def test_a_range_from_zero_stays_above_zero() -> None:
    values = Draws(2000, 1).positive(Stream("air changes", (0, 0)), Range(0.0, 1.0))
    assert values.min() > 0
    assert np.percentile(values, 95) == pytest.approx(1.0, rel=1e-3)


def test_one_number_is_that_number() -> None:
    assert np.all(Draws(50, 1).positive(X, Range(3.0, 3.0)) == 3.0)


def test_another_input_moves_nobody() -> None:
    one, two = Draws(500, 4), Draws(500, 4)
    two.positive(Stream("mass", (0, 9)), Range(1.0, 2.0))
    assert np.array_equal(one.positive(X, Range(1, 9)), two.positive(X, Range(1, 9)))
    assert not np.array_equal(one.positive(Y, Range(1, 9)), one.positive(X, Range(1, 9)))
    assert not np.array_equal(Draws(500, 5).positive(X, Range(1, 9)), one.positive(X, Range(1, 9)))


PARTS = (Part("a", "1", 0.1, 0.6), Part("b", "2", 0.3, 0.5), Part("c", "3", 0.0, 0.2))


def test_weights_stay_in_their_ranges_and_make_the_whole() -> None:
    weights = Draws(3000, 2).weights((0, 0), PARTS)
    assert weights.sum(axis=0) == pytest.approx(np.ones(3000), abs=1e-12)
    for row, part in zip(weights, PARTS, strict=True):
        assert row.min() >= part.low - 1e-12
        assert row.max() <= part.high + 1e-12
        others = [p for p in PARTS if p is not part]
        reachable = min(part.high, 1 - sum(p.low for p in others)) - max(part.low, 1 - sum(p.high for p in others))
        assert np.ptp(row) > 0.8 * reachable


def test_what_the_parts_leave_open_is_not_filled_up() -> None:
    weights = Draws(100, 2).weights((0, 0), (Part("a", "1", 0.1, 0.3), Part("b", "2", 0.2, 0.4)))
    assert weights.sum(axis=0) == pytest.approx(np.full(100, 0.7), abs=1e-12)


def test_no_two_leading_inputs_march_in_step() -> None:
    """Sums and differences of the rotations, each up to three times, stay away from whole numbers."""
    turns = [sqrt(prime) for prime in PRIMES]
    for one, other in combinations(turns, 2):
        for times, others in product((1, 2, 3), (-3, -2, -1, 1, 2, 3)):
            sum_ = times * one + others * other
            assert abs(sum_ - round(sum_)) * times * abs(others) > 0.0099, (one, other)


@pytest.mark.parametrize("count", [200, 2000])
def test_two_leading_inputs_fill_their_square_more_evenly_than_chance(count: int) -> None:
    """Of a square cut at the middles a quarter of the draws lies in each field, to less than chance would have it."""
    draws = Draws(count, 3)
    for one, other in combinations([*_ROTATION], 2):
        both = (draws.between(one, -1, 1) > 0) & (draws.between(other, -1, 1) > 0)
        assert abs(both.mean() - 0.25) < 3 * sqrt(0.25 / 4 / count), (one, other)
