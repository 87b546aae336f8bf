"""Spraying what can burn: where, how far from what lights it, what stands by, and how the gun is cleaned.

A mist burns below the flash point, so whatever can be lit as a mist counts. The distance and the flash point of a
gun cleaner are those of the loaded rules; a shop without any is told that its own rules set them.
"""

from __future__ import annotations

from safety.cited import Unknown
from safety.model import Finding, Use
from safety.words import joined, say
from safety_ignition import wet
from safety_ignition.task import PLUGIN, FireTask

DISTANCE = "spray-ignition-distance"
CLEANING = "spray-cleaning-flash-point"


def judge(task: FireTask, index: int) -> list[Finding]:
    """One finding for a step that sprays what can be lit, or is not known to be none."""
    step = task.job.steps[index]
    sprayed = [
        one for one in wet.present(task, index) if one.own and isinstance(one.thing, Use) and one.thing.work == "spray"
    ]
    lit = [found for one in sprayed if (found := wet.verdict(task, one, step)).burns]
    if not lit:
        return []
    place = step.place.name or step.place.id
    sentences = [
        say("{products} is sprayed, and its mist can burn.", products=", ".join(v.wet.product.name for v in lit)),
        say("Spray only where the shop has set the place apart for it, with a fan that draws the mist away."),
        *(
            [say("No file says that {place} is a spray booth: ask the safety officer first.", place=place)]
            if step.place.kind != "booth"
            else []
        ),
        say(
            "No flame, spark or hot surface within {distance}, unless a wall is between. No smoking.",
            distance=task.length(DISTANCE),
        ),
        say("Ground the piece, the gun, the booth and the cans. Have there only what one shift needs."),
        say("Leave the fan on until what was sprayed is dry, and let it dry there."),
        _cleaning(task),
        say("Put rags and dried paint in covered metal cans, and empty them at the end of the shift."),
    ]
    return [
        Finding(
            level="control",
            topic="fire",
            statement=joined(sentences),
            short=say("spray only in the booth, fan on until dry; nothing that lights it within {distance}",
                      distance=task.length(DISTANCE)),
            plugin=PLUGIN,
            step=index,
            figures=tuple(figure for v in lit for figure in v.figures),
            rule=task.rule("spraying"),
            unknown=say("Whether {place} may be sprayed in is not known.", place=place)
            if step.place.kind != "booth"
            else "",
            key="fire-spraying",
            grounds=(*task.grounds("spraying", DISTANCE, CLEANING), *(g for v in lit for g in v.grounds)),
        )
    ]  # fmt: skip


def _cleaning(task: FireTask) -> str:
    """With what the gun is cleaned, and where."""
    limit = task.reference.threshold(CLEANING)
    if isinstance(limit, Unknown):
        return say("Clean the gun in the booth with the fan on.")
    return say(
        "Clean the gun with a liquid of a flash point of {bound} or more; with any other only in the booth with the "
        "fan on.",
        bound=task.degrees(limit.value),
    )
