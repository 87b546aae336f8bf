"""Waste: what each step leaves, which container takes it, what it is, by when it must go, and how much there is."""

from __future__ import annotations

from safety import hookimpl
from safety.exposure import Exposure
from safety.model import Block, Contribution, DataTable, Finding, Job, Key, LedgerView, Lines, OwnKeys, Period, Shop
from safety.reference import Reference, own_packs
from safety.words import capital, joined, say
from safety_waste import fill, forecast, judge, log, owed
from safety_waste.tables import TABLES

hazstep_hooks = 2
_SETTINGS = OwnKeys("settings", (Key("waste_facility_miles", "number", needed=False),))


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
    fills = fill.on(job.start.date(), job.shop, reference, ledger)
    found, placed = judge.judge(job, exposure, reference, None if ledger is None else fills)
    found += forecast.judge(job, placed, reference, ledger, fills)
    return [*found, *_office(found)]


def _office(found: list[Finding]) -> list[Block]:
    """Codes, shipping drafts and the month in a few words each: for the office, not for the person with gloves on."""
    notes = sorted((f for f in found if f.step is None and f.level == "note"), key=lambda f: f.key)
    line = joined((capital(f.short) for f in notes), ". ")
    return [Lines(say("For the person responsible for waste"), (line,), "waste-office")] if line else []


@hookimpl
def log_blocks(
    period: Period, ledger: LedgerView, reference: Reference, shop: Shop, jobs: tuple[Job, ...]
) -> list[Block]:
    return log.blocks(period, ledger, reference, shop)


@hookimpl
def report_tables(report: str, period: Period, ledger: LedgerView, reference: Reference, shop: Shop) -> list[DataTable]:
    return owed.tables(report, period, ledger, reference, shop)
