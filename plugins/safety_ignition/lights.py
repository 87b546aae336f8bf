"""What people may have with them at any work: whether it may be used, for the back of the technician's sheet."""

from __future__ import annotations

from safety.model import Lights
from safety_ignition import halogens
from safety_ignition.sources import TABLE, asked_after, decomposing
from safety_ignition.task import FireTask


def kept_away(task: FireTask) -> tuple[Lights, ...]:
    """All of it, where vapour can be lit."""
    return tuple(Lights(name, False) for name, _ in asked_after(task.reference.table(TABLE)))


def allowed(task: FireTask, index: int) -> tuple[Lights, ...]:
    """All of it, where nothing can be lit; but for what would turn the vapour into acid gas."""
    asked = asked_after(task.reference.table(TABLE))
    hot = decomposing(source for _, source in asked) if halogens.look(task, index, hot=True).any else []
    return tuple(Lights(name, source not in hot) for name, source in asked)
