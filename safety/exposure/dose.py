"""What somebody has breathed, and the worst of it over windows of time."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from safety.exposure.result import Floats
from safety.model import EIGHT_HOURS

SHORT_TERM = 900.0  # s, the averaging time of a short-term limit
WINDOW_SPACING = 60.0  # s, between the windows tried for one step
#: Windows looked at together: so few that they stay in the processor's cache.
_TOGETHER = 16


@dataclass(frozen=True, slots=True)
class Dose:
    """All that was breathed up to each node [kg s/m3], (nodes, substances, draws); it never falls.

    Before the first node and after the last nothing is breathed.
    """

    nodes: Floats  # s, (nodes,)
    total: Floats

    @classmethod
    def summed(cls, nodes: Floats, taken: Floats) -> Dose:
        """From ``taken`` (nodes, substances, draws), what each cell adds, at its end; the array is used up."""
        for before, after in pairwise(taken):
            after += before
        return cls(nodes, taken)

    def up_to(self, times: Floats) -> Floats:
        """What was breathed up to each of some times, (times, substances, draws): even within a cell."""
        times = np.clip(times, self.nodes[0], self.nodes[-1])
        at = np.clip(np.searchsorted(self.nodes, times, side="right") - 1, 0, len(self.nodes) - 2)
        weight = (times - self.nodes[at]) / (self.nodes[at + 1] - self.nodes[at])
        before = self.total[at]
        taken = self.total[at + 1]
        taken -= before
        taken *= weight[:, None, None]
        taken += before
        return taken

    def average(self, start: float, end: float) -> Floats:
        """Mean concentration from ``start`` to ``end`` [kg/m3], (substances, draws)."""
        first, last = self.up_to(np.array([start, end]))
        return np.asarray((last - first) / (end - start))

    def worst_15min(self) -> Floats:
        """Highest average over 15 min around any node [kg/m3], (substances, draws)."""
        return self._worst(self.nodes - SHORT_TERM / 2, SHORT_TERM)

    def worst_shift(self) -> Floats:
        """Highest sum over 8 h that begin at a node, divided by 8 h [kg/m3], (substances, draws).

        Once a window reaches the end, a later one only leaves out more of the beginning.
        """
        reaches_end = int(np.searchsorted(self.nodes, self.nodes[-1] - EIGHT_HOURS))
        return self._worst(self.nodes[: reaches_end + 1], EIGHT_HOURS)

    def _worst(self, starts: Floats, length: float) -> Floats:
        worst = np.zeros(self.total.shape[1:])
        for some in _few(len(starts)):
            taken = self.up_to(starts[some] + length)
            taken -= self.up_to(starts[some])
            np.maximum(worst, taken.max(axis=0), out=worst)
        return worst / length

    def worst_15min_of_step(
        self, spans: list[tuple[float, float]], step: int, uncounted: Collection[int] = ()
    ) -> Floats:
        """Highest 15-minute average that one of the steps (``spans``) answers for [kg/m3], (substances, draws).

        A window that touches the step counts what other steps add at most at this step's own
        level in it. So a quiet step is not blamed for the loud one beside it; and whoever
        protects every step whose figure is over a limit brings every window under that limit:
        of the steps left, the loudest would else have had a figure over it itself. Of a span in
        ``uncounted`` nobody knows all that is breathed, so it counts at that level.
        """
        start, end = spans[step]
        middles = _windows(spans, start, end)
        lows, highs = np.maximum(middles - SHORT_TERM / 2, 0.0), middles + SHORT_TERM / 2
        firsts, lasts = (self.up_to(edge) for edge in np.array(spans).T)
        worst = np.zeros(self.total.shape[1:])
        for some in _few(len(middles)):
            windows = self.up_to(lows[some]), self.up_to(highs[some])
            times = lows[some], highs[some]
            total = _within(windows, (firsts[step], lasts[step]))
            level = total / _within(times, spans[step])[:, None, None]
            for other in range(len(spans)):
                time = _within(times, spans[other])
                if other != step and time.any():
                    allowed = level * time[:, None, None]
                    if other not in uncounted:
                        np.minimum(_within(windows, (firsts[other], lasts[other])), allowed, out=allowed)
                    total += allowed
            np.maximum(worst, total.max(axis=0), out=worst)
        return worst / SHORT_TERM


def _within(window: tuple[Floats, Floats], span: tuple[Floats, Floats] | tuple[float, float]) -> Floats:
    """What of each window, (begin, end), lies in a span: of time, or of a dose, which never falls either."""
    begin, end = (np.minimum(np.maximum(edge, span[0]), span[1]) for edge in window)
    end -= begin
    return np.asarray(end)


def _windows(spans: list[tuple[float, float]], start: float, end: float) -> Floats:
    """Middles of the 15-minute windows to try for a step: evenly, and those that begin or end with any step."""
    half = SHORT_TERM / 2
    count = max(2, round((end - start + SHORT_TERM) / WINDOW_SPACING))
    # the highest window mostly begins or ends with a step
    aligned = [t for first, last in spans for t in (first + half, last - half)]
    evenly = np.linspace(start - half, end + half, count + 2)[1:-1]
    return np.sort([*evenly, *(t for t in aligned if start - half < t < end + half)])


def _few(count: int) -> Iterator[slice]:
    for first in range(0, count, _TOGETHER):
        yield slice(first, first + _TOGETHER)
