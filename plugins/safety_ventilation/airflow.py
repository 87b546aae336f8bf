"""What would bring the air under a limit: more clean air for the room, or catching vapour at the source."""

from __future__ import annotations

import math

import numpy as np

from safety import units
from safety.exposure.result import PRESSURE, p95
from safety.formulas.air import dilution_airflow, mass_from_ppm
from safety.model import EIGHT_HOURS, TITLES, Figure
from safety.reference import long_shift
from safety.words import joined, say, term
from safety_ventilation.limits import Air, AirTask, Reading, over_shift

#: % of the vapour. Any hood catches less than the first; none is relied on for more than the second (common practice,
#: no source).
A_LITTLE, MOST = 10, 99


def local_exhaust(ratio: float) -> str:
    """What must be caught at the source to bring air at ``ratio`` times the limit down to it.

    What the respirators of the shop can do is the protection plugin's to say; its answer always stands on the sheet,
    even if it is that there is none.
    """
    # whole per cent, upwards; the hair taken off keeps 80 % at 80 %
    share = math.ceil((1 - 1 / ratio) * 100 - 1e-6)
    if share > MOST:
        text = say(
            "To catch vapour at the source alone does not do it: it would take more than {most} %. Use less, work a "
            "smaller area, or use another product or way of working.",
            most=MOST,
        )
    elif share < A_LITTLE:
        text = say(
            "A little less vapour is enough, {share} %: use less, or catch some of it at the source.",
            share=max(share, 1),
        )
    else:
        text = say("Catch at least {share} % of the vapour at the source.", share=share)
    instead = say('Whether a respirator will do instead stands under "{topic}".', topic=term(TITLES["breathing"]))
    return say("{text} {instead}", text=text, instead=instead)


def remedy(task: AirTask, reading: Reading) -> tuple[str, tuple[Figure, ...]]:
    """What would help against one reading of the worker's that is over, with the figures behind it."""
    room = _same_limit(task, reading)
    near_alone = reading.ratio - room
    if room <= 1 and all(step.place.kind == "outdoor" for step in task.job.steps):
        return local_exhaust(reading.ratio), ()  # no room to bring air into
    if room <= 1:
        text = say("More air for the room alone does not do it: the air close to the hands rules.")
        return say("{text} {exhaust}", text=text, exhaust=local_exhaust(reading.ratio)), ()
    needed = _needed(task, reading)
    shown = units.show(needed.value, "airflow", "cfm" if task.job.shop.print_units == "us" else "m3/h", 2)
    text = say("The room needs about {airflow} of clean air.", airflow=shown)
    if near_alone > 1:
        exhaust = local_exhaust(reading.ratio)
        return joined((text, say("That is not enough close to the hands. {exhaust}", exhaust=exhaust))), (needed,)
    return text, (needed,)


def _same_limit(task: AirTask, reading: Reading) -> float:
    """How many times the same limit the far field reaches."""
    far: Air = over_shift(task.exposure.bystander)
    return next((r.ratio for r in task.readings(far, (reading.limit.kind,)) if r.limit == reading.limit), 0.0)


def _needed(task: AirTask, reading: Reading) -> Figure:
    """Clean air that holds the room at the limit, as if the job's vapour came evenly."""
    rate = _generation(task, reading)
    column = task.exposure.column(reading.substance.cas) or 0
    temperature = float(np.median(task.exposure.temperature))
    limit = float(mass_from_ppm(reading.allowed, task.exposure.molar_mass[column], temperature, PRESSURE))
    compared = long_shift.as_compared(task.job, reading.limit, reading.allowed)
    return Figure(
        name=say("clean air for the room"),
        value=float(dilution_airflow(rate, limit)),
        unit="m3/s",
        formula="dilution_airflow",
        inputs=(
            ("generation", Figure(say("{substance} given off", substance=reading.substance.name), rate, "kg/s")),
            ("limit", Figure(say("limit as mass"), limit, "kg/m3", "mass_from_ppm", (("limit", compared),))),
        ),
        note=say("for air that is mixed well; twice as much or more where it is not"),
    )


def _generation(task: AirTask, reading: Reading) -> float:
    """Vapour given off [kg/s]: over the shift for a shift limit, else in the busiest step."""
    cas, by_step = reading.substance.cas, [0.0] * len(task.job.steps)
    for balance in task.exposure.balances:
        if cas in balance.evaporated_by:
            by_step[balance.step] += float(p95(balance.evaporated_by[cas]))
    if reading.limit.kind == "twa":
        return sum(by_step) / EIGHT_HOURS
    spans = [task.exposure.timeline.span(i) for i in range(len(by_step))]
    return max((mass / (end - start) for mass, (start, end) in zip(by_step, spans, strict=True)), default=0.0)
