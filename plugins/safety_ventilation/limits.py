"""One substance's air against one exposure limit. Nothing here decides what is said."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import NamedTuple

import numpy as np

from safety import levels
from safety.cited import Unknown
from safety.exposure import Exposure
from safety.exposure.origin import Inputs, made_of
from safety.exposure.result import PRESSURE, Careful, Floats, Metrics, Standing, StepAir, careful, p50, p95
from safety.formulas.air import ppm_from_mass
from safety.formulas.exposure import additive_index
from safety.model import Compare, Figure, Job, Limit, LimitKind, Substance, Threshold
from safety.reference import Reference, crossed, long_shift, settled
from safety.reference.citing import called
from safety.reference.grouped import Uncounted, uncounted
from safety.units import significant
from safety.words import say

PLUGIN = "ventilation"
FIRE_STOP = "explosive-atmosphere-stop"
QUARTER = 900.0  # s
#: The kinds of limit that say whether air may be breathed.
JUDGED: tuple[LimitKind, ...] = ("twa", "short-term", "ceiling", "peak")


class Air(NamedTuple):
    """What somebody breathes [kg/m3], each (draws, substances): over the long, over 15 min, at the highest."""

    average: Floats
    quarter: Floats
    peak: Floats


def over_shift(metrics: Metrics) -> Air:
    return Air(metrics.shift_average, metrics.worst_15min, metrics.peak)


def in_step(air: StepAir) -> Air:
    return Air(air.mean, air.worst_15min, air.peak)


@dataclass(frozen=True, slots=True)
class Reading:
    """A 95th percentile beside the limit it is held against."""

    substance: Substance
    limit: Limit
    figure: Figure
    careful: Careful  # ppm, the figure's value and how far its error reaches
    allowed: float  # ppm, after the cut for a long shift
    cut: str  # that it was cut, in words; "" where it is the list's own

    @property
    def value(self) -> float:
        return self.figure.value

    @property
    def ratio(self) -> float:
        """How many times the limit it counts as: what decides, not what is printed."""
        return settled(self.careful.bound / self.allowed)

    @property
    def standing(self) -> Standing:
        """Whether the limit is broken. "Over" breaks above it, every other sign already on it."""
        sign: Compare = "over" if self.limit.compare == "over" else "at or over"
        return self.careful.against(lambda ppm: bool(crossed(settled(ppm / self.allowed), 1.0, sign)))

    @property
    def over(self) -> bool:
        return self.standing.over

    @property
    def shown(self) -> str:
        """The value, in figures that stand on the same side of the limit."""
        return levels.compared(self.value, self.allowed, digits=2)

    @property
    def at(self) -> bool:
        """Whether it is at the limit itself, which is no more allowed than over it where that is the list's sign."""
        return self.over and self.ratio <= 1 and not self.standing.close

    @property
    def span(self) -> str:
        """Over what time the figure is taken, in two words."""
        return span_of(self.limit)

    @property
    def quarter(self) -> bool:
        """Whether it is the worst 15 minutes, and not the highest minute."""
        return self.limit.kind != "twa" and self.limit.averaging >= QUARTER

    @property
    def highest(self) -> bool:
        """Whether it is the highest minute, which says nothing of the plume over a wet surface."""
        return self.limit.kind != "twa" and not self.quarter

    @property
    def named(self) -> str:
        """The limit with its list and pack, for a sentence."""
        ppm, limit = _ppm(self.allowed), self.limit
        if self.cut:
            listed = say("{list}: {written}, {cut}", list=limit.list, written=limit.written, cut=self.cut)
            return called(replace(limit, written=ppm, list=listed))
        if limit.written == f"{float(levels.printed(self.allowed)):g} ppm":  # as a file says it, in every language
            return called(limit)
        return called(replace(limit, written=say("{ppm}, from {written}", ppm=ppm, written=limit.written)))

    @property
    def brief(self) -> str:
        """The figure of the limit alone [ppm], for few words."""
        text = levels.printed(self.allowed)
        return say("{ppm} {cut}", ppm=text, cut=self.cut) if self.cut else text

    @property
    def rule(self) -> str:
        return say("{citation}, {edition}", citation=self.limit.citation, edition=self.limit.edition)


@dataclass(frozen=True, slots=True)
class Mixed:
    """The additive index of several vapours: 95th percentile, its error, and the substances left out."""

    figure: Figure
    careful: Careful
    left_out: tuple[Substance, ...]

    @property
    def standing(self) -> Standing:
        return self.careful.against(lambda index: index > 1)


def _ppm(value: float) -> str:
    return say("{value:g} ppm", value=float(levels.printed(value)))


