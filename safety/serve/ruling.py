"""Which answer rules: a stricter one at once, a looser one only when an officer has accepted it for this run."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from math import inf
from typing import Any, Literal

Way = Literal["stricter", "looser"]

_STOP = 3

#: Of a time to wear something, the share from which on a shorter one is a change that somebody has to hear of. One that
#: is shorter by less rules all the same.
SOONER = 0.9


@dataclass(frozen=True, slots=True)
class Judged:
    """What one step (-1: the whole job) is told about one topic, in what can be compared. Words are only for people."""

    rank: int  # 0 nothing to do, 1 a control, 2 unknown, 3 stop
    factor: float = 0.0  # of the mask; 0 = none
    item: str = ""  # what of the stock is worn
    lasts: float | None = None  # s it may be worn
    text: str = ""
    ref: str = ""  # by what the why is asked for

    @property
    def asks(self) -> float:
        """The factor that is asked for: no mask is enough for a stop."""
        return inf if self.rank == _STOP else self.factor


#: (step, topic) -> what is told. Step -1 is the whole job.
Answers = Mapping[tuple[int, str], Judged]

#: Nothing at all is told: there is nothing to do.
_NOTHING = Judged(0)


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
        """By what a tap says that it was seen, or accepted: where it is, and what it comes to."""
        return "/".join((str(self.step), self.topic, _mark(self.after)))


@dataclass(frozen=True, slots=True)
class Ruling:
    """What rules now, what was made stricter on the way (alarms), and what would be looser (offers)."""

    rules: Answers
    stricter: tuple[Change, ...]
    looser: tuple[Change, ...]


def read_answers(told: Sequence[Mapping[str, Any]]) -> Answers:
    """The answers in the engine's answer to "sheet" (its key "answers")."""
    names = ("rank", "factor", "item", "lasts", "text", "ref")
    return {(one["step"], one["topic"]): Judged(**{name: one[name] for name in names}) for one in told}


def as_records(answers: Answers) -> list[dict[str, Any]]:
    """The same as plain data."""
    return [{"step": step, "topic": topic, **asdict(one)} for (step, topic), one in answers.items()]


def changes(before: Answers, after: Answers) -> tuple[Change, ...]:
    """What one sheet says otherwise than another, step by step: whatever is not plainly looser is stricter."""
    found = []
    for at in sorted({*before, *after}):
        one, other = before.get(at, _NOTHING), after.get(at, _NOTHING)
        if _harder(one, other):
            found.append(Change(*at, one, other, "stricter"))
        elif _harder(other, one):
            found.append(Change(*at, one, other, "looser"))
    return tuple(found)


def strictest(several: Iterable[Answers]) -> Answers:
    """The stricter of several answers, each for itself: of variants of one run."""
    held: dict[tuple[int, str], Judged] = {}
    for answers in several:
        for at, one in answers.items():
            held[at] = _stricter(held[at], one) if at in held else one
    return held


def ruling(first: Answers, later: Iterable[Answers], accepted: Iterable[str] = ()) -> Ruling:
    """What rules after all answers so far: ``first`` is the sheet of the start, ``later`` in the order they came.

    ``accepted`` are the keys of looser answers that an officer let rule. One holds for as long as nothing stricter
    than what he saw comes after it.
    """
    taken, rules, newest = frozenset(accepted), dict(first), first
    alarms: dict[tuple[int, str], Change] = {}
    for newest in later:
        for change in changes(rules, newest):
            at = change.step, change.topic
            if change.way == "stricter":
                rules[at] = _stricter(change.before, change.after)
                alarms[at] = replace(change, after=rules[at])
            elif change.key in taken:
                rules[at] = change.after
                alarms.pop(at, None)
        rules |= {at: _shorter(rules[at], one) for at, one in newest.items() if at in rules}
    offers = [one for one in changes(rules, newest) if one.way == "looser"]
    return Ruling(rules, tuple(alarms[at] for at in sorted(alarms)), tuple(offers))


def _harder(before: Judged, after: Judged) -> bool:
    """Whether what comes after asks for more than what was before: other gloves too are a change to be made."""
    more = after.rank > before.rank or after.asks > before.asks
    return more or _other(before, after) or _sooner(before, after)


def _other(before: Judged, after: Judged) -> bool:
    """Whether another thing of the stock has to be worn, and not one of a lower factor."""
    return bool(after.item) and after.item != before.item and after.asks >= before.asks


def _sooner(before: Judged, after: Judged) -> bool:
    """Whether the same thing has to be changed sooner."""
    if after.lasts is None or after.item != before.item:
        return False
    return before.lasts is None or after.lasts <= SOONER * before.lasts


def _shorter(one: Judged, other: Judged) -> Judged:
    """An answer with the shorter time of another, where the same is worn."""
    if one.lasts is None or other.lasts is None or one.item != other.item:
        return one
    return replace(one, lasts=min(one.lasts, other.lasts))


def _stricter(one: Judged, other: Judged) -> Judged:
    """Of two answers the stricter; where each asks for something more, the graver with all that both ask for."""
    if not _harder(one, other):
        return one
    if not _harder(other, one):
        return other
    graver = other if (other.rank, other.asks) >= (one.rank, one.asks) else one
    lasts = [time for time in (one.lasts, other.lasts) if time is not None]
    return replace(
        graver, rank=max(one.rank, other.rank), factor=max(one.factor, other.factor), lasts=min(lasts, default=None)
    )


def _mark(one: Judged) -> str:
    minutes = "" if one.lasts is None else f"{one.lasts // 60:g}"
    return "-".join((str(one.rank), f"{one.factor:g}", one.item, minutes))
