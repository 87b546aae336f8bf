"""The closed form of a drying film against numerical integration of the equations it solves."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from safety.exposure.film import Film, SettingFilm
from safety.formulas.basis import GAS_CONSTANT
from safety.formulas.evaporation import film_drying_time

RNG = np.random.default_rng(7)
MOLES = RNG.uniform(0.05, 1.0, (6, 3)).T
SPEEDS = (np.array([5e-4, 6e-4, 4e-4]) * np.array([3800.0, 12000.0, 400.0]) * RNG.uniform(0.3, 3, (6, 1))).T
AREA = RNG.uniform(0.2, 2.0, 6)
FILM = Film(MOLES, SPEEDS, np.full(6, 298.0), AREA, np.full_like(MOLES, 1e-3))


def integrated(draw: int, ages: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Share gone and its integral by solve_ivp: dn_i/dt = -A a_i x_i / (R T)."""
    scale = GAS_CONSTANT * 298.0 / AREA[draw]

    def rates(_: float, state: np.ndarray) -> np.ndarray:
        moles = np.maximum(state[:3], 0.0)
        return np.r_[-SPEEDS[:, draw] * moles / moles.sum() / scale, 1 - moles / MOLES[:, draw]]

    start = np.r_[MOLES[:, draw], 0.0, 0.0, 0.0]
    done = solve_ivp(rates, (0, ages[-1]), start, t_eval=ages, rtol=1e-11, atol=1e-14, method="LSODA")
    return 1 - done.y[:3].T / MOLES[:, draw], done.y[3:].T


@pytest.mark.parametrize("draw", range(6))
def test_share_gone_and_its_integral_agree_with_integration(draw: int) -> None:
    whole = FILM.shares[:, draw].sum()
    ages = np.linspace(0, 0.999 * whole, 25)
    gone, integral = FILM.gone(ages[:, None]), FILM.integral(ages[:, None])
    expected_gone, expected_integral = integrated(draw, ages)
    assert np.abs(gone[:, :, draw].T - expected_gone).max() < 1e-8
    assert np.abs(integral[:, :, draw].T - expected_integral).max() / whole < 1e-8


def test_drying_time_is_the_catalogue_s() -> None:
    parts = [(MOLES[i], SPEEDS[i], np.ones(6)) for i in range(3)]
    assert FILM.shares.sum(axis=0) == pytest.approx(film_drying_time(parts, AREA, 298.0), rel=1e-12)


def test_dry_film_gives_off_nothing_more() -> None:
    ages = np.array([[1.0], [1.5], [40.0]]) * FILM.shares.sum(axis=0)
    assert np.all(FILM.gone(ages) == 1.0)
    assert np.diff(FILM.integral(ages), axis=1) == pytest.approx(np.repeat(np.diff(ages, axis=0)[None], 3, axis=0))


def test_before_it_is_laid_nothing_is_gone() -> None:
    ages = np.array([[-10.0], [0.0]])
    assert np.all(FILM.gone(ages) == 0.0)
    assert np.all(FILM.integral(ages) == 0.0)


def test_a_trace_of_a_slow_part_does_not_stop_the_solution() -> None:
    film = Film(
        np.array([[1.0], [1e-9]]), np.array([[50.0], [0.01]]), np.array([298.0]), np.array([1.0]), np.full((2, 1), 1e-3)
    )
    fast_alone = film.shares[0, 0]
    gone = film.gone(np.linspace(0, fast_alone, 40)[:, None])
    assert np.all(np.diff(gone[0, :, 0]) > 0)
    assert gone[0, 20, 0] == pytest.approx(20 / 39, rel=1e-6)  # a pure film dries at a constant rate


# ---------------------------------------------------------------- films that set

SETTING = SettingFilm(FILM, np.linspace(0.0, 1.0, 6), np.full(6, 0.15), np.full(6, 20 * 3600.0))


def test_a_setting_film_lies_between_a_liquid_and_one_that_only_decays() -> None:
    ages = np.linspace(0.0, 3 * float(FILM.lasts.max()), 50)[:, None]
    gone, liquid = SETTING.gone(ages), FILM.gone(ages)
    assert gone[..., 0] == pytest.approx(liquid[..., 0])
    decays = -np.expm1(-ages / FILM.first[:, None])
    held = 0.15 * -np.expm1(-ages / (20 * 3600.0))
    assert gone[..., 5] == pytest.approx((0.85 * decays + held)[..., 5])
    assert (np.diff(gone, axis=1) >= -1e-12).all()
    assert gone.min() >= 0.0
    assert gone.max() <= 1.0


def test_its_integral_is_that_of_what_is_gone() -> None:
    ages = np.linspace(0.0, float(FILM.lasts.max()), 4001)[:, None]
    gone, integral = SETTING.gone(ages), SETTING.integral(ages)
    steps = np.diff(ages[:, 0])[:, None]
    summed = np.cumsum((gone[:, 1:] + gone[:, :-1]) / 2 * steps, axis=1)
    assert integral[:, 1:] == pytest.approx(summed, rel=2e-3, abs=1e-3 * float(integral.max()))


def test_a_setting_film_begins_as_fast_as_the_liquid() -> None:
    """Zhu, Zhang & Shaw (1999): the first rate is Raoult's."""
    age = np.full((1, 1), 1e-4 * float(FILM.first.min()))
    held_nothing = SettingFilm(FILM, np.ones(6), np.zeros(6), np.ones(6))
    assert held_nothing.gone(age) == pytest.approx(FILM.gone(age), rel=1e-3)


def test_where_nothing_was_laid_nothing_divides_by_it() -> None:
    """All of a draw may stay in the cloth, and a part may have no share: warnings are errors here.

    Before, a film without a mole divided nought by nought while it looked for a first guess.
    """
    moles = np.array([[1.0, 0.0, 0.0, 2.0], [0.0, 0.0, 1.0, 0.5]])
    speeds = np.array([[1e-3] * 4, [2e-3] * 4])
    film = Film(moles, speeds, np.full(4, 300.0), np.full(4, 1.0), speeds)
    setting = SettingFilm(film, np.full(4, 0.5), np.full(4, 0.1), np.full(4, 1e4))
    ages = np.array([0.0, 1.0, 1e3, 1e6, 1e9])[:, None]
    for one in (film, setting):
        for found in (one.gone(ages), one.integral(ages)):
            assert np.isfinite(found).all()
    assert (film.gone(ages)[:, -1] == 1.0).all()