def span_of(limit: Limit) -> str:
    if limit.kind == "twa":
        return say("shift average")
    return say("15 min") if limit.averaging >= QUARTER else say("highest minute")


class AirTask:
    """The job's air with what is asked of it again and again."""

    def __init__(self, job: Job, exposure: Exposure, reference: Reference):
        self.job, self.exposure, self.reference = job, exposure, reference

    @cached_property
    def limits(self) -> tuple[tuple[Limit, ...], ...]:
        """All loaded limits of each column's substance."""
        return tuple(self.reference.limits(s.cas) for s in self.exposure.substances)

    @cached_property
    def uncounted(self) -> tuple[Uncounted, ...]:
        """What carries a group that a limit counts, and is in no figure."""
        return uncounted(self.job, self.reference)

    def allowed(self, limit: Limit) -> float | Unknown:
        """The limit [ppm], cut for a long shift where it is a shift average."""
        ppm = self.reference.limit_ppm(limit)
        return ppm if isinstance(ppm, Unknown) else ppm * long_shift.factor(self.job, limit)

    def vapour(self, air: Air) -> tuple[int, ...]:
        """Columns of the substances that are in this air at all."""
        return tuple(int(i) for i in np.flatnonzero(p95(air.peak) > 0)) if self.exposure.substances else ()

    def readings(self, air: Air, kinds: Iterable[LimitKind]) -> list[Reading]:
        """Every limit of these kinds of every substance in this air, the worst first; of two alike the broken one."""
        kinds = tuple(kinds)
        found = [
            self._reading(air, column, limit, allowed)
            for column in self.vapour(air)
            for limit in self.limits[column]
            if limit.kind in kinds and not isinstance(allowed := self.allowed(limit), Unknown)
        ]
        return sorted(found, key=lambda r: (r.ratio, r.over), reverse=True)

    def _reading(self, air: Air, column: int, limit: Limit, allowed: float) -> Reading:
        substance = self.exposure.substances[column]
        mass = _metric(air, limit)[:, column]
        ppm = self.exposure.ppm(_metric(air, limit))[:, column]
        own = careful(ppm)
        of_step = limit.kind == "twa" and self._step(air) is not None
        span = say("average of the step") if of_step else span_of(limit)
        figure = Figure(
            name=say("{substance}, {span}", substance=substance.name, span=span),
            value=own.value,
            unit="ppm",
            formula="ppm_from_mass",
            inputs=(
                (
                    "concentration",
                    Figure(
                        say("mass of {substance} in the air", substance=substance.name),
                        float(p95(mass)),
                        "kg/m3",
                        inputs=self._origin(substance.cas, air),
                        p50=float(p50(mass)),
                    ),
                ),
                ("molar mass", substance.best("molar_mass")),
                ("limit", limit),
                *self._counted(limit),
                ("limit as compared", long_shift.compared(self.job, limit, allowed)),
            ),
            p50=float(p50(ppm)),
            note=say("95 in 100 cases stay below"),
        )
        return Reading(substance, limit, figure, own, allowed, long_shift.words(self.job, limit))

    def _counted(self, limit: Limit) -> Inputs:
        """A limit that counts a group, as mass of the substance."""
        mass = self.reference.counted(limit) if limit.as_group else None
        return ((mass.name, mass),) if isinstance(mass, Figure) else ()

    def _origin(self, cas: str, air: Air) -> Inputs:
        """What the concentration of a substance was made from."""
        return made_of(self.exposure, cas, self._step(air))

    def _step(self, air: Air) -> int | None:
        """The step whose air this is; None for that of a whole shift."""
        return next((i for i, s in enumerate(self.exposure.steps) if s.peak is air.peak), None)

    def mixture(self, air: Air, kinds: Iterable[LimitKind], average: bool) -> Mixed | None:
        """The additive index over all substances with such a limit, or None for fewer than two.

        Each substance stands against its lowest limit of these kinds, in ``air.average`` or
        ``air.quarter``.
        """
        kinds = tuple(kinds)
        parts: list[tuple[int, Limit, float]] = []
        left_out = []
        for column in self.vapour(air):
            known = [
                (column, limit, allowed)
                for limit in self.limits[column]
                if limit.kind in kinds and not isinstance(allowed := self.allowed(limit), Unknown)
            ]
            if known:
                parts.append(min(known, key=lambda one: one[2]))
            else:
                left_out.append(self.exposure.substances[column])
        if len(parts) < 2:
            return None
        ppm = self.exposure.ppm(air.average if average else air.quarter)
        index = np.asarray(
            additive_index([ppm[:, column] for column, _, _ in parts], [allowed for _, _, allowed in parts])
        )
        own = Careful(*(settled(x) for x in careful(index)))
        figure = Figure(
            name=say("sum of all parts of the limits"),
            value=own.value,
            unit="1",
            formula="additive_index",
            inputs=tuple(
                pair
                for column, limit, allowed in parts
                for pair in (
                    (self.exposure.substances[column].name, long_shift.as_compared(self.job, limit, allowed)),
                    (say("concentration"), self._in_air(ppm[:, column], column, air)),
                )
            ),
            p50=float(p50(index)),
        )
        return Mixed(figure, own, tuple(left_out))

    def _in_air(self, ppm: Floats, column: int, air: Air) -> Figure:
        substance = self.exposure.substances[column]
        name = say("{substance} in the air", substance=substance.name)
        return Figure(name, float(p95(ppm)), "ppm", inputs=self._origin(substance.cas, air), p50=float(p50(ppm)))

    def lowest(self, kinds: Iterable[LimitKind]) -> dict[int, tuple[Limit, float]]:
        """The lowest limit [ppm] of these kinds for each column that has one."""
        kinds = tuple(kinds)
        found: dict[int, tuple[Limit, float]] = {}
        for column, limits in enumerate(self.limits):
            known = [(x, a) for x in limits if x.kind in kinds and not isinstance(a := self.allowed(x), Unknown)]
            if known:
                found[column] = min(known, key=lambda one: one[1])
        return found

    @cached_property
    def clear_by(self) -> tuple[Figure | Threshold, ...]:
        """What the times at which the air is clear rest on: each vapour, its lowest limit, and the fire limit."""
        found: list[Figure | Threshold] = []
        for column, (limit, allowed) in self.lowest(JUDGED).items():
            cas = self.exposure.substances[column].cas
            inputs = (("limit", limit), *self._counted(limit), *made_of(self.exposure, cas))
            found.append(Figure(self.exposure.substances[column].name, allowed, "ppm", inputs=inputs))
        fire = self.reference.threshold(FIRE_STOP)
        return (*found, fire) if isinstance(fire, Threshold) else tuple(found)

    def share_of_limits(self, curve: Floats) -> Floats:
        """Sum over substances of a curve [kg/m3, (times, substances)] to the lowest limit of each, (times,).

        Percentiles of single substances are added, which is never less than the percentile of the sum.
        Rounded to twelve digits: air at its limit must not be over it by the last binary digit.
        """
        lowest = self.lowest(JUDGED)
        total = np.zeros(len(curve))
        temperature = float(np.median(self.exposure.temperature))
        for column, (_, allowed) in lowest.items():
            total += (
                np.asarray(ppm_from_mass(curve[:, column], self.exposure.molar_mass[column], temperature, PRESSURE))
                / allowed
            )
        return np.round(total, 12)


