"""What would bring the air under a limit: more clean air for the room, or catching vapour at the source."""

from __future__ import annotations

import math

import numpy as np

from safety import units
from safety.exposure.result import PRESSURE, p95
from safety.formulas.air import dilution_airflow, mass_from_ppm
from safety.model import Figure
from safety.words import say
from safety_ventilation.limits import SHIFT, Air, Bench, Reading, over_shift


def local_exhaust(ratio: float) -> str:
    """The share of the vapour a hood must catch to bring ``ratio`` times the limit down to it."""
    if ratio <= 1:
        return ""
    # whole per cent, upwards; the hair taken off keeps 80 % at 80 %
    share = math.ceil((1 - 1 / ratio) * 100 - 1e-6)
    return say(
        "Catch at least {share} % of the vapour at the source, or use the respirator on this sheet.", share=share
    )


def remedy(bench: Bench, reading: Reading) -> tuple[str, tuple[Figure, ...]]:
    """What would help against one reading of the worker's that is over, with the figures behind it."""
    room = _same_limit(bench, reading)
    near_alone = reading.ratio - room
    if room <= 1:
        text = say("More air for the room alone does not do it: the air close to the hands rules.")
        return say("{text} {exhaust}", text=text, exhaust=local_exhaust(reading.ratio)).strip(), ()
    needed = _needed(bench, reading)
    shown = units.show(needed.value, "airflow", "cfm" if bench.job.shop.print_units == "us" else "m3/h", 2)
    text = say("The room needs about {airflow} of clean air.", airflow=shown)
    if near_alone > 1:
        exhaust = local_exhaust(reading.ratio)
        return say("{text} That is not enough close to the hands. {exhaust}", text=text, exhaust=exhaust), (needed,)
    return text, (needed,)


def _same_limit(bench: Bench, reading: Reading) -> float:
    """How many times the same limit the far field reaches."""
    far: Air = over_shift(bench.exposure.bystander)
    return next((r.ratio for r in bench.readings(far, (reading.limit.kind,)) if r.limit == reading.limit), 0.0)


def _needed(bench: Bench, reading: Reading) -> Figure:
    """Clean air that holds the room at the limit, as if the job's vapour came evenly."""
    rate = _generation(bench, reading)
    column = bench.exposure.column(reading.substance.cas) or 0
    temperature = float(np.median(bench.exposure.temperature))
    limit = float(mass_from_ppm(reading.allowed, bench.exposure.molar_mass[column], temperature, PRESSURE))
    return Figure(
        name=say("clean air for the room"),
        value=float(dilution_airflow(rate, limit)),
        unit="m3/s",
        formula="dilution_airflow",
        inputs=(
            ("generation", Figure(say("{substance} given off", substance=reading.substance.name), rate, "kg/s")),
            ("limit", Figure(say("limit as mass"), limit, "kg/m3", "mass_from_ppm", (("limit", reading.limit),))),
        ),
        note=say("for air that is mixed well; twice as much or more where it is not"),
    )


def _generation(bench: Bench, reading: Reading) -> float:
    """Vapour given off [kg/s]: over the shift for a shift limit, else in the busiest step."""
    cas, by_step = reading.substance.cas, [0.0] * len(bench.job.steps)
    for balance in bench.exposure.balances:
        if cas in balance.evaporated_by:
            by_step[balance.step] += float(p95(balance.evaporated_by[cas]))
    if reading.limit.kind == "twa":
        return sum(by_step) / SHIFT
    spans = [bench.exposure.timeline.span(i) for i in range(len(by_step))]
    return max(
        (mass / (end - start) for mass, (start, end) in zip(by_step, spans, strict=True) if end > start), default=0.0
    )
