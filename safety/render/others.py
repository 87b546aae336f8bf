"""Who else may be in the place of a job, and from when: by what all plugins say of it together."""

from __future__ import annotations

from collections.abc import Iterator

from safety.model import ClockSpan, Finding, Report, Stretch, with_role
from safety.render.merging import Said, mark, short
from safety.words import say


def stretches(report: Report, what: Stretch, job: str = "") -> list[Finding]:
    """The findings that answer for a stretch of the clock, of one other job where it is named.

    One that asks for nothing stands only where no other asks for something: it lifts nobody's answer.
    """
    found = [(f, one) for f, one in with_role(report.findings, ClockSpan) if one.what == what and job in ("", one.job)]
    lasting = [(f, one) for f, one in found if one.end != one.begin or f.level == "stop"]
    return list({id(f): f for f, _ in lasting or found}.values())


def others(report: Report) -> Iterator[Said]:
    """Who must be out and when the air is clear; where nobody judged vapour that is there, that is said."""
    vapour = report.exposure is not None and (report.exposure.substances or report.exposure.unknowns)
    asked: tuple[tuple[Stretch, str], ...] = (
        ("others out", say("others in the place")),
        ("air not clear", say("when the air is clear")),
    )
    for what, title in asked:
        found = stretches(report, what)
        yield from (Said(mark(f), short(f)) for f in found)
        if vapour and not found:
            yield Said("NOT ASSESSED", title)


def stay(report: Report) -> Iterator[Said]:
    """The same, and for how long other jobs keep this one away."""
    yield from others(report)
    keep_away = [f for other in _jobs(report) for f in stretches(report, "after another job", other)]
    yield from (Said(mark(f), short(f)) for f in {id(f): f for f in keep_away}.values())


def _jobs(report: Report) -> list[str]:
    """The other jobs that something is said of."""
    spans = [one for _, one in with_role(report.findings, ClockSpan) if one.what == "after another job"]
    return list(dict.fromkeys(one.job for one in spans))
