"""Which film gives off how much, when, and into which zone."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from safety.exposure.film import Film
from safety.exposure.grid import Grid
from safety.exposure.result import Floats


@dataclass(frozen=True, slots=True)
class Laying:
    """Liquid laid down between two times, drying until it is lifted [s].

    ``start == end`` is laid down at once. Mist (no film) is in the air the moment it leaves the
    nozzle. ``near_age`` (draws,) is how long a patch stays within the near field of hands that
    travel on; None for work that stays in one spot.
    """

    start: float
    end: float
    lifted: float  # inf: never
    masses: Floats  # kg of each volatile part, (draws, parts)
    film: Film | None
    near_age: Floats | None = None

    def of(self, draws: slice) -> Laying:
        """The same for some of the draws."""
        return replace(
            self,
            masses=self.masses[draws],
            film=self.film and self.film.of(draws),
            near_age=None if self.near_age is None else self.near_age[draws],
        )

    def window(self, grid: Grid) -> slice:
        """The nodes from the first wetting to when the last draw is dry or lifted."""
        dry = self.end + (0.0 if self.film is None else float(self.film.shares.sum(axis=1).max()))
        first = int(np.searchsorted(grid.nodes, self.start + 1e-6)) - 1
        last = int(np.searchsorted(grid.nodes, min(dry, self.lifted) - 1e-6))
        return slice(max(first, 0), min(last, len(grid.nodes) - 1) + 1)


def evaporated(laying: Laying, nodes: Floats) -> tuple[Floats, Floats]:
    """Share of each part in the air at every node, and the share of that given off near the hands.

    Both (times, draws, parts) and cumulative. The near one is exact while the liquid is being
    laid; what happens later is for :func:`near_later`.
    """
    times = np.minimum(nodes, laying.lifted)[:, None]
    if laying.film is None:
        gone = np.clip((times - laying.start) / (laying.end - laying.start), 0.0, 1.0)
        whole = np.broadcast_to(gone[..., None], (len(times), *laying.masses.shape))
        return whole, whole
    since_start = times - laying.start
    if laying.end <= laying.start:
        gone, _ = laying.film.evaporated(since_start)
        return gone, gone
    duration = laying.end - laying.start
    _, begun = laying.film.evaporated(since_start)
    _, ended = laying.film.evaporated(times - laying.end)
    gone = (begun - ended) / duration
    if laying.near_age is None:
        return gone, gone
    age = np.minimum(laying.near_age, duration)[None, :]
    left_behind, gone_by_then = laying.film.evaporated(age)
    laid = np.clip(since_start, 0.0, duration)
    within = begun * (laid <= age)[..., None]
    beyond = (gone_by_then + left_behind * np.maximum(laid - age, 0.0)[..., None]) * (laid > age)[..., None]
    return gone, (within + beyond) / duration


def near_later(total: Floats, near: Floats, laying: Laying, nodes: Floats, share: Floats) -> Floats:
    """Near-field share in every cell, (cells, draws, parts): exact while laying, ``share`` of it after.

    ``share`` (cells, draws) is the part of the wet surface that later work keeps within reach.
    """
    after = (nodes[:-1] >= laying.end - 1e-6)[:, None, None]
    given_off = np.diff(total, axis=0)
    while_laying = np.minimum(np.diff(near, axis=0), given_off)
    return np.where(after, given_off * share[..., None], while_laying)
