"""What must be known and done about each place the job is in."""

from __future__ import annotations

from typing import Any

from safety import units
from safety.cited import Unknown
from safety.model import AirState, Finding, Place, Threshold
from safety.reference import past
from safety.reference.citing import duty
from safety.words import joined, say
from safety_ventilation.limits import PLUGIN, AirTask, plain

ENCLOSED_BELOW = "enclosed-below-volume"
OXYGEN_LEAST, OXYGEN_MOST = "entry-oxygen-least", "entry-oxygen-most"
#: Mean molar mass of dry air [kg/mol]; US Standard Atmosphere, 1976, table 3.
AIR_MOLAR_MASS = 0.0289644


def judge(task: AirTask) -> list[Finding]:
    places = {step.place.id: step.place for step in task.job.steps}
    airs = {(step.place.id, step.air.state): (step.place, step.air) for step in task.job.steps}
    threshold = task.reference.threshold(ENCLOSED_BELOW)
    found = [f for place in places.values() for f in _size(task, place, threshold)]
    found += [_basis(place, air) for place, air in airs.values() if air.measured is None]
    return [*found, *_heavy(task)]


def _size(task: AirTask, place: Place, threshold: Threshold | Unknown) -> list[Finding]:
    name, key = place.name or place.id, f"air-place:{place.id}"
    if isinstance(place.volume, Unknown):
        if place.kind == "outdoor":
            return []
        text = say("How large the air space of {place} is, is not known: {why}.", place=name, why=place.volume.reason)
        return [Finding("note", "air", text, say("Size of {place}", place=name), PLUGIN, unknown=text, key=key)]
    if place.kind == "enclosed":
        law = duty(task.reference, "enclosed space")
        return [_enclosed(task, name, key, say("{place} is an enclosed space.", place=name), law.text, law.rows)]
    if isinstance(threshold, Unknown):
        text = say("Whether {place} counts as a small space is not known: {why}.", place=name, why=threshold.reason)
        return [Finding("note", "air", text, say("Small space or not"), PLUGIN, unknown=text, key=key)]
    if place.kind != "outdoor" and past(place.volume, threshold):
        unit = ("volume", "ft3") if task.job.shop.print_units == "us" else ("volume", "m3")
        text = say("{place} is a small space of {volume}.", place=name, volume=units.show(place.volume, *unit))
        return [_enclosed(task, name, key, text, threshold.citation, (threshold,))]
    return []


def _enclosed(task: AirTask, name: str, key: str, first: str, rule: str, grounds: tuple[Any, ...]) -> Finding:
    order = duty(task.reference, "order of tests")
    bounds, limits = _oxygen(task)
    return Finding(
        level="control",
        topic="air",
        statement=joined(
            (
                say(
                    "{first} No air of the building around it is counted on. Test the air before anybody goes in and "
                    "while the work goes on. Have somebody outside who can call help and does not go in.",
                    first=first,
                ),
                say("Test oxygen first, then what burns, then what is poisonous."),
                bounds,
            )
        ),
        short=say("{place}: enclosed, test the air first", place=name),
        plugin=PLUGIN,
        rule=joined(filter(None, (rule, order.text)), "; "),
        remedy=say("Blow clean air in from outside, and let it out at the far end."),
        key=key,
        grounds=(*grounds, *order.rows, *limits),
    )


def _oxygen(task: AirTask) -> tuple[str, tuple[Threshold, ...]]:
    """How much oxygen the air must hold, and the limits that say so."""
    least, most = (task.reference.threshold(name) for name in (OXYGEN_LEAST, OXYGEN_MOST))
    if isinstance(least, Unknown) or isinstance(most, Unknown):
        return say("The loaded rules do not say how much oxygen is needed: the safety officer says it."), ()
    text = say("Stay out under {least} or over {most} of oxygen.", least=least.written, most=most.written)
    return text, (least, most)


def _basis(place: Place, air: AirState) -> Finding:
    name = place.name or place.id
    low, high = (units.convert(x, "air_changes", "1/h") for x in (air.air_changes.low, air.air_changes.high))
    rate = plain(low) if low == high else say("{low} to {high}", low=plain(low), high=plain(high))
    basis = air.basis or say("none given")
    if place.kind == "outdoor":
        text = say(
            'The wind in {place} ("{state}") is taken as the shop\'s file has it. '
            "The file gives no day on which it was measured. Basis: {basis}.",
            place=name,
            state=air.called,
            basis=basis,
        )
    else:
        text = say(
            'The air of {place} ("{state}") is taken as {rate} changes an hour. '
            "The shop's file gives no day on which it was measured here. Basis: {basis}.",
            place=name,
            state=air.called,
            rate=rate,
            basis=basis,
        )
    return Finding(
        "note",
        "air",
        text,
        say("Air of {place} is assumed", place=name),
        PLUGIN,
        key=f"air-basis:{place.id}:{air.state}",
    )


def _heavy(task: AirTask) -> list[Finding]:
    heavy = [
        s.name
        for s, mass in zip(task.exposure.substances, task.exposure.molar_mass, strict=True)
        if mass > AIR_MOLAR_MASS
    ]
    if not heavy:
        return []
    text = say(
        "Strong vapour of {names} is heavier than air. Close to wet surfaces it runs down "
        "into pits, drains and low corners. Check those too, and take air away low down.",
        names=", ".join(heavy),
    )
    return [Finding("note", "air", text, say("Strong vapour runs down to low spots"), PLUGIN, key="air-heavy")]
