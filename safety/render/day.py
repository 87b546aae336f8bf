"""A day arranged for reading: every job in order of its start, what they do to each other, and their results."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from safety.model import ClockSpan, Report, Role
from safety.render import text_safe
from safety.render.arrange import Sheet, arrange
from safety.render.clock import span
from safety.render.merging import Mark, Merged, Said, in_steps, mark, short, word
from safety.render.others import others, stretches
from safety.render.text import WIDTH, wrapped
from safety.words import say, term


@dataclass(frozen=True, slots=True)
class Task:
    """One job of the day."""

    report: Report
    sheet: Sheet
    when: str  # "07:30-12:21"
    others: tuple[Said, ...]  # who must be out, and when the air is clear
    beside: tuple[Said, ...]  # each other job in its places: when it may start, who stays out
    said: tuple[str, ...]  # the same in whole sentences
    fire: tuple[Merged, ...]  # fire stops where another job is in its places: hot work against vapour
    more: tuple[Merged, ...]  # its other stops


@dataclass(frozen=True, slots=True)
class Day:
    title: str
    shop: str
    result: tuple[Mark, str]
    missing: tuple[str, ...]  # a sentence for each job whose sheet is INCOMPLETE
    tasks: tuple[Task, ...]


def arrange_day(reports: Sequence[Report]) -> Day:
    """Put the jobs of a day in reading order. ``reports`` are those of ``assess_day``."""
    tasks = tuple(map(_task, reports))
    places = {r.job.place.id: r.job.place.name or r.job.place.id for r in reports}
    place = next(iter(places.values())) if len(places) == 1 else say("{count} places", count=len(places))
    days = sorted({r.job.start.date().isoformat() for r in reports})
    when = days[0] if len(days) == 1 else say("{first} to {last}", first=days[0], last=days[-1])
    stopped = [t for t in tasks if t.sheet.stops]
    result: Mark = ""
    if stopped:
        result, words = "STOP", say("STOP - do not start: {count} of {all} jobs", count=len(stopped), all=len(tasks))
    elif any(t.sheet.missing for t in tasks):
        result, words = "UNKNOWN", say("Not all known - find out before anybody starts")
    elif any(t.sheet.result[0] == "Control" for t in tasks):
        result, words = "Control", say("Controls needed")
    else:
        words = say("No stop found in what was assessed")
    return Day(
        title=say("{place}, {days}", place=place, days=when),
        shop=reports[0].job.shop.name,
        result=(result, words),
        missing=tuple(
            say("“{job}”: {count} on its sheet, first: {reason}", job=t.sheet.title, count=n, reason=t.sheet.missing[0])
            for t in tasks
            if (n := len(t.sheet.missing))
        ),
        tasks=tasks,
    )


def _task(report: Report) -> Task:
    sheet = arrange(report)
    told = tuple(others(report))
    stops = [stop for stop in sheet.stops if not any(_of_others(role) for role in stop.roles)]
    hot = tuple(stop for stop in stops if report.exposure.neighbours and stop.topic == "fire")
    return Task(
        report=report,
        sheet=sheet,
        when=span(report.job.start, 0, report.timeline.end),
        others=told,
        beside=tuple(_beside(report)),
        said=tuple(f.statement for f in stretches(report, "after another job")),
        fire=hot,
        more=tuple(stop for stop in stops if stop not in hot),
    )


def _of_others(role: Role) -> bool:
    """Whether a role is what ``others`` of a task says."""
    return isinstance(role, ClockSpan) and role.what in ("others out", "air not clear")


def _beside(report: Report) -> Iterator[Said]:
    for other in report.exposure.neighbours:
        found = stretches(report, "after another job", other.job.id)
        yield from (Said(mark(f), short(f)) for f in found)
        if not found:
            yield Said("NOT ASSESSED", say("the air beside “{job}”", job=other.job.title))
    if not report.exposure.neighbours:
        yield Said("", say("No other job of the day is in its places"))


# ---------------------------------------------------------------- as text, and as data


def overview(reports: Sequence[Report]) -> str:
    """The day as text, ending in a line break."""
    return "\n".join(str(line).rstrip() for line in _lines(arrange_day(reports))) + "\n"


def record(reports: Sequence[Report]) -> list[dict[str, Any]]:
    """The day as plain data."""
    return [
        {
            "job": text_safe(r.job.id),
            "title": text_safe(r.job.title),
            "place": text_safe(r.job.place.id),
            "start": r.job.start.isoformat(),
            "end": r.timeline.end,
            "result": _result(r),
            "complete": r.complete,
            "stops": [text_safe(f.statement) for f in r.stops],
            "beside": [text_safe(f.statement) for f in stretches(r, "after another job")],
            "others": [text_safe(f.statement) for f in (*stretches(r, "others out"), *stretches(r, "air not clear"))],
        }
        for r in reports
    ]


def _lines(day: Day) -> Iterator[str]:
    yield from wrapped(say("A day in {shop}", shop=day.shop))
    yield from wrapped(day.title)
    yield "=" * WIDTH
    yield from wrapped(day.result[1], "*** ")
    if day.missing:
        yield from wrapped(say("INCOMPLETE - this is not known or was not assessed:"), "### ")
        for reason in day.missing:
            yield from wrapped(reason, "###   - ", "###     ")
    for task in day.tasks:
        job = task.report.job
        place = job.place.name or job.place.id
        yield ""
        head = say("{day} {when}  ", day=job.start.date().isoformat(), when=task.when)
        name = say("{title} ({place}): {result}", title=job.title, place=place, result=_result(task.report))
        yield from wrapped(name, head, "    ")
        for said in (*task.others, *task.beside):
            words = say("{mark}: {text}", mark=word(said.mark), text=said.text) if said.mark else said.text
            yield from wrapped(words, "    ")
        for one in (*task.fire, *task.more):
            topic, steps = term(one.title), in_steps(one.steps)
            words = say("{topic}, {steps}: {short}", topic=topic, steps=steps, short=one.short)
            yield from wrapped(words, say("    {mark}  ", mark=word("STOP")))
        for sentence in task.said:
            yield from wrapped(sentence, "    - ", "      ")
    yield ""


def _result(report: Report) -> str:
    words = [say("STOP") if report.stops else say("no stop")]
    if not report.complete:
        words.append(say("INCOMPLETE"))
    return ", ".join(words)
