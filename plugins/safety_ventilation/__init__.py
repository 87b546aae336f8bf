"""Air: what people breathe in each step against every loaded limit, and when the air is clear again."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Finding, Job
from safety.reference import Reference
from safety_ventilation import beside, clearing, people, places, sheet, steps
from safety_ventilation.limits import Bench

hazstep_hooks = 2


@hookimpl  # type: ignore[untyped-decorator]
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding | Block]:
    bench = Bench(job, exposure, reference)
    found = [
        *steps.judge(bench),
        *people.judge(bench),
        *clearing.judge(bench),
        *places.judge(bench),
        *beside.judge(bench),
    ]
    return [*found, *sheet.blocks(job, exposure, found)]
