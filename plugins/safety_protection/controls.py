"""What would make a mask needless: ventilation and less solvent come first, with numbers."""

from __future__ import annotations

from safety import levels, units
from safety.exposure.result import Exposure
from safety.model import Figure, Job
from safety.reference import Reference
from safety.words import joined, say
from safety_protection import need
from safety_protection.need import StepNeed


def remedy(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> tuple[str, tuple[Figure, ...]]:
    """Which control would do instead of a mask, with numbers; ventilation and less solvent come first."""
    over = own.over
    if over <= 1:
        return say("Less vapour: a smaller amount, a hood at the work, or more air."), ()
    step = job.steps[own.step]
    share = Figure(
        say("share of the vapour that needs no mask"),
        100 / over,
        "%",
        inputs=((say("times its limit"), over),),
    )
    room = _room(job, exposure, own, reference, over)
    left = levels.at_most(share.value) if share.value < 99 else levels.compared(share.value, 100.0, digits=2)
    less = joined(
        (
            say("No mask is needed with at most {percent} % of this vapour left.", percent=left),
            say(
                "Use less solvent, or a hood at the work that takes {taken} %.",
                taken=levels.at_least(100 - share.value),
            ),
        )
    )
    if share.value < 1:  # no hood takes so much, and "100 %" would promise one that takes all
        less = say(
            "No mask is needed with at most {percent} % of this vapour left: use another product or way of working.",
            percent=levels.at_most(share.value),
        )
    far = Figure(say("air of the rest of the room against its limits"), room, "1", inputs=(("step", step.name),))
    if room <= 1:
        more = say(
            "The rest of the room stays at {percent} % of the limits, so the vapour at the hands is what counts: "
            "more room air alone does little.",
            percent=levels.compared(room * 100, 100.0, digits=2),
        )
        return joined((less, more)), (share, far)
    now = step.air.air_changes
    if step.place.kind == "outdoor" or now.low <= 0:
        return less, (share, far)
    wanted = Figure(
        say("air changes for the room"),
        now.low * room,
        "1/s",
        inputs=(("air changes now", now), ("room against limits", far)),
        note=say("steady mixing: twice the air, half the vapour"),
    )
    more = say(
        "The room itself is over: about {wanted} air changes an hour in place of {now}.",
        wanted=levels.compared(wanted.value * 3600, now.low * 3600, digits=2),
        now=units.significant(now.low * 3600, 2),
    )
    return joined((less, more)), (share, far, wanted)


def _room(job: Job, exposure: Exposure, own: StepNeed, reference: Reference, over: float) -> float:
    """How far the air away from the hands uses up the limits that lead; a place of one zone is all near."""
    air = exposure.steps[own.step]
    if own.leading is not None and "twa" in own.leading.kinds:
        average = exposure.bystander.shift_average
        rooms = [need.against(("twa",), exposure, reference, average, average, job)]
    else:
        rooms = [need.against(kinds, exposure, reference, air.far_peak, air.far_peak) for kinds in need.SHORT]
    room = max((n.ratio for n in rooms if n.terms), default=0.0)
    return room if room > 0 else over
