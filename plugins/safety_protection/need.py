"""How much protection the air of each step calls for.

Ratios are concentrations over limits, summed over the substances of one draw (solvents act
alike on the nerves, so they add up unless shown otherwise: 29 CFR 1910.1000(d)(2)); decisions
rest on what bounds the 95th percentile over the draws.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Literal

import numpy as np

from safety.cited import Unknown
from safety.exposure.origin import made_of
from safety.exposure.result import (
    Careful,
    Exposure,
    Floats,
    Standing,
    any_of,
    careful,
    decisive,
    p50,
    p95,
)
from safety.formulas.exposure import additive_index
from safety.formulas.protection import protection_factor_needed
from safety.model import EIGHT_HOURS, WATER, Compare, Figure, Job, Limit, Substance
from safety.reference import Reference, crossed, long_shift, settled
from safety.words import message, say

# Limits of a short while; those of one group are added up: vapours breathed at once act at once, whatever each list
# calls its limit. A highest peak may only be touched for some minutes, so it is a question of its own.
SHORT = (("short-term", "ceiling"), ("peak",))
JUDGED = ("twa", *(kind for kinds in SHORT for kind in kinds))
QUARTER_HOUR = 900.0  # s; what a limit averaged this long or longer is compared with

_KIND_WORDS: Mapping[str, str] = {
    "twa": message("8-hour limit"),
    "short-term": message("15-minute limit"),
    "ceiling": message("ceiling"),
    "peak": message("peak limit"),
}


def _settled(ratio: Careful) -> Careful:
    return Careful(*(settled(x) for x in ratio))


@dataclass(frozen=True)
class Term:
    """One substance against one of its limits: ``ratio`` (draws,) and the careful concentration [mole fraction]."""

    substance: Substance
    limit: Limit
    listed: float  # the limit as its list has it [mole fraction]
    allowed: float  # the same as compared, cut where the shift is long
    counted: Figure | None  # the limit as mass of the substance, where its list counts a group in it
    ratio: Floats
    share: float
    share_p50: float

    @cached_property
    def careful(self) -> Careful:
        """The ratio and how far its error reaches."""
        return _settled(careful(self.ratio))

    @property
    def value(self) -> float:
        """The ratio that decides."""
        return self.careful.bound

    @property
    def passed(self) -> bool:
        """Whether the limit is passed, by its own comparison sign."""
        return bool(crossed(self.value, 1.0, self.limit.compare))


@dataclass(frozen=True)
class Need:
    """What the air of one step calls for by limits that are added up."""

    kinds: tuple[str, ...]
    terms: tuple[Term, ...]
    cut: str = ""  # that the limits are cut for a long shift, in words; "" where they are the lists' own

    @cached_property
    def ratios(self) -> Floats:
        """Sum over the substances, (draws,)."""
        return np.asarray(additive_index([t.ratio for t in self.terms], [1.0] * len(self.terms)))

    @cached_property
    def careful(self) -> Careful:
        """The sum and how far its error reaches."""
        return _settled(careful(self.ratios)) if self.terms else Careful(0.0, 0.0, 0.0)

    @property
    def ratio(self) -> float:
        """The sum that decides."""
        return self.careful.bound

    @property
    def standing(self) -> Standing:
        """Whether the limits are passed; exactly at them one that must not even be met decides."""
        sign: Compare = "at or over" if any(t.limit.compare == "at or over" for t in self.terms) else "over"
        return self.careful.against(lambda ratio: bool(crossed(ratio, 1.0, sign)))

    @property
    def passed(self) -> bool:
        return self.standing.over

    @property
    def kind(self) -> str:
        """The kind of limit, by the one that is used up most."""
        return say(_KIND_WORDS[self.worst.limit.kind if self.terms else self.kinds[0]])

    @property
    def words(self) -> str:
        """The same, and whether it is cut."""
        return say("{kind}, {cut}", kind=self.kind, cut=self.cut) if self.cut else self.kind

    @property
    def worst(self) -> Term:
        return max(self.terms, key=lambda t: t.value)


@dataclass(frozen=True, slots=True)
class Danger:
    """A substance at or over what is immediately dangerous to life or health."""

    substance: Substance
    limit: Limit
    share: float
    ratio: float


@dataclass(frozen=True, slots=True)
class StepNeed:
    """All that the air of one step calls for; nothing where nobody is in it."""

    step: int
    short: tuple[Need, ...]
    shift: Need | None  # the need of the whole shift
    shift_factor: float  # factor this step's mask must have to bring the shift average down; 0: others carry it
    danger: tuple[Danger, ...]
    endangers: Standing  # whether the air is dangerous to life
    deadly: tuple[Limit, ...] = ()  # what says whether it is
    other_class: bool = False  # with another seed it may ask for the next class of devices

    @property
    def close(self) -> Literal["", "over", "under"]:
        """Whether the answer hangs on the error of the computation, and on which side of it the answer is."""
        if self.danger or self.endangers.close:
            return self.endangers.close
        own = [n.standing for n in self.short]
        if self.shift is not None and (self.shift_factor or not self.shift.passed):  # else other steps carry it
            own.append(self.shift.standing)
        needs = any_of(own)
        return needs.close or ("under" if needs.over and self.other_class else "")

    @property
    def leading(self) -> Need | None:
        """The kind of limit that asks for most."""
        asked = [(n.ratio, n) for n in self.short]
        if self.shift is not None and self.shift_factor:
            asked.append((self.shift_factor, self.shift))
        return max(asked, key=lambda a: a[0])[1] if asked else None

    @property
    def needs(self) -> tuple[Need, ...]:
        """What was held against limits: over a short while, and over the shift."""
        return tuple(n for n in (*self.short, self.shift) if n is not None and n.terms)

    @property
    def over(self) -> float:
        """How many times over a limit the air is without a mask, by the limit that is passed most."""
        needs = [n.ratio for n in self.short] + ([self.shift.ratio] if self.shift is not None else [])
        return max([*needs, *(d.ratio for d in self.danger)], default=0.0)

    @property
    def factor(self) -> float:
        """Protection factor needed, where a respirator is."""
        return max([self.shift_factor, *(n.ratio for n in self.short)])

    @property
    def asks(self) -> bool:
        """Whether a respirator is called for."""
        return bool(self.shift_factor) or any(n.passed for n in self.short)


def limit_share(limit: Limit, reference: Reference) -> float | Unknown:
    """A limit as mole fraction in air."""
    ppm = reference.limit_ppm(limit)
    return ppm if isinstance(ppm, Unknown) else ppm * 1e-6


def against(
    kinds: tuple[str, ...],
    exposure: Exposure,
    reference: Reference,
    average: Floats,
    momentary: Floats,
    job: Job | None = None,
    lists: frozenset[str] = frozenset(),
) -> Need:
    """Every substance against its tightest limit of ``kinds``. Concentrations [kg/m3], (draws, substances).

    Limits for the shift average are cut for a long shift of ``job``, where one is given. ``lists``: of these alone.
    """
    average, momentary = exposure.ppm(average) * 1e-6, exposure.ppm(momentary) * 1e-6
    terms = []
    for column, substance in enumerate(exposure.substances):
        own = []
        for limit in reference.limits(substance.cas):
            share = limit_share(limit, reference)
            if limit.kind not in kinds or isinstance(share, Unknown) or (lists and limit.list not in lists):
                continue
            allowed = share * long_shift.factor(job, limit) if job else share
            # a limit that may never be passed, or is averaged over less than we have, meets the peak itself
            seen = (average if limit.averaging >= QUARTER_HOUR else momentary)[:, column]
            ratio = protection_factor_needed(seen, allowed)
            counted = reference.counted(limit) if limit.as_group else None
            counted = None if isinstance(counted, Unknown) else counted
            own.append(Term(substance, limit, share, allowed, counted, ratio, float(p95(seen)), float(p50(seen))))
        if own:
            # of two equal limits the one that must not even be met
            terms.append(max(own, key=lambda t: (t.value, t.limit.compare == "at or over")))
    return Need(kinds, tuple(terms), long_shift.of_shift(job) if job else "")


def of_steps(job: Job, exposure: Exposure, reference: Reference, classes: tuple[float, ...]) -> tuple[StepNeed, ...]:
    """The need of every step. ``classes`` are the protection factors devices come in, lowest first.

    The shift average is shared out: the fewest steps that add most to it get the mask, and the
    lowest class that does it; the rest of the shift counts as unprotected.
    """
    shift, masked = _shift(job, exposure, reference, classes)
    found = []
    for index, step in enumerate(job.steps):
        air = exposure.steps[index]
        if step.people == "away":
            found.append(StepNeed(index, (), None, 0.0, (), any_of(())))
            continue
        short = tuple(
            n for kinds in SHORT if (n := against(kinds, exposure, reference, air.worst_15min, air.peak)).terms
        )
        danger = []
        terms = against(("idlh",), exposure, reference, air.worst_15min, air.peak).terms
        # whatever sign the list gives: at the value itself only two devices are left
        standings = [t.careful.against(lambda ratio: ratio >= 1) for t in terms]
        for term, standing in zip(terms, standings, strict=True):
            if standing.over:
                danger.append(Danger(term.substance, term.limit, term.share, term.careful.value))
        factor = masked.get(index, 0.0)
        found.append(
            StepNeed(
                index,
                short,
                shift,
                factor,
                tuple(danger),
                any_of(standings),
                tuple(term.limit for term in terms),
                _other_class(short, shift, factor, classes),
            )
        )
    return tuple(found)


def _other_class(short: tuple[Need, ...], shift: Need | None, factor: float, classes: tuple[float, ...]) -> bool:
    """Whether a factor that devices come in lies within the error of the one that is needed."""
    asked = [n.careful for n in short]
    if shift is not None and factor and shift.ratio:
        asked.append(shift.careful.times(factor / shift.ratio))
    needed, edge = (max((one[at] for one in asked), default=0.0) for at in (1, 2))
    return any(needed <= one < edge for one in classes)


def _shift(
    job: Job, exposure: Exposure, reference: Reference, classes: tuple[float, ...]
) -> tuple[Need, dict[int, float]]:
    """The shift's need, and step -> protection factor for the steps that must carry it."""
    average = exposure.worker.shift_average
    whole = against(("twa",), exposure, reference, average, average, job)
    if not whole.passed:
        return whole, {}
    near = [i for i, s in enumerate(job.steps) if s.people != "away"]
    shares = {i: _contribution(exposure, whole, i) for i in near}
    if exposure.timeline.latest(exposure.timeline.end) > EIGHT_HOURS:
        # the worst 8 hours cannot be told apart by step, so every step wears the mask
        return whole, dict.fromkeys(near, whole.ratio)
    order = sorted(near, key=lambda i: (-float(p95(shares[i])), i))
    best: tuple[float, float, list[int]] | None = None
    for count in range(1, len(order) + 1):
        chosen = order[:count]
        inside = sum((shares[i] for i in chosen), np.zeros(exposure.draws))
        outside = np.maximum(whole.ratios - inside, 0.0)
        left = np.maximum(1 - outside, 0.0)  # what the masked steps may add; nothing: no mask is enough
        with np.errstate(divide="ignore", invalid="ignore"):
            needed = np.nan_to_num((whole.ratios - outside) / left, nan=np.inf, posinf=np.inf)
        value = settled(float(decisive(needed)))
        step_class = next((c for c in classes if c >= value), np.inf)
        if best is None or step_class < best[0]:
            best = (step_class, value, chosen)
    if best is None:
        return whole, {}
    return whole, {i: max(best[1], 1.0) for i in best[2]}


