"""Other jobs in the same place: whose vapour is here, who must be out, and when the air is clear after them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety.cited import Unknown
from safety.clock import clock
from safety.exposure import Exposure, Neighbour
from safety.exposure.lying import NEVER, wet_beside
from safety.exposure.meetings import two_airs
from safety.exposure.result import Decisive, FarAir
from safety.model import ClockSpan, Figure, Finding, Place
from safety.words import joined, message, say
from safety_ventilation.clearing import clear_from, partly_judged, unjudged_from, without_limit
from safety_ventilation.limits import FIRE_STOP, PLUGIN, AirTask


@dataclass(frozen=True, slots=True)
class Safe:
    """The earliest safe start after another job [s of this job's clock], or the sentence why there is none."""

    time: float
    words: str = ""
    unknown: bool = False


def judge(task: AirTask) -> list[Finding]:
    return [_beside(task, other) for other in task.exposure.neighbours]


def _beside(task: AirTask, other: Neighbour) -> Finding:
    start, title = task.job.start, other.job.title
    begin, end = other.timeline.segments[0].start, other.timeline.latest(other.timeline.end)
    gives_off = other.alone is None or bool(other.alone.substances) or bool(other.alone.unknowns)
    here = {p.id for p in task.job.places} & {p.id for p in other.job.places}
    times = {"job": title, "begin": clock(start, begin), "end": clock(start, end)}
    sentences = [
        say("“{job}” is done in this place from {begin} to {end}.", **times)
        if here
        else say("“{job}” is done behind a door of this place from {begin} to {end}.", **times),
        say("Its vapour is in this sheet's figures.") if gives_off else say("It gives off no vapour."),
    ]
    for index, at in list(two_airs(task.job, task.exposure.timeline, other))[:1]:
        mine, theirs = task.job.steps[index], other.job.steps[at]
        text = say(
            "If one goes slowly they meet in {place}: here with “{state}”, there with “{other}”. The worse of both "
            "counts. Wait for each other, or agree on one.",
            place=mine.place.name or mine.place.id,
            state=mine.air.called,
            other=theirs.air.called,
        )
        sentences.append(text)
    safe = _safe_after(task, other) if gives_off and begin <= 0 else Safe(0.0)
    if safe.words:
        sentences.append(safe.words)
    elif safe.time > 0:
        text = say("The earliest safe start of this job after it is {time}.", time=clock(start, safe.time, "up"))
        sentences.append(joined((text, say("Until then its vapour comes on top of this job's own."))))
    out = _out(task, other)
    if out:
        sentences.append(
            say(
                "From {begin} to {end} the air of the place may be over a limit for people without a mask. "
                "The crew of “{job}” stays out then, or wears what its own sheet says.",
                begin=clock(start, out[0], "down"),
                end=clock(start, out[1], "up"),
                job=title,
            )
        )
    if gives_off:
        sentences.append(say("Who works in both jobs breathes both: add up the shift averages of the two sheets."))
    waits = safe.time > 0 or bool(out)
    return Finding(
        level="control" if waits else "note",
        topic="air",
        statement=joined(sentences),
        short=_short(task, other, safe),
        plugin=PLUGIN,
        figures=(
            Figure(say("earliest safe start after “{job}”", job=title), safe.time / 60, message("min after the start")),
        )
        if 0 < safe.time < NEVER
        else (),
        unknown=safe.words if safe.unknown else "",
        remedy=say("Do the jobs one after the other, or in two places.") if waits else "",
        key=f"air-beside:{other.job.id}",
        roles=(ClockSpan("after another job", 0.0, _known(safe.time), other.job.id),),
        grounds=(*task.clear_by, *(AirTask(other.job, other.alone, task.reference).clear_by if other.alone else ())),
    )


def _known(time: float) -> float | None:
    return max(time, 0.0) if time < NEVER else None


def _short(task: AirTask, other: Neighbour, safe: Safe) -> str:
    if safe.time <= 0:
        return say("Beside “{job}”", job=other.job.title)
    if safe.words:
        return say("Beside “{job}”: no safe start known", job=other.job.title)
    time = clock(task.job.start, safe.time, "up")
    return say("After “{job}” not before {time}", job=other.job.title, time=time)


def _safe_after(task: AirTask, other: Neighbour) -> Safe:
    """When the other job's things are dry or gone, and the far field it alone would leave is clear."""
    air = None if other.alone is None else _left_by(other.alone, task.job.place)
    if other.alone is None or air is None:
        return Safe(NEVER, say("When its vapour is gone from this place was not worked out."), True)
    alone, threshold = other.alone, task.reference.threshold(FIRE_STOP)
    for missing in (threshold, air.far_fraction):
        if isinstance(missing, Unknown):
            text = say("When the air is clear of fire danger after it is not known: {why}.", why=missing.reason)
            return Safe(NEVER, text, True)
    own = AirTask(other.job, alone, task.reference)
    if alone.unknowns or without_limit(own):
        text = say("Part of its vapour could not be judged, so when the air is clear after it is not known.")
        return Safe(NEVER, text, True)
    clear = clear_from(own, own.share_of_limits(air.far), air.far_fraction, threshold)
    if clear is None:
        return Safe(NEVER, say("The air does not clear within a day after it: there is no safe start of this job."))
    dry = max(
        (
            (wet_beside(other, at, thing), thing.product.name)
            for at, step in enumerate(other.job.steps)
            for thing in step.wet_things
            if step.place.id == task.job.place.id
        ),
        default=(0.0, ""),
    )
    if dry[0] == NEVER:
        text = say("Something wet with {product} stays after it. Take it away before this job starts.", product=dry[1])
        return Safe(NEVER, text)
    return Safe(max(other.timeline.segments[0].start + alone.timeline.latest(clear), dry[0]))


def _left_by(alone: Exposure, place: Place) -> Decisive | FarAir | None:
    """The air that a job alone leaves in a place: its own, or one it works in as well, or one behind its doors."""
    if alone.job.place.id == place.id:
        return alone.curves.decisive
    return next((one for one in alone.elsewhere if one.place.id == place.id), None)


def _out(task: AirTask, other: Neighbour) -> tuple[float, float] | None:
    """From when to when the other crew is in this place while its air is over a limit [s].

    Between two points of the curve the air counts as over where it is at either. A step that only touches such a
    stretch is not in it. From where vapour comes that nobody can judge, the air counts as over.
    """
    curves = task.exposure.curves
    over = task.share_of_limits(curves.decisive.far) > 1
    if partly_judged(task):
        over = over | (curves.times >= unjudged_from(task))
    begins, ends = curves.times[:-1], curves.times[1:]
    stretch = over[:-1] | over[1:]
    times: list[float] = []
    for at, step in enumerate(other.job.steps):
        if step.people == "away" or step.place.id != task.job.place.id:
            continue
        first, last = other.timeline.possible(at)
        hit = np.flatnonzero(stretch & (begins < last) & (ends > first))
        if len(hit):
            times += [max(first, float(begins[hit[0]])), min(last, float(ends[hit[-1]]))]
    return (min(times), max(times)) if times else None
