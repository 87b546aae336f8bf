"""Solvent: what a job plans to use, what the rules on cleaning and coatings say, and where it all went."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Contribution, DataTable, Finding, Job, Key, LedgerView, OwnKeys, Period, Shop
from safety.reference import Reference, own_packs
from safety_solvent import cleaning, coatings, eu, factors, log, owed, planned
from safety_solvent.tables import TABLES

hazstep_hooks = 2
_SETTINGS = OwnKeys(
    "settings",
    (
        Key("ozone_area", needed=False),
        Key("solvent_activity", needed=False),
        Key("solvent_coating", needed=False),
        Key("solvent_waste_gas_YYYY", "concentration", needed=False),
        *(Key(f"solvent_plan_{code}_YYYY", "mass", needed=False) for code in eu.GIVEN),
        *(Key(f"solvent_plan_{code}_YYYY-MM", "mass", needed=False) for code in eu.GIVEN),
    ),
)


@hookimpl
def contribute() -> Contribution:
    return Contribution(
        packs=own_packs(__package__, "general", "us-federal", "eu"),
        tables=TABLES,
        reports=owed.KINDS,
        keys=(_SETTINGS,),
    )


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference, ledger: LedgerView | None) -> list[Finding | Block]:
    own = factors.own(ledger, reference, {p.id for p in job.products}) if ledger else {}
    return [
        *planned.judge(job, exposure, reference, own),
        *cleaning.judge(job, reference),
        *coatings.judge(job, reference),
    ]


@hookimpl
def log_blocks(
    period: Period, ledger: LedgerView, reference: Reference, shop: Shop, jobs: tuple[Job, ...]
) -> list[Block]:
    return log.blocks(period, ledger, reference, shop, jobs)


@hookimpl
def report_tables(report: str, period: Period, ledger: LedgerView, reference: Reference, shop: Shop) -> list[DataTable]:
    return owed.tables(report, period, ledger, reference, shop)
