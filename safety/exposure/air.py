"""Two zones of air, solved exactly for emission that is constant within each cell.

V_N dC_N/dt = G_N + beta (C_F - C_N)
V_F dC_F/dt = G_F + beta (C_N - C_F) - Q C_F            (Nicas 1996, AIHA Journal 57:542-550)

The matrix has two real eigenvalues, so each mode is a number that decays on its own; the
emission feeds the modes, and their integrals are exact too. An enclosed place is one zone with
its own air only; outdoors the far field is clean.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety.exposure.result import Floats


@dataclass(frozen=True, slots=True)
class Zones:
    """One place's air in one state, each (draws,).

    ``exchange`` beta [m3/s] between the zones, ``airflow`` Q [m3/s] out of the far zone.
    ``far_volume`` is inf outdoors. For a place that is one zone, ``exchange`` is inf and
    ``near_volume`` the whole volume.
    """

    near_volume: Floats
    far_volume: Floats
    exchange: Floats
    airflow: Floats

    def of(self, draws: slice) -> Zones:
        """The same for some of the draws."""
        return Zones(self.near_volume[draws], self.far_volume[draws], self.exchange[draws], self.airflow[draws])

    def modes(self, duration: float) -> Modes:
        """The two modes and what a cell of ``duration`` s does to them."""
        if np.all(np.isinf(self.exchange)):
            return _one_zone(self, duration)
        b_n = self.exchange / self.near_volume
        b_f = self.exchange / self.far_volume
        q = self.airflow / self.far_volume  # 0 outdoors, where the far field is clean anyway
        half, product = (b_n + b_f + q) / 2, b_n * q
        root = np.sqrt(np.maximum(half**2 - product, 0.0))
        fast = -half - root
        slow = -product / (half + root)  # the stable way to the small root
        # eigenvectors (1, 1 + eigenvalue / b_n)
        tilt = np.stack([1.0 + slow / b_n, 1.0 + fast / b_n])
        return _modes(np.stack([slow, fast]), tilt, 1 / self.near_volume, 1 / self.far_volume, duration)


def _one_zone(zones: Zones, duration: float) -> Modes:
    """Near and far are the same air: the second mode is empty."""
    lam = -zones.airflow / zones.near_volume
    eigen = np.stack([lam, np.full_like(lam, -1.0)])
    tilt = np.stack([np.ones_like(lam), np.zeros_like(lam)])
    inverse = 1 / zones.near_volume
    modes = _modes(eigen, tilt, inverse, inverse, duration)
    # whatever zone it is given off in, it feeds the one mode
    feed = np.zeros((2, 2, len(lam)))
    feed[0, 0] = feed[0, 1] = inverse
    back = np.zeros((2, 2, len(lam)))
    back[0, 0] = 1.0
    return Modes(modes.decay, modes.gain, modes.kept, modes.fed, tilt, feed, back)


@dataclass(frozen=True, slots=True)
class Modes:
    """Factors of one cell; first axis the mode.

    ``decay`` and ``gain`` move a mode over the cell (z' = decay z + gain g); ``kept`` and
    ``fed`` give its integral (kept z + fed g). ``tilt`` turns modes into zones, ``feed``
    (mode, zone) emission into modes, ``back`` (mode, zone) zones into modes.
    """

    decay: Floats  # (2, draws)
    gain: Floats
    kept: Floats
    fed: Floats
    tilt: Floats  # far over near of each mode, (2, draws)
    feed: Floats  # (2, 2, draws)
    back: Floats  # (2, 2, draws)

    def into(self, near: Floats, far: Floats) -> Floats:
        """Concentrations (draws, substances) to modes (2, draws, substances)."""
        return np.asarray(self.back[:, 0, :, None] * near + self.back[:, 1, :, None] * far)

    def zones(self, modes: Floats) -> tuple[Floats, Floats]:
        """Modes (2, ..., draws, substances) to near and far."""
        return modes[0] + modes[1], self.tilt[0][:, None] * modes[0] + self.tilt[1][:, None] * modes[1]


def _modes(eigen: Floats, tilt: Floats, near: Floats, far: Floats, duration: float) -> Modes:
    x = eigen * duration
    decay = np.exp(x)
    gain = duration * _phi1(x)
    fed = duration**2 * _phi2(x)
    gap = tilt[1] - tilt[0]
    back = np.stack([np.stack([tilt[1], -np.ones_like(gap)]), np.stack([-tilt[0], np.ones_like(gap)])]) / gap
    feed = back * np.stack([near, far])[None, :, :]
    return Modes(decay, gain, gain, fed, tilt, feed, back)


def _phi1(x: Floats) -> Floats:
    """(e^x - 1) / x, also where x is 0."""
    safe = np.where(x == 0, 1.0, x)
    return np.where(x == 0, 1.0, np.expm1(safe) / safe)


def _phi2(x: Floats) -> Floats:
    """(e^x - 1 - x) / x^2, by its series where the difference would lose digits."""
    small = np.abs(x) < 1e-2
    safe = np.where(small, 1.0, x)
    series = 1 / 2 + x / 6 + x**2 / 24 + x**3 / 120 + x**4 / 720 + x**5 / 5040
    return np.where(small, series, (np.expm1(safe) - safe) / safe**2)


@dataclass(slots=True)
class Air:
    """Concentrations at every node and their integrals up to it, (times, draws, substances)."""

    near: Floats
    far: Floats
    near_integral: Floats
    far_integral: Floats

    @classmethod
    def clean(cls, times: int, draws: int, substances: int) -> Air:
        shape = (times, draws, substances)
        return cls(*(np.zeros(shape) for _ in range(4)))

    def run(self, zones: Zones, first: int, near_mass: Floats, far_mass: Floats, duration: float) -> None:
        """Fill the nodes after ``first``: each cell lasts ``duration`` s and takes in the given kg.

        ``near_mass`` and ``far_mass`` are (cells, draws, substances), given off within each cell.
        """
        modes = zones.modes(duration)
        cells = len(near_mass)
        feed = modes.feed[:, :, None, :, None]
        fed = (feed[:, 0] * near_mass + feed[:, 1] * far_mass) / duration  # (2, cells, draws, substances)
        decay, gain, kept, fed_factor = (f[:, :, None] for f in (modes.decay, modes.gain, modes.kept, modes.fed))
        state = np.empty((2, cells + 1, *near_mass.shape[1:]))
        state[:, 0] = modes.into(self.near[first], self.far[first])
        for k in range(cells):
            state[:, k + 1] = decay * state[:, k] + gain * fed[:, k]
        within = kept[:, None] * state[:, :-1] + fed_factor[:, None] * fed
        span = slice(first + 1, first + cells + 1)
        self.near[span], self.far[span] = modes.zones(state[:, 1:])
        for total, part in zip((self.near_integral, self.far_integral), modes.zones(within), strict=True):
            total[span] = total[first] + np.cumsum(part, axis=0)
