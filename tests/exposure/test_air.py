"""The two zones against numerical integration, the published closed form and the limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from safety.exposure.air import FAR, NEAR, Air, Zones
from safety.formulas.air import two_zone_far, two_zone_near, well_mixed

DRAWS = 4
RNG = np.random.default_rng(3)


def zones(airflow: float = 0.5, far: float = 2400.0, exchange: float = 0.08, near: float = 0.9) -> Zones:
    spread = RNG.uniform(0.5, 2.0, DRAWS)
    return Zones(near * spread, far * spread, exchange * spread, airflow * spread)


def run(z: Zones, near: np.ndarray, far: np.ndarray, cell: float) -> Air:
    """The air of (cells, substances, draws) masses given off."""
    cells, substances, _ = near.shape
    air = Air.clean(cells + 1, substances, DRAWS)
    air.masses[:-1] = np.stack([near, far], axis=1)
    air.follow(z.cell(cell), slice(0, cells))
    return air


def integrals(air: Air, zone: int) -> np.ndarray:
    """The integral of a zone's concentration up to every node, (times, substances, draws)."""
    doses = air.doses(zone, 0, slice(0, len(air.near) - 1))
    return np.concatenate([np.zeros_like(doses[:1]), np.cumsum(doses, axis=0)])


def integrated(z: Zones, near: np.ndarray, far: np.ndarray, cell: float, draw: int) -> np.ndarray:
    """C_N, C_F and their integrals at every node by solve_ivp on the coupled equations, cell by cell."""
    v_n, v_f = z.near_volume[draw], z.far_volume[draw]
    beta, q = z.exchange[draw], z.airflow[draw]
    state, out = np.zeros(4), [np.zeros(4)]
    for k in range(len(near)):
        g_n, g_f = near[k, 0, draw] / cell, far[k, 0, draw] / cell

        def rates(_: float, s: np.ndarray, g_n: float = g_n, g_f: float = g_f) -> list[float]:
            return [
                (g_n + beta * (s[1] - s[0])) / v_n,
                (g_f + beta * (s[0] - s[1]) - q * s[1]) / v_f,
                s[0],
                s[1],
            ]

        state = solve_ivp(rates, (0, cell), state, rtol=1e-10, atol=1e-16, method="LSODA").y[:, -1]
        out.append(state)
    return np.array(out)


@pytest.mark.parametrize("airflow", [0.0, 1e-9, 0.5, 20.0])
def test_agrees_with_integration_of_the_coupled_equations(airflow: float) -> None:
    z = zones(airflow)
    cells, cell = 40, 30.0
    near = RNG.uniform(0, 0.01, (cells, 1, DRAWS)) * (np.arange(cells) < 25)[:, None, None]
    far = RNG.uniform(0, 0.01, (cells, 1, DRAWS))
    air = run(z, near, far, cell)
    for draw in range(DRAWS):
        expected = integrated(z, near, far, cell, draw)
        courses = (air.near, air.far, integrals(air, NEAR), integrals(air, FAR))
        got = np.stack([a[:, 0, draw] for a in courses], axis=1)
        assert np.abs(got - expected).max(axis=0) == pytest.approx(0, abs=1e-6 * expected.max())
        assert np.all(np.abs(got - expected).max(axis=0) <= 1e-6 * expected.max(axis=0))


def test_constant_source_is_the_published_closed_form() -> None:
    """Nicas 1996 (AIHA Journal 57:542-550), as the catalogue has it."""
    z = zones()
    source = 1e-3  # kg/s
    mass = np.full((50, 1, DRAWS), source * 20.0)
    air = run(z, mass, np.zeros_like(mass), 20.0)
    times = 20.0 * np.arange(51)[1:, None]
    volume = z.near_volume + z.far_volume
    near = two_zone_near(source, z.airflow, z.exchange, volume, z.near_volume, times)
    far = two_zone_far(source, z.airflow, z.exchange, volume, z.near_volume, times)
    assert air.near[1:, 0] == pytest.approx(near, rel=1e-9)
    assert air.far[1:, 0] == pytest.approx(far, rel=1e-9)


def test_enclosed_place_is_one_well_mixed_zone() -> None:
    volume = np.full(DRAWS, 6.0)
    z = Zones(volume, volume, np.full(DRAWS, np.inf), np.array([0.0, 1e-4, 1e-3, 0.02]))
    mass = np.full((30, 1, DRAWS), 1e-4 * 60.0)
    both = run(z, mass / 2, mass / 2, 60.0)
    times = 60.0 * np.arange(31)[1:, None]
    assert both.near[1:, 0, 1:] == pytest.approx(well_mixed(1e-4, z.airflow[1:], 6.0, times), rel=1e-9)
    assert both.near[1:, 0, 0] == pytest.approx(1e-4 * times[:, 0] / 6.0, rel=1e-12)  # no air: it only adds up
    assert np.array_equal(both.near, both.far)


def test_outdoors_the_far_field_stays_clean() -> None:
    z = Zones(np.full(DRAWS, 0.9), np.full(DRAWS, np.inf), np.full(DRAWS, 0.1), np.zeros(DRAWS))
    mass = np.full((30, 1, DRAWS), 1e-3 * 60.0)
    air = run(z, mass, mass, 60.0)
    assert np.all(air.far == 0.0)
    assert air.near[-1, 0] == pytest.approx(1e-3 / 0.1, rel=1e-9)  # steady: G / beta


def test_nothing_given_off_in_a_shut_room_is_lost() -> None:
    z = zones(airflow=0.0)
    mass = RNG.uniform(0, 0.01, (60, 2, DRAWS))
    air = run(z, mass, 2 * mass, 45.0)
    held = air.near[-1] * z.near_volume + air.far[-1] * z.far_volume
    assert held == pytest.approx(3 * mass.sum(axis=0), rel=1e-9)
