"""Places joined by doors: against numerical integration, one place alone, and the mass that was put in."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from safety.exposure.air import FAR, NEAR, Air, Zones
from safety.exposure.doors import Together, follow_together
from safety.exposure.grid import Grid, Stretch

DRAWS, CELLS, CELL = 3, 30, 60.0
RNG = np.random.default_rng(5)


def _room(near: float, far: float, exchange: float, airflow: float) -> Zones:
    spread = RNG.uniform(0.5, 2.0, DRAWS)
    return Zones(near * spread, far * spread, exchange * spread, airflow * spread)


def _pit() -> Zones:
    volume = RNG.uniform(3.0, 8.0, DRAWS)
    return Zones(volume, volume, np.full(DRAWS, np.inf), volume * 2e-4)


def _followed(rooms: list[Zones], flows: list[tuple[int, int, np.ndarray | None]]) -> tuple[list[Air], np.ndarray]:
    airs = Air.shared(CELLS + 1, 1, DRAWS, [False] * len(rooms))
    given = RNG.uniform(0.0, 1e-3, (CELLS, 2 * len(rooms), DRAWS))
    for number, air in enumerate(airs):
        air.masses[:-1, :, 0] = given[:, number :: len(rooms)]
    grid = Grid(np.arange(CELLS + 1) * CELL, (Stretch(0, CELLS, None),))
    through = np.full(DRAWS, 1.0)
    follow_together(airs, [[(one, through)] for one in rooms], flows, grid)
    return airs, given


@pytest.mark.parametrize("rate", [0.0, 0.01, 0.2, None])
def test_agrees_with_integration_of_the_coupled_equations(rate: float | None) -> None:
    """V_i dC_i/dt written out for two rooms and a pit, by scipy, cell by cell."""
    rooms = [_room(0.9, 60.0, 0.08, 0.02), _room(0.9, 40.0, 0.05, 0.005), _pit()]
    flow = None if rate is None else np.full(DRAWS, rate)
    airs, given = _followed(rooms, [(0, 1, flow), (1, 2, np.full(DRAWS, 0.003))])
    for draw in range(DRAWS):
        a, b, c = (
            {k: getattr(z, k)[draw] for k in ("near_volume", "far_volume", "exchange", "airflow")} for z in rooms
        )
        q = 0.1 * min(a["near_volume"] + a["far_volume"], b["near_volume"] + b["far_volume"]) if rate is None else rate

        def rates(_: float, s: np.ndarray, g: np.ndarray, a=a, b=b, c=c, q=q) -> list[float]:  # type: ignore[no-untyped-def]
            na, nb, fa, fb, pit = s
            return [
                (g[0] + a["exchange"] * (fa - na)) / a["near_volume"],
                (g[1] + b["exchange"] * (fb - nb)) / b["near_volume"],
                (g[3] + a["exchange"] * (na - fa) + q * (fb - fa) - a["airflow"] * fa) / a["far_volume"],
                (g[4] + b["exchange"] * (nb - fb) + q * (fa - fb) + 0.003 * (pit - fb) - b["airflow"] * fb)
                / b["far_volume"],
                (g[2] + g[5] + 0.003 * (fb - pit) - c["airflow"] * pit) / c["near_volume"],
            ]

        state = np.zeros(5)
        for k in range(CELLS):
            solved = solve_ivp(
                rates, (0, CELL), state, args=(given[k, :, draw] / CELL,), rtol=1e-9, atol=1e-15, method="LSODA"
            )
            state = solved.y[:, -1]
            ours = [airs[0].near, airs[1].near, airs[0].far, airs[1].far, airs[2].far]
            assert np.allclose([one[k + 1, 0, draw] for one in ours], state, rtol=1e-6, atol=1e-14)
        assert np.allclose(airs[2].near, airs[2].far, rtol=1e-9), "a pit is one air"


def test_what_is_given_off_is_in_the_rooms_or_out_of_them() -> None:
    rooms = [_room(0.9, 60.0, 0.08, 0.02), _room(0.9, 40.0, 0.05, 0.0), _room(0.5, 30.0, 0.1, 0.01), _pit()]
    flows = [(0, 1, np.full(DRAWS, 0.2)), (1, 2, None), (2, 3, np.full(DRAWS, 0.01))]
    airs, given = _followed(rooms, flows)
    span, held, out = slice(0, CELLS), np.zeros(DRAWS), np.zeros(DRAWS)
    for air, z in zip(airs, rooms, strict=True):
        single = np.isinf(z.exchange).all()
        held += air.far[-1, 0] * z.far_volume + (0 if single else air.near[-1, 0] * z.near_volume)
        out += air.doses(FAR, 0, span)[:, 0].sum(axis=0) * z.airflow
    assert np.allclose(held + out, given.sum(axis=(0, 1)), rtol=1e-9)


def test_with_no_air_over_each_place_is_as_it_is_alone() -> None:
    rooms = [_room(0.9, 60.0, 0.08, 0.02), _pit()]
    airs, _ = _followed(rooms, [(0, 1, np.zeros(DRAWS))])
    for air, z in zip(airs, rooms, strict=True):
        alone = air.apart()
        alone.follow(z.cell(CELL), slice(0, CELLS))
        assert np.allclose(alone.near, air.near, rtol=1e-9)
        assert np.allclose(alone.far, air.far, rtol=1e-9)
        for zone in (NEAR, FAR):
            span = slice(0, CELLS)
            assert np.allclose(alone.doses(zone, 0, span), air.doses(zone, 0, span), rtol=1e-9)


def test_more_air_over_never_spares_those_behind_the_door_at_rest() -> None:
    """C next door = G / (Q + Q' + Q Q'/q) of a steady source: it rises with what goes over, up to one air of both."""
    found = []
    for q in (0.001, 0.01, 0.1, 1.0, None):
        rooms = [
            Zones(*(np.full(1, x) for x in (0.9, 60.0, 0.08, 0.02))),
            Zones(*(np.full(1, x) for x in (0.9, 40.0, 0.05, 0.005))),
        ]
        cell = Together.of(rooms, [(0, 1, None if q is None else np.full(1, q))]).cell(1e7, [np.ones(1), np.ones(1)])
        found.append(float(cell.after[3, 4, 0]) * 1e7)
        if q is not None:
            assert found[-1] == pytest.approx(1 / (0.02 + 0.005 + 0.02 * 0.005 / q), rel=1e-6)
    assert found == sorted(found)
