"""Steps on a clock: coats, drying and standing times expand, windows become times."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from math import inf
from typing import Literal

from safety.cited import Unknown
from safety.model import (
    ANY,
    IN_A_VESSEL,
    Application,
    Done,
    Job,
    Product,
    Range,
    Real,
    Segment,
    Step,
    Timeline,
    Use,
    Window,
)
from safety.words import say

#: How long a step takes [s].
Lasting = Callable[[Step], float]
Kind = Literal["work", "coat", "dry", "stand", "wait"]

#: A stretch that was told as shorter counts as this long [s]: its two ends were told together.
SHORTEST = 60.0


def build(job: Job, real: Real | None = None) -> Timeline:
    """Lay the job out on a clock that starts at 0 s with the job, and with its steps as short and as long as may be.

    With ``real`` what has been done stands when it was done; ``as_done`` makes the job that goes with it.
    """
    plan = _built(job, planned, real)
    if all(step.lasts is None or step.lasts.exact for step in job.steps):
        return plan
    return replace(plan, quick=_built(job, shortest, real), slow=_built(job, longest, real))


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
    mixed = _waits(shortest, longest), _waits(longest, shortest)
    return (*timeline.ends, *(_built(job, lasting, timeline.real) for lasting in mixed))


def _waits(work: Lasting, wait: Lasting) -> Lasting:
    return lambda step: wait(step) if step.people == "away" else work(step)


def _built(job: Job, lasting: Lasting, real: Real | None) -> Timeline:
    course = _Course(real)
    parts = [part for index, step in enumerate(job.steps) for part in _parts(index, step, lasting(step), job.surface)]
    if real:  # a coat that mended a window may have gone on after other work
        parts.sort(key=lambda part: one.begin if (one := real.of(part.step, part.coat)) else inf)
    for part in parts:
        course.lay(part)
    timeline = Timeline(tuple(course.segments), (), course.clock, real=real)
    return replace(timeline, windows=tuple(_windows(job, timeline)))


def as_done(job: Job, real: Real) -> Job:
    """The job with the coats that were put on, and with steps that took just as long as they did."""
    steps = []
    for index, step in enumerate(job.steps):
        planned_coats = _coats(step, job.surface)
        done = [one for one in real.stretches if one.step == index]
        coats = max((one.coat for one in done), default=0)
        if coats > max(planned_coats, 1):
            step = _with_coats(step, job.surface, coats)
        if done and real.over(index, max(coats, planned_coats)):
            took = sum(_hands_on(one, real, 0.0) for one in done) / len(done)
            step = replace(step, duration=took, lasts=Range(took, took))
        steps.append(step)
    return replace(job, steps=tuple(steps))


def _with_coats(step: Step, surface: str, coats: int) -> Step:
    """A step with more coats of what it puts most coats of."""
    most, uses = _coats(step, surface), []
    for use in step.uses:
        own = applied(use)
        if own and coats_of(use, surface) == most:
            own = replace(own, coats={ANY: coats})
            use = replace(use, product=replace(use.product, application=own))
        uses.append(use)
    return replace(step, uses=tuple(uses))


def moved(timeline: Timeline, by: float) -> Timeline:
    """The same on a clock that reads ``by`` s more. Windows stay out: they belong to the job's own clock."""
    segments = tuple(replace(s, start=s.start + by, end=s.end + by) for s in timeline.segments)
    quick, slow = (None if one is None else moved(one, by) for one in (timeline.quick, timeline.slow))
    return Timeline(segments, (), timeline.end + by, quick, slow, timeline.real)


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
    first = next(s for s in own if s.kind in ("work", "coat"))
    return [s for s in own if s.kind == "coat" and s.coat <= coats] or [first]


#: What must pass after work: what for, how long [s], and how it is called.
Rest = tuple[Literal["dry", "stand"], float, str]


@dataclass(frozen=True, slots=True)
class _Part:
    """Hands-on work without a break, and what must pass after it."""

    step: int
    coat: int
    lasts: float
    label: str
    rests: tuple[Rest, ...]


def _parts(index: int, step: Step, lasts: float, surface: str) -> list[_Part]:
    times = [own for use in step.uses if (own := applied(use))]
    coats = _coats(step, surface)
    between, final, stand = (_longest(times, name) for name in ("dry_between", "dry_final", "stand_at_least"))
    # no number of coats is one coat: the time its maker sets still has to pass
    last: tuple[Rest, ...] = (("dry", final, say("dry after the last coat")), ("stand", stand, say("let it stand")))
    if not coats:
        return [_Part(index, 0, lasts, step.name, last)]
    until_next: tuple[Rest, ...] = (("dry", between, say("dry between coats")),)
    return [
        _Part(
            index, coat, lasts, say("coat {number} of {total}", number=coat, total=coats),
            until_next if coat < coats else last,
        )
        for coat in range(1, coats + 1)
    ]  # fmt: skip


def _coats(step: Step, surface: str) -> int:
    return max((coats_of(use, surface) for use in step.uses), default=0)


class _Course:
    """Lays work one behind the other on a clock, each part as it really was where that is known."""

    def __init__(self, real: Real | None) -> None:
        self.clock = 0.0
        self.segments: list[Segment] = []
        self._real = real

    def lay(self, part: _Part) -> None:
        done = self._real.of(part.step, part.coat) if self._real else None
        lasts = part.lasts
        if self._real and done:
            self._go_back(done.begin)
            self._wait(done.begin, part.step)
            self._wait(self.clock + done.paused, part.step, own=True)
            lasts = _hands_on(done, self._real, part.lasts)
        elif self._real:
            self._wait(self._real.now, part.step)
        self._add(part.step, "coat" if part.coat else "work", lasts, part.label, part.coat)
        for kind, time, label in part.rests:
            self._add(part.step, kind, time, label)

    def _add(self, step: int, kind: Kind, lasts: float, label: str, coat: int = 0) -> None:
        if lasts > 0:
            self.segments.append(Segment(step, kind, self.clock, self.clock + lasts, label, coat))
            self.clock += lasts

    def _wait(self, until: float, step: int, own: bool = False) -> None:
        """Wait where one is: in the step before, and with its people, unless it is a pause of the step itself."""
        at = self.segments[-1].step if self.segments and not own else step
        self._add(at, "wait", until - self.clock, say("wait"))

    def _go_back(self, begin: float) -> None:
        """Cut short what should still have passed."""
        while self.clock > begin and self.segments[-1].kind in ("dry", "stand", "wait"):
            last = self.segments.pop()
            self.clock = max(last.start, begin)
            if self.clock > last.start:
                self.segments.append(replace(last, end=self.clock))


def _hands_on(done: Done, real: Real, planned: float) -> float:
    """How long a stretch takes but for its pauses [s]: one that goes on at least as long as planned."""
    if done.end is None:
        return max(planned, real.now - done.begin - done.paused, SHORTEST)
    return max(done.end - done.begin - done.paused, SHORTEST)


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
            hands_on = [s for s in timeline.of_step(index) if s.kind in ("work", "coat")]
            times = [own for use in step.uses if (own := applied(use))]
            last_coat = max(s.end for use in uses for s in laid_in(timeline, index, use, job.surface))
            masses = [use.mass for use in uses]
            again = [use.mass for use in uses for _ in range(max(coats_of(use, job.surface), 1))]
            out.append(
                Window(
                    product=product,
                    step=index,
                    joins=_joining(job, index, product),
                    last_coat=last_coat,
                    opens=hands_on[-1].end + _longest(times, "dry_final") + _longest(times, "stand_at_least"),
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
