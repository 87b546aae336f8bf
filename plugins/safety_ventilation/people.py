"""Whole-job answers: the worker's shift, the vapours together, people standing by, and missing limits."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from safety import levels
from safety.clock import clock
from safety.exposure.result import Floats, any_of
from safety.model import Figure, Finding, Level, Limit, LimitKind
from safety.reference import long_shift, settled
from safety.reference.citing import duty
from safety.words import capital, joined, say, term
from safety_ventilation.airflow import local_exhaust, remedy
from safety_ventilation.clearing import partly_judged, unjudged_from
from safety_ventilation.limits import JUDGED, PLUGIN, Air, AirTask, Reading, add_a_limit, broken, in_step, over_shift

#: Key of a finding -> the kinds of limit it answers for.
GROUPS: dict[str, tuple[LimitKind, ...]] = {
    "air-shift": ("twa",),
    "air-15min": ("short-term",),
    "air-ceiling": ("ceiling", "peak"),
    "air-idlh": ("idlh",),
}


def judge(task: AirTask) -> list[Finding]:
    air = over_shift(task.exposure.worker)
    found = [_substance(task, key, group) for key, kinds in GROUPS.items() for group in _by_substance(task, air, kinds)]
    return [
        *found,
        *_without_limit(task),
        *_uncounted(task),
        *_together(task, air),
        *_longer_than_shift(task),
        *_bystanders(task),
    ]


def _by_substance(task: AirTask, air: Air, kinds: Sequence[LimitKind]) -> list[list[Reading]]:
    groups: dict[str, list[Reading]] = {}
    for reading in task.readings(air, kinds):
        groups.setdefault(reading.substance.cas, []).append(reading)
    return list(groups.values())


def _substance(task: AirTask, key: str, readings: list[Reading]) -> Finding:
    worst = readings[0]
    name, value = capital(worst.substance.name), worst.shown
    stated = say(
        "{substance}, {span}: {value} ppm for the worker. The limit is {limit}.",
        substance=name,
        span=worst.span,
        value=value,
        limit=worst.named,
    )
    uncounted = [say("Vapour that could not be counted is not in it.")] if task.exposure.unknowns else []
    sentences = [stated, *uncounted, *_remarks(task, readings)]
    help_text, figures = remedy(task, worst) if worst.over else ("", ())
    if worst.over and key == "air-idlh":
        help_text = say(
            "Use less at a time, work a smaller area, or take the vapour away at the source. Then make a new sheet."
        )
    if worst.over and not worst.standing.close:
        sentences.append(_verdict(worst))
    short = say(
        "{substance} {value} ppm ({span}), limit {limit}",
        substance=worst.substance.name,
        value=value,
        span=worst.span,
        limit=worst.brief,
    )
    return Finding(
        level=_level(task, key, worst),
        topic="air",
        statement=joined(sentences),
        short=broken(short, worst) if worst.over else short,
        plugin=PLUGIN,
        figures=(*(r.figure for r in readings), *figures),
        rule=worst.rule,
        remedy=help_text,
        key=f"{key}:{worst.substance.cas}",
        close=any_of(r.standing for r in readings).close,
    )


def _verdict(worst: Reading) -> str:
    if worst.at:
        return say("This is at the limit, and it must stay under it.")
    return say("This is over the limit.")


def _level(task: AirTask, key: str, worst: Reading) -> Level:
    """Over a limit for a short time the step says what to do there; the whole job's figure is then to be known."""
    if not worst.over:
        return "note"
    if key == "air-idlh":
        return "stop"
    if key == "air-shift":
        return "control"
    steps = (task.readings(in_step(air), (worst.limit.kind,)) for air in task.exposure.steps)
    return "note" if any(r.over and r.limit == worst.limit for step in steps for r in step) else "control"


def _mixed_in_a_step(task: AirTask) -> bool:
    mixed = (task.mixture(in_step(air), ("short-term", "ceiling"), average=False) for air in task.exposure.steps)
    return any(one is not None and one.standing.over for one in mixed)


def _remarks(task: AirTask, readings: list[Reading]) -> list[str]:
    """What a reader must know to weigh the comparison."""
    out = []
    worst = readings[0]
    if worst.cut:
        out.append(
            say(
                "The limit is multiplied by {factor} for a shift of {hours} hours (Brief and Scala).",
                factor=levels.compared(long_shift.factor(task.job, worst.limit), 1.0, digits=2),
                hours=long_shift.hours(task.job),
            )
        )
    if worst.limit.kind == "twa" and worst.limit.averaging > long_shift.EIGHT_HOURS:
        hours = worst.limit.averaging / 3600
        out.append(
            say(
                "This limit is meant for days of up to {hours:g} hours. How many such days the week has is not known "
                "here, so it is cut all the same, and the 8-hour average is held against it.",
                hours=hours,
            )
            if worst.cut and task.job.shift <= worst.limit.averaging
            else say(
                "This limit is meant for {hours:g} hours; the 8-hour average is held against it.",
                hours=hours,
            )
        )
    peaks = [r.limit for r in readings if r.limit.kind == "peak"]
    ceilings = [r for r in readings if r.limit.kind == "ceiling"]
    out += [_allowance(task, c.limit, p) for c in ceilings for p in peaks if c.over and c.limit.list == p.list]
    if worst.limit.unverified:
        out.append(say("This limit is unverified: {why}.", why=term(worst.limit.unverified)))
    return out


