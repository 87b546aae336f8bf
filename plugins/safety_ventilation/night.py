"""The place once the shift is over: what is still wet gives off on, and somebody comes in next."""

from __future__ import annotations

from collections.abc import Sequence

from safety.clock import clock
from safety.exposure.result import Standing
from safety.words import joined, say
from safety_ventilation.limits import AirTask


def begins(task: AirTask) -> float:
    """When the shift and the slowest work are over [s]."""
    timeline = task.exposure.timeline
    return max(timeline.latest(timeline.end), task.job.shift)


def not_clear(task: AirTask, times: Sequence[float | None]) -> Standing:
    """Whether who comes in after the shift may meet air that is not clear; ``times`` [s] as in a Standing."""
    timeline, night = task.exposure.timeline, begins(task)
    return Standing(*(time is None or timeline.latest(time) > night for time in times))


def sentence(task: AirTask) -> str:
    """How the place counts then, and what who comes in next does first."""
    place = task.job.place
    shut = say(
        "From {time} on, when the shift is over, the place counts as “{state}”.",
        time=clock(task.job.start, begins(task), "up"),
        state=place.at_night.state,
    )
    return joined(
        (
            shut,
            say(
                "Who comes in before the air is clear, the next morning or after a weekend, first lets air in, and "
                "measures."
            ),
        )
    )
