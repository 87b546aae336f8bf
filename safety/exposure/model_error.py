"""By how much the air may lie off what the equations say, whatever is drawn for their inputs.

The error is one of the prediction and not of the mass: it multiplies what reaches the air people breathe and a flame
finds, and moves no balance, no drying time and no saturation.
"""

from __future__ import annotations

import numpy as np

from safety.exposure.draws import Draws, Stream
from safety.exposure.result import Floats, Width
from safety.formulas.prediction import GUESSED, MEASURED, model_error
from safety.model import Job, Leftover, Use


def width_of(job: Job) -> Width:
    """Wide unless all the air, all amounts and all wet areas of a job were measured: one guess can be the wrong one."""
    things: list[Use | Leftover] = [thing for step in job.steps for thing in step.wet_things]
    assumed = ((s.place.name or s.place.id, s.air.called) for s in job.steps if s.air.measured is None)
    guessed = tuple(dict.fromkeys(assumed))
    amounts = sum(thing.amount_basis == "guessed" for thing in things)
    areas = sum(thing.area_basis == "guessed" and not _mist(thing) for thing in things)
    return Width(*(GUESSED if guessed or amounts or areas else MEASURED), guessed, amounts, areas)


def _mist(thing: Use | Leftover) -> bool:
    return isinstance(thing, Use) and thing.work == "spray"


def drawn(chance: Draws, width: Width) -> Floats:
    """The factor of each draw, (draws,)."""
    return np.asarray(model_error(chance.deviate(Stream("model error")), width.up))
