"""People without masks in the rest of the place: what they breathe, and from when to when they stay out."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from safety import levels
from safety.clock import clock
from safety.exposure.result import Floats, Standing, any_of
from safety.model import ClockSpan, Figure, Finding
from safety.words import joined, say
from safety_ventilation.clearing import partly_judged, unjudged_from
from safety_ventilation.limits import JUDGED, PLUGIN, Air, AirTask, Mixed, Reading, over_shift

KEY = "air-bystanders"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What they breathe, held against every limit; each list has the worst first."""

    readings: list[Reading]
    deadly: list[Reading]
    danger: Standing  # of what is dangerous to life or health
    mixed: list[tuple[Mixed, str]]  # vapours together, and over which time
    partly: bool  # some of it is in no figure or under no limit

    @property
    def over(self) -> list[Reading]:
        return [r for r in self.readings if r.over]

    @property
    def out(self) -> bool:
        """Whether they must leave the place."""
        return bool(self.over or self.deadly or any(one.standing.over for one, _ in self.mixed))

    @property
    def worst(self) -> Reading:
        return (self.deadly or self.over or self.readings)[0]

    @property
    def figures(self) -> tuple[Figure, ...]:
        return (*(r.figure for r in (*self.deadly, *self.readings)), *(one.figure for one, _ in self.mixed))

    @property
    def standing(self) -> Standing:
        return any_of([*(r.standing for r in self.readings), *(one.standing for one, _ in self.mixed), self.danger])

    @property
    def unknown(self) -> str:
        return say("What people elsewhere in the place breathe is not all known.") if self.partly else ""


def judge(task: AirTask) -> list[Finding]:
    found = verdict(task, over_shift(task.exposure.bystander))
    if not found.readings and not found.deadly:
        return [_nothing_known(found)] if found.partly else []
    return [_keep_out(task, found) if found.out else _under_the_limits(task, found)]


def verdict(task: AirTask, air: Air) -> Verdict:
    dangers = task.readings(air, ("idlh",))
    sums = (
        (task.mixture(air, ("twa",), True), say("shift average")),
        (task.mixture(air, ("short-term", "ceiling"), False), say("worst 15 minutes")),
    )
    return Verdict(
        readings=task.readings(air, JUDGED),
        deadly=[r for r in dangers if r.over],
        danger=any_of(r.standing for r in dangers),
        mixed=[(one, span) for one, span in sums if one is not None],
        partly=partly_judged(task),
    )


def _nothing_known(found: Verdict) -> Finding:
    """Nothing of what people elsewhere breathe can be held against a limit, and there is something."""
    return Finding(
        "control",
        "air",
        found.unknown,
        say("Others in the place: not known"),
        PLUGIN,
        unknown=found.unknown,
        remedy=say("Keep others out until what is missing is known."),
        key=KEY,
        roles=(ClockSpan("others out", 0.0, None),),
    )


def _under_the_limits(task: AirTask, found: Verdict) -> Finding:
    worst, partly = found.readings[0], found.partly
    values = {"substance": worst.substance.name, "span": worst.span, "value": worst.shown, "limit": worst.named}
    text = (
        say(
            "What people elsewhere in the place breathe is not all known. What could be judged stays under every "
            "limit. Highest: {substance}, {span}, {value} ppm, limit {limit}.",
            **values,
        )
        if partly
        else say(
            "People elsewhere in the place stay under every limit. "
            "Highest: {substance}, {span}, {value} ppm, limit {limit}.",
            **values,
        )
    )
    if task.exposure.unknowns:
        text = joined((text, say("Vapour that could not be counted is not in it.")))
    return Finding(
        "control" if partly else "note",
        "air",
        text,
        say("Others in the place: not known") if partly else say("Others may stay in the place: under the limits"),
        PLUGIN,
        figures=found.figures,
        unknown=found.unknown,
        remedy=say("Keep others out until what is missing is known.") if partly else "",
        rule=worst.rule,
        key=KEY,
        close="" if partly else found.standing.close,
        roles=(ClockSpan("others out", 0.0, None if partly else 0.0),),
    )


def _keep_out(task: AirTask, found: Verdict) -> Finding:
    clocks = task.exposure.timeline
    first, last = _hours(task, found.partly)
    first, last = clocks.earliest(first), clocks.latest(last)
    begin, end = clock(task.job.start, first, "down"), clock(task.job.start, last, "up")
    times = (
        Figure(say("others out from, after the start"), first, "s"),
        Figure(say("others out until, after the start"), last, "s"),
    )
    out = say(
        "Keep others out of the place from {begin} to {end}{more}.",
        begin=begin,
        end=end,
        more=say(", and after that as long as the rest is not known") if found.partly else "",
    )
    return Finding(
        level="stop" if found.deadly else "control",
        topic="air",
        statement=joined((out, why_out(found))),
        short=joined((say("Keep others out from {begin}", begin=begin), say("until when is not known")), "; ")
        if found.partly
        else say("Keep others out {begin} to {end}", begin=begin, end=end),
        plugin=PLUGIN,
        figures=(*found.figures, *times),
        rule=found.worst.rule,
        unknown=found.unknown,
        remedy=say("Bring more clean air through the place, or do the job when nobody else is in it."),
        key=KEY,
        grounds=task.clear_by,
        close=found.danger.close or found.standing.close,
        roles=(ClockSpan("others out", first, None if found.partly else last),),
    )


def why_out(found: Verdict) -> str:
    worst = found.worst
    if found.over or found.deadly:
        return say(
            "Without a mask they would breathe {substance} at {value} ppm ({span}). The limit is {limit}.",
            substance=worst.substance.name,
            value=worst.shown,
            span=worst.span,
            limit=worst.named,
        )
    most, span = max(found.mixed, key=lambda one: one[0].careful.bound)  # each vapour is under its own limit
    return say(
        "Without a mask they would breathe vapours that together reach {index} times what is allowed ({span}).",
        index=levels.compared(most.figure.value, 1.0, digits=2),
        span=span,
    )


def _hours(task: AirTask, partly: bool) -> tuple[float, float]:
    """From when to when the far field is over the lowest limits [s].

    ``partly``: some of the vapour is in no figure or under no limit; from its beginning on the air may be over them.
    """
    curves = task.exposure.curves
    over = np.flatnonzero(task.share_of_limits(curves.decisive.far) > 1)
    begin, end = 0.0, task.exposure.timeline.end
    if len(over):
        begin, end = _at(curves.times, over[0] - 1), _at(curves.times, over[-1] + 1)
    if partly:
        begin = min(begin, unjudged_from(task))
    return begin, end


def _at(times: Floats, index: int) -> float:
    return float(times[min(max(index, 0), len(times) - 1)])