def _allowance(task: AirTask, ceiling: Limit, peak: Limit) -> str:
    """OSHA's table Z-2 lets the air pass a ceiling for some minutes, up to a peak: of a shift, or of 2 or 3 hours."""
    minutes = say("{minutes:g} minutes", minutes=(peak.peak_duration or 0) / 60)
    return say(
        "The rule lets the air pass {ceiling} for {minutes} in any {hours:g} hours, up to {peak}. "
        "This sheet takes no credit for that.",
        ceiling=ceiling.written,
        minutes=minutes,
        hours=(peak.peak_window or long_shift.EIGHT_HOURS) / 3600,
        peak=peak.written,
    )


def _without_limit(task: AirTask) -> list[Finding]:
    """A vapour that no list has a limit for is unknown, not harmless."""
    everybody = {*task.vapour(over_shift(task.exposure.worker)), *task.vapour(over_shift(task.exposure.bystander))}
    lowest = task.lowest(JUDGED)
    found = []
    for column in sorted(everybody - set(lowest)):
        name = task.exposure.substances[column].name
        text = say("No exposure limit of {substance} is loaded, so its vapour could not be judged.", substance=name)
        key = f"air-no-limit:{task.exposure.substances[column].cas}"
        found.append(
            Finding(
                "control",
                "air",
                text,
                say("No limit for {substance}", substance=name),
                PLUGIN,
                unknown=text,
                remedy=add_a_limit(),
                key=key,
            )
        )
    return found


def _uncounted(task: AirTask) -> list[Finding]:
    """Groups of atoms that a limit counts, in what is in no figure: the sum is unknown, not small."""
    return [
        Finding(
            "control",
            "air",
            say("{text}.", text=one.text),
            say("{group} groups in the air: not known", group=one.limit.as_group),
            PLUGIN,
            rule=say("{citation}, {edition}", citation=one.limit.citation, edition=one.limit.edition),
            unknown=one.text,
            grounds=one.grounds,
            remedy=say("Have the air measured as {group}, and ask the safety officer.", group=one.limit.as_group),
            key=f"air-group:{one.limit.as_group}",
        )
        for one in task.uncounted
    ]


def _together(task: AirTask, air: Air) -> list[Finding]:
    """Vapours that act alike add up; all solvents are taken to do so unless somebody knows better."""
    found = []
    for key, kinds, span in (
        ("air-mixture-shift", ("twa",), say("shift average")),
        ("air-mixture-15min", ("short-term", "ceiling"), say("worst 15 minutes")),
    ):
        mixed = task.mixture(air, kinds, average=key == "air-mixture-shift")  # type: ignore[arg-type]
        if mixed is None:
            continue
        figure, left_out = mixed.figure, mixed.left_out
        over, index = mixed.standing.over, levels.compared(figure.value, 1.0, digits=2)
        sentences = [
            say(
                "All vapours together, {span}: {index} times what is allowed.",
                span=span,
                index=index,
            ),
            say("Solvents are taken to act alike, each against its lowest limit."),
        ]
        if left_out:
            names = ", ".join(s.name for s in left_out)
            sentences.append(say("Not in it, for want of such a limit: {names}.", names=names))
        if kinds == ("twa",) and long_shift.sentence(task.job):
            sentences.append(long_shift.sentence(task.job))
        law = duty(task.reference, "vapours together")
        short = say("Vapours together: {index} times what is allowed ({span})", index=index, span=span)
        if task.exposure.unknowns:
            sentences.append(say("Vapour that could not be counted is not in it."))
            short = say("Counted vapours together: {index} times what is allowed ({span})", index=index, span=span)
        found.append(
            Finding(
                level="control" if over and not (key == "air-mixture-15min" and _mixed_in_a_step(task)) else "note",
                topic="air",
                statement=joined(sentences),
                short=short,
                plugin=PLUGIN,
                figures=(figure,),
                rule="; ".join(
                    filter(
                        None,
                        (
                            law.text,
                            say("taking solvents as acting alike is the careful side"),
                        ),
                    )
                ),
                remedy=local_exhaust(mixed.careful.bound) if over else "",
                key=key,
                close=mixed.standing.close,
                grounds=law.rows,
            )
        )
    return found


def _longer_than_shift(task: AirTask) -> list[Finding]:
    """Limits are cut for the shift the job file gives; the steps may keep people there for longer."""
    stay, shift = long_shift.longest_stay(task.job, task.exposure.timeline), task.job.shift
    if not task.exposure.substances or settled(stay) <= settled(shift):
        return []
    hours = {"stay": levels.compared(stay / 3600, shift / 3600), "shift": levels.printed(shift / 3600)}
    return [
        Finding(
            level="control",
            topic="air",
            statement=say(
                "By the plan people are in this work for {stay} h. The shift in the job file is {shift} h, and the "
                "limits are for that. They do not protect one who stays for all of it.",
                **hours,
            ),
            short=say("Work of {stay} h in a shift of {shift} h: change crews", **hours),
            plugin=PLUGIN,
            remedy=say(
                "Let another crew take over before {shift} h are over. If one crew does it all, write the real length "
                "of the shift into the job file.",
                shift=hours["shift"],
            ),
            key="air-longer-than-shift",
        )
    ]


def _bystanders(task: AirTask) -> list[Finding]:
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
