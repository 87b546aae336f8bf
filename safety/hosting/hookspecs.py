"""The questions a plugin may answer. Each is asked once per run, job, report, label or substance."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pluggy import HookspecMarker

if TYPE_CHECKING:
    from collections.abc import Mapping

    from safety.cited import Unknown
    from safety.exposure import Exposure
    from safety.model import (
        Block,
        Contribution,
        DataTable,
        Finding,
        Job,
        LedgerView,
        Period,
        Shop,
        Signs,
        Substance,
    )
    from safety.reference import Reference

hookspec = HookspecMarker("hazstep")


@hookspec
def contribute() -> Contribution:  # type: ignore[empty-body]
    """Add substances, rules packs or formulas. Called once per run, before anything is read.

    A clash with data that is already there is reported as a failure of this plugin and never
    settled by order.
    """


@hookspec
def substance(cas: str) -> Substance | Unknown:  # type: ignore[empty-body]
    """Say what is known of a substance nobody else has data on. Called once for each CAS number that is asked for.

    Shipped files, the shop's own and what ``contribute`` adds come first: of those nobody is asked. Where several
    plugins answer, their values are kept together as those of ``contribute`` are. Fill in what you know and leave the
    rest out; a value that cannot be is left out for you and named on the sheet. Where you know nothing, say why.
    """


@hookspec
def assess(  # type: ignore[empty-body]
    job: Job, exposure: Exposure, reference: Reference, ledger: LedgerView | None
) -> list[Finding | Block]:
    """Judge one job. Called once per job, after the air has been computed.

    What belongs to a finding and is for the sheet's later pages, a table or a chart, is handed back beside it.

    ``ledger`` is what the shop has recorded so far, or None where nothing is.

    Raise nothing for bad luck in the data: return a finding that says what is unknown.
    """


@hookspec
def signs(statements: Mapping[str, tuple[str, ...]], reference: Reference) -> list[Signs]:  # type: ignore[empty-body]
    """Say which hazard symbols and which signal word stand for hazard statements; one answer for each thing.

    ``statements`` are H-codes by the id of the product, or of the container, that they are about. Called once for a
    job, of its products, and once for a label.
    """


@hookspec
def sheet_blocks(  # type: ignore[empty-body]
    job: Job, exposure: Exposure, findings: tuple[Finding, ...], signs: tuple[Signs, ...], reference: Reference
) -> list[Block]:
    """Add what needs everybody's answers to the sheet. Called once per job, after every plugin has judged.

    ``signs`` are those that stand on its first page. What a plugin's own findings need comes from ``assess``.
    """


@hookspec
def log_blocks(  # type: ignore[empty-body]
    period: Period, ledger: LedgerView, reference: Reference, shop: Shop, jobs: tuple[Job, ...]
) -> list[Block]:
    """Add content to a log: totals, limits and how much of them is left. Called once per log.

    ``ledger`` only tells; ``reference`` holds the rules in force on the period's last day; ``jobs``
    are the shop's job files, for what is still planned. A Grid whose key is ``container:ID`` is what
    ``hazstep label ID`` prints; its first row is the words the rule requires.
    """


@hookspec
def report_tables(  # type: ignore[empty-body]
    report: str, period: Period, ledger: LedgerView, reference: Reference, shop: Shop
) -> list[DataTable]:
    """Fill a report that is owed. Called once per report; ``report`` is its name.

    Answer with the tables you have for it, or with none. Which reports you make is said by ``contribute``. Take sums
    from ``ledger`` and not its lines: a year may hold a million of them.
    """
