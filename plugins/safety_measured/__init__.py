"""Measured plugin: what was measured, beside what was predicted and beside the limits.

Results of one substance, one position and the same steps are judged together. A result for the
whole shift stands for the 8-hour average; a result for a step is held against the average
predicted for that step, and against a short-term limit where it took half an hour or less.
"""

from __future__ import annotations

from safety import hookimpl
from safety.cited import Unknown
from safety.exposure import Exposure
from safety.model import Contribution, Finding, Job, Measurement
from safety.reference import Reference, own_packs
from safety.words import say
from safety_measured import limits, prediction
from safety_measured.group import PLUGIN, Group

hazstep_hooks = 2


@hookimpl
def contribute() -> Contribution:
    """The bounds of EN 689's first test."""
    return Contribution(packs=own_packs(__package__, "general"))


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    """Judge every result of the job: did the prediction hold, and are the limits kept?"""
    found: list[Finding] = []
    keys = dict.fromkeys((m.cas, m.position, m.steps) for m in job.measurements)
    for number, key in enumerate(keys, start=1):
        results = tuple((i, m) for i, m in enumerate(job.measurements) if (m.cas, m.position, m.steps) == key)
        substance = reference.substance(key[0])
        molar = substance if isinstance(substance, Unknown) else substance.best("molar_mass")
        if isinstance(substance, Unknown) or isinstance(molar, Unknown):
            reason = substance.reason if isinstance(substance, Unknown) else say("its molar mass is not loaded")
            found.append(_no_data(key[0], reason, number))
            continue
        planned = tuple((i, m) for i, m in results if not _other_air(job, m))
        others = tuple((i, m) for i, m in results if _other_air(job, m))
        if planned:
            group = Group(job, number, substance.name, molar.value, planned)
            found += [prediction.judge(group, exposure), *limits.judge(group, reference)]
        if others:
            found.append(limits.in_other_air(Group(job, number, substance.name, molar.value, others), reference))
    return found


def _other_air(job: Job, m: Measurement) -> bool:
    """Whether a result was taken in another state of the air than its steps are planned in."""
    states = {s.air.state for s in job.steps if not m.steps or s.name in m.steps}
    return bool(m.air) and states != {m.air}


def _no_data(cas: str, reason: str, number: int) -> Finding:
    text = say("Results for {cas} could not be judged: {reason}.", cas=cas, reason=reason)
    return Finding(
        "note", "air", text, say("Results of {cas} not judged", cas=cas), PLUGIN, unknown=text,
        key=f"measured-prediction:{number}:{cas}",
    )  # fmt: skip
