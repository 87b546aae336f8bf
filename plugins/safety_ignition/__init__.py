"""Fire: what can burn in each step, what could light it, and how near the air is to its explosive limit."""

from __future__ import annotations

from importlib.resources import as_file, files

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Contribution, Finding, Job
from safety.reference import Reference, read_pack
from safety_ignition import atmosphere, explosive_limits, static, stock, structure
from safety_ignition.bench import Bench

hazstep_hooks = 1


@hookimpl  # type: ignore[untyped-decorator]
def contribute() -> Contribution:
    with as_file(files(__package__) / "rules" / "general.toml") as path:
        return Contribution(packs=(read_pack(path, "safety_ignition/rules/general.toml"),))


@hookimpl  # type: ignore[untyped-decorator]
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    bench = Bench(job, exposure, reference)
    found = []
    for index in range(len(job.steps)):
        found += [
            *atmosphere.judge(bench, index),
            *structure.judge(bench, index),
            *static.judge(bench, index),
        ]
    return [*found, *stock.judge(bench), *explosive_limits.judge(bench)]
