"""What a person breathes in each step: one answer a step, the worst comparison first."""

from __future__ import annotations

from dataclasses import dataclass, replace

from safety import levels
from safety.exposure.result import Standing, all_of, any_of
from safety.model import Figure, Finding, LimitKind, SaidUnder, Step
from safety.words import capital, joined, say
from safety_ventilation.airflow import local_exhaust
from safety_ventilation.limits import (
    JUDGED,
    PLUGIN,
    Air,
    AirTask,
    Mixed,
    Reading,
    add_a_limit,
    broken,
    give_what_is_missing,
    in_step,
    over_shift,
)

SHORT: tuple[LimitKind, ...] = ("short-term", "ceiling", "peak")


def judge(task: AirTask) -> list[Finding]:
    over_the_shift = _over_the_shift(task)
    found = []
    for index, step in enumerate(task.job.steps):
        found += _uncounted(task, index)
        found.append(_answer(task, index, step, over_the_shift))
    return found


def _over_the_shift(task: AirTask) -> Standing:
    air = over_shift(task.exposure.worker)
    mixed = task.mixture(air, ("twa",), average=True)
    return any_of([*(r.standing for r in task.readings(air, ("twa",))), *([mixed.standing] if mixed else [])])


def _uncounted(task: AirTask, index: int) -> list[Finding]:
    """A step's box must not look clean where part of its vapour could not be counted."""
    return [
        Finding(
            level="note" if task.job.steps[index].people == "away" else "control",
            topic="air",
            statement=say("Part of the vapour in this step is in none of its figures."),
            short=say("Not all vapour is counted"),
            plugin=PLUGIN,
            step=index,
            unknown=reason,
            remedy=give_what_is_missing(),
            key="air-uncounted",
        )
        for reason in task.exposure.steps[index].unknown
    ]


@dataclass(frozen=True, slots=True)
class _Verdict:
    """A step's air, held against the limits of short times and what it adds to a shift that is over."""

    readings: list[Reading]  # against limits of short times, the worst first
    means: list[Reading]  # its average against those of a shift
    mixed: Mixed | None
    mixed_shift: Mixed | None
    over_the_shift: Standing

    @property
    def worst(self) -> Reading:
        return (self.readings or self.means)[0]

    @property
    def over(self) -> list[Reading]:
        return [r for r in self.readings if r.over]

    @property
    def mixed_over(self) -> Mixed | None:
        """All vapours together, where they are over what 15 minutes allow."""
        return self.mixed if self.mixed is not None and self.mixed.standing.over else None

    @property
    def drives(self) -> bool:
        """Whether one vapour of it adds to a shift that is over."""
        return self.over_the_shift.over and any(r.over for r in self.means)

    @property
    def mixed_drives(self) -> bool:
        return self.over_the_shift.over and self.mixed_shift is not None and self.mixed_shift.standing.over

    @property
    def bad(self) -> bool:
        return bool(self.over or self.drives or self.mixed_over or self.mixed_drives)

    @property
    def times_over(self) -> list[float]:
        return [r.ratio for r in self.over] + ([self.mixed_over.careful.bound] if self.mixed_over else [])

    @property
    def figures(self) -> tuple[Figure, ...]:
        return (*(r.figure for r in (*self.readings, *self.means)), *((self.mixed.figure,) if self.mixed else ()))

    @property
    def standing(self) -> Standing:
        adds = any_of([*(r.standing for r in self.means), *([self.mixed_shift.standing] if self.mixed_shift else [])])
        short = [*(r.standing for r in self.readings), *([self.mixed.standing] if self.mixed else [])]
        return any_of([*short, all_of(self.over_the_shift, adds)])


def _verdict(task: AirTask, air: Air, over_the_shift: Standing) -> _Verdict:
    return _Verdict(
        readings=task.readings(air, SHORT),
        means=task.readings(air, ("twa",)),
        mixed=task.mixture(air, ("short-term", "ceiling"), average=False),
        mixed_shift=task.mixture(air, ("twa",), average=True) if over_the_shift.perhaps else None,
        over_the_shift=over_the_shift,
    )


def _no_vapour(task: AirTask, index: int, step: Step) -> Finding:
    if step.people == "away":
        short = say("Nobody in the air of this step")
    elif task.exposure.steps[index].unknown:
        short = say("No other vapour in this step")
    else:
        short = say("No vapour of these products in this step")
    return Finding(
        "note",
        "air",
        say(
            "No vapour of these products is counted for the person in this step. Fume, dust and gas of the work "
            "itself are not."
        ),
        short,
        PLUGIN,
        index,
        key="air-step",
    )


def _sentences(found: _Verdict) -> list[str]:
    worst = found.worst
    sentences = [_sentence(r) for r in found.over] or [_sentence(worst, in_step=worst.limit.kind == "twa")]
    if found.drives:
        sentences.append(say("The shift average is over the limit, and this step adds to it."))
    elif found.mixed_drives:
        sentences.append(say("Taken together the vapours are over the limit for the shift, and this step adds to it."))
    if found.mixed_over:
        index = levels.compared(found.mixed_over.figure.value, 1.0, digits=2)
        sentences.append(
            say("Taken together the vapours reach {index} times what is allowed for 15 minutes.", index=index)
        )
    if any(r.highest for r in found.readings):
        sentences.append(levels.plume())
    return sentences


