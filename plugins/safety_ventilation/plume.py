"""The plume over a wet surface: nobody computes it, so people are told to keep their faces out of it."""

from __future__ import annotations

from collections.abc import Iterable

from safety import levels
from safety.cited import Cited, Unknown
from safety.exposure.result import PRESSURE
from safety.formulas.ignition import antoine_pressure
from safety.model import Finding, Limit, LimitKind, Substance
from safety.words import say
from safety_ventilation.limits import PLUGIN, QUARTER, AirTask, in_step

#: Limits that a moment may not pass.
HIGHEST: tuple[LimitKind, ...] = ("ceiling", "peak", "idlh")


def judge(task: AirTask, of_steps: Iterable[Finding]) -> list[Finding]:
    """One answer for the job: where hands are near a wet surface over which a level may be passed.

    Something to do where the air of such a step asks for something anyway; else to be known.
    """
    near = [i for i, step in enumerate(task.job.steps) if step.people == "near"]
    breathed = {column: None for i in near for column in task.vapour(in_step(task.exposure.steps[i]))}
    passed = [one for column in breathed for one in _may_pass(task, column)]
    if not passed:
        return []
    asks = [f for f in of_steps if f.step in near and f.level != "note"]
    return [
        Finding(
            "control" if asks else "note",
            "air",
            levels.plume(),
            say("Face beside the wet surface, never over it"),
            PLUGIN,
            remedy=say("Stand with the draught from the side, use a long handle, or catch the vapour at the source."),
            key="air-plume",
            grounds=(*passed, *(one for f in asks for one in (*f.figures, *f.grounds))),
        )
    ]


def _may_pass(task: AirTask, column: int) -> tuple[Limit | Cited, ...]:
    """The limits that a level over the surface may pass, with the data that say so; () where it passes none."""
    most, data = _thickest(task.exposure.substances[column], float(task.exposure.temperature.max()))
    limits = [x for x in task.limits[column] if x.kind in HIGHEST and x.averaging < QUARTER]
    passed = [x for x in limits if isinstance(ppm := task.allowed(x), Unknown) or most > ppm]
    return (*passed, *data) if passed else ()


def _thickest(substance: Substance, warmest: float) -> tuple[float, tuple[Cited, ...]]:
    """More of a vapour than this [ppm] no air holds, over a wet surface neither; without data it may be anything."""
    known = tuple(v for v in substance.equation if isinstance(v, Cited))
    if len(known) < len(substance.equation):
        return float("inf"), ()
    a, b, c = (v.value for v in known)
    return float(antoine_pressure(a, b, c, warmest)) / PRESSURE * 1e6, known
