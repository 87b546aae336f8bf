"""Levels of air from which a law on one substance asks for more: measuring, a marked area, a doctor after so many days.

What people breathe without a mask is held against them, as everywhere: the respirator is no way round a duty.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from safety import levels
from safety.exposure.origin import Inputs, made_of
from safety.exposure.result import Careful, Exposure, any_of, careful
from safety.model import EIGHT_HOURS, Figure, Job, Part, Product
from safety.words import say
from safety_protection.phrases import listed


@dataclass(frozen=True, slots=True)
class Acts:
    """What a law asks of this job by the air of it."""

    sentences: tuple[str, ...] = ()
    figures: tuple[Figure, ...] = ()
    unknown: str = ""
    short: str = ""  # "" where no level is reached
    close: Literal["", "over", "under"] = ""


NOTHING = Acts()


def judge(row: Mapping[str, Any], job: Job, exposure: Exposure, held: Sequence[tuple[Product, Sequence[Part]]]) -> Acts:
    """The action level and the level of the marked area against the air; a level nobody can judge counts as reached."""
    if "action_ppm" not in row:
        return NOTHING
    parts = {part.cas: part.name for _, several in held for part in several}
    seen = {cas: column for cas in parts if (column := exposure.column(cas)) is not None}
    names = listed(list(dict.fromkeys(parts.values() or (product.name for product, _ in held))))
    if not seen or exposure.unknowns or exposure.shift_uncounted or len(seen) < len(parts):
        text = say(
            "How much of {names} is in the air is not all computed: taken as at the action level of {ppm:g} ppm and "
            "over the level of the marked area until it is measured.",
            names=names,
            ppm=row["action_ppm"],
        )
        return Acts((text, *_acting(row), _area()), (), text, say("{names}: action level not judged", names=names))
    hours = max(1.0, job.shift / EIGHT_HOURS)  # a longer day counts as eight hours of more
    shift = exposure.ppm(exposure.worker.shift_average) * hours
    brief = exposure.ppm(exposure.worker.worst_15min)
    eight = max((careful(shift[:, column]) for column in seen.values()), key=lambda one: one.bound)
    short = max((careful(brief[:, column]) for column in seen.values()), key=lambda one: one.bound)
    return _held(row, names, eight, short, tuple(given for cas in seen for given in made_of(exposure, cas)))


def _held(row: Mapping[str, Any], names: str, eight: Careful, short: Careful, made: Inputs) -> Acts:
    action, area, briefly = row["action_ppm"], row.get("area_ppm"), row.get("area_short_ppm")
    acting = eight.against(lambda ppm: ppm >= action)
    marked = any_of(
        [
            *([eight.against(lambda ppm: ppm > area)] if area is not None else []),
            *([short.against(lambda ppm: ppm > briefly)] if briefly is not None else []),
        ]
    )
    level = levels.compared(eight.bound, action, *([area] if area is not None else []))
    told = say("{names}: up to {level} ppm over 8 hours from this job.", names=names, level=level)
    more = [told]
    if acting.over:
        more += [say("At or over the action level of {ppm:g} ppm.", ppm=action), *_acting(row)]
    else:
        more.append(
            say("Below the action level of {ppm:g} ppm. Other work of the day is not counted in it.", ppm=action)
        )
    if marked.over:
        more.append(_area())
    figures = (
        Figure(say("{names} over 8 hours", names=names), eight.value, "ppm", inputs=made),
        Figure(say("{names} in the worst 15 minutes", names=names), short.value, "ppm", inputs=made),
    )
    words = (
        say("{names}: marked area, ask the officer", names=names)
        if marked.over
        else say("{names}: over its action level, ask the officer", names=names)
    )
    close = any_of([acting, marked]).close if acting.over or marked.over else acting.close or marked.close
    return Acts(tuple(more), figures, "", words if acting.over or marked.over else "", close)


def _area() -> str:
    return say("Mark the area, with a sign. In it only those who must be, each with the respirator of this sheet.")


def _acting(row: Mapping[str, Any]) -> Iterator[str]:
    """What the action level sets going."""
    yield say("The air is measured.")
    days, over = row.get("surveillance_days"), row.get("surveillance_days_over")
    if days and over:
        yield say(
            "Who has {days:g} such days a year, or {over:g} over the limit, is seen by a doctor: count this day.",
            days=days,
            over=over,
        )
