"""Which answer rules: a stricter one at once, a looser one only when an officer has accepted it for this run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

Way = Literal["stricter", "looser"]


@dataclass(frozen=True, slots=True)
class Judged:
    """What one step (-1: the whole job) is told about one topic, in what can be compared. Words are only for people."""

    rank: int  # 0 nothing to do, 1 a control, 2 unknown, 3 stop
    factor: float = 0.0  # of the mask; 0 = none
    item: str = ""  # what of the stock is worn
    lasts: float | None = None  # s it may be worn
    text: str = ""
    ref: str = ""  # by what the why is asked for


#: (step, topic) -> what is told. Step -1 is the whole job.
Answers = Mapping[tuple[int, str], Judged]


@dataclass(frozen=True, slots=True)
class Change:
    """One answer that is not what it was."""

    step: int
    topic: str
    before: Judged
    after: Judged
    way: Way

    @property
    def key(self) -> str:
        """By what a tap says that it was seen, or accepted."""
        raise NotImplementedError


@dataclass(frozen=True, slots=True)
class Ruling:
    """What rules now, what was made stricter on the way (alarms), and what would be looser (offers)."""

    rules: Answers
    stricter: tuple[Change, ...]
    looser: tuple[Change, ...]


def read_answers(told: Sequence[Mapping[str, Any]]) -> Answers:
    """The answers in the engine's answer to "sheet" (its key "answers")."""
    raise NotImplementedError


def changes(before: Answers, after: Answers) -> tuple[Change, ...]:
    """What one sheet says otherwise than another, step by step."""
    raise NotImplementedError


def strictest(several: Iterable[Answers]) -> Answers:
    """The stricter of several answers, each for itself: of variants of one run."""
    raise NotImplementedError


def ruling(first: Answers, later: Iterable[Answers], accepted: Iterable[str] = ()) -> Ruling:
    """What rules after all answers so far: ``first`` is the sheet of the start, ``later`` in the order they came.

    ``accepted`` are the keys of looser answers that an officer let rule.
    """
    raise NotImplementedError
