"""Vapour with a halogen in it: arcs, flames, hot surfaces and ultraviolet light turn it into gases that kill.

It need not burn for that, so this is judged apart from fire. Which substances have a halogen follows from
their composition; where nobody says what a vapour is made of, it may have one.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from safety.cited import Unknown
from safety.clock import clock
from safety.exposure.lying import Lying
from safety.exposure.origin import made_of
from safety.exposure.result import PRESSURE, Balance, careful, p50
from safety.formulas.air import ppm_from_mass
from safety.model import Composition, Figure, Finding, Job, Level, Part, Product, Timeline
from safety.reference import past
from safety.reference.hazards import unproven
from safety.words import capital, joined, say, term
from safety_ignition.neighbours import neighbouring_sources
from safety_ignition.sources import TABLE, Source, decomposing, named
from safety_ignition.task import PLUGIN, FireTask
from safety_ignition.wet import present

#: Under this share of the air a vapour counts as gone.
TRACE = "halogen-vapour-from"


@dataclass(frozen=True, slots=True)
class Vapours:
    """What of a step's vapour has a halogen in it, or may have."""

    names: tuple[str, ...]
    halogens: frozenset[str]
    unknown: tuple[str, ...]  # why it is not known of the rest
    figures: tuple[Figure, ...]
    columns: tuple[int, ...]  # of the substances
    wet: tuple[Lying, ...]  # what lies there and gives them off
    grounds: tuple[Composition, ...]  # of what they are made

    @property
    def any(self) -> bool:
        return bool(self.names or self.unknown)


def judge(task: FireTask, index: int) -> list[Finding]:
    step, rows = task.job.steps[index], task.reference.table(TABLE)
    here = decomposing([*named(step.ignition_sources, rows), *neighbouring_sources(task, index, rows)])
    around = decomposing(named(step.place.ignition_sources, rows))
    found = look(task, index, hot=bool(here or around))
    if not found.any:
        return []
    stops = [_not_here(task, index, found, s) for s in here] + [_off_first(task, index, found, s) for s in around]
    return stops or [_keep_out(task, index, found)]


def look(task: FireTask, index: int, hot: bool) -> Vapours:
    """All vapour in the place at some time in a step: left from earlier steps and from other jobs too.

    ``hot``: something takes apart there also what does not evaporate; where no data say what it is made of, its
    product's word that it stays is none that it has no halogen.
    """
    names: dict[str, None] = {}
    halogens: set[str] = set()
    unknown: dict[str, None] = {}
    air, trace = task.exposure.steps[index], task.reference.threshold(TRACE)
    peaks = task.exposure.ppm(np.maximum(air.near_peak, air.far_peak)).T
    figures, columns, wet = [], [], []
    grounds: dict[Composition, None] = {}

    def sort(name: str, own: Composition | Unknown) -> bool:
        """Put a vapour where it belongs; whether it has a halogen."""
        if isinstance(own, Unknown):
            unknown[own.reason] = None
            return False
        grounds[own] = None
        if own.halogens:
            names[name] = None
            halogens.update(own.halogens)
        return bool(own.halogens)

    for column, (substance, peak) in enumerate(zip(task.exposure.substances, peaks, strict=True)):
        ppm = careful(peak)
        if ppm.bound > 0 and past(ppm.bound * 1e-6, trace) and sort(substance.name, task.composition(substance.cas)):
            inputs = made_of(task.exposure, substance.cas, index)
            inputs = inputs if isinstance(trace, Unknown) else (("counts from", trace), *inputs)
            name = say("highest level of {name} in the air of the step", name=substance.name)
            figures.append(Figure(name, ppm.value, "ppm", inputs=inputs))
            columns.append(column)
    for lying in present(task, index):
        if [part for part in task.volatile(lying.product) if sort(*_part(task, lying.product, part))]:
            wet.append(lying)
    for product, whole in _put_there(task, index):
        for part in (*(() if whole else task.volatile(product)), *(unproven(product, task.reference) if hot else ())):
            sort(*_part(task, product, part))
    return Vapours(
        tuple(names),
        frozenset(halogens),
        tuple(unknown),
        tuple(figures),
        tuple(columns),
        tuple(wet),
        tuple(grounds),
    )


def _part(task: FireTask, product: Product, part: Part) -> tuple[str, Composition | Unknown]:
    if not part.cas:
        reason = say("the maker of {product} does not say what {part} is", product=product.name, part=part.name)
        return part.name, Unknown(reason)
    return part.name, task.composition(part.cas)


