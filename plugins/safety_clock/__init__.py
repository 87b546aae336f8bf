"""Clock plugin: what may be done by when, and what a window that has closed costs."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Finding, Job
from safety_clock import windows

hazstep_hooks = 2


@hookimpl
def assess(job: Job, exposure: Exposure) -> list[Finding]:
    """Each product's window, standing time and drying on the job's own clock."""
    return windows.judge(job, exposure)
