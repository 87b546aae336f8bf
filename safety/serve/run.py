"""What a run of a job is made of: the plan it follows, the taps made in it, and how it stands at a moment.

Times are seconds of one clock (since 1970, UTC) in taps and states, and plain lengths [s] in plans. Steps count
from 0.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

#: What a tap says. "begin" and "end" are of a stretch, "coat" adds one to a step, "air" tells its state in ``value``,
#: "seen" that an alarm was read and "accept" that a looser answer may rule (the answer in ``value``), "undo" takes
#: back the tap whose key is in ``value``, "hurt" that somebody is, "close" that the job is over.
Kind = Literal[
    "begin", "end", "pause", "resume", "gloves", "cartridges", "air", "coat", "seen", "accept", "undo", "hurt", "close"
]

#: Why a stretch is begun before its wait is over, as its "begin" tells in ``value``; "" where it is not.
EARLY = ("ready", "other")

#: What the one main button does: "begin" or "end" of its stretch, "wait" for ``since`` and then begin, "resume",
#: "coat": one more coat mends the window, "clean": too late, clean and start again (a matter for the officer),
#: "stop": this step must not begin, "close": everything is done, "closed": so is the run.
Press = Literal["begin", "end", "wait", "resume", "coat", "clean", "stop", "close", "closed"]

#: What a clock counts: down to when something may begin ("dry", "stand"), must have begun ("window") or been mended
#: ("mend"), down to when a thing must be changed ("gloves", "cartridges"), or to what was planned ("planned").
Counts = Literal["dry", "stand", "window", "mend", "gloves", "cartridges", "planned"]

#: How a window stands: its coats are not on yet, it is not open yet, open, soon over, over but mended by one more
#: coat, over for good, met in time by the step that had to begin, or missed by it.
Standing = Literal["ahead", "drying", "open", "closing", "closed", "lost", "met", "missed"]


@dataclass(frozen=True, slots=True)
class Tap:
    """One line of a run, as somebody made it on a tablet."""

    key: str  # made on the tablet: the same twice is one tap
    kind: Kind
    at: float  # when it was made
    heard: float  # when the server got it
    step: int = -1  # -1: of no step
    coat: int = 0  # 1, 2, 3 ...; 0 for a step without coats
    value: str = ""
    who: str = ""
    device: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Rest:
    """What must pass after a stretch before the next may begin."""

    dry: float = 0.0
    stand: float = 0.0

    @property
    def whole(self) -> float:
        return self.dry + self.stand


@dataclass(frozen=True, slots=True)
class PlannedStep:
    """A step as planned: its stretches, and what of its gear has a time."""

    name: str
    coats: int  # 0: it has one stretch, and no coat
    lasts: float  # s of one stretch
    between: Rest
    after: Rest
    stop: bool = False  # it must not begin
    gloves: str = ""  # what is worn, by its id in the stock; "" = none, or none of the stock
    gloves_last: float | None = None  # s from the first wetting, waits and pauses counted; None: no time
    mask: str = ""
    cartridges_last: float | None = None  # s from the first breath, waits and pauses counted


@dataclass(frozen=True, slots=True)
class PlannedWindow:
    """A time limit that the last coat of a step sets."""

    product: str
    name: str
    step: int
    joins: int | None  # the step that must begin in it; None: there is none
    start_within: float | None  # s after the last coat
    recoat_within: float | None


@dataclass(frozen=True, slots=True)
class Plan:
    """What is planned, as the sheet in force has it."""

    job: str
    steps: tuple[PlannedStep, ...]
    windows: tuple[PlannedWindow, ...] = ()
    stop: bool = False  # a stop of the whole job: nothing of it may begin


@dataclass(frozen=True, slots=True)
class Stretch:
    """What was really done: hands-on work without a break, one coat or a step that has none."""

    step: int
    coat: int
    begin: float
    end: float | None = None  # None: it goes on
    paused: float = 0.0  # s of it in which nobody worked


@dataclass(frozen=True, slots=True)
class Clock:
    """A moment that somebody must know of."""

    counts: Counts
    at: float  # the moment it counts down to
    step: int
    since: float  # when it began to run
    product: str = ""  # of a window
    item: str = ""  # the gloves or the mask


@dataclass(frozen=True, slots=True)
class Window:
    planned: PlannedWindow
    stands: Standing
    last_coat: float | None = None
    opens: float | None = None
    closes: float | None = None
    mended_until: float | None = None


@dataclass(frozen=True, slots=True)
class Button:
    press: Press
    step: int = -1
    coat: int = 0
    since: float | None = None  # of "wait": when it becomes "begin"
    until: float | None = None  # of "coat": until when that mends it


@dataclass(frozen=True, slots=True)
class State:
    """A run at a moment."""

    now: float
    step: int  # the step that is being done, waited on, or comes next; len(plan.steps) when all are done
    coat: int
    coats: tuple[int, ...]  # of each step, with those added
    button: Button
    clocks: tuple[Clock, ...]  # soonest first
    windows: tuple[Window, ...]
    stretches: tuple[Stretch, ...]  # in the order they were begun
    paused: float | None  # since when
    airs: tuple[tuple[float, str], ...]  # from when on which state of the air was told
    next_change: float | None  # when this state changes by itself
    undoable: Tap | None  # the last standing tap
