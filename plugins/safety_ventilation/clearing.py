"""When the air is clear again after the last step, for people and for flames."""

from __future__ import annotations

import math

import numpy as np

from safety.cited import Unknown
from safety.clock import clock
from safety.exposure.result import Decisive, Floats, Standing, all_of, any_of, p95
from safety.model import ClockSpan, Figure, Finding, Threshold
from safety.reference import crossed, long_shift, settled
from safety.words import joined, say
from safety_ventilation import night
from safety_ventilation.limits import FIRE_STOP, JUDGED, PLUGIN, AirTask, give_what_is_missing, over_shift


def judge(task: AirTask) -> list[Finding]:
    if not task.exposure.substances:
        return [_nothing_known(task)] if task.exposure.unknowns else []
    threshold = task.reference.threshold(FIRE_STOP)
    curves = task.exposure.curves
    fire_unknown = _fire_unknown(threshold, curves.near_fraction_p95, curves.far_fraction_p95)
    near, far = _both(task, curves.decisive, threshold)
    end = task.exposure.timeline.end
    latest = _later(near, far)
    cleared = None if latest is None else task.exposure.timeline.latest(latest)
    times = [_later(*_both(task, one, threshold)) for one in _curves(task)]
    never, late = (Standing(*at) for at in zip(*((t is None, t is None or t > end) for t in times), strict=True))
    overnight = night.not_clear(task, times)
    standing = any_of((never, overnight, all_of(late, _anybody_over(task, end))))
    partly = partly_judged(task)
    open_end = partly or bool(fire_unknown)
    sentences = [
        _sentence(task, say("where the work was"), near, open_end),
        _sentence(task, say("in the rest of the place"), far, open_end),
    ]
    sentences.append(say("Clear means under every loaded limit with the vapours added up, and under the fire limit."))
    if task.exposure.timeline.quick is not None:
        sentences.append(say("The times are those of the slowest work this sheet holds for."))
    if long_shift.sentence(task.job):
        sentences.append(long_shift.sentence(task.job))
    if open_end or overnight.over:
        sentences.append(night.sentence(task))
    if without_limit(task):
        sentences.append(say("This leaves out what has no limit: {names}.", names=", ".join(without_limit(task))))
    if task.exposure.unknowns:
        sentences.append(say("Vapour that could not be counted is not in it."))
    waits = open_end or standing.over
    morning = say("next shift: air the place first") if overnight.over and latest is not None else ""
    return [
        Finding(
            level="control" if waits else "note",
            topic="air",
            statement=joined(sentences),
            short=joined((_short(task, cleared, open_end), morning), "; "),
            plugin=PLUGIN,
            figures=_figures(cleared, threshold),
            rule=threshold.citation if isinstance(threshold, Threshold) else "",
            grounds=task.clear_by,
            unknown=fire_unknown or _unknown(partly),
            remedy=say("Take wet rags and waste away in closed cans, and move more clean air through the place.")
            if waits
            else "",
            key="air-clear",
            close="" if open_end else standing.close,
            roles=(ClockSpan("air not clear", task.exposure.timeline.earliest(end), None if open_end else cleared),),
        )
    ]


def _curves(task: AirTask) -> tuple[Decisive, Decisive, Decisive]:
    """The curves as printed, as they decide, and as they would with another seed."""
    of = task.exposure.curves
    printed = Decisive(of.near_p95, of.far_p95, of.near_fraction_p95, of.far_fraction_p95)
    return printed, of.decisive, of.edge


def _anybody_over(task: AirTask, end: float) -> Standing:
    """Whether anybody is over a limit by the plan, or the air can burn after it: else nothing has to wait."""
    found = []
    for people in (task.exposure.worker, task.exposure.bystander):
        air = over_shift(people)
        mixed = (task.mixture(air, ("twa",), True), task.mixture(air, ("short-term", "ceiling"), False))
        found += [r.standing for r in task.readings(air, (*JUDGED, "idlh"))] + [m.standing for m in mixed if m]
    limit, later = task.reference.threshold(FIRE_STOP), task.exposure.curves.times > end
    burns = (
        any(
            isinstance(limit, Unknown)
            or isinstance(f, Unknown)
            or bool(crossed(f, limit.value, limit.compare)[later].any())
            for f in (air.near_fraction, air.far_fraction)
        )
        for air in _curves(task)
    )
    return any_of([*found, Standing(*burns)])


def _both(task: AirTask, air: Decisive, threshold: Threshold | Unknown) -> tuple[float | None, float | None]:
    """When the near and the far field are clear."""
    near = clear_from(task, task.share_of_limits(air.near), air.near_fraction, threshold)
    return near, clear_from(task, task.share_of_limits(air.far), air.far_fraction, threshold)


def _later(near: float | None, far: float | None) -> float | None:
    return None if near is None or far is None else max(near, far)


