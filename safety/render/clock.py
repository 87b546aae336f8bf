"""Spans, waits and windows of a job as clock times in words."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from safety import levels
from safety.clock import clock, days_after, hour, moment
from safety.model import Job, Segment, Step, Window
from safety.words import capital, say


@dataclass(frozen=True, slots=True)
class Limits:
    """A window as the sheet prints it: what it is for, the times with a word each, and what comes after."""

    head: str
    times: tuple[tuple[str, str], ...]
    tail: str

    def __str__(self) -> str:
        times = ", ".join(say("{word} {time}", word=word, time=time) for word, time in self.times)
        tail = self.tail and say("; {tail}", tail=self.tail)
        return say("{head}: {times}{tail}", head=self.head, times=times, tail=tail)


def span(start: datetime, begin: float, end: float) -> str:
    """``"09:15-09:25"``; ``"23:50-00:10 next day"`` over midnight, ``"next day 00:10-00:30"`` after it."""
    first, last = moment(start, begin), moment(start, end, "up")
    days = days_after(start, first)
    if days < 1 or days != days_after(start, last):
        return say("{begin}-{end}", begin=clock(start, begin), end=clock(start, end, "up"))
    times = say("{begin}-{end}", begin=hour(first), end=hour(last))
    if days == 1:
        return say("next day {times}", times=times)
    return say("{days} days later {times}", days=days, times=times)


def pace(step: Step) -> str:
    """For which times of the work the sheet holds, as the shop has it; our own are said elsewhere."""
    if step.lasts is None or step.lasts.exact or step.lasts.basis:
        return ""
    low, high = levels.at_least(step.lasts.low / 60), levels.at_most(step.lasts.high / 60)
    return say("{low} to {high} min", low=low, high=high)


def waits(job: Job, segments: tuple[Segment, ...]) -> tuple[str, ...]:
    """The coats and waits of one step, a line each; none where the step is one stretch of work."""
    if len(segments) == 1 and segments[0].kind == "work":
        return ()
    lines: list[str] = []
    for segment in segments:
        until = clock(job.start, segment.end, "up")
        stretch = span(job.start, segment.start, segment.end)
        if segment.kind == "coat":
            lines.append(say("Coat {number} {span}", number=segment.coat, span=stretch))
        elif segment.kind == "work":
            lines.append(say("Work {span}", span=stretch))
        elif segment.kind == "dry":
            lines.append(_after(lines, say("dry until {time}", time=until)))
        elif segment.kind == "stand":
            lines.append(_after(lines, say("leave standing until {time}", time=until)))
        else:
            lines.append(_after(lines, say("wait until {time}", time=until)))
    return tuple(lines)


def _after(lines: list[str], wait: str) -> str:
    """Put a wait on the line of the coat or work it follows."""
    return say("{work}, {wait}", work=lines.pop(), wait=wait) if lines else capital(wait)


def limits(job: Job, window: Window) -> Limits:
    """A product's window in clock times."""
    head = (
        say("Begin step {number}, {step}", number=window.joins + 1, step=job.steps[window.joins].name)
        if window.joins is not None
        else say("Next work on {product}", product=window.product.name)
    )
    times = [(say("from"), clock(job.start, window.opens, "up"))]
    if window.closes is None:
        return Limits(head, tuple(times), "")
    times.append((say("before"), clock(job.start, window.closes, "down")))
    if window.recoat_until is None:
        return Limits(head, tuple(times), say("later clean and start again"))
    times.append((say("one more coat until"), clock(job.start, window.recoat_until, "down")))
    return Limits(head, tuple(times), say("later clean and start again"))
