"""The share of the vapour that the hood of a place takes."""

from __future__ import annotations

from safety.files.shape_air import AirTable
from safety.formulas.air import FAIR, GOOD, POOR, hood_capture, hood_velocity
from safety.model import Range
from safety.words import say

#: The share of a class and of the one below it: nobody knows where between the two a hood lies.
CLASS_BELOW = {POOR: 0.0, FAIR: POOR, GOOD: FAIR}


def capture(air: AirTable) -> Range:
    """The share of the vapour the hood of a state takes: as measured, else by the air speed it makes at the work."""
    if air.capture is not None:
        return air.capture
    speed = _at_the_work(air)
    if speed is None:
        return Range(0.0, 0.0)
    most = float(hood_capture(speed.low))
    least = CLASS_BELOW[most]
    if air.hood is not None or air.air_speed.high >= speed.low:
        least = 0.0  # an equation may err, and a draught as fast as the hood's air takes the vapour away from it
    written = say("{low:.0%} to {high:.0%}", low=least, high=most)
    return Range(least, most, written, say("by the air speed at the work, {speed}", speed=speed.written))


def _at_the_work(air: AirTable) -> Range | None:
    """Air speed toward the hood where the vapour comes off [m/s]."""
    if air.capture_velocity is not None or air.hood is None:
        return air.capture_velocity
    hood = air.hood
    low, high = (
        float(hood_velocity(flow, hood.opening, distance, hood.flange))
        for flow, distance in ((hood.airflow.low, hood.distance.high), (hood.airflow.high, hood.distance.low))
    )
    written = say("{low:.2g} to {high:.2g} m/s by equation", low=low, high=high)
    return Range(low, high, written)
