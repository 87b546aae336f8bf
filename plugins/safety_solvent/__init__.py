"""Solvent: what a job plans to use, what the rules on cleaning and coatings say, and where it all went."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Contribution, DataTable, Finding, Job, LedgerView, Period, Shop
from safety.reference import Reference, own_packs
from safety_solvent import cleaning, coatings, factors, log, owed, planned
from safety_solvent.tables import TABLES

hazstep_hooks = 2


@hookimpl  # type: ignore[untyped-decorator]
def contribute() -> Contribution:
    return Contribution(packs=own_packs(__package__, "general", "us-federal", "eu"), tables=TABLES, reports=owed.KINDS)


@hookimpl  # type: ignore[untyped-decorator]
def assess(job: Job, exposure: Exposure, reference: Reference, ledger: LedgerView | None) -> list[Finding | Block]:
    own = factors.own(ledger, reference) if ledger else {}
    return [
        *planned.judge(job, exposure, reference, own),
        *cleaning.judge(job, reference),
        *coatings.judge(job, reference),
    ]


@hookimpl  # type: ignore[untyped-decorator]
def log_blocks(
    period: Period, ledger: LedgerView, reference: Reference, shop: Shop, jobs: tuple[Job, ...]
) -> list[Block]:
    return log.blocks(period, ledger, reference, shop, jobs)


@hookimpl  # type: ignore[untyped-decorator]
def report_tables(report: str, period: Period, ledger: LedgerView, reference: Reference, shop: Shop) -> list[DataTable]:
    return owed.tables(report, period, ledger, reference, shop)