def _nothing_known(task: AirTask) -> Finding:
    """All the vapour there is is uncounted."""
    return Finding(
        level="control",
        topic="air",
        statement=_unknown(True),
        short=say("When the air is clear is not known"),
        plugin=PLUGIN,
        unknown=_unknown(True),
        remedy=give_what_is_missing(),
        key="air-clear",
        roles=(ClockSpan("air not clear", task.exposure.timeline.end, None),),
    )


def _fire_unknown(threshold: Threshold | Unknown, *fractions: Floats | Unknown) -> str:
    for one in (threshold, *fractions):
        if isinstance(one, Unknown):
            return say("When the air is clear of fire danger is not known: {why}.", why=one.reason)
    return ""


def clear_from(
    task: AirTask, shares: Floats, fraction: Floats | Unknown, threshold: Threshold | Unknown
) -> float | None:
    """The first time [s] from which the air stays clear after the last step; None if it does not clear.

    An unknown fraction of the explosive limit is said apart and does not set the time.
    """
    times = task.exposure.curves.times
    after = np.round(times, 6) >= round(task.exposure.timeline.end, 6)
    bad = shares > 1
    if isinstance(threshold, Threshold) and not isinstance(fraction, Unknown):
        bad = bad | crossed(fraction, threshold.value, threshold.compare)
    bad = bad & after
    if not after.any():
        return None
    if not bad.any():
        return task.exposure.timeline.end
    last = int(np.flatnonzero(bad)[-1])
    return float(times[last + 1]) if last + 1 < len(times) else None


def partly_judged(task: AirTask) -> bool:
    """Whether something in the air is in no figure, or in one that no limit judges: then no time is a time to go in."""
    return bool(task.exposure.unknowns or without_limit(task) or task.uncounted)


def unjudged_from(task: AirTask) -> float:
    """When the first vapour comes that is in no figure or that no limit judges [s]."""
    unjudged = [c for c in range(len(task.exposure.substances)) if c not in task.lowest(JUDGED)]
    for index, air in enumerate(task.exposure.steps):
        if air.unknown or (p95(air.near_peak)[unjudged] > 0).any() or (p95(air.far_peak)[unjudged] > 0).any():
            return task.exposure.timeline.span(index)[0]
    return 0.0  # another job's, or after the last step


def _unknown(partly: bool) -> str:
    return say("When the air is clear is not known: not all of the vapour could be judged.") if partly else ""


def _sentence(task: AirTask, where: str, seconds: float | None, unknown: bool) -> str:
    if seconds is None:
        return say("The air {where} is not clear within {hours} h.", where=where, hours=_hours(task))
    seconds = task.exposure.timeline.latest(seconds)
    if unknown:
        time = clock(task.job.start, seconds, "up")
        return say("The air {where} is not clear before {time}; after that it is not known.", where=where, time=time)
    return say("The air {where} is clear at {time}.", where=where, time=clock(task.job.start, seconds, "up"))


def _short(task: AirTask, latest: float | None, unknown: bool) -> str:
    if latest is None:
        return say("Air not clear within {hours} h", hours=_hours(task))
    timeline, time = task.exposure.timeline, clock(task.job.start, latest, "up")
    if unknown:
        return say("Air not clear before {time}, then not known", time=time)
    if timeline.quick is None:
        return say("Air clear {time}", time=time)
    minutes = math.ceil(settled((latest - timeline.latest(timeline.end)) / 60))
    return say("Air clear {minutes} min after the work ends, by {time} at the latest", minutes=minutes, time=time)


def _hours(task: AirTask) -> str:
    """How long after the last step the air was looked at."""
    return say("{hours:.0f}", hours=(float(task.exposure.curves.times[-1]) - task.exposure.timeline.end) / 3600)


def _figures(latest: float | None, threshold: Threshold | Unknown) -> tuple[Figure, ...]:
    if latest is None:
        return ()
    inputs = (("fire limit", threshold),) if isinstance(threshold, Threshold) else ()
    return (
        Figure(
            say("air clear, after the start"),
            latest,
            "s",
            "",
            inputs,
            note=say("read from the computed air, careful side"),
        ),
    )


def without_limit(task: AirTask) -> list[str]:
    """The vapours in this air that no loaded limit judges, whether or not anybody stands in them by the plan."""
    lowest = task.lowest(JUDGED)
    curves = task.exposure.curves
    there = ((curves.near_p95 > 0) | (curves.far_p95 > 0)).any(axis=0)
    vapour = {
        *np.flatnonzero(there).tolist(),
        *task.vapour(over_shift(task.exposure.worker)),
        *task.vapour(over_shift(task.exposure.bystander)),
    }
    return [task.exposure.substances[c].name for c in sorted(vapour - set(lowest))]
