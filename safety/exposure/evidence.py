"""What results measured at this very work say of the model error: a prediction is the prior, they are the evidence."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from safety.exposure.draws import Draws, Stream
from safety.exposure.expected import expected, in_ppm
from safety.exposure.result import Exposure, Floats, Learnt, p95
from safety.formulas.prediction import updated_error
from safety.model import EIGHT_HOURS, Job, Measurement

#: Share of the planned time a sample must have lasted to stand for it, and how often it may be longer.
SHORTEST, LONGEST = 0.5, 1.5
#: Days on which results must have been taken before they make a prediction milder: the fewest that EN 689 takes for a
#: decision. Results of one day share its weather and its worker.
DAYS = 3


def learnt(exposure: Exposure, chance: Draws) -> tuple[Learnt, ...]:
    """What the results of a job change in its prediction, which ``exposure`` holds without them."""
    keys = dict.fromkeys((m.cas, m.steps) for m in exposure.job.measurements if _counts(exposure, m))
    return tuple(one for key in keys for one in _of(exposure, chance, *key))


def _counts(exposure: Exposure, result: Measurement) -> bool:
    """Whether a result was taken where the worker breathes, in the air and about the time that are planned."""
    job = exposure.job
    covered = [i for i, step in enumerate(job.steps) if not result.steps or step.name in result.steps]
    airs = {job.steps[i].air.state for i in covered}
    known = result.air or (job.steps[covered[0]].air.state if _one_state(job, covered) else "")
    spans = [exposure.timeline.span(i) for i in covered]
    time = sum(end - start for start, end in spans) if result.steps else min(job.shift, EIGHT_HOURS)
    longest = LONGEST * time if result.steps else np.inf
    return result.position == "worker" and airs == {known} and SHORTEST * time <= result.duration <= longest


def _one_state(job: Job, covered: list[int]) -> bool:
    """Whether the air can only have been the planned one: each place has one state."""
    return all(len(job.steps[i].place.airs) == 1 for i in covered)


def _of(exposure: Exposure, chance: Draws, cas: str, steps: tuple[str, ...]) -> Iterator[Learnt]:
    job = exposure.job
    taken = [
        (i, m) for i, m in enumerate(job.measurements) if (m.cas, m.steps) == (cas, steps) and _counts(exposure, m)
    ]
    prior, column = expected(exposure, taken[0][1]), exposure.column(cas)
    if prior is None or column is None or exposure.error is None:
        return
    base = prior / exposure.error
    middle = float(np.median(base))
    if middle <= 0:
        return
    molar_mass = float(exposure.molar_mass[column])
    found = [in_ppm(job, m, molar_mass) for _, m in taken if not m.below_detection]
    blank = [in_ppm(job, m, molar_mass) for _, m in taken if m.below_detection]
    width = exposure.width
    share = np.maximum(
        chance.between(Stream("model error"), 0.0, 1.0), 0.5
    )  # as in the prior: nothing below the middle
    factor = updated_error(share, [x / middle for x in found], [x / middle for x in blank], width.up, width.down)
    if not lowers([m for _, m in taken]):
        factor = np.maximum(factor, exposure.error)
    # no result that was measured lies above what decides
    factor = factor * max(1.0, max(found, default=0.0) / float(p95(base * factor)))
    covered = tuple(i for i, step in enumerate(job.steps) if not steps or step.name in steps)
    yield Learnt(cas, steps, tuple(i for i, _ in taken), covered, prior, np.asarray(factor))


def lowers(results: Sequence[Measurement]) -> bool:
    """Whether results may make a prediction milder: all of the work as planned, and of enough days."""
    return all(m.as_planned for m in results) and len({m.date for m in results}) >= DAYS


def error_of(found: tuple[Learnt, ...], step: int) -> Floats | None:
    """The factor of what is laid in a step: of several the one that leaves most; None where no result speaks of it."""
    of_step = [one.factor for one in found if step in one.covered]
    return max(of_step, key=lambda factor: float(p95(factor)), default=None)