def _answer(task: AirTask, index: int, step: Step, over_the_shift: Standing) -> Finding:
    air = in_step(task.exposure.steps[index])
    if not task.vapour(air):
        return _no_vapour(task, index, step)
    dangers = task.readings(air, ("idlh",))
    deadly = [r for r in dangers if r.over]
    danger = any_of(r.standing for r in dangers)
    if deadly:
        return replace(_deadly(task, index, deadly), close=danger.close)
    found = _verdict(task, air, over_the_shift)
    if not (found.readings or found.means):
        return _without_limits(task, index, air)
    sentences = _sentences(found)
    short = _short(found.worst, found.bad, bool(found.mixed_over and not found.over))
    names, text = _unlimited(task, air)
    if names:
        sentences.append(text)
        short = say("{short}; no limit for {names}", short=short, names=names)
    counted = not (task.exposure.steps[index].unknown or (found.means and task.exposure.shift_uncounted))
    if not counted:
        sentences.append(say("Vapour that could not be counted is not in it."))
    if not (counted or found.bad):
        short = say("{short}; not all is counted", short=short)
        text = text or say("Whether this step stays under the limits is not known: not all vapour is counted.")
    helps = add_a_limit() if names else "" if counted else give_what_is_missing()
    remedy = local_exhaust(max(found.times_over)) if found.times_over else helps
    return Finding(
        level="control" if found.bad or text else "note",
        topic="air",
        statement=joined(sentences),
        short=short,
        plugin=PLUGIN,
        step=index,
        figures=found.figures,
        rule=found.worst.rule,
        unknown=text,
        close=danger.close or ("" if text else found.standing.close),
        remedy=_and_length(task, index, remedy) if found.bad else remedy,
        key="air-step",
        roles=(SaidUnder("breathing"),) if found.bad and not text else (),
    )


def _and_length(task: AirTask, index: int, remedy: str) -> str:
    """The remedy, and that the engine took all of a long wet part as close by, where the step gives no length."""
    step = task.job.steps[index]
    along = [
        str(number)
        for number, other in enumerate(task.job.steps[:index], 1)
        if other.length is not None and other.uses and other.place.id == step.place.id
    ]
    if step.length is not None or step.people != "near" or not along:
        return remedy
    text = say(
        "This step gives no length, so all that is still wet of step {steps} counts as close to the hands. "
        "If it is not, give the step the length of the part, or its own place.",
        steps=", ".join(along),
    )
    return joined((remedy, text))


def _deadly(task: AirTask, index: int, deadly: list[Reading]) -> Finding:
    worst = deadly[0]
    remedy = say(
        "Use less at a time, work a smaller area, or take the vapour away at the source. Then make a new sheet."
    )
    return Finding(
        level="stop",
        topic="air",
        statement=joined(
            (
                say(
                    "{substance} near the worker can reach {value} ppm.",
                    substance=capital(worst.substance.name),
                    value=worst.shown,
                ),
                say("At {limit} the air is a danger to life at once.", limit=worst.named),
                *((levels.plume(),) if worst.highest else ()),
            )
        ),
        short=say("{substance} can reach a level that threatens life", substance=worst.substance.name),
        plugin=PLUGIN,
        step=index,
        figures=tuple(r.figure for r in deadly),
        rule=worst.rule,
        remedy=_and_length(task, index, remedy),
        key="air-idlh",
    )


def _unlimited(task: AirTask, air: Air) -> tuple[str, str]:
    """Names of the vapours in a step that no limit judges, and the sentence; both empty where there is none."""
    lowest = task.lowest(JUDGED)
    names = ", ".join(task.exposure.substances[c].name for c in task.vapour(air) if c not in lowest)
    text = say("There is vapour of {names} in this step, and no limit to hold it against.", names=names)
    return names, text if names else ""


def _without_limits(task: AirTask, index: int, air: Air) -> Finding:
    names, text = _unlimited(task, air)
    return Finding(
        "control",
        "air",
        text,
        say("No limit for {names}", names=names),
        PLUGIN,
        index,
        unknown=text,
        remedy=add_a_limit(),
        key="air-step",
    )


def _sentence(reading: Reading, in_step: bool = False) -> str:
    words = {"substance": capital(reading.substance.name), "value": reading.shown, "limit": reading.named}
    if in_step:
        return say(
            "{substance} is at {value} ppm on average in this step. The limit for the whole shift is {limit}.", **words
        )
    if reading.quarter:
        return say("{substance} reaches {value} ppm over the worst 15 minutes. The limit is {limit}.", **words)
    return say("{substance} reaches {value} ppm in the highest minute. The limit is {limit}.", **words)


def _short(worst: Reading, bad: bool, together: bool) -> str:
    span = say("mean") if worst.limit.kind == "twa" else worst.span
    text = say(
        "{substance} {value} ppm ({span}), limit {limit}",
        substance=worst.substance.name,
        value=worst.shown,
        span=span,
        limit=worst.brief,
    )
    if together:
        return joined((text, say("vapours together over the limit")), "; ")
    return broken(text, worst) if worst.over and bad else text
