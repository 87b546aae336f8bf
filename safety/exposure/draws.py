"""Stratified draws of the inputs nobody knows exactly. Same seed, same numbers, whatever else is drawn."""

from __future__ import annotations

from functools import lru_cache
from statistics import NormalDist
from zlib import crc32

import numpy as np
from numpy.typing import NDArray

from safety.exposure.result import Floats
from safety.model import Part, Range

#: A range is read as 5th and 95th percentile; this is the normal quantile of 95 %.
Z95 = NormalDist().inv_cdf(0.95)


@lru_cache(maxsize=8)
def _normal_strata(draws: int) -> Floats:
    return np.array([NormalDist().inv_cdf((i + 0.5) / draws) for i in range(draws)])


class Draws:
    """Named random inputs, each of shape (draws,), each stratified over its whole distribution.

    Every name has its own stream, so one more input never moves the others. Two ranges drawn
    under one name rise and fall together (the hot step of a hot day).
    """

    def __init__(self, count: int, seed: int):
        self.count, self.seed = count, seed
        self._part = slice(0, count)
        self._orders: dict[str, NDArray[np.int32]] = {}

    def of(self, part: slice) -> Draws:
        """The same inputs for some of the draws: each then has the shape (draws of the part,)."""
        some = Draws(self.count, self.seed)
        some._part, some._orders = part, self._orders
        return some

    def positive(self, name: str, given: Range) -> Floats:
        """Lognormal between the two percentiles; uniform from zero where the lower one is zero."""
        if given.exact:
            return np.full(self._part.stop - self._part.start, given.low)
        if given.low <= 0:
            return self._uniform(name) * given.high / 0.95
        middle = (np.log(given.low) + np.log(given.high)) / 2
        spread = (np.log(given.high) - np.log(given.low)) / 2 / Z95
        return np.asarray(np.exp(middle + spread * self._normal(name)))

    def normal(self, name: str, given: Range) -> Floats:
        """Normal between the two percentiles (temperatures)."""
        middle, spread = (given.low + given.high) / 2, (given.high - given.low) / 2 / Z95
        return middle + spread * self._normal(name)

    def share(self, name: str, given: Range) -> Floats:
        """Uniform with the two percentiles at 5 and 95 %, kept between 0 and 1."""
        width = (given.high - given.low) / 0.9
        low = given.low - 0.05 * width
        return np.asarray(np.clip(low + width * self._uniform(name), 0.0, 1.0))

    def between(self, name: str, low: float, high: float) -> Floats:
        """Uniform from ``low`` to ``high``, both ends hard."""
        return low + (high - low) * self._uniform(name)

    def weights(self, name: str, parts: tuple[Part, ...]) -> Floats:
        """Weight fractions of a product's parts, (parts, draws), inside the ranges the maker gives.

        Each part is drawn evenly over its own range; what then misses or exceeds the whole is
        taken from the room the ranges leave, so that no part leaves its range. Where even the
        upper ends do not reach the whole, the rest is undisclosed and the columns sum to less than 1.
        """
        low = np.array([p.low for p in parts])[:, None]
        high = np.array([p.high for p in parts])[:, None]
        drawn = np.stack([self.between(f"{name}/{i}/{p.written or p.cas}", p.low, p.high) for i, p in enumerate(parts)])
        excess = drawn.sum(axis=0) - 1.0
        room = np.where(excess > 0, drawn - low, high - drawn)
        whole = room.sum(axis=0)
        step = np.divide(np.minimum(np.abs(excess), whole), whole, out=np.zeros_like(whole), where=whole > 0)
        return np.asarray(drawn - np.sign(excess) * step * room)

    def _order(self, name: str) -> NDArray[np.int32]:
        if name not in self._orders:
            stream = np.random.Generator(np.random.PCG64([self.seed, crc32(name.encode())]))
            self._orders[name] = stream.permutation(self.count).astype(np.int32)
        return self._orders[name][self._part]

    def _uniform(self, name: str) -> Floats:
        return np.asarray((self._order(name) + 0.5) / self.count)

    def _normal(self, name: str) -> Floats:
        return _normal_strata(self.count)[self._order(name)]
