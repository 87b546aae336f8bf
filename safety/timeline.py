"""Steps on a clock: coats, drying and standing times expand, windows become times."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from safety.cited import Unknown
from safety.model import ANY, IN_A_VESSEL, Application, Job, Product, Range, Segment, Step, Timeline, Use, Window
from safety.words import say

#: How long a step takes [s].
Lasting = Callable[[Step], float]


def build(job: Job) -> Timeline:
    """Lay the job out on a clock that starts at 0 s with the job, and with its steps as short and as long as may be."""
    plan = _built(job, planned)
    if all(step.lasts is None or step.lasts.exact for step in job.steps):
        return plan
    return replace(plan, quick=_built(job, shortest), slow=_built(job, longest))


def planned(step: Step) -> float:
    return step.duration


def shortest(step: Step) -> float:
    return step.lasts.low if step.lasts else step.duration


def longest(step: Step) -> float:
    return step.lasts.high if step.lasts else step.duration


def corners(job: Job, timeline: Timeline) -> tuple[Timeline, ...]:
    """The clocks between which the work lies: all of it quick, all slow; quick with long waits, slow with short ones.

    A wait is a step with nobody in its air: what is worst for the work beside it is not what is worst for it.
    """
    if timeline.quick is None or timeline.slow is None:
        return (timeline,)
    if len({step.people == "away" for step in job.steps if step.lasts and not step.lasts.exact}) < 2:
        return timeline.ends
    return (*timeline.ends, _built(job, _waits(shortest, longest)), _built(job, _waits(longest, shortest)))


def _waits(work: Lasting, wait: Lasting) -> Lasting:
    return lambda step: wait(step) if step.people == "away" else work(step)


def _built(job: Job, lasting: Lasting) -> Timeline:
    segments: list[Segment] = []
    clock = 0.0
    for index, step in enumerate(job.steps):
        for segment in _expand(index, replace(step, duration=lasting(step)), job.surface, clock):
            segments.append(segment)
            clock = segment.end
    timeline = Timeline(tuple(segments), (), clock)
    windows = tuple(_windows(job, timeline))
    return Timeline(timeline.segments, windows, clock)


def moved(timeline: Timeline, by: float) -> Timeline:
    """The same on a clock that reads ``by`` s more. Windows stay out: they belong to the job's own clock."""
    segments = tuple(replace(s, start=s.start + by, end=s.end + by) for s in timeline.segments)
    quick, slow = (None if one is None else moved(one, by) for one in (timeline.quick, timeline.slow))
    return Timeline(segments, (), timeline.end + by, quick, slow)


def coats_of(use: Use, surface: str) -> int:
    """How many coats of a product the job's surface takes; 0 for a use that puts on no coat."""
    application = applied(use)
    coats = application.coats if application else {}
    return coats.get(surface, coats.get(ANY, 0))


def applied(use: Use) -> Application | None:
    """The times that begin to run with a use. In a can or tank nothing dries, and no window opens."""
    return None if use.work in IN_A_VESSEL else use.product.application


def laid_in(timeline: Timeline, step: int, use: Use, surface: str) -> list[Segment]:
    """The segments of a step in which a use lays its product: its coats, else the first."""
    own, coats = timeline.of_step(step), coats_of(use, surface)
    return [s for s in own if s.kind == "coat" and s.coat <= coats] or [own[0]]


def _expand(index: int, step: Step, surface: str, clock: float) -> list[Segment]:
    out: list[Segment] = []

    def add(kind: str, duration: float, label: str, coat: int = 0) -> None:
        nonlocal clock
        if duration > 0:
            out.append(Segment(index, kind, clock, clock + duration, label, coat))  # type: ignore[arg-type]
            clock += duration

    times = [own for use in step.uses if (own := applied(use))]
    coats = max((coats_of(use, surface) for use in step.uses), default=0)
    if coats:
        between, final = _longest(times, "dry_between"), _longest(times, "dry_final")
        for coat in range(1, coats + 1):
            add("coat", step.duration, say("coat {number} of {total}", number=coat, total=coats), coat)
            if coat < coats:
                add("dry", between, say("dry between coats"))
        add("dry", final, say("dry after the last coat"))
    else:
        add("work", step.duration, step.name)
        # no number of coats is one coat: the time its maker sets still has to pass
        add("dry", _longest(times, "dry_final"), say("dry after the last coat"))
    add("stand", _longest(times, "stand_at_least"), say("let it stand"))
    return out


def _longest(times: list[Application], name: str) -> float:
    return max((getattr(t, name) for t in times), default=0.0)


def _windows(job: Job, timeline: Timeline) -> list[Window]:
    """One for each product that a step puts on, however many uses put it on there."""
    out = []
    for index, step in enumerate(job.steps):
        put_on: dict[str, list[Use]] = {}
        for use in step.uses:
            if applied(use):
                put_on.setdefault(use.product.id, []).append(use)
        for uses in put_on.values():
            product = uses[0].product
            assert product.application is not None  # else it would set no window
            own = timeline.of_step(index)
            last_coat = max(s.end for use in uses for s in laid_in(timeline, index, use, job.surface))
            masses = [use.mass for use in uses]
            again = [use.mass for use in uses for _ in range(max(coats_of(use, job.surface), 1))]
            out.append(
                Window(
                    product=product,
                    step=index,
                    joins=_joining(job, index, product),
                    last_coat=last_coat,
                    opens=own[-1].end,
                    closes=_after(last_coat, product.application.start_within),
                    recoat_until=_after(last_coat, product.application.recoat_within),
                    extra_coat=_sum(masses),
                    redo=_sum(again + _last_wipe(job, index)),
                )
            )
    return out


def _after(start: float, span: float | None) -> float | None:
    return None if span is None else start + span


def _joining(job: Job, index: int, product: Product) -> int | None:
    """The step that must begin inside the window: the one that says so, else the next one."""
    named = (i for i, s in enumerate(job.steps) if i > index and s.joins == product.id)
    following = index + 1 if index + 1 < len(job.steps) else None
    return next(named, following)


def _last_wipe(job: Job, before: int) -> list[Range | Unknown]:
    """What the last wipe before a coat took: starting again means wiping again."""
    for step in reversed(job.steps[:before]):
        wipes = [use.mass for use in step.uses if use.work == "wipe"]
        if wipes:
            return wipes
    return []


def _sum(masses: list[Range | Unknown]) -> Range | Unknown:
    low = high = 0.0
    for mass in masses:
        if isinstance(mass, Unknown):
            return mass
        low, high = low + mass.low, high + mass.high
    return Range(low, high)
