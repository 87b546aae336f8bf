"""The clock cut into cells: even within a stretch, fine while people work, coarser while the air clears."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from safety.exposure.result import Floats
from safety.model import Timeline

#: Longest cell while the job runs [s]. Each part of a step begins with shorter ones, EARLY of each length,
#: because the air changes fastest there. Against cells eight times as fine no 95th percentile of the four demo
#: jobs is over 0.6 % off for an average, over 10 % too high or 3 % too low for a peak. tests/exposure/test_engine.py
#: holds 0.5 % and 7 % for a job of its own.
FINEST = 60.0
DOUBLINGS, EARLY = 3, 3

#: While the air clears: (until so long after the job [s], cell [s]). After 15 min a cell is at most a seventh of the
#: time since the job: so late is the time the air is clear.
CLEARING = (
    (900.0, 60.0), (3600.0, 120.0), (2 * 3600.0, 240.0), (4 * 3600.0, 480.0), (8 * 3600.0, 960.0), (24 * 3600.0, 1920.0)
)  # fmt: skip
FOLLOWED = CLEARING[-1][0]

SAME = 1e-6  # s, times closer than this are one


@dataclass(frozen=True, slots=True)
class Stretch:
    """A run of equal cells: nodes[first] to nodes[last]. ``step`` is None before the job and once it is over."""

    first: int
    last: int
    step: int | None

    @property
    def cells(self) -> int:
        return self.last - self.first

    @property
    def span(self) -> slice:
        """Its cells, or the nodes they begin at."""
        return slice(self.first, self.last)


@dataclass(frozen=True, slots=True)
class Grid:
    nodes: Floats  # s, (times,); below 0 where a neighbour began earlier
    stretches: tuple[Stretch, ...]

    @property
    def begin(self) -> int:
        """The node at which the job itself begins."""
        return int(np.searchsorted(self.nodes, -SAME))

    def nodes_of(self, start: float, end: float) -> slice:
        """The nodes from ``start`` to ``end``, both included."""
        first = int(np.searchsorted(self.nodes, start - SAME))
        last = int(np.searchsorted(self.nodes, end + SAME))
        return slice(first, last)


@dataclass(frozen=True, slots=True)
class _Edge:
    """A time in which one thing goes on, and the longest cell it bears [s]. ``step`` is of the job itself."""

    start: float
    end: float
    step: int | None
    cell: float


def build(timeline: Timeline, shift: float, finest: float = FINEST, others: Sequence[Timeline] = ()) -> Grid:
    """Cut the job's clock, the rest of the shift and 24 h of clearing into cells.

    ``others`` are timelines of jobs nearby, on this job's clock. The cells begin with the first
    of them, and are as fine as any job needs, to the end of this job's own clearing.
    """
    edges = [*_working(timeline, finest), *_clearing(timeline, shift)]
    last = edges[-1].end
    if others:
        also = [[*_working(t, finest), *_clearing(t, 0.0)] for t in others]
        edges = [e for e in _merged(edges, also) if e.end <= last + SAME]
    nodes = [np.array([edges[0].start])]
    stretches, count = [], 0
    for edge in edges:
        cells = max(1, int(np.ceil((edge.end - edge.start) / edge.cell - 1e-9)))
        nodes.append(np.linspace(edge.start, edge.end, cells + 1)[1:])
        stretches.append(Stretch(count, count + cells, edge.step))
        count += cells
    return Grid(np.concatenate(nodes), tuple(stretches))


def _working(timeline: Timeline, finest: float) -> Iterator[_Edge]:
    shortest = finest / 2**DOUBLINGS
    early = [shortest * 2**i for i in range(DOUBLINGS)]
    for segment in timeline.segments:
        begin = segment.start
        shrunk = min(1.0, (segment.end - segment.start) / (EARLY * sum(early)))
        for cell in early:
            yield _Edge(begin, begin + EARLY * cell * shrunk, segment.step, cell * shrunk)
            begin += EARLY * cell * shrunk
        # and short ones at its end: the next part begins with what the air holds just then
        late = [(segment.end - behind * shortest, cell) for behind, cell in ((3, finest), (1, 2 * shortest))]
        for until, cell in (*late, (segment.end, shortest)):
            if until > begin + SAME:
                yield _Edge(begin, until, segment.step, cell)
                begin = until


def _clearing(timeline: Timeline, shift: float) -> Iterator[_Edge]:
    begin = timeline.end
    for until, cell in CLEARING:
        stop = timeline.end + until
        # a shift that ends inside a clearing stretch gets a node of its own
        for edge in sorted({stop, *([shift] if begin < shift < stop else [])}):
            yield _Edge(begin, edge, None, cell)
            begin = edge


def _merged(own: list[_Edge], others: list[list[_Edge]]) -> list[_Edge]:
    """Edges cut wherever one of any job begins or ends, each with the finest cell asked for in it."""
    every = [own, *others]
    cuts: list[float] = []
    for time in sorted({t for edges in every for e in edges for t in (e.start, e.end)} | {0.0}):
        if not cuts or time > cuts[-1] + SAME / 10:
            cuts.append(time)
    merged = []
    for start, end in pairwise(cuts):
        middle = (start + end) / 2
        here = [e for edges in every for e in edges if e.start < middle < e.end]
        step = next((e.step for e in own if e.start < middle < e.end), None)
        merged.append(_Edge(start, end, step, min((e.cell for e in here), default=CLEARING[-1][1])))
    return merged
