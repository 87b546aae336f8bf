"""Results that stand for the same thing, in one unit."""

from __future__ import annotations

from dataclasses import dataclass

from safety.exposure.expected import in_ppm
from safety.model import Given, Job, Measurement
from safety.units import significant
from safety.words import capital, say

PLUGIN = "measured"


@dataclass(frozen=True, slots=True)
class Group:
    """Results that stand for the same thing, with their places among the job's measurements."""

    job: Job
    number: int  # in the order of the file, from 1
    name: str  # of the substance
    molar_mass: float  # kg/mol
    results: tuple[tuple[int, Measurement], ...]

    @property
    def first(self) -> Measurement:
        return self.results[0][1]

    def key(self, what: str) -> str:
        """The word by which a judgement on these results is asked for."""
        return f"measured-{what}:{self.number}:{self.first.cas}"

    @property
    def where(self) -> str:
        person = say("worker") if self.first.position == "worker" else say("elsewhere in the place")
        steps = say(" and ").join(self.first.steps) if self.first.steps else say("8-hour average")
        return say("{substance}, {steps}, {person}", substance=capital(self.name), steps=steps, person=person)

    @property
    def blanks(self) -> int:
        return sum(m.below_detection for _, m in self.results)

    @property
    def given(self) -> tuple[tuple[str, Given], ...]:
        """Each result with its place in the job file."""
        return tuple(
            (
                say("result {number}", number=i + 1),
                Given(self.job.file, ("measurement", i, "value"), _under(m, m.written)),
            )
            for i, m in self.results
        )

    def ppm(self, temperature: float) -> list[float]:
        """The results in ppm; mg/m3 is turned at this temperature [K]. A blank is its detection limit."""
        return [in_ppm(self.job, m, self.molar_mass, temperature) for _, m in self.results]


def _under(m: Measurement, written: str) -> str:
    return say("under {value} (detection limit)", value=written) if m.below_detection else written


def plain(value: float, digits: int = 2) -> str:
    return say("{value:g}", value=float(significant(value, digits)))
