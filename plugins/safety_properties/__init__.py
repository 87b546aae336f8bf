"""Data: on what values and product data sheets a job's sheet stands, and how good they are."""

from __future__ import annotations

from safety import hookimpl
from safety.cited import Unknown
from safety.exposure import Exposure
from safety.model import Block, Contribution, Finding, Job, Substance
from safety.reference import Reference, own_packs
from safety.words import joined, say
from safety_properties import products, substances

hazstep_hooks = 2


@hookimpl
def contribute() -> Contribution:
    return Contribution(packs=own_packs(__package__, "general"))


@hookimpl
def substance(cas: str) -> Substance | Unknown:
    from safety_properties import library  # most shops never ask

    return library.substance(cas)


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding | Block]:
    return [*_judged(job, exposure, reference), *substances.blocks(exposure)]


def _judged(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    found = [*products.judge(job, reference), *substances.judge(job, exposure, reference)]
    if found:
        return found
    if exposure.unknowns:
        text = say("Not all that this sheet would stand on is known: {why}", why=joined(exposure.unknowns))
        return [Finding("note", "data", text, say("data: not all known"), substances.PLUGIN, key="data")]
    text = say("Every value this sheet stands on is published, and the sources agree.")
    return [Finding("note", "data", text, say("data: nothing to remark"), substances.PLUGIN, key="data")]
