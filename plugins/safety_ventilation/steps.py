"""What a person breathes in each step: one answer a step, the worst comparison first."""

from __future__ import annotations

from dataclasses import replace

from safety import levels
from safety.exposure.result import Standing, all_of, any_of
from safety.model import Finding, LimitKind, Step
from safety.words import capital, joined, say
from safety_ventilation.airflow import local_exhaust
from safety_ventilation.limits import (
    JUDGED,
    PLUGIN,
    Air,
    AirTask,
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


def _answer(task: AirTask, index: int, step: Step, over_the_shift: Standing) -> Finding:
    air = in_step(task.exposure.steps[index])
    if not task.vapour(air):
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
    readings = task.readings(air, SHORT)
    means = task.readings(air, ("twa",))
    dangers = task.readings(air, ("idlh",))
    deadly = [r for r in dangers if r.over]
    danger = any_of(r.standing for r in dangers)
    if deadly:
        return replace(_deadly(task, index, deadly), close=danger.close)
    over = [r for r in readings if r.over]
    drives = [r for r in means if r.over] if over_the_shift.over else []
    mixed = task.mixture(air, ("short-term", "ceiling"), average=False)
    mixed_over = mixed is not None and mixed.standing.over
    mixed_shift = task.mixture(air, ("twa",), average=True) if over_the_shift.perhaps else None
    mixed_drives = mixed_shift is not None and over_the_shift.over and mixed_shift.standing.over
    if not (readings or means):
        return _without_limits(task, index, air)
    worst = (readings or means)[0]
    sentences = [_sentence(r) for r in over] or [_sentence(worst, in_step=worst.limit.kind == "twa")]
    if drives:
        sentences.append(say("The shift average is over the limit, and this step adds to it."))
    elif mixed_drives:
        sentences.append(say("Taken together the vapours are over the limit for the shift, and this step adds to it."))
    if mixed is not None and mixed_over:
        sentences.append(
            say(
                "Taken together the vapours reach {index} times what is allowed for 15 minutes.",
                index=levels.compared(mixed.figure.value, 1.0, digits=2),
            )
        )
    bad = bool(over or drives or mixed_over or mixed_drives)
    short = _short(worst, bad, mixed_over and not over)
    names, text = _unlimited(task, air)
    if names:
        sentences.append(text)
        short = say("{short}; no limit for {names}", short=short, names=names)
    counted = not (task.exposure.steps[index].unknown or (means and task.exposure.shift_uncounted))
    if not counted:
        sentences.append(say("Vapour that could not be counted is not in it."))
    if not (counted or bad):
        short = say("{short}; not all is counted", short=short)
        text = text or say("Whether this step stays under the limits is not known: not all vapour is counted.")
    times_over = [r.ratio for r in over] + ([mixed.careful.bound] if mixed is not None and mixed_over else [])
    adds = any_of([*(r.standing for r in means), *([mixed_shift.standing] if mixed_shift else [])])
    rows = [*(r.standing for r in readings), *([mixed.standing] if mixed else []), all_of(over_the_shift, adds)]
    helps = add_a_limit() if names else "" if counted else give_what_is_missing()
    remedy = local_exhaust(max(times_over)) if times_over else helps
    return Finding(
        level="control" if bad or text else "note",
        topic="air",
        statement=joined(sentences),
        short=short,
        plugin=PLUGIN,
        step=index,
        figures=(*(r.figure for r in (*readings, *means)), *((mixed.figure,) if mixed else ())),
        rule=worst.rule,
        unknown=text,
        close=danger.close or ("" if text else any_of(rows).close),
        remedy=_and_length(task, index, remedy) if bad else remedy,
        key="air-step",
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
    return say("{substance} reaches {value} ppm at the highest moment. The limit is {limit}.", **words)


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
