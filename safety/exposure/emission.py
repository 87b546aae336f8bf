"""Which film gives off how much, when, and into which zone."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety.exposure.film import Film, SettingFilm
from safety.exposure.grid import SAME, Grid
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
    masses: Floats  # kg of each volatile part, (parts, draws)
    film: Film | SettingFilm | None
    near_age: Floats | None = None

    def window(self, grid: Grid) -> slice:
        """The nodes from the first wetting to when the last draw is dry or lifted."""
        dry = self.end + (0.0 if self.film is None else float(np.max(self.film.lasts)))
        first = int(np.searchsorted(grid.nodes, self.start + SAME)) - 1
        last = int(np.searchsorted(grid.nodes, min(dry, self.lifted) - SAME))
        return slice(max(first, 0), min(last, len(grid.nodes) - 1) + 1)


def given_off(laying: Laying, nodes: Floats) -> Floats:
    """What goes into the air in each cell [kg], (parts, cells, draws)."""
    times = np.minimum(nodes, laying.lifted)[:, None]
    duration = laying.end - laying.start
    if laying.film is None:
        return np.diff(np.clip((times - laying.start) / duration, 0.0, 1.0), axis=0) * laying.masses[:, None]
    if duration <= 0:
        cells = np.diff(laying.film.gone(times - laying.start), axis=1)
        cells *= laying.masses[:, None]
        return cells
    cells = np.diff(laying.film.integral(times - laying.start), axis=1)
    after = int(np.searchsorted(nodes, laying.end))
    cells[:, after:] -= np.diff(laying.film.integral(times[after:] - laying.end), axis=1)
    cells *= (laying.masses / duration)[:, None]
    return cells


def given_off_near(laying: Laying, nodes: Floats, cells: Floats, within_reach: Floats) -> Floats:
    """What of ``cells``, all that is given off, goes into the near field of hands that travel on.

    Exact while the liquid is being laid. ``within_reach`` (cells, draws) is the part of the wet
    surface that later work keeps near.
    """
    near = cells * within_reach
    laid = int(np.searchsorted(nodes[:-1], laying.end - SAME))  # cells while it is being laid
    near[:, :laid] = cells[:, :laid]
    if laying.film is not None and laying.near_age is not None:
        duration = laying.end - laying.start
        age = np.minimum(laying.near_age, duration)
        since_start = np.clip(nodes[: laid + 1] - laying.start, 0.0, duration)[:, None]
        # a patch counts until it is out of reach, at ``age``; the latest patches are younger than that
        out_of_reach = laying.film.gone(age[None]) * np.maximum(since_start - age, 0.0)
        close = laying.film.integral(np.minimum(since_start, age)) + out_of_reach
        close *= (laying.masses / duration)[:, None]
        np.minimum(near[:, :laid], np.diff(close, axis=1), out=near[:, :laid])
    return near