def _metric(air: Air, limit: Limit) -> Floats:
    """What a limit is held against. Below 15 min of averaging it is the peak, the careful side."""
    if limit.kind == "twa":
        return air.average
    return air.quarter if limit.averaging >= QUARTER else air.peak


def plain(value: float, digits: int = 2) -> str:
    """A number for a sentence: so many significant figures, no zeros after the point."""
    return say("{value:g}", value=float(significant(value, digits)))


def broken(short: str, reading: Reading) -> str:
    """Few words on a reading, and that it breaks its limit."""
    if reading.standing.close:
        return say("{short}: too close to it", short=short)
    return say("{short}: not under it", short=short) if reading.at else say("{short}: over", short=short)


def label(limit: Limit) -> str:
    """What sort of limit it is, in a few words."""
    return {
        "twa": say("shift average"),
        "short-term": say("15 min"),
        "ceiling": say("ceiling"),
        "peak": say("highest peak"),
        "idlh": say("danger to life"),
    }[limit.kind]


def add_a_limit() -> str:
    """What helps where no loaded limit judges a vapour."""
    return say(
        "Write the limit in section 8 of its data sheet on the part in the product's file, or have the air measured "
        "and ask the safety officer."
    )


def name_the_groups() -> str:
    """What helps where nothing judges the vapour of a petroleum fraction."""
    return say(
        "Write its carbon numbers, aromatics and benzene on the part in the product's file, and the pack "
        '"hydrocarbon-groups" under rules in shop.toml. Or its limit, from section 8 of its data sheet.'
    )


def give_what_is_missing() -> str:
    """What to do where data are missing."""
    return say(
        "Have what is missing put into the shop's files, or have the air measured. "
        "For a substance without data, ask the product's maker."
    )
