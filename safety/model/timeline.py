"""A job laid out on its clock, and on those of the same work done quicker or slower."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from safety.cited import Unknown
from safety.model.jobs import Product
from safety.model.stated import Range


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of the clock in which one thing happens."""

    step: int  # index into Job.steps
    kind: Literal["work", "coat", "dry", "stand", "wait"]  # "wait": longer than it must, or a pause
    start: float  # s since the job's start
    end: float
    label: str
    coat: int = 0  # 1, 2, 3 ... for kind "coat"


@dataclass(frozen=True, slots=True)
class Done:
    """A stretch of hands-on work as it really was: one coat, or a step that has none [s since the job's start]."""

    step: int
    coat: int  # 1, 2, 3 ...; 0 for a step without coats
    begin: float
    end: float | None = None  # None: it goes on
    paused: float = 0.0  # s of it in which nobody worked


@dataclass(frozen=True, slots=True)
class Real:
    """What really happened to a job so far, ``now`` s after its start. What is not begun yet begins no sooner."""

    stretches: tuple[Done, ...]
    now: float

    def of(self, step: int, coat: int) -> Done | None:
        """A stretch of a step; the work of a step without coats is its first coat, should it get more."""
        own = (one for one in self.stretches if one.step == step and max(one.coat, 1) == max(coat, 1))
        return next(own, None)

    def over(self, step: int, coats: int) -> bool:
        """Whether a step of so many coats has been done."""
        return all((one := self.of(step, coat)) and one.end is not None for coat in range(1, coats + 1) or (0,))


@dataclass(frozen=True, slots=True)
class Window:
    """A time limit a product sets, on this job's clock [s since the job's start]."""

    product: Product
    step: int  # the step that put the product on
    joins: int | None  # the step that must begin inside the window
    last_coat: float  # when the last coat ended
    opens: float  # earliest begin of the joining step
    closes: float | None  # latest begin
    recoat_until: float | None  # until then one more coat mends a missed window
    extra_coat: Range | Unknown  # kg more of the product for one more coat
    redo: Range | Unknown  # kg more of the product for starting again


@dataclass(frozen=True, slots=True)
class Timeline:
    """When what is done, by the plan; ``quick`` and ``slow`` where its steps may take less or more than that."""

    segments: tuple[Segment, ...]
    windows: tuple[Window, ...]
    end: float  # s
    quick: Timeline | None = None  # each step as short as it may be
    slow: Timeline | None = None  # each as long
    real: Real | None = None  # what of it really happened; None: all of it is planned

    @property
    def ends(self) -> tuple[Timeline, ...]:
        """The quick and the slow one; itself where each step takes just as long as planned."""
        return (self,) if self.quick is None or self.slow is None else (self.quick, self.slow)

    def earliest(self, time: float) -> float:
        """When what the plan has at a time may come, at the earliest [s]."""
        return min(time, *(self.on(time, one) for one in self.ends))

    def latest(self, time: float) -> float:
        """When what the plan has at a time may come, at the latest [s]."""
        return max(time, *(self.on(time, one) for one in self.ends))

    def on(self, time: float, other: Timeline) -> float:
        """A time of this plan on the clock of the same steps done in other times."""
        if time <= self.segments[0].start:
            return time
        for own, its in zip(self.segments, other.segments, strict=True):
            if time <= own.end:
                return its.start + (time - own.start) / (own.end - own.start) * (its.end - its.start)
        return time + other.end - self.end

    def possible(self, step: int) -> tuple[float, float]:
        """From when to when a step may go on, however quickly or slowly the work is done [s]."""
        spans = [self.span(step), *(one.span(step) for one in self.ends)]
        return min(begin for begin, _ in spans), max(end for _, end in spans)

    def of_step(self, step: int) -> tuple[Segment, ...]:
        return tuple(s for s in self.segments if s.step == step)

    def span(self, step: int) -> tuple[float, float]:
        """Start and end of a step with all its coats and waits [s]."""
        own = self.of_step(step)
        return own[0].start, own[-1].end
