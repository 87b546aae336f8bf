"""The clock cut into cells: even within a stretch, fine while people work, coarser while the air clears."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety.exposure.result import Floats
from safety.model import Timeline

#: Longest cell while the job runs [s], and the cell at the beginning of every stretch, where the
#: air changes fastest. Against cells eight times as fine no average of the demo jobs moves by over
#: 0.5 % and no peak by over 7 %, a peak mostly upwards (tests/exposure/test_engine.py holds both).
FINEST, FIRST_CELL = 45.0, 7.5
FIRST_CELLS = 12

#: While the air clears: (until so long after the job [s], cell [s]).
CLEARING = ((3600.0, 60.0), (4 * 3600.0, 180.0), (24 * 3600.0, 600.0))


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of equal cells: nodes[first] to nodes[last]. ``step`` is None once the job is over."""

    first: int
    last: int
    step: int | None

    @property
    def cells(self) -> int:
        return self.last - self.first


@dataclass(frozen=True, slots=True)
class Grid:
    nodes: Floats  # s, (times,)
    stretches: tuple[Stretch, ...]

    def nodes_of(self, start: float, end: float) -> slice:
        """The nodes from ``start`` to ``end``, both included."""
        first = int(np.searchsorted(self.nodes, start - 1e-6))
        last = int(np.searchsorted(self.nodes, end + 1e-6))
        return slice(first, last)


def build(timeline: Timeline, shift: float, finest: float = FINEST) -> Grid:
    """Cut the job's clock, the rest of the shift and 24 h of clearing into cells."""
    edges: list[tuple[float, float, int | None, float]] = []
    for segment in timeline.segments:
        first = min(finest * FIRST_CELL / FINEST, (segment.end - segment.start) / FIRST_CELLS)
        early = segment.start + first * FIRST_CELLS
        edges.append((segment.start, early, segment.step, first))
        if segment.end > early + 1e-6:
            edges.append((early, segment.end, segment.step, finest))
    begin = timeline.end
    for until, cell in CLEARING:
        stop = timeline.end + until
        # a shift that ends inside a clearing stretch gets a node of its own
        for edge in sorted({stop, *([shift] if begin < shift < stop else [])}):
            edges.append((begin, edge, None, cell))
            begin = edge
    nodes = [np.array([0.0])]
    stretches, count = [], 0
    for start, end, step, cell in edges:
        cells = max(1, int(np.ceil((end - start) / cell - 1e-9)))
        nodes.append(np.linspace(start, end, cells + 1)[1:])
        stretches.append(Stretch(count, count + cells, step))
        count += cells
    return Grid(np.concatenate(nodes), tuple(stretches))
