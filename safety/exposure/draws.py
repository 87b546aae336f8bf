"""Even draws of the inputs nobody knows exactly. Same seed, same numbers, whatever else is drawn."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from math import sqrt
from statistics import NormalDist
from typing import Literal, NamedTuple, get_args

import numpy as np
from numpy.typing import NDArray

from safety.exposure.result import Floats
from safety.model import Part, Range

#: A range is read as 5th and 95th percentile; this is the normal quantile of 95 %.
Z95 = NormalDist().inv_cdf(0.95)

#: What an input is to the air.
Role = Literal[
    "correlation", "near radius", "air speed", "air changes", "temperature", "capture", "heat", "mass", "weight",
    "kept", "distillation", "slice pressure", "face velocity", "near share", "stance", "stirring", "spray share",
    "agitation", "setting", "held", "held for", "model error",
    "door flow", "door open", "door difference", "door discharge",
]  # fmt: skip
_ROLES: tuple[Role, ...] = get_args(Role)


class Stream(NamedTuple):
    """Which input is meant: its role, and its number in the order of the work.

    Never a name: what somebody calls a step, a product or a place must not move a figure.
    """

    role: Role
    number: tuple[int, ...] = ()


def _leading() -> Iterator[Stream]:
    """The inputs that move the air most in most jobs."""
    yield Stream("correlation")
    yield Stream("near radius", (0,))
    for state in range(2):
        yield Stream("air speed", (0, state))
        yield Stream("air changes", (0, state))
    yield Stream("temperature", (0,))
    for thing in range(4):
        yield Stream("heat", (0, thing))
        yield Stream("mass", (0, thing))
    yield Stream("capture", (0, 0))
    for part in range(2):
        yield Stream("weight", (0, 0, part))
    yield Stream("model error")


#: Primes whose square roots keep apart: no sum or difference of two of them, each up to three times, comes near a whole
#: number, so that no two inputs march in step (tested).
PRIMES = (2, 3, 5, 11, 13, 17, 19, 23, 31, 37, 43, 97, 193, 307, 433, 709, 821, 1291, 1601)
_ROTATION = {stream: sqrt(prime) % 1.0 for stream, prime in zip(_leading(), PRIMES, strict=True)}


@lru_cache(maxsize=8)
def _normal_strata(draws: int) -> Floats:
    return np.array([NormalDist().inv_cdf((i + 0.5) / draws) for i in range(draws)])


class Draws:
    """Random inputs, each of shape (draws,), each stratified over its whole distribution.

    Every input has its own stream, so one more never moves the others. Two ranges drawn from one
    stream rise and fall together (the hot step of a hot day).

    The leading inputs fill the space they span evenly (Richtmyer's rotations by square roots of primes, each from a
    random beginning), so that a percentile scatters about half as much as with independent draws.
    """

    def __init__(self, count: int, seed: int):
        self.count, self.seed = count, seed
        self._part = slice(0, count)
        self._orders: dict[Stream, NDArray[np.int32]] = {}

    def of(self, part: slice) -> Draws:
        """The same inputs for some of the draws: each then has the shape (draws of the part,)."""
        some = Draws(self.count, self.seed)
        some._part, some._orders = part, self._orders
        return some

    def positive(self, stream: Stream, given: Range) -> Floats:
        """Lognormal between the two percentiles; uniform from zero where the lower one is zero."""
        if given.exact:
            return np.full(self._part.stop - self._part.start, given.low)
        if given.low <= 0:
            return self._uniform(stream) * given.high / 0.95
        middle = (np.log(given.low) + np.log(given.high)) / 2
        spread = (np.log(given.high) - np.log(given.low)) / 2 / Z95
        return np.asarray(np.exp(middle + spread * self._normal(stream)))

    def normal(self, stream: Stream, given: Range) -> Floats:
        """Normal between the two percentiles (temperatures)."""
        middle, spread = (given.low + given.high) / 2, (given.high - given.low) / 2 / Z95
        return middle + spread * self._normal(stream)

    def deviate(self, stream: Stream) -> Floats:
        """Standard normal."""
        return self._normal(stream)

    def share(self, stream: Stream, given: Range) -> Floats:
        """Uniform with the two percentiles at 5 and 95 %, kept between 0 and 1."""
        width = (given.high - given.low) / 0.9
        low = given.low - 0.05 * width
        return np.asarray(np.clip(low + width * self._uniform(stream), 0.0, 1.0))

    def between(self, stream: Stream, low: float, high: float) -> Floats:
        """Uniform from ``low`` to ``high``, both ends hard."""
        return low + (high - low) * self._uniform(stream)

    def weights(self, product: tuple[int, ...], parts: tuple[Part, ...]) -> Floats:
        """Weight fractions of the parts of the product of a number, (parts, draws), inside the ranges the maker gives.

        Each part is drawn evenly over its own range, with one draw in twenty at each end. What then misses or exceeds
        the whole is made up by the part of which least is known, as far as its range goes, then by the next: a part
        that may be anything takes nothing from the others. Where even the upper ends do not reach the whole, the rest
        is undisclosed and the columns sum to less than 1.
        """
        low = np.array([p.low for p in parts])[:, None]
        high = np.array([p.high for p in parts])[:, None]
        drawn = np.stack(
            [self.share(Stream("weight", (*product, i)), Range(p.low, p.high)) for i, p in enumerate(parts)]
        )
        drawn = np.clip(drawn, low, high)
        widths = np.round(high - low, 9)[:, 0]
        for width in sorted(set(widths.tolist()), reverse=True):
            some = np.flatnonzero(widths == width)
            excess = drawn.sum(axis=0) - 1.0
            room = np.where(excess > 0, drawn[some] - low[some], high[some] - drawn[some])
            whole = room.sum(axis=0)
            step = np.divide(np.minimum(np.abs(excess), whole), whole, out=np.zeros_like(whole), where=whole > 0)
            drawn[some] -= np.sign(excess) * step * room
        return drawn

    def _order(self, stream: Stream) -> NDArray[np.int32]:
        if stream not in self._orders:
            chance = np.random.Generator(np.random.PCG64([self.seed, _ROLES.index(stream.role), *stream.number]))
            if stream in _ROTATION:
                order = np.empty(self.count, np.int32)
                turned = (chance.random() + np.arange(self.count) * _ROTATION[stream]) % 1.0
                order[np.argsort(turned, kind="stable")] = np.arange(self.count)
            else:
                order = chance.permutation(self.count).astype(np.int32)
            self._orders[stream] = order
        return self._orders[stream][self._part]

    def _uniform(self, stream: Stream) -> Floats:
        return np.asarray((self._order(stream) + 0.5) / self.count)

    def _normal(self, stream: Stream) -> Floats:
        return _normal_strata(self.count)[self._order(stream)]
