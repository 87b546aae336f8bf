"""How much solvent is in waste from jobs, and what became of it: only as much as is known, at the careful end.

A container is collected as a whole or in part. What is known of a part is what cannot be in the rest: of 100 kg with
80 kg of solvent, 60 kg hold at least 40 kg. What dried off in an open bin is told in the same way, by what was
collected being less than what went in.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from sqlalchemy import ColumnElement, Connection, RowMapping, select

from safety.ledger.amounts import kilograms
from safety.ledger.tables import OF_WASTE, entry, standing
from safety.model import InWaste, Period


class _Line(NamedTuple):
    """What lines alike in these say; the part of the container that is known to be solvent belongs to it."""

    product: str
    edition: int | None
    basis: str


@dataclass
class _Held:
    """What is in a container, in micrograms."""

    mass: int = 0  # of all lines, those from stock and of mixed waste as well
    weighed: bool = True  # whether each of them has a mass
    jobs: dict[_Line, int] = field(default_factory=lambda: defaultdict(int))  # mass of waste from jobs
    solvent: dict[_Line, float] = field(default_factory=lambda: defaultdict(float))  # at least

    def put(self, row: RowMapping) -> None:
        if row["mass_ug"] is None:
            self.weighed = False
        else:
            self.mass += row["mass_ug"]
        if row["way"] == "from job":
            line = _Line(row["product"], row["edition"], row["solvent_basis"])
            self.jobs[line] += row["mass_ug"] or 0
            self.solvent[line] += row["solvent_low_ug"] or 0

    def take(self, mass: int | None, stays: bool) -> Iterator[tuple[_Line, float, float]]:
        """Yield what is known to be in a collection: mass and solvent of its lines. Else nothing is left."""
        known = sum(self.solvent.values())
        gone = 0.0
        if mass is not None and self.weighed:
            gone = min(known, max(0.0, mass - (self.mass - known)))
        of_solvent = gone / known if known else 0.0
        of_mass = min(1.0, (mass or 0) / self.mass) if stays and self.mass else float(not stays)
        for line, own in self.jobs.items():
            yield line, own * of_mass, self.solvent[line] * of_solvent
            self.jobs[line] -= round(own * of_mass)
            self.solvent[line] *= 1 - of_solvent
        if stays:
            self.mass = max(0, self.mass - (mass or 0))
            self.weighed = self.weighed and mass is not None

    def move(self, other: _Held) -> None:
        """All of it goes on into another container of the shop."""
        other.mass += self.mass
        other.weighed = other.weighed and self.weighed
        for line in self.jobs:
            other.jobs[line] += self.jobs[line]
            other.solvent[line] += self.solvent[line]


def in_waste(
    connection: Connection, period: Period, containers: Iterable[str], until: str, *where: ColumnElement[bool]
) -> tuple[InWaste, ...]:
    """What was collected in a period, by month, and what stands in the containers at its end.

    ``containers`` are the names of the shop's own: what one of them takes over has not left.
    """
    own = frozenset(containers)
    held: dict[str, _Held] = defaultdict(_Held)
    found: dict[tuple[Any, ...], list[float]] = defaultdict(lambda: [0.0, 0.0])
    for row in _moved(connection, period, until, *where):
        here = held[row["container"]]
        if row["kind"] == "waste":
            here.put(row)
            continue
        stays = row["rest"] == "stays"
        if row["receiver"] in own and row["receiver"] != row["container"]:
            if stays:  # which part of it went over nobody knows: it counts here, and what it joins is weighed no more
                held[row["receiver"]].weighed = False
            else:
                here.move(held[row["receiver"]])
                del held[row["container"]]
            continue
        for line, mass, solvent in here.take(row["mass_ug"], stays):
            sums = found[row["month"], row["fate"], line]
            sums[0], sums[1] = sums[0] + mass, sums[1] + solvent
        if not stays:
            del held[row["container"]]
    for here in held.values():
        for line, mass in here.jobs.items():
            sums = found["", "", line]
            sums[0], sums[1] = sums[0] + mass, sums[1] + here.solvent[line]
    return tuple(
        InWaste(month, fate, line.product, line.edition, line.basis, kilograms(mass), kilograms(solvent))
        for (month, fate, line), (mass, solvent) in sorted(found.items(), key=lambda one: tuple(map(str, one[0])))
        if (not month or month >= period.first) and (mass or solvent)
    )


def _moved(connection: Connection, period: Period, until: str, *where: ColumnElement[bool]) -> Iterable[RowMapping]:
    """What went into containers and out of them up to the end of a period, in the order in which it happened."""
    c = entry.c
    columns = (c.kind, c.way, c.month, c.container, c.product, c.edition, c.mass_ug, c.solvent_low_ug)
    lines = (
        select(*columns, c.solvent_basis, c.fate, c.rest, c.receiver)
        .where(c.container != "", OF_WASTE, c.month <= period.last, *standing(until), *where)
        .order_by(c.day, c.happened, c.id)
    )
    return connection.execute(lines).mappings()
