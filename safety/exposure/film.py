"""How an ideal film of several liquids dries: closed form, no time steps.

With n_i moles of part i, a_i = k_i * P_i and d(theta) = A / (R T n_total) dt, each part falls
as n_i(theta) = n_i exp(-a_i theta), and time is t = (R T / A) sum n_i / a_i (1 - exp(-a_i theta)).
We use y = 1 - exp(-a theta) of the slowest part instead of theta: y runs from 0 (laid down) to
1 (dry), and time is then a concave function of y with a finite slope at the end, so Newton's
method from the left never oversteps.

Source of the mixture equation: Raoult's law with the flux k P / (R T) for each part; derived
in docs/formulas.md under film_drying_time, which gives the whole drying time.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from safety.exposure.result import Floats
from safety.formulas.basis import GAS_CONSTANT

_MOST_STEPS = 100
#: Where time is tabulated for a first guess: dense where a fast part leaves and where the film ends.
_HALVES = np.geomspace(1e-4, 0.5, 16)
_GUESSES = np.concatenate([[0.0], _HALVES, 1 - _HALVES[-2::-1], [1 - 1e-9]])


@dataclass(frozen=True, slots=True)
class Film:
    """A film laid down at once. ``moles`` and ``speeds`` (a_i = k_i P_i) are (draws, parts)."""

    moles: Floats
    speeds: Floats
    temperature: Floats  # K, of the wet surface, (draws,)
    area: Floats  # m2, (draws,)

    def of(self, draws: slice) -> Film:
        """The same for some of the draws."""
        return Film(self.moles[draws], self.speeds[draws], self.temperature[draws], self.area[draws])

    @property
    def shares(self) -> Floats:
        """Time each part would need alone [s], (draws, parts); they add up to the drying time."""
        return (GAS_CONSTANT * self.temperature / self.area)[:, None] * self.moles / self.speeds

    @property
    def ratios(self) -> Floats:
        """Speed of each part over the slowest part that is there, (draws, parts)."""
        slowest = np.where(self.moles > 0, self.speeds, np.inf).min(axis=1, keepdims=True)
        return self.speeds / np.where(np.isfinite(slowest), slowest, 1.0)

    def evaporated(self, ages: Floats) -> tuple[Floats, Floats]:
        """Share of each part gone at an age, and the integral of that share up to the age [s].

        ``ages`` (times, draws) or (times, 1) in s; ages below zero count as zero. Both results
        are (times, draws, parts). The integral is what a film laid down evenly over a time
        needs: share(t) = (integral(t) - integral(t - duration)) / duration.
        """
        shares, ratios = self.shares, self.ratios
        whole = shares.sum(axis=1)
        ages = np.maximum(np.broadcast_to(ages, (ages.shape[0], len(whole))), 0.0)
        log_left = _log_left(np.minimum(ages, whole), shares, ratios)
        left = np.exp(ratios * log_left[..., None])  # n_i / n_i0
        gone = 1.0 - left
        # integral of (1 - left_i) dt with dt = d(sum_j s_j (1 - left_j)):
        # t - sum_j s_j r_j / (r_i + r_j) * (1 - left_i left_j)
        integral = np.minimum(ages, whole)[..., None] - np.zeros_like(gone)
        for j in range(shares.shape[1]):
            factor = shares[:, j, None] * ratios[:, j, None] / (ratios + ratios[:, j, None])
            integral -= factor * (1.0 - left * left[..., j, None])
        integral += np.maximum(ages - whole, 0.0)[..., None]
        return gone, np.maximum(integral, 0.0)


def _log_left(ages: Floats, shares: Floats, ratios: Floats) -> Floats:
    """ln(1 - y) of the slowest part at each age, (times, draws); -inf once dry."""
    dry = ages >= shares.sum(axis=1) * (1 - 1e-15)
    out = np.where(dry, -np.inf, 0.0)
    wet = (ages > 0) & ~dry
    if wet.any():
        draw = np.nonzero(wet)[1]
        out[wet] = _solve(ages[wet], shares, ratios, draw)
    return out


def _solve(ages: Floats, shares: Floats, ratios: Floats, draw: NDArray[np.int64]) -> Floats:
    """ln(1 - y) at each age, (ages,), of the film of its ``draw``: a table for the first guess, then Newton."""
    # parts first and contiguous: NumPy adds up whole rows fast, short ones slowly
    shares, ratios = np.ascontiguousarray(shares.T), np.ascontiguousarray(ratios.T)
    whole = shares.sum(axis=0)
    table = (shares[..., None] * -np.expm1(ratios[..., None] * np.log1p(-_GUESSES))).sum(axis=0)
    table /= whole[:, None]  # (draws, guesses), rising from 0 to 1
    # one search for all draws: draw number d looks between d and d + 1/2
    keys = (np.arange(len(whole))[:, None] + table / 2).ravel()
    share = ages / whole[draw]
    found = np.searchsorted(keys, draw + share / 2, side="right") - draw * len(_GUESSES)
    above = np.clip(found, 1, len(_GUESSES) - 1)
    low, high = table[draw, above - 1], table[draw, above]
    part = np.clip((share - low) / (high - low), 0.0, 1.0)
    y = _GUESSES[above - 1] + part * (_GUESSES[above] - _GUESSES[above - 1])
    shares, ratios = shares.take(draw, axis=1), ratios.take(draw, axis=1)
    for _ in range(_MOST_STEPS):
        left = shares * np.exp(ratios * np.log1p(-y))
        step = (ages - (shares - left).sum(axis=0)) * (1.0 - y) / (ratios * left).sum(axis=0)
        y = np.clip(y + step, 0.0, 1.0 - 1e-16)
        # each step squares the error: after one this small there is nothing left to gain
        if not np.any(np.abs(step) > 1e-7 * (1.0 - y) + 1e-16):
            break
    return np.asarray(np.log1p(-y))
