"""Fire: what can burn in each step, what could light it, and how near the air is to its explosive limit."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Contribution, Finding, Job, Names
from safety.reference import Reference, own_packs
from safety_ignition import atmosphere, explosive_limits, halogens, next_door, spraying, static, stock, structure
from safety_ignition.sources import TABLE
from safety_ignition.tables import TABLES
from safety_ignition.task import FireTask

hazstep_hooks = 2


@hookimpl
def contribute() -> Contribution:
    return Contribution(
        packs=own_packs(__package__, "general", "us-federal", "eu"),
        tables=TABLES,
        names=(Names("ignition source", table=TABLE),),
    )


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    task = FireTask(job, exposure, reference)
    found = []
    for index in range(len(job.steps)):
        found += [
            *atmosphere.judge(task, index),
            *halogens.judge(task, index),
            *structure.judge(task, index),
            *static.judge(task, index),
            *spraying.judge(task, index),
        ]
    return [*found, *next_door.judge(task), *stock.judge(task), *explosive_limits.judge(task)]
