"""The percentiles every decision rests on, against NumPy's own."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import binom

from safety.exposure.result import Careful, Standing, above, all_of, any_of, careful, decisive, p50, p95


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


@pytest.mark.parametrize("draws", [1, 50, 59, 100, 2000, 200_000])
@pytest.mark.parametrize("sure", [0.95, 0.9995])
def test_a_bound_is_as_sure_as_the_binomial_says(draws: int, sure: float) -> None:
    """Free of any distribution: W. J. Conover, Practical Nonparametric Statistics, 3rd ed. 1999, section 3.2 (from
    memory); the numbers are scipy's."""
    free = above(draws, sure)
    assert free == 0 or binom.cdf(free, draws, 0.05) <= 1 - sure
    assert binom.cdf(free + 1, draws, 0.05) > 1 - sure


def test_what_decides_is_over_the_percentile_in_95_of_100_sets_of_independent_draws() -> None:
    rng = np.random.default_rng(7)
    true = np.exp(1.6448536269514722)
    held = [decisive(rng.lognormal(size=500)) >= true for _ in range(2000)]
    assert 0.94 < np.mean(held) < 0.99


@pytest.mark.parametrize("draws", [1, 2, 50, 300, 2000])
def test_the_printed_percentile_never_passes_what_decides(draws: int) -> None:
    values = np.random.default_rng(draws).lognormal(size=draws)
    high, low = careful(values), careful(values, low=True)
    assert high.value == p95(values) <= high.bound == decisive(values) <= high.edge <= values.max()
    assert low.value == pytest.approx(np.percentile(values, 5), rel=1e-12)
    assert low.value >= low.bound >= low.edge >= values.min()
    assert np.array_equal(decisive(np.stack([values, 2 * values], axis=1)), [high.bound, 2 * high.bound])


def test_what_is_not_a_number_decides_nothing_mildly() -> None:
    values = np.ones(40)
    values[3] = np.nan
    assert np.isnan(careful(values)).all()
    assert np.isnan(decisive(values))


@pytest.mark.parametrize(
    ("limit", "over", "close"), [(0.9, True, ""), (1.05, True, "over"), (1.15, False, "under"), (1.3, False, "")]
)
def test_a_limit_within_the_error_is_taken_as_passed_and_said(limit: float, over: bool, close: str) -> None:
    standing = Careful(1.0, 1.1, 1.2).against(lambda value: value > limit)
    assert (standing.over, standing.close) == (over, close)


def test_of_several_the_one_that_is_surely_over_decides() -> None:
    surely, doubt, clear = Standing(True, True, True), Standing(False, True, True), Standing(False, False, False)
    assert any_of([surely, doubt]).close == ""
    assert any_of([doubt, clear]).close == "over"
    assert all_of(surely, doubt).close == "over"
    assert not all_of(doubt, clear).over
    assert not any_of([]).perhaps
