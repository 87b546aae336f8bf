"""The percentiles every decision rests on, against NumPy's own."""

from __future__ import annotations

import numpy as np
import pytest

from safety.exposure.result import p50, p95


@pytest.mark.parametrize("draws", [1, 2, 21, 50, 101, 2000])
@pytest.mark.parametrize("shape", [(), (3,)])
def test_percentiles_are_numpy_s_to_the_last_bit(draws: int, shape: tuple[int, ...]) -> None:
    values = np.random.default_rng(draws).lognormal(size=(draws, *shape))
    assert np.array_equal(p50(values), np.percentile(values, 50, axis=0))
    assert np.array_equal(p95(values), np.percentile(values, 95, axis=0))


def test_what_is_not_a_number_is_not_passed_over() -> None:
    values = np.ones((40, 2))
    values[7, 1] = np.nan
    assert p95(values)[0] == 1.0
    assert np.isnan(p95(values)[1])
