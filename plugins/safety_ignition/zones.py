"""The air of a step's place, near and far, beside the fire limit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from safety.cited import Unknown
from safety.exposure.origin import Inputs, made_of
from safety.exposure.result import PRESSURE, Careful, Floats, NextDoor, Standing, StepAir, careful, p50, p95
from safety.model import Figure, Threshold
from safety.reference import past
from safety.words import joined, say
from safety_ignition.explosive_limits import UNKNOWN_LIMIT, careful_limit, correction
from safety_ignition.task import FireTask, air_pressure

CLEAR = Standing(False, False, False)


@dataclass(frozen=True, slots=True)
class Zone:
    """The air of the near or far field beside the fire limit; ``figure`` is None where it is not known."""

    figure: Figure | None
    standing: Standing
    unknown: str = ""
    later: str = ""  # sentence: it gets there when the step is over
    grounds: tuple[Any, ...] = ()  # what it was held against where there is no figure

    @property
    def over(self) -> bool:
        return self.standing.over

    def with_time(self, text: str) -> str:
        """A text on the share, and when it is reached where that is not in the step itself."""
        return joined((text, self.later))


def zones(task: FireTask, index: int, factor: float, note: str, wet: bool) -> tuple[Zone, Zone]:
    """Near and far. ``factor``, ``note``: from explosive_limits.correction; ``wet``: something here can be lit."""
    air = task.exposure.steps[index]
    pressure = air_pressure(task.job.steps[index].place)
    near, far = _fields(air, pressure.value)
    vapours = (*_vapours(task, index, near.peak), (pressure.name, pressure))
    there = wet or bool(air.unknown) or _any_vapour(near.peak)
    return (
        _zone(task, near, vapours, say("close to the work"), factor, note, there),
        _zone(task, far, vapours, say("in the rest of the place"), factor, note, there),
    )


def beyond(task: FireTask, one: NextDoor) -> Zone:
    """The air of a place behind a door."""
    last = len(task.job.steps) - 1
    peak = one.people.peak
    factor, note = correction(task, one.place.temperature.high)
    there = _any_vapour(peak) or bool(task.exposure.unknowns)
    where = say("next door in {place}", place=one.place.name or one.place.id)
    pressure = air_pressure(one.place)
    vapours = (*_vapours(task, last, peak), (pressure.name, pressure))
    zone = _zone(task, _Field(one.explosive_fraction, peak, pressure.value), vapours, where, factor, note, there)
    if not task.exposure.unknowns or zone.over:
        return zone
    text = say("How near the air is to its explosive limit is not known: {why}", why=joined(task.exposure.unknowns))
    return replace(zone, unknown=zone.unknown or text)


def _vapours(task: FireTask, index: int, peak: Floats) -> Inputs:
    """Each vapour of the job that may burn: its lower explosive limit, and what its level in a step is computed from.

    The worst correction of any of them is taken for all, so the limit of one that is not there yet counts as well.
    """
    found: list[tuple[str, Any]] = []
    for column, substance in enumerate(task.exposure.substances):
        if task.does_not_burn(substance.cas):
            continue
        limit = careful_limit(task, substance, task.temperature(task.job.steps[index]))
        inputs: Inputs = ((limit.name, limit),) if isinstance(limit, Figure) else ()
        if not (peak[:, column] > 0).any():
            found += [(substance.name, one) for _, one in inputs]
            continue
        ppm = task.exposure.ppm(peak)[:, column]
        inputs = (*inputs, *made_of(task.exposure, substance.cas, index))
        name = say("highest level of {name} in the air of the step", name=substance.name)
        found.append((substance.name, Figure(name, float(p95(ppm)), "ppm", inputs=inputs, p50=float(p50(ppm)))))
    return tuple(found)


def _any_vapour(near_peak: Floats) -> bool:
    return bool(near_peak.size) and bool((p95(near_peak) > 0).any())


@dataclass(frozen=True, slots=True)
class _Field:
    """The air of one zone from a step's begin until the next step in its place: what is left wet dries on."""

    fraction: Floats | Unknown
    peak: Floats
    pressure: float  # Pa, of the air
    later: bool = False  # the highest share comes when the step is over


def _fields(air: StepAir, pressure: float) -> tuple[_Field, _Field]:
    """The near and the far one."""
    near = _Field(air.near_explosive_fraction, air.near_peak, pressure)
    far = _Field(air.far_explosive_fraction, air.far_peak, pressure)
    if air.after is None:
        return near, far
    return (
        _worse(near, air.after.near_explosive_fraction, air.after.near_peak),
        _worse(far, air.after.far_explosive_fraction, air.after.far_peak),
    )


def _worse(own: _Field, after: Floats | Unknown, peak: Floats) -> _Field:
    highest = np.maximum(own.peak, peak)
    if isinstance(own.fraction, Unknown) or isinstance(after, Unknown):
        return _Field(own.fraction, highest, own.pressure)
    later = float(p95(after)) > float(p95(own.fraction))
    return _Field(np.maximum(own.fraction, after), highest, own.pressure, later)


def _zone(task: FireTask, field: _Field, vapours: Inputs, where: str, factor: float, note: str, there: bool) -> Zone:
    fraction = field.fraction
    if isinstance(fraction, Unknown) or isinstance(task.fire_stop, Unknown):
        missing = fraction if isinstance(fraction, Unknown) else task.fire_stop
        assert isinstance(missing, Unknown)
        text = say(
            "How near the air {where} is to its explosive limit is not known: {why}.", where=where, why=missing.reason
        )
        return _bound(task, field, vapours, where, text) if there else Zone(None, CLEAR)
    share = careful(fraction).times(factor)
    figure = Figure(
        name=say("share of the lower explosive limit {where}", where=where),
        value=share.value * 100,
        unit="%",
        inputs=(("fire limit", task.fire_stop), *vapours),
        p50=float(p50(fraction)) * factor * 100,
        note=note,
    )
    later = say("It gets there when the step is over, from what is still wet.") if field.later else ""
    return Zone(figure, _held(share, task.fire_stop), later=later)


def _held(share: Careful, limit: Threshold) -> Standing:
    return share.against(lambda one: past(one, limit))


def _bound(task: FireTask, field: _Field, vapours: Inputs, where: str, unknown: str) -> Zone:
    """A zone whose share is not known: all that can burn held against a limit lower than any loaded one."""
    lowest = task.reference.threshold(UNKNOWN_LIMIT)
    burn = [i for i, s in enumerate(task.exposure.substances) if not task.does_not_burn(s.cas)]
    if isinstance(lowest, Unknown) or isinstance(task.fire_stop, Unknown) or not burn:
        return Zone(None, CLEAR, unknown)
    share_of_air = task.exposure.ppm(field.peak)[:, burn].sum(axis=1) * 1e-6 * PRESSURE / field.pressure
    fraction = share_of_air / lowest.value
    share = careful(fraction)
    standing = _held(share, task.fire_stop)
    if not standing.over:
        return Zone(None, standing, unknown, grounds=(lowest, task.fire_stop, *(one for _, one in vapours)))
    figure = Figure(
        name=say("share of the lower explosive limit {where}", where=where),
        value=share.value * 100,
        unit="%",
        inputs=(("fire limit", task.fire_stop), ("lower limit", lowest), *vapours),
        p50=float(p50(fraction)) * 100,
        note=say("no lower limit is known for all of it, so {percent} of the air is taken", percent=lowest.written),
    )
    return Zone(figure, standing, unknown)
