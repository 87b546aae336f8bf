"""How an ideal film of several liquids dries: closed form, no time steps.

With n_i moles of part i, a_i = k_i * P_i and d(theta) = A / (R T n_total) dt, each part falls
as n_i(theta) = n_i exp(-a_i theta), and time is t = (R T / A) sum n_i / a_i (1 - exp(-a_i theta)).
We use y = 1 - exp(-a theta) of the slowest part instead of theta: y runs from 0 (laid down) to
1 (dry), and time is then a concave function of y with a finite slope at the end.

Source of the mixture equation: Raoult's law with the flux k P / (R T) for each part; derived
in docs/formulas.md under film_drying_time, which gives the whole drying time.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from safety.exposure.result import Floats
from safety.formulas.basis import GAS_CONSTANT
from safety.formulas.evaporation import setting_film_given_off

_MOST_STEPS = 100
#: Where time is tabulated for a first guess: dense where a fast part leaves and where the film ends.
_HALVES = np.geomspace(1e-4, 0.5, 16)
_GUESSES = np.concatenate([[0.0], _HALVES, 1 - _HALVES[-2::-1], [1 - 1e-9]])


@dataclass(frozen=True, slots=True)
class Film:
    """A film laid down at once. ``moles`` and ``speeds`` (a_i = k_i P_i) are (parts, draws)."""

    moles: Floats
    speeds: Floats
    temperature: Floats  # K, of the wet surface, (draws,)
    area: Floats  # m2, (draws,)
    transfer: Floats  # m/s, (parts, draws)

    def slowed(self, factor: Floats) -> Film:
        """The same film with each part's speed times ``factor`` (parts, draws)."""
        return replace(self, speeds=self.speeds * factor)

    @property
    def first(self) -> Floats:
        """Time in which each part would leave at the rate it begins with [s], (parts, draws)."""
        return np.asarray(GAS_CONSTANT * self.temperature / self.area * self.moles.sum(axis=0) / self.speeds)

    @property
    def shares(self) -> Floats:
        """Time each part would need alone [s], (parts, draws); they add up to the drying time."""
        return GAS_CONSTANT * self.temperature / self.area * self.moles / self.speeds

    @property
    def lasts(self) -> Floats:
        """When nothing is left [s], (draws,)."""
        return np.asarray(self.shares.sum(axis=0))

    @property
    def ratios(self) -> Floats:
        """Speed of each part over the slowest part that is there, (parts, draws)."""
        slowest = np.where(self.moles > 0, self.speeds, np.inf).min(axis=0)
        return self.speeds / np.where(np.isfinite(slowest), slowest, 1.0)

    def gone(self, ages: Floats) -> Floats:
        """Share of each part that has left at an age, (parts, times, draws).

        ``ages`` (times, draws) or (times, 1) in s; ages below zero count as zero.
        """
        shares, ratios = self.shares, self.ratios
        ages = np.broadcast_to(ages, (len(ages), len(self.area)))
        out = np.where(ages > 0, np.ones((len(shares), 1, 1)), 0.0)
        wet = _wet(ages, shares)
        for part, share in zip(out, _left(ages, shares, ratios, wet)[1], strict=True):
            part.ravel()[wet] = share
        return out

    def integral(self, ages: Floats) -> Floats:
        """Integral of :meth:`gone` up to an age [s], (parts, times, draws).

        What a film needs that is laid down evenly over a time:
        share(t) = (integral(t) - integral(t - time)) / time.
        """
        shares, ratios = self.shares, self.ratios
        ages = np.maximum(np.broadcast_to(ages, (len(ages), len(self.area))), 0.0)
        wet = _wet(ages, shares)
        draw, gone = _left(ages, shares, ratios, wet)
        # integral of g_i dt with dt = d(sum_j s_j g_j), g = 1 - left:
        # t - sum_j s_j r_j / (r_i + r_j) * (1 - left_i left_j), and 1 - left_i left_j = g_i + left_i g_j
        weighted = shares * ratios
        spent = weighted.take(draw, axis=1) * gone
        out = np.empty((len(shares), *ages.shape))
        for i, ratio in enumerate(ratios):
            whole = (weighted / (ratio + ratios)).sum(axis=0)
            np.maximum(ages - whole, 0.0, out=out[i])  # once dry
            others = np.zeros(len(wet))
            for j, other in enumerate(ratios):
                others += (1.0 / (ratio + other)).take(draw) * spent[j]
            so_far = ages.ravel()[wet] - gone[i] * whole.take(draw) - (1.0 - gone[i]) * others
            out[i].ravel()[wet] = np.maximum(so_far, 0.0)
        return out


