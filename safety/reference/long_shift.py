"""A limit made for a working day of 8 hours, on a longer one: how far it is cut, and the words that say so."""

from __future__ import annotations

from safety import levels
from safety.formulas.exposure import extended_shift_factor
from safety.model import EIGHT_HOURS, Figure, Job, Limit, Timeline
from safety.words import say

#: Hours. A whole day leaves no time to recover: the formula would allow nothing at all.
LONGEST = 23.9
#: What must lie between two days of work [s]: "11 consecutive hours", Directive 2003/88/EC, Article 3, from memory.
REST = 39600.0


def factor(job: Job, limit: Limit) -> float:
    """What a limit is multiplied by: 1 but for a shift average where the shift is over 8 h."""
    if limit.kind != "twa" or job.shift <= EIGHT_HOURS:
        return 1.0
    return float(extended_shift_factor(min(job.shift / 3600, LONGEST)))


def words(job: Job, limit: Limit) -> str:
    """What stands beside a limit that is not the list's own: "cut for a 12 h shift"; "" beside one that is."""
    return of_shift(job) if limit.kind == "twa" else ""


def of_shift(job: Job) -> str:
    """The same for any limit of a shift average."""
    return say("cut for a {hours} h shift", hours=hours(job)) if job.shift > EIGHT_HOURS else ""


def sentence(job: Job) -> str:
    """The same beside a sum of parts of limits, where none of them is named; "" for a shift of 8 h or less."""
    if not of_shift(job):
        return ""
    return say("The limits for the shift average are cut for a {hours} h shift.", hours=hours(job))


def hours(job: Job) -> str:
    """The length of the shift in hours; one that is cut never reads as one of 8 h."""
    return levels.compared(job.shift / 3600, EIGHT_HOURS / 3600)


def longest_stay(job: Job, timeline: Timeline) -> float:
    """The longest time [s] from a first step with people in the air to a last one, without a night's rest between."""
    longest, began, ended = 0.0, 0.0, 0.0
    timeline = timeline.ends[-1]  # the slow one
    for index, step in enumerate(job.steps):
        if step.people == "away":
            continue
        start, end = timeline.span(index)
        began = start if not longest or start - ended >= REST else began
        longest, ended = max(longest, end - began), end
    return longest


def compared(job: Job, limit: Limit, allowed: float) -> Figure:
    """A limit as air is held against it [ppm], with the list's own value and what it was cut by."""
    inputs: tuple[tuple[str, object], ...] = (("limit", limit),)
    cut = words(job, limit)
    if cut:
        inputs = (*inputs, ("hours", Figure(say("shift in hours"), job.shift / 3600, "1")))
    return Figure(
        name=say("limit as compared"),
        value=allowed,
        unit="ppm",
        formula="extended_shift_factor" if cut else "",
        inputs=inputs,
        note=say("multiplied by {factor:g} for the long shift", factor=factor(job, limit)) if cut else "",
    )


def as_compared(job: Job, limit: Limit, allowed: float) -> Figure | Limit:
    """A limit as it goes into a figure's inputs: the list's own, and as compared where it is cut."""
    return compared(job, limit, allowed) if words(job, limit) else limit
