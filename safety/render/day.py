"""The first page of a day: every job in order of its start, what they do to each other, and their results."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from safety.clock import clock
from safety.model import Finding, Report
from safety.render import text_safe
from safety.render.text import WIDTH, wrapped
from safety.words import say

BESIDE = "air-beside:"


def overview(reports: Sequence[Report]) -> str:
    """The day as text, ending in a line break."""
    return "\n".join(line.rstrip() for line in _lines(reports)) + "\n"


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
            "beside": [text_safe(f.statement) for f in _beside(r)],
        }
        for r in reports
    ]


def _lines(reports: Sequence[Report]) -> Iterator[str]:
    yield from wrapped(say("A day in {shop}", shop=reports[0].job.shop.name))
    yield "=" * WIDTH
    for report in reports:
        job = report.job
        head = say(
            "{day} {begin} to {end}  {title} ({place}): {result}",
            day=job.start.date().isoformat(),
            begin=clock(job.start, 0),
            end=clock(job.start, report.timeline.end),
            title=job.title,
            place=job.place.name or job.place.id,
            result=_result(report),
        )
        yield ""
        yield from wrapped(head)
        for stop in report.stops:
            yield from wrapped(say("STOP  {text}", text=stop.statement), "    ")
        for finding in _beside(report):
            yield from wrapped(finding.statement, "    ")
        if not _beside(report):
            yield from wrapped(say("No other job of the day is in its places."), "    ")
    yield ""


def _beside(report: Report) -> list[Finding]:
    return [f for f in report.findings if f.key.startswith(BESIDE)]


def _result(report: Report) -> str:
    words = [say("STOP") if report.stops else say("no stop")]
    if not report.complete:
        words.append(say("INCOMPLETE"))
    return ", ".join(words)