@dataclass(frozen=True, slots=True)
class SettingFilm:
    """A film of paint, lacquer or adhesive: between one that dries as a liquid does and one whose resin holds it.

    In the second the resin takes up the room of what leaves, so that each part goes as exp(-t / first) (Zhu, Zhang &
    Shaw 1999), but for a share that is ``held`` and leaves with a time of its own. ``setting`` (draws,) says how far it
    is the second.
    """

    liquid: Film
    setting: Floats  # 0 to 1, (draws,)
    held: Floats  # share, (draws,)
    held_for: Floats  # s, (draws,)

    @property
    def lasts(self) -> Floats:
        """When nothing is left [s]: never."""
        return np.full(len(self.setting), np.inf)

    def gone(self, ages: Floats) -> Floats:
        """As of a :class:`Film`."""
        ages, film = np.maximum(ages, 0.0), self.liquid
        whole = _over(film.moles.sum(axis=0))  # of nothing any share may leave
        ones = np.ones(len(whole))
        free = setting_film_given_off(film.speeds[:, None], ones, whole, film.area, film.temperature, ages)
        return self._between(film.gone(ages), np.asarray(free), -np.expm1(-ages / self.held_for))

    def integral(self, ages: Floats) -> Floats:
        """As of a :class:`Film`."""
        ages = np.maximum(ages, 0.0)
        first, held_for = self.liquid.first[:, None], self.held_for
        free = ages + first * np.expm1(-ages / _over(first))
        held = ages + held_for * np.expm1(-ages / held_for)
        return self._between(self.liquid.integral(ages), free, held)

    def _between(self, liquid: Floats, free: Floats, held: Floats) -> Floats:
        setting = free + self.held * (held - free)
        return np.asarray(liquid + self.setting * (setting - liquid))


def _wet(ages: Floats, shares: Floats) -> NDArray[np.int64]:
    """Where a film has been laid and is not yet dry, as positions in the flattened ages."""
    return np.flatnonzero((ages > 0) & (ages < shares.sum(axis=0) * (1 - 1e-15)))


def _left(ages: Floats, shares: Floats, ratios: Floats, wet: NDArray[np.int64]) -> tuple[NDArray[np.int64], Floats]:
    """The draw of each wet position, and the share of each part gone there, (parts, positions)."""
    draw = wet % ages.shape[1]
    ages = ages.ravel()[wet]
    y = _guess(ages, shares, ratios, draw)
    shares, ratios = shares.take(draw, axis=1), ratios.take(draw, axis=1)
    far = np.flatnonzero(_halley(y, ages, shares, ratios))
    for _ in range(_MOST_STEPS):
        if not len(far):
            break
        better = y[far]
        again = _halley(better, ages[far], shares[:, far], ratios[:, far])
        y[far] = better
        far = far[again]
    return draw, _gone(y, ratios)


def _gone(y: Floats, ratios: Floats) -> Floats:
    """1 - (1 - y)^r of each part, (parts, positions)."""
    gone = np.log1p(-y) * ratios
    np.expm1(gone, out=gone)
    return np.negative(gone, out=gone)


def _halley(y: Floats, ages: Floats, shares: Floats, ratios: Floats) -> NDArray[np.bool_]:
    """Bring y nearer to the age by one step of Halley's method, in place; True where another step is needed."""
    gone = _gone(y, ratios)
    gone *= shares
    missing = ages - gone.sum(axis=0)
    # the first and second derivative of time by y, times (1 - y) and (1 - y)^2
    left = np.subtract(shares, gone, out=gone)
    left *= ratios
    slope = left.sum(axis=0)
    left *= ratios
    bend = 1.0 - left.sum(axis=0) / slope
    step = missing / slope
    step /= np.maximum(1.0 + 0.5 * step * bend, 0.5)
    y += step * (1.0 - y)
    np.clip(y, 0.0, 1.0 - 1e-16, out=y)
    # each step cubes the error; what is left of it is below step^3 times this bound on the third derivative
    third = bend * ratios.max(axis=0)
    return np.asarray(np.abs(step * step * step * third) > 1e-12 * y)


def _over(values: Floats) -> Floats:
    """What may be divided by, where nothing is divided by nothing."""
    return np.where(values > 0, values, 1.0)


def _guess(ages: Floats, shares: Floats, ratios: Floats, draw: NDArray[np.int64]) -> Floats:
    """y at each age, from a table of time for each draw: cubic between its points, which are exact in slope too."""
    log_left = np.log1p(-_GUESSES)
    left = shares[..., None] * np.exp(ratios[..., None] * log_left)
    whole = shares.sum(axis=0)[:, None]
    # time as a share of the whole: (draws, guesses), rising from 0 to 1; where nothing was laid nobody asks for it
    table = 1.0 - left.sum(axis=0) / _over(whole)
    slopes = (1.0 - _GUESSES) * whole / _over((ratios[..., None] * left).sum(axis=0))  # of y by that time
    # one search for all draws: draw number d looks between d and d + 1/2
    keys = (np.arange(len(table))[:, None] + table / 2).ravel()
    share = ages / whole[draw, 0]
    first = draw * len(_GUESSES)
    low = np.clip(np.searchsorted(keys, draw + share / 2, side="right") - 1 - first, 0, len(_GUESSES) - 2)
    at = first + low
    begin = table.take(at)
    width = table.take(at + 1) - begin
    part = np.clip((share - begin) / width, 0.0, 1.0)
    y, rise = _GUESSES[low], np.diff(_GUESSES)[low]
    early, late = slopes.take(at) * width - rise, rise - slopes.take(at + 1) * width
    cubic = part * (rise + (1.0 - part) * (early * (1.0 - part) + late * part))
    return np.asarray(y + np.clip(cubic, 0.0, rise))
