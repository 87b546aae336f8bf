"""Stratified draws: right percentiles, same numbers for the same seed, nobody moves anybody else."""

from __future__ import annotations

import numpy as np
import pytest

from safety.exposure.draws import Draws
from safety.model import Part, Range


def test_a_range_is_its_5th_and_95th_percentile() -> None:
    draws = Draws(2000, 1)
    for values, low, high in (
        (draws.positive("air changes", Range(0.3, 2.0)), 0.3, 2.0),
        (draws.normal("temperature", Range(290.0, 300.0)), 290.0, 300.0),
        (draws.share("kept", Range(0.1, 0.4)), 0.1, 0.4),
    ):
        assert np.percentile(values, (5, 95)) == pytest.approx((low, high), rel=2e-3)


def test_a_range_from_zero_stays_above_zero() -> None:
    values = Draws(2000, 1).positive("air changes", Range(0.0, 1.0))
    assert values.min() > 0
    assert np.percentile(values, 95) == pytest.approx(1.0, rel=1e-3)


def test_one_number_is_that_number() -> None:
    assert np.all(Draws(50, 1).positive("x", Range(3.0, 3.0)) == 3.0)


def test_another_input_moves_nobody() -> None:
    one, two = Draws(500, 4), Draws(500, 4)
    two.positive("something new", Range(1.0, 2.0))
    assert np.array_equal(one.positive("x", Range(1, 9)), two.positive("x", Range(1, 9)))
    assert not np.array_equal(one.positive("y", Range(1, 9)), one.positive("x", Range(1, 9)))
    assert not np.array_equal(Draws(500, 5).positive("x", Range(1, 9)), one.positive("x", Range(1, 9)))


PARTS = (Part("a", "1", 0.1, 0.6), Part("b", "2", 0.3, 0.5), Part("c", "3", 0.0, 0.2))


def test_weights_stay_in_their_ranges_and_make_the_whole() -> None:
    weights = Draws(3000, 2).weights("p", PARTS)
    assert weights.sum(axis=0) == pytest.approx(np.ones(3000), abs=1e-12)
    for row, part in zip(weights, PARTS, strict=True):
        assert row.min() >= part.low - 1e-12
        assert row.max() <= part.high + 1e-12
        others = [p for p in PARTS if p is not part]
        reachable = min(part.high, 1 - sum(p.low for p in others)) - max(part.low, 1 - sum(p.high for p in others))
        assert np.ptp(row) > 0.8 * reachable


def test_what_the_parts_leave_open_is_not_filled_up() -> None:
    weights = Draws(100, 2).weights("p", (Part("a", "1", 0.1, 0.3), Part("b", "2", 0.2, 0.4)))
    assert weights.sum(axis=0) == pytest.approx(np.full(100, 0.7), abs=1e-12)
