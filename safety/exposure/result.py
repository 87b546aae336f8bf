"""What the engine hands to plugins: one row a draw, one column a substance."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from math import exp, lgamma, log
from typing import Any, Literal, NamedTuple, TypeVar

import numpy as np
from numpy.typing import NDArray

from safety.cited import Unknown
from safety.formulas.air import ppm_from_mass
from safety.formulas.prediction import GUESSED
from safety.model import Job, Place, Substance, Timeline

Floats = NDArray[np.floating[Any]]
#: How a figure is kept that is only held against a limit or a time: to seven digits, in half the room.
COMPARED = np.float32

Record = TypeVar(
    "Record",
    bound="Exposure | Metrics | StepAir | Afterwards | Curves | Decisive | Balance | FarAir | Learnt | NextDoor",
)

#: Pressure [Pa] at which a mass in the air is given in ppm, whatever that of the place is. A limit is a mass in a
#: volume of the air as it is; its ppm is meant at one atmosphere (NIOSH Manual of Analytical Methods, appendix B).
PRESSURE = 101325.0


@dataclass(frozen=True, slots=True)
class Metrics:
    """One person's exposure over the shift [kg/m3], each of shape (draws, substances).

    Averages come in double precision; peaks, worst 15 minutes, fractions and drying times in single.
    """

    peak: Floats
    worst_15min: Floats
    shift_average: Floats  # worst 8 h divided by 8 h; time away counts as clean air


@dataclass(frozen=True, slots=True)
class Afterwards:
    """The air of a step's place from the step's end until the next step there, or the end of the clock.

    What is left wet goes on drying then, so it may be worse than the step's own.
    """

    near_peak: Floats  # kg/m3, (draws, substances)
    far_peak: Floats
    near_explosive_fraction: Floats | Unknown
    far_explosive_fraction: Floats | Unknown


@dataclass(frozen=True, slots=True)
class StepAir:
    """The air of one step with all its coats and waits.

    ``mean``, ``peak`` and ``worst_15min`` [kg/m3, (draws, substances)] are at the worker's
    position in this step. ``worst_15min`` is the highest 15-minute average the step answers for:
    what the minutes before and after add counts at most at the step's own level, so protecting
    every step whose figure is over a limit brings every 15 minutes under it. ``near_peak`` and
    ``far_peak`` are the zones' own peaks whoever is there. The two fractions of the lower
    explosive limit are sums over all substances, (draws,), or Unknown where a substance has
    no limit.
    """

    mean: Floats
    peak: Floats
    worst_15min: Floats
    near_peak: Floats
    far_peak: Floats
    near_explosive_fraction: Floats | Unknown
    far_explosive_fraction: Floats | Unknown
    unknown: tuple[str, ...] = ()  # sentences: what is in this step's air but in none of its figures
    far_mean: Floats | None = None  # mean of the far field; None where no result was taken there (Job.measurements)
    after: Afterwards | None = None  # None where the next step follows at once in the same place


@dataclass(frozen=True, slots=True)
class Decisive:
    """The curves of a bound of the 95th percentile, as in :class:`Curves`."""

    near: Floats
    far: Floats
    near_fraction: Floats | Unknown
    far_fraction: Floats | Unknown


@dataclass(frozen=True, slots=True)
class Curves:
    """The air of the job's place over the clock: 50th and 95th percentile over the draws.

    ``times`` [s since the job's start], (times,); concentrations [kg/m3], (times, substances);
    explosive fractions, (times,) or Unknown. Each is the highest since the time before it. Runs on
    for 24 h after the last step.
    """

    times: Floats
    near_p50: Floats
    near_p95: Floats
    far_p50: Floats
    far_p95: Floats
    near_fraction_p95: Floats | Unknown
    far_fraction_p95: Floats | Unknown
    decisive: Decisive  # what the clock's decisions rest on
    edge: Decisive  # what they would rest on with another seed, at most


@dataclass(frozen=True, slots=True)
class Balance:
    """Where one use (or leftover) of a product went [kg], each of shape (draws,).

    applied = evaporated + kept + solids + wet, to 1e-9 of applied.
    """

    step: int
    product: str
    what: str
    applied: Floats
    evaporated: Floats  # by the end of the simulated clock
    kept: Floats  # in cloth, brush, scrapings: waste
    solids: Floats  # stays in the film
    wet: Floats  # still liquid when lifted or when the clock ends: waste
    evaporated_by: Mapping[str, Floats]  # CAS -> kg
    dry_after: Floats  # s a patch takes to dry if nobody lifts it, slow bound (film as cold as it can get)
    wet_until_at_least: Floats  # the same, fast bound: it is not dry before this; both 0 for spray mist
    whole: bool = True  # False: a part that gives off vapour has no data and is in none of these figures


@dataclass(frozen=True, slots=True)
class Neighbour:
    """Another job in one of this job's places, its timeline on this job's clock."""

    job: Job
    timeline: Timeline
    alone: Exposure | None = None  # its own air on its own clock, as if nobody else worked; None: not asked for


@dataclass(frozen=True, slots=True)
class NextDoor:
    """The air of a place that doors join to the job's, where none of its steps is done: for who stays there."""

    place: Place
    people: Metrics  # whoever is there all through the shift
    explosive_fraction: Floats | Unknown  # highest while the air is followed, (draws,)
    known: bool  # False: nobody can say how much air goes over, so they count as one air


@dataclass(frozen=True, slots=True)
class FarAir:
    """The far field of another place than the job's own over the clock, as it decides: for jobs that begin there.

    At the times of :class:`Curves`.
    """

    place: Place
    far: Floats  # kg/m3, (times, substances)
    far_fraction: Floats | Unknown  # of the lower explosive limit, (times,)


class Width(NamedTuple):
    """How far the air may lie off the equations themselves, and what keeps that wide.

    ``up`` and ``down`` are geometric standard deviations. Upward every draw has its error; downward nothing is drawn,
    so that not knowing makes no figure milder: the lower end of a band is widened where it is printed.
    """

    up: float = GUESSED[0]
    down: float = GUESSED[1]
    airs: tuple[tuple[str, str], ...] = ()  # place and state whose air nobody measured
    amounts: int = 0  # guessed
    areas: int = 0  # guessed

    @property
    def measured(self) -> bool:
        """Whether air, amounts and areas were all measured."""
        return not (self.airs or self.amounts or self.areas)


WIDE = Width()


@dataclass(frozen=True, slots=True)
class Learnt:
    """What results measured at this very work say of a prediction: before them, and the model error after them."""

    cas: str
    steps: tuple[str, ...]  # their names, as the results give them; () = the whole shift
    results: tuple[int, ...]  # places among Job.measurements of those that count
    covered: tuple[int, ...]  # indices of the steps that learn from them
    prior: Floats  # ppm expected of such a result without them, (draws,)
    factor: Floats  # the model error of what is laid in those steps, (draws,)


@dataclass(frozen=True, slots=True)
class Exposure:
    """All that was computed about one job's air."""

    job: Job
    timeline: Timeline
    substances: tuple[Substance, ...]  # the volatile, known ones: the columns
    molar_mass: Floats  # kg/mol, (substances,)
    temperature: Floats  # K of the job's place, (draws,)
    worker: Metrics
    bystander: Metrics  # somebody in the far field of the job's place all through
    steps: tuple[StepAir, ...]  # one for each Job.steps
    curves: Curves
    balances: tuple[Balance, ...]
    unknowns: tuple[str, ...]  # sentences: what could not be computed, and why
    seed: int
    neighbours: tuple[Neighbour, ...] = ()  # whose vapour is in the figures
    width: Width = WIDE
    error: Floats | None = None  # the factor of the model error in each draw, 1 or over, (draws,); it is in all figures
    learnt: tuple[Learnt, ...] = ()  # where results stand in its place
    next_door: tuple[NextDoor, ...] = ()
    elsewhere: tuple[FarAir, ...] = ()  # of the places that were asked for

    @property
    def draws(self) -> int:
        return len(self.temperature)

    @property
    def shift_uncounted(self) -> bool:
        """Whether the worker breathes vapour in the shift, in a step or after the last, that is in no figure."""
        worked = any(
            air.unknown and step.people != "away" for air, step in zip(self.steps, self.job.steps, strict=True)
        )
        return worked or (bool(self.unknowns) and self.job.afterwards != "away")

    def column(self, cas: str) -> int | None:
        """The column of a substance, or None where it is not in this air."""
        return next((i for i, s in enumerate(self.substances) if s.cas == cas), None)

    def ppm(self, concentration: Floats) -> Floats:
        """Turn (draws, substances) kg/m3 into ppm at the place's own temperature and one atmosphere."""
        return np.asarray(ppm_from_mass(concentration, self.molar_mass[None, :], self.temperature[:, None], PRESSURE))


def sealed(record: Record) -> Record:
    """The record with its arrays closed to writing: what one plugin does to them, another must not see."""
    for one in fields(record):
        value = getattr(record, one.name)
        for part in value.values() if isinstance(value, Mapping) else value if isinstance(value, tuple) else (value,):
            if isinstance(part, np.ndarray):
                part.setflags(write=False)
            elif isinstance(part, (Metrics, StepAir, Afterwards, Curves, Decisive, Balance, FarAir, Learnt, NextDoor)):
                sealed(part)
    return record


def p50(values: Floats) -> Floats:
    """Median over draws (axis 0)."""
    return _percentile(values, 0.5)


def p95(values: Floats) -> Floats:
    """95th percentile over draws (axis 0): what is printed. Decisions compare :func:`decisive`."""
    return _percentile(values, 0.95)


def decisive(values: Floats) -> Floats:
    """What decisions compare: the 95th percentile over draws (axis 0) is no higher, with 95 % confidence."""
    rank = len(values) - 1 - above(len(values), DECIDES)
    some = np.partition(values, (rank, len(values) - 1), axis=0)
    return np.where(np.isnan(some[-1]), np.nan, some[rank])[()]


def careful(values: Floats, low: bool = False) -> Careful:
    """The 95th percentile of one quantity (draws,) and how far its own error reaches.

    With ``low`` the small values are the dangerous ones: the 5th, and how far below it may be.
    """
    if low:
        return careful(-np.asarray(values)).times(-1.0)
    last = len(values) - 1
    ranks = [last - above(len(values), sure) for sure in (DECIDES, ANOTHER_SEED)]
    at = int(0.95 * last)
    some = np.partition(values, sorted({at, min(at + 1, last), *ranks, last}))
    if np.isnan(some[last]):
        return Careful(float(p95(values)), np.nan, np.nan)
    value = _between(some[at], some[min(at + 1, last)], 0.95 * last - at)
    return Careful(float(value), *(float(some[rank]) for rank in ranks))


class Careful(NamedTuple):
    """A percentile of one quantity with the error that a finite number of draws leaves it."""

    value: float  # what is printed
    bound: float  # what decides
    edge: float  # what would decide with another seed, at most

    def times(self, factor: float) -> Careful:
        return Careful(*(factor * x for x in self))

    def against(self, over: Callable[[float], bool]) -> Standing:
        """How it stands to a limit; ``over`` says which numbers are on the wrong side."""
        return Standing(*(over(x) for x in self))


class Standing(NamedTuple):
    """Which side of a limit something is on."""

    surely: bool  # the percentile itself is on the wrong side
    over: bool  # it counts as on the wrong side
    perhaps: bool  # with another seed it might

    @property
    def close(self) -> Literal["", "over", "under"]:
        """The side it was put on where the error of the computation reaches the limit; for Finding.close."""
        if self.surely or not self.perhaps:
            return ""
        return "over" if self.over else "under"


def any_of(standings: Iterable[Standing]) -> Standing:
    """Whether one of them is on the wrong side."""
    rows = [*standings]
    return Standing(*(any(column) for column in zip(*rows, strict=True))) if rows else Standing(False, False, False)


def all_of(*standings: Standing) -> Standing:
    """Whether all of them are on the wrong side."""
    return Standing(*(all(column) for column in zip(*standings, strict=True)))


#: With what confidence the 95th percentile of all possible draws is no higher than what decides, were the draws
#: independent; they scatter less (draws.py), so it is surer. And the same for what no other seed decides by.
DECIDES, ANOTHER_SEED = 0.95, 0.9995


#: Of fewer draws than this not even the highest bounds the 95th percentile with the confidence that decides:
#: 1 - 0.95^n is under 0.95 up to n = 58.
FEWEST = 59


@lru_cache(maxsize=32)
def above(count: int, sure: float) -> int:
    """How many of the draws may lie above a bound of the 95th percentile of which one is so sure.

    Free of any distribution: that at most so many of ``count`` draws lie above the percentile is less likely than
    1 - ``sure`` (binomial). None where there are too few draws for that: then the highest is the bound.
    """
    whole, found = 0.0, -1
    while True:
        n, k = count, found + 1
        whole += exp(lgamma(n + 1) - lgamma(k + 1) - lgamma(n - k + 1) + k * log(0.05) + (n - k) * log(0.95))
        if whole > 1 - sure:
            return max(found, 0)
        found = k


def _percentile(values: Floats, share: float) -> Floats:
    """What ``np.percentile`` gives, to the last bit, without its overhead: a sheet asks for thousands."""
    last = len(values) - 1
    low = int(share * last)
    high = min(low + 1, last)
    some = np.partition(values, (low, high, last), axis=0)
    if np.isnan(some[last]).any():
        return np.percentile(values, 100 * share, axis=0)  # which has its rules for what is not a number
    return _between(some[low], some[high], share * last - low)


def ordered(values: Floats, share: float) -> Floats:
    """The same of values that rise along their last axis, with no number missing."""
    last = values.shape[-1] - 1
    low = int(share * last)
    return _between(values[..., low], values[..., min(low + 1, last)], share * last - low)


def _between(below: Floats, above: Floats, part: float) -> Floats:
    gap = above - below
    return np.asarray(above - gap * (1 - part) if part >= 0.5 else below + gap * part)[()]
