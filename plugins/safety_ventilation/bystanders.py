"""People elsewhere in the place: whether they stay under the limits, and else from when to when they are out."""

from __future__ import annotations

import numpy as np

from safety import levels
from safety.clock import clock
from safety.exposure.result import Floats, any_of
from safety.model import ClockSpan, Figure, Finding
from safety.words import joined, say
from safety_ventilation.clearing import partly_judged, unjudged_from
from safety_ventilation.limits import JUDGED, PLUGIN, AirTask, over_shift


def judge(task: AirTask) -> list[Finding]:
    """People without masks in the rest of the place."""
    air = over_shift(task.exposure.bystander)
    dangers = task.readings(air, ("idlh",))
    deadly = [r for r in dangers if r.over]
    readings = task.readings(air, JUDGED)
    sums = (
        (task.mixture(air, ("twa",), True), say("shift average")),
        (task.mixture(air, ("short-term", "ceiling"), False), say("worst 15 minutes")),
    )
    mixed = [(one, span) for one, span in sums if one is not None]
    danger = any_of(r.standing for r in dangers)
    close = any_of([*(r.standing for r in readings), *(one.standing for one, _ in mixed), danger]).close
    partly = partly_judged(task)
    unknown = say("What people elsewhere in the place breathe is not all known.") if partly else ""
    if not readings and not deadly:
        return [_nothing_known(unknown)] if partly else []
    over = [r for r in readings if r.over]
    figures = (*(r.figure for r in (*deadly, *readings)), *(one.figure for one, _ in mixed))
    if not over and not deadly and not any(one.standing.over for one, _ in mixed):
        worst = readings[0]
        text = say(
            "People elsewhere in the place stay under every limit. "
            "Highest: {substance}, {span}, {value} ppm, limit {limit}.",
            substance=worst.substance.name,
            span=worst.span,
            value=worst.shown,
            limit=worst.named,
        )
        if partly:
            text = say(
                "What people elsewhere in the place breathe is not all known. What could be judged stays under every "
                "limit. Highest: {substance}, {span}, {value} ppm, limit {limit}.",
                substance=worst.substance.name,
                span=worst.span,
                value=worst.shown,
                limit=worst.named,
            )
        if task.exposure.unknowns:
            text = joined((text, say("Vapour that could not be counted is not in it.")))
        return [
            Finding(
                "control" if partly else "note",
                "air",
                text,
                say("Others in the place: not known") if partly else say("Others in the place: under the limits"),
                PLUGIN,
                figures=figures,
                unknown=unknown,
                remedy=say("Keep others out until what is missing is known.") if partly else "",
                rule=worst.rule,
                key="air-bystanders",
                close="" if partly else close,
                roles=(ClockSpan("others out", 0.0, None if partly else 0.0),),
            )
        ]
    first, last = _hours(task, partly)
    begin, end = clock(task.job.start, first, "down"), clock(task.job.start, last, "up")
    figures += (
        Figure(say("others out from, after the start"), first, "s"),
        Figure(say("others out until, after the start"), last, "s"),
    )
    worst = (deadly or over or readings)[0]
    out = say(
        "Keep others out of the place from {begin} to {end}{more}.",
        begin=begin,
        end=end,
        more=say(", and after that as long as the rest is not known") if partly else "",
    )
    if over or deadly:
        why = say(
            "Without a mask they would breathe {substance} at {value} ppm ({span}). The limit is {limit}.",
            substance=worst.substance.name,
            value=worst.shown,
            span=worst.span,
            limit=worst.named,
        )
    else:  # each vapour is under its own limit
        most, span = max(mixed, key=lambda one: one[0].careful.bound)
        why = say(
            "Without a mask they would breathe vapours that together reach {index} times what is allowed ({span}).",
            index=levels.compared(most.figure.value, 1.0, digits=2),
            span=span,
        )
    return [
        Finding(
            level="stop" if deadly else "control",
            topic="air",
            statement=joined((out, why)),
            short=joined((say("Keep others out from {begin}", begin=begin), say("until when is not known")), "; ")
            if partly
            else say("Keep others out {begin} to {end}", begin=begin, end=end),
            plugin=PLUGIN,
            figures=figures,
            rule=worst.rule,
            unknown=unknown,
            remedy=say("Bring more clean air through the place, or do the job when nobody else is in it."),
            key="air-bystanders",
            grounds=task.clear_by,
            close=danger.close or close,
            roles=(ClockSpan("others out", first, None if partly else last),),
        )
    ]


def _nothing_known(unknown: str) -> Finding:
    """Nothing of what people elsewhere breathe can be held against a limit, and there is something."""
    return Finding(
        "control",
        "air",
        unknown,
        say("Others in the place: not known"),
        PLUGIN,
        unknown=unknown,
        remedy=say("Keep others out until what is missing is known."),
        key="air-bystanders",
        roles=(ClockSpan("others out", 0.0, None),),
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
