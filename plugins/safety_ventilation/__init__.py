"""Air: what people breathe in each step against every loaded limit, and when the air is clear again."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Contribution, Finding, Job
from safety.reference import Reference, own_packs
from safety_ventilation import (
    bystanders,
    clearing,
    neighbours,
    next_door,
    people,
    places,
    plume,
    sheet,
    spraying,
    steps,
    width,
)
from safety_ventilation.limits import AirTask

hazstep_hooks = 2


@hookimpl
def contribute() -> Contribution:
    """What the air of a tank and of a spray booth must be."""
    return Contribution(packs=own_packs(__package__, "us-federal"))


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding | Block]:
    task = AirTask(job, exposure, reference)
    of_steps = steps.judge(task)
    found = [
        *of_steps,
        *people.judge(task),
        *plume.judge(task, of_steps),
        *bystanders.judge(task),
        *next_door.judge(task),
        *clearing.judge(task),
        *places.judge(task),
        *spraying.judge(task),
        *width.judge(task),
        *neighbours.judge(task),
    ]
    return [*found, *sheet.blocks(task)]