def _put_there(task: FireTask, index: int) -> Iterator[tuple[Product, bool]]:
    """Products put in the place before or in a step, and whether all their vapour is in the figures of the air."""
    job, timeline, end = task.job, task.exposure.timeline, task.exposure.timeline.possible(index)[1]
    jobs: list[tuple[Job, Timeline, tuple[Balance, ...]]] = [(job, timeline, task.exposure.balances)]
    jobs += [(n.job, n.timeline, () if n.alone is None else n.alone.balances) for n in task.exposure.neighbours]
    for one, clocked, balances in jobs:
        whole = {(b.step, b.product) for b in balances} - {(b.step, b.product) for b in balances if not b.whole}
        for at, step in enumerate(one.steps):
            if step.place.id == job.steps[index].place.id and (
                at <= index if one is job else clocked.possible(at)[0] < end
            ):
                yield from ((t.product, t.measured and (at, t.product.id) in whole) for t in step.wet_things)


# ---------------------------------------------------------------- saying it


def _not_here(task: FireTask, index: int, found: Vapours, source: Source) -> Finding:
    text = joined((say("{source}: not in this step.", source=capital(source.described)), _why(task, found)))
    short = say("No {source}: the vapour turns into gases that kill", source=source.described)
    return _finding(task, index, found, "stop", text, short, source, "fire-halogen-pair")


def _off_first(task: FireTask, index: int, found: Vapours, source: Source) -> Finding:
    text = joined(
        (
            say("{source} is always in this place or beside it.", source=capital(source.text)),
            _why(task, found),
            say("Turn it off, and see that it is cold, before the first can is opened."),
        )
    )
    short = say("Turn off and let cool first: {source}", source=source.text)
    return _finding(task, index, found, "stop", text, short, source, "fire-halogen-around")


def _keep_out(task: FireTask, index: int, found: Vapours) -> Finding:
    text = joined((_why(task, found), say("Keep them all out of this air.")))
    short = say("No arc, flame, hot surface or ultraviolet lamp in this vapour")
    return _finding(task, index, found, "control", text, short, None, "fire-halogen")


def _finding(
    task: FireTask, index: int, found: Vapours, level: Level, text: str, short: str, source: Source | None, key: str
) -> Finding:
    rules = [task.rule("halogen")]
    if source is None or source.decomposes == "arc":
        rules.insert(0, task.rule("halogen-arc"))
    remedy = say(
        "Keep the two apart in time and place. Take what is wet away, air the place until no vapour is left, and make "
        "a new sheet."
    )
    gone = _gone(task, index, found)
    if gone:
        remedy = say("{remedy} By this sheet none is left from {time}.", remedy=remedy, time=gone)
    return Finding(
        level=level,
        topic="fire",
        statement=text,
        short=short,
        plugin=PLUGIN,
        step=index,
        figures=found.figures,
        rule=joined(rules, "; "),
        grounds=(
            *task.grounds("halogen", "halogen-arc"),
            *(row for row in task.reference.table("halogen") if row["element"] in found.halogens),
            *found.grounds,
            *(source.grounds if source else ()),
        ),
        unknown=_unknown(found) if source is not None and not found.names else "",
        remedy=remedy if source is not None else "",
        key=key,
    )


def _why(task: FireTask, found: Vapours) -> str:
    if not found.names:
        return say(
            "{unknown} An arc, a flame, a hot surface or ultraviolet light may turn the vapour into gases that kill.",
            unknown=_unknown(found),
        )
    rows = task.reference.table("halogen")
    gases = [term(row["gases"]) for row in rows if row["element"] in found.halogens] or [say("acid gases")]
    return say(
        "The air holds vapour of {names}. An arc, a flame, a hot surface or ultraviolet light turns it into {gases}, "
        "which can kill.",
        names=", ".join(found.names),
        gases=", ".join(dict.fromkeys(gases)),
    )


def _unknown(found: Vapours) -> str:
    return say(
        "Whether the vapour here has chlorine, fluorine or bromine in it is not known: {why}.",
        why="; ".join(found.unknown),
    )


def _gone(task: FireTask, index: int, found: Vapours) -> str:
    """From when on the air holds none of it any more, by the clock; "" where nobody can say."""
    trace, exposure = task.reference.threshold(TRACE), task.exposure
    elsewhere = task.job.steps[index].place.id != task.job.place.id
    if found.unknown or elsewhere or isinstance(trace, Unknown) or not found.columns:
        return ""
    columns = list(found.columns)
    temperature = float(p50(exposure.temperature))
    ppm = ppm_from_mass(exposure.curves.decisive.near[:, columns], exposure.molar_mass[columns], temperature, PRESSURE)
    there = [past(float(most) * 1e-6, trace) for most in np.max(ppm, axis=1)]
    last = max((at for at, is_there in enumerate(there) if is_there), default=0)
    if last + 1 >= len(there):
        return ""
    time = max([exposure.timeline.latest(float(exposure.curves.times[last + 1])), *(wet.until for wet in found.wet)])
    return clock(task.job.start, time, "up") if np.isfinite(time) else ""