def _contribution(exposure: Exposure, whole: Need, index: int) -> Floats:
    """What one step adds to the shift's index, (draws,)."""
    start, end = exposure.timeline.span(index)
    shares = exposure.ppm(exposure.steps[index].mean) * 1e-6
    total = np.zeros(exposure.draws)
    for term in whole.terms:
        column = exposure.column(term.substance.cas)
        if column is not None:
            total += shares[:, column] * (end - start) / EIGHT_HOURS / term.allowed
    return total


def adds_to_shift(exposure: Exposure, own: StepNeed) -> bool:
    """Whether a step has vapour that a limit for the shift judges."""
    mean = exposure.steps[own.step].mean
    columns = (exposure.column(term.substance.cas) for term in (own.shift.terms if own.shift else ()))
    return any(bool((mean[:, column] > 0).any()) for column in columns if column is not None)


def unlimited(exposure: Exposure, step: int, reference: Reference) -> tuple[str, ...]:
    """Names of substances in this step's air that no limit is loaded for, but water."""
    peak = exposure.steps[step].peak
    return tuple(
        s.name
        for column, s in enumerate(exposure.substances)
        if s.cas != WATER
        and (peak[:, column] > 0).any()
        and not any(isinstance(limit_share(x, reference), float) for x in reference.limits(s.cas) if x.kind in JUDGED)
    )


