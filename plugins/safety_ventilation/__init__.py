"""Air: what people breathe in each step against every loaded limit, and when the air is clear again."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Finding, Job
from safety.reference import Reference
from safety_ventilation import beside, clearing, people, places, sheet, steps
from safety_ventilation.limits import Bench

hazstep_hooks = 1


@hookimpl  # type: ignore[untyped-decorator]
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    bench = Bench(job, exposure, reference)
    return [
        *steps.judge(bench),
        *people.judge(bench),
        *clearing.judge(bench),
        *places.judge(bench),
        *beside.judge(bench),
    ]


@hookimpl  # type: ignore[untyped-decorator]
def sheet_blocks(job: Job, exposure: Exposure, findings: tuple[Finding, ...]) -> list[Block]:
    return sheet.blocks(job, exposure, findings)
