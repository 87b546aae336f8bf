"""Two zones of air, solved exactly for emission that is constant within each cell.

V_N dC_N/dt = G_N + beta (C_F - C_N)
V_F dC_F/dt = G_F + beta (C_N - C_F) - Q C_F            (Nicas 1996, AIHA Journal 57:542-550)

The matrix has two real eigenvalues, so over a cell each draw's two concentrations are multiplied
by a 2x2 matrix and the emission by another; two more give the integrals over the cell. All cells
of a stretch are alike, so the matrices are made once for it. An enclosed place is one zone with
its own air only; outdoors the far field is clean.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from safety.exposure.result import Floats

NEAR, FAR = 0, 1


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

    def cell(self, duration: float, let_through: Floats | float = 1.0) -> Cell:
        """What a cell of ``duration`` s does to the air.

        ``let_through`` (draws,) is the share of what is given off that local exhaust does not take.
        """
        if np.all(np.isinf(self.exchange)):
            # near and far are halves of the same air: one mode, in which they are equal
            lam = -self.airflow / self.near_volume
            halves = np.full((1, 2, 2, len(lam)), 0.5)
            return cell_of(lam[None], halves, np.stack([2 * let_through / self.near_volume] * 2), duration)
        b_n = self.exchange / self.near_volume
        b_f = self.exchange / self.far_volume
        q = self.airflow / self.far_volume  # 0 outdoors, where the far field is clean anyway
        half, product = (b_n + b_f + q) / 2, b_n * q
        root = np.sqrt(np.maximum(half**2 - product, 0.0))
        fast = -half - root
        slow = -product / (half + root)  # the stable way to the small root
        # eigenvectors are (1, tilt); what a mode takes from each zone follows from their inverse
        tilt_s, tilt_f = 1.0 + slow / b_n, 1.0 + fast / b_n
        one = np.ones_like(b_n)
        modes = np.array([
            [[tilt_f, -one], [tilt_s * tilt_f, -tilt_s]],
            [[-tilt_s, one], [-tilt_s * tilt_f, tilt_f]],
        ]) / (tilt_f - tilt_s)  # fmt: skip
        per_volume = np.stack([let_through / self.near_volume, let_through / self.far_volume])
        return cell_of(np.stack([slow, fast]), modes, per_volume, duration)


@dataclass(frozen=True, slots=True)
class Cell:
    """What one cell does to the zones, of one place two: matrices (zone, twice as many, draws).

    They act on the concentrations at the cell's beginning [kg/m3] and the masses given off
    evenly within it into the zones [kg]. ``after`` gives the concentrations at its end,
    ``within`` their integrals over it [kg s/m3].
    """

    after: Floats
    within: Floats


def cell_of(eigen: Floats, modes: Floats, per_volume: Floats, duration: float) -> Cell:
    """``modes`` (mode, zone, zone, draws) project onto the eigenvectors; ``per_volume`` (zone, draws)."""

    def matrix(factor: Floats) -> Floats:
        return np.asarray((factor[:, None, None] * modes).sum(axis=0))

    x = eigen * duration
    phi1, phi2 = matrix(_phi1(x)), matrix(_phi2(x))
    return Cell(
        np.concatenate([matrix(np.exp(x)), phi1 * per_volume], axis=1),
        duration * np.concatenate([phi1, phi2 * per_volume], axis=1),
    )


def _phi1(x: Floats) -> Floats:
    """(e^x - 1) / x, also where x is 0."""
    safe = np.where(x == 0, 1.0, x)
    return np.where(x == 0, 1.0, np.expm1(safe) / safe)


def _phi2(x: Floats) -> Floats:
    """(e^x - 1 - x) / x^2, by its series where the difference would lose digits."""
    small = np.abs(x) < 1e-2
    safe = np.where(small, 1.0, x)
    series = (1 + x / 3 * (1 + x / 4 * (1 + x / 5 * (1 + x / 6 * (1 + x / 7))))) / 2
    return np.where(small, series, (np.expm1(safe) - safe) / safe**2)


@dataclass(frozen=True, slots=True)
class Air:
    """The air of one place and what it takes in, followed stretch by stretch.

    ``course`` (times, 4, substances, draws) holds for every node the near and far concentration
    [kg/m3] and what the cell after it takes in, near and far [kg]. Draws come last and the four
    lie together, so that a cell is one product of matrices that runs along memory. Places with open doors
    between them share one course: first the near fields of all of them, then the far ones, then what each takes in.
    """

    course: Floats
    cells: list[Cell]  # one for each stretch followed so far
    #: What a spray carries out of the near field, in the cell after each node: kg, and once the air has been followed
    #: what it would add to the near field at rest [kg/m3]. (times, substances, draws); None where nothing is sprayed.
    thrown: Floats | None = None
    number: int = 0  # of the place among those that share the course
    among: int = 1  # how many these are

    @classmethod
    def clean(cls, times: int, substances: int, draws: int, mist: bool = False) -> Air:
        return cls.shared(times, substances, draws, [mist])[0]

    @classmethod
    def shared(cls, times: int, substances: int, draws: int, mists: Sequence[bool]) -> list[Air]:
        """The airs of several places that share a course; ``mists`` says of each whether anything is sprayed in it."""
        course, cells, room = np.zeros((times, 4 * len(mists), substances, draws)), list[Cell](), (times, substances)
        thrown = [np.zeros((*room, draws)) if mist else None for mist in mists]
        return [cls(course, cells, one, number, len(mists)) for number, one in enumerate(thrown)]

    @property
    def draws(self) -> int:
        return int(self.course.shape[-1])

    @property
    def near(self) -> Floats:
        """(times, substances, draws) [kg/m3]."""
        return self.course[:, self._at(NEAR)]

    @property
    def thickest(self) -> Floats:
        """The near field where all that is sprayed hangs in it: for what one moment decides, as fire does."""
        if self.thrown is None:
            return self.near
        at_end = np.zeros_like(self.thrown)
        at_end[1:] = self.thrown[:-1]
        return np.asarray(self.near + at_end)

    @property
    def far(self) -> Floats:
        return self.course[:, self._at(FAR)]

    @property
    def masses(self) -> Floats:
        """What each zone takes in, (times, zone, substances, draws) [kg]; to be filled before the air is followed."""
        return self.course[:, 2 * self.among + self.number :: self.among]

    def _at(self, zone: int) -> int:
        return zone * self.among + self.number

    def follow(self, cell: Cell, span: slice) -> None:
        """Fill the nodes after those of ``span``, each a ``cell`` later, of all places that share the course."""
        self.cells.append(cell)
        for at in range(span.start, span.stop):
            np.einsum("zfd,fsd->zsd", cell.after, self.course[at], out=self.course[at + 1, : 2 * self.among])

    def settle(self, zones: Zones, duration: float, let_through: Floats, span: slice) -> None:
        """Turn what a spray carries out of the near field, in the cells of a stretch, into what it would add to it."""
        if self.thrown is not None:
            self.thrown[span] *= let_through / duration / zones.exchange

    def apart(self) -> Air:
        """The same place with what it takes in, its air not yet followed, and no other that shares its course."""
        times, substances, draws = self.near.shape
        alone = Air.clean(times, substances, draws, mist=self.thrown is not None)
        alone.masses[...] = self.masses
        if self.thrown is not None and alone.thrown is not None:
            alone.thrown[...] = self.thrown
        return alone

    def doses(self, zone: int, stretch: int, span: slice) -> Floats:
        """Integral of one zone's concentration over each cell of a stretch [kg s/m3], (cells, substances, draws)."""
        return np.asarray(np.einsum("fd,tfsd->tsd", self.cells[stretch].within[self._at(zone)], self.course[span]))