def not_judged(
    exposure: Exposure, own: StepNeed, reference: Reference, excursion: float, factor: float
) -> tuple[set[str], set[str]]:
    """Names of substances in a step that are over a limit, and for which no loaded limit says what is deadly; and
    of those that no loaded limit judges over a short while, though behind a mask of ``factor`` they go over
    ``excursion`` times their 8-hour limit. None of both where a loaded limit says that the air is deadly anyway.
    """
    if own.danger:
        return set(), set()
    air = exposure.steps[own.step]
    # an 8-hour limit is averaged over more than a quarter of an hour, so here it meets the worst one
    long = {t.substance.name: t.value for t in against(("twa",), exposure, reference, air.worst_15min, air.peak).terms}
    brief = [t for n in own.short for t in n.terms]
    least = 1.0 if own.shift_factor else excursion
    over = {t.substance.name for t in brief if t.passed} | {name for name, ratio in long.items() if ratio > least}
    deadly = {t.substance.name for t in against(("idlh",), exposure, reference, air.worst_15min, air.peak).terms}
    high = {name for name, ratio in long.items() if ratio > excursion * factor}
    return over - deadly, high - {t.substance.name for t in brief}


def figures(exposure: Exposure, step: int, need: Need, factor: float) -> tuple[Figure, ...]:
    """The need of a step as figures, from what was used and the limits up to the factor."""
    until = None if "twa" in need.kinds else step
    terms = tuple(_term(exposure, until, need, term) for term in need.terms)
    whole = Figure(
        name=say("sum over the {kind}s", kind=need.kind),
        value=need.careful.value,
        unit="1",
        formula="additive_index",
        inputs=tuple((t.name, t) for t in terms),
        p50=float(p50(need.ratios)),
    )
    note = say("for the shift average, shared out over the steps that add most") if "twa" in need.kinds else ""
    return (
        Figure(say("protection factor needed"), factor, "1", inputs=((whole.name, whole),), note=note),
        whole,
        *terms,
    )


def _term(exposure: Exposure, until: int | None, need: Need, term: Term) -> Figure:
    name = term.substance.name
    breathed = Figure(
        say("{substance} in the breathed air", substance=name),
        term.share * 1e6,
        "ppm",
        inputs=made_of(exposure, term.substance.cas, until),
        p50=term.share_p50 * 1e6,
    )
    return Figure(
        say("{substance} against its {kind}", substance=name, kind=say(_KIND_WORDS[term.limit.kind])),
        term.careful.value,
        "1",
        formula="protection_factor_needed",
        inputs=(("concentration", breathed), *limit_inputs(exposure.job, term)),
        p50=float(p50(term.ratio)),
    )


def limit_inputs(job: Job, term: Term) -> tuple[tuple[str, Any], ...]:
    """The limit of a term, and what it was cut to where the shift is long."""
    given: tuple[tuple[str, Any], ...] = (("limit", term.limit),)
    if term.counted:
        given = (*given, (term.counted.name, term.counted))
    if term.limit.kind != "twa" or term.allowed == term.listed:
        return given
    return (*given, ("limit as compared", long_shift.compared(job, term.limit, term.allowed * 1e6)))
