"""The air of those who spray: what is drawn through the booth, and where to stand in it."""

from __future__ import annotations

from safety import units
from safety.cited import Unknown
from safety.model import Finding, Step
from safety.reference import past
from safety.reference.citing import duty
from safety.words import joined, say
from safety_ventilation.limits import PLUGIN, AirTask

VELOCITY = "booth-velocity"


def judge(task: AirTask) -> list[Finding]:
    """One finding for each step that sprays: whatever is sprayed, its mist goes where the air goes."""
    steps = enumerate(task.job.steps)
    return [_finding(task, index, step) for index, step in steps if any(use.work == "spray" for use in step.uses)]


def _finding(task: AirTask, index: int, step: Step) -> Finding:
    law = duty(task.reference, "sprayer's air")
    limit = task.reference.threshold(VELOCITY)
    booth = step.place.kind == "booth"
    stream, unknown = _stream(task, step) if booth else ("", "")
    return Finding(
        level="control",
        topic="air",
        statement=joined(
            (
                say("Stand where clean air reaches you before the piece."),
                say("Whoever stands behind the piece in the stream wears a respirator, whatever the figures say."),
                stream,
            )
        ),
        short=say("spray with the air at your back"),
        plugin=PLUGIN,
        step=index,
        rule=joined(filter(None, (law.text, limit.citation if booth and not isinstance(limit, Unknown) else "")), "; "),
        unknown=unknown,
        key="air-spraying",
        grounds=(*law.rows, *(() if isinstance(limit, Unknown) or not booth else (limit,))),
    )


def _stream(task: AirTask, step: Step) -> tuple[str, str]:
    """The stream through a booth beside what the rules ask of it, and what is not known of it."""
    limit, own = task.reference.threshold(VELOCITY), step.air.face_velocity
    if isinstance(limit, Unknown):
        return "", ""
    asked = _speed(task, limit.value)
    if own is None:
        text = say(
            "How fast the air goes through this booth is not known: measure it, {asked} or more is asked of a booth "
            "with dry filters.",
            asked=asked,
        )
        return text, text
    if past(own.low, limit):
        text = say(
            "By its file the air goes through this booth at as little as {own}; {asked} or more is asked of a booth "
            "with dry filters. Do not spray before the safety officer has seen to it.",
            own=_speed(task, own.low),
            asked=asked,
        )
        return text, ""
    text = say(
        "By its file the air goes through at {own} or more, as the rules ask ({asked}). That is for fire: it does not "
        "show that the air is fit to breathe.",
        own=_speed(task, own.low),
        asked=asked,
    )
    return text, ""


def _speed(task: AirTask, value: float) -> str:
    us = task.job.shop.print_units == "us"
    return units.show(value, "speed", "ft/min" if us else "m/s", 2)
