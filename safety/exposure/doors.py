"""Air that goes over through open doors: the zones of several places, solved as one system.

V_i dC_i/dt = G_i + sum_j q_ij (C_j - C_i) - Q_i C_i, with q the exchange between two zones, each way the same. Such a
system has real eigenvalues, none above zero: it is symmetric in sqrt(V_i) C_i. So a cell is solved exactly, as in
air.py, whatever the number of places.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety.exposure.air import Air, Cell, Zones, cell_of
from safety.exposure.grid import Grid
from safety.exposure.result import Floats

#: Within which air goes over as much as the smaller place holds, where nobody can say how much does [s]: both then are
#: one air, and no more can go over than that.
ONE_AIR = 10.0
#: Of one place that is a single zone, what counts in each of its two names.
HALF = 0.5


#: Between which two of the places, and how much air goes over each way [m3/s], (draws,); None where nobody can say.
Flow = tuple[int, int, Floats | None]


@dataclass(frozen=True, slots=True)
class Together:
    """The modes of several places' air: near fields first, then far ones, as in a course they share."""

    eigen: Floats  # 1/s, (modes, draws)
    modes: Floats  # (modes, zones, zones, draws)
    per_volume: Floats  # 1/m3, (zones, draws)

    @classmethod
    def of(cls, zones: Sequence[Zones], flows: Sequence[Flow]) -> Together:
        single = [bool(np.all(np.isinf(one.exchange))) for one in zones]
        own = [(one.near_volume,) if alone else (one.near_volume, one.far_volume)
               for one, alone in zip(zones, single, strict=True)]  # fmt: skip
        first = np.cumsum([0, *(len(one) for one in own)])
        near = [int(at) for at in first[:-1]]
        far = [at if alone else at + 1 for at, alone in zip(near, single, strict=True)]
        volumes = np.stack([volume for one in own for volume in one])
        loss = np.zeros((len(volumes), len(volumes), volumes.shape[1]))
        links = [(n, f, one.exchange) for n, f, one in zip(near, far, zones, strict=True) if n != f]
        whole = [np.sum(one, axis=0) for one in own]
        for i, j, flow in flows:
            links.append((far[i], far[j], np.minimum(whole[i], whole[j]) / ONE_AIR if flow is None else flow))
        for a, b, flow in links:
            loss[a, a] += flow
            loss[b, b] += flow
            loss[a, b] -= flow
            loss[b, a] -= flow
        for f, one in zip(far, zones, strict=True):
            loss[f, f] += one.airflow
        root = np.sqrt(volumes)
        rates, vectors = np.linalg.eigh(np.moveaxis(loss / root / root[:, None], -1, 0))
        left, right = vectors.transpose(1, 2, 0) / root[:, None], vectors.transpose(1, 2, 0) * root[:, None]
        modes = np.einsum("imd,jmd->mijd", left, right)
        at = np.array([*near, *far])
        share = np.where([*single, *single], HALF, 1.0)[:, None]
        return cls(-np.maximum(rates.T, 0.0), modes[:, at][:, :, at] * share, 1.0 / (share * volumes[at]))

    def cell(self, duration: float, let_through: Sequence[Floats]) -> Cell:
        """As of the zones of one place; ``let_through`` of each place."""
        return cell_of(self.eigen, self.modes, np.stack([*let_through, *let_through]) * self.per_volume, duration)


def follow_together(
    airs: Sequence[Air], states: Sequence[Sequence[tuple[Zones, Floats]]], flows: Sequence[Flow], grid: Grid
) -> None:
    """Follow airs that share a course; ``states``: of each, in each stretch, zones and what exhaust lets through."""
    known: dict[tuple[int, ...], Together] = {}
    for stretch, now in zip(grid.stretches, zip(*states, strict=True), strict=True):
        zones, let_through = zip(*now, strict=True)
        key = tuple(map(id, zones))
        if key not in known:
            known[key] = Together.of(zones, flows)
        duration = (grid.nodes[stretch.last] - grid.nodes[stretch.first]) / stretch.cells
        airs[0].follow(known[key].cell(duration, let_through), stretch.span)
        for air, one, share in zip(airs, zones, let_through, strict=True):
            air.settle(one, duration, share, stretch.span)


@dataclass(frozen=True, slots=True)
class Either:
    """Of two airs of one place the worse at every time: with its doors as they stand, and as if nothing left by them.

    What air changes are measured in a place with an open door hold the air that goes over already. So the door takes
    nothing away here; what comes back through it, and what comes from next door, counts.
    """

    one: Air
    other: Air

    @property
    def draws(self) -> int:
        return self.one.draws

    @property
    def near(self) -> Floats:
        return np.maximum(self.one.near, self.other.near)

    @property
    def thickest(self) -> Floats:
        return np.maximum(self.one.thickest, self.other.thickest)

    @property
    def far(self) -> Floats:
        return np.maximum(self.one.far, self.other.far)

    def doses(self, zone: int, stretch: int, span: slice) -> Floats:
        return np.maximum(self.one.doses(zone, stretch, span), self.other.doses(zone, stretch, span))
