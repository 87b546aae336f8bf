"""What a result measured at the work is expected to be, and what it is in ppm: the two that are held together."""

from __future__ import annotations

import numpy as np

from safety.exposure.result import PRESSURE, Exposure, Floats
from safety.formulas.air import ppm_from_mass
from safety.model import EIGHT_HOURS, Job, Measurement

#: Temperature [K] at which mg/m3 becomes ppm where no list names another.
AMBIENT = 298.15


def expected(exposure: Exposure, result: Measurement) -> Floats | None:
    """What the engine expects a result to be [ppm], (draws,); None where the plan holds no such vapour."""
    column = exposure.column(result.cas)
    if column is None:
        return None
    return np.asarray(exposure.ppm(_breathed(exposure, result))[:, column])


def _breathed(exposure: Exposure, result: Measurement) -> Floats:
    worker = result.position == "worker"
    if not result.steps:
        return exposure.worker.shift_average if worker else exposure.bystander.shift_average
    dose, time = np.zeros_like(exposure.worker.shift_average), 0.0
    for index, step in enumerate(exposure.job.steps):
        if step.name in result.steps:
            start, end = exposure.timeline.span(index)
            air = exposure.steps[index]
            mean = air.mean if worker else air.far_mean
            assert mean is not None  # the engine keeps it where somebody measured
            dose = dose + mean * (end - start)
            time += end - start
    return np.asarray(dose / time)


def in_ppm(job: Job, result: Measurement, molar_mass: float, temperature: float = AMBIENT) -> float:
    """A result in ppm, that of a whole shift as an 8-hour average. A blank is its detection limit."""
    given = (
        result.value * 1e6
        if result.unit == "ppm"
        else float(ppm_from_mass(result.value, molar_mass, temperature, PRESSURE))
    )
    return _share_of_shift(job, result) * given


def _share_of_shift(job: Job, result: Measurement) -> float:
    """What a whole-shift result counts as an 8-hour average; time not sampled is clean only when away."""
    if result.steps:
        return 1.0
    leaves = result.position == "worker" and job.afterwards == "away"
    exposed = result.duration if leaves else max(result.duration, job.shift)
    return min(exposed, EIGHT_HOURS) / EIGHT_HOURS
