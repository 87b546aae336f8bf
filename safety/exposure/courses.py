"""How the air of one place goes over the clock, draw by draw, at the times of the curves."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety.exposure.grid import SAME, Grid
from safety.exposure.result import COMPARED, Floats
from safety.model import Timeline

#: Draws whose whole course is kept for the curves' percentiles; every further draw still counts in the metrics.
CURVE_DRAWS = 2000
#: Most nodes of a curve while people work, between those at which something begins or ends; all are shown while the air
#: clears. Where a clock has more, each node of the curve stands for the highest since the one before: else a short rise
#: between two of them would be nowhere.
CURVE_NODES = 160


@dataclass(frozen=True, slots=True)
class Courses:
    """The highest of each zone since the time before, no higher than saturation [kg/m3]."""

    zones: tuple[Floats, ...]  # each (times, substances, draws kept)
    temperature: Floats  # K of the place, (draws kept,)
    stands_for: tuple[slice, ...]  # the nodes each time stands for

    @classmethod
    def empty(cls, zones: int, stands_for: Sequence[slice], substances: int, draws: int) -> Courses:
        kept = min(draws, CURVE_DRAWS)
        room = len(stands_for), substances, kept
        return cls(tuple(np.zeros(room, COMPARED) for _ in range(zones)), np.zeros(kept), tuple(stands_for))

    def take(self, span: slice, zones: Sequence[Floats], ceiling: Floats, temperature: Floats) -> None:
        """Take one chunk of draws; each zone (nodes, substances, draws of the chunk)."""
        kept, first = self._kept(span)
        self.temperature[kept] = temperature[first]
        for course, zone in zip(self.zones, zones, strict=True):
            for at, nodes in enumerate(self.stands_for):
                course[at, :, kept] = np.minimum(zone[nodes, :, first].max(axis=0), ceiling[:, first])

    def raise_to(self, other: Courses, part: slice) -> None:
        """Take of some draws whatever is higher in another's."""
        kept, first = self._kept(part)
        self.temperature[kept] = other.temperature[first]
        for own, its in zip(self.zones, other.zones, strict=True):
            np.maximum(own[..., kept], its[..., first], out=own[..., kept])

    def _kept(self, span: slice) -> tuple[slice, slice]:
        """Of the draws of a chunk those that are kept: where they go, and where they are in the chunk."""
        stop = max(min(span.stop, len(self.temperature)), span.start)
        return slice(span.start, stop), slice(0, stop - span.start)


def shown(grid: Grid, timeline: Timeline) -> Floats:
    """The times of the curves [s]: a few while people work, those at which something begins or ends, and all after."""
    over = grid.nodes_of(0.0, timeline.end).stop
    stride = -(-(over - grid.begin) // CURVE_NODES)
    edges = [at for s in grid.stretches for at in (s.first, s.last) if at >= grid.begin]
    return np.asarray(grid.nodes[np.unique([*range(grid.begin, over, stride), *edges, *range(over, len(grid.nodes))])])


def stretches(grid: Grid, times: Floats) -> list[slice]:
    """For each time of the curves the nodes since the one before it, up to the first that is not earlier."""
    first = [grid.begin, *(np.searchsorted(grid.nodes, times[:-1] + SAME))]
    last = np.minimum(np.searchsorted(grid.nodes, times - SAME), len(grid.nodes) - 1)
    return [slice(min(a, b), b + 1) for a, b in zip(map(int, first), map(int, last), strict=True)]
