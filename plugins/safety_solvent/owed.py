"""Reports on solvent that are owed, by name."""

from __future__ import annotations

from safety.model import DataTable, LedgerView, Period, ReportKind, Shop
from safety.reference import Reference
from safety.words import say
from safety_solvent import owed_aerospace, owed_eu, owed_release, owed_stock
from safety_solvent.accounts import open_books

RELEASE, STOCK, AEROSPACE, PLAN = "release-inventory", "chemical-inventory", "aerospace-coatings", "eu-solvent-plan"
KINDS = (
    ReportKind(
        RELEASE,
        say("Inputs to the toxic release inventory, by chemical"),
        say("What was used, went to the air and left in waste, against the thresholds."),
    ),
    ReportKind(
        STOCK,
        say("Inventory of hazardous chemicals"),
        say("Most and mean on hand, against the thresholds."),
    ),
    ReportKind(
        AEROSPACE,
        say("Data for the aerospace rule"),
        say("Coatings by formulation and month, cleaning solvents, averages."),
    ),
    ReportKind(
        PLAN,
        say("Solvent management plan"),
        say("The calendar year up to the last month (Directive 2010/75/EU, Annex VII part 7)."),
    ),
)


def tables(report: str, period: Period, ledger: LedgerView, reference: Reference, shop: Shop) -> list[DataTable]:
    """The tables of one of these reports."""
    if report == STOCK:
        return owed_stock.tables(period, ledger, reference)
    if report not in (RELEASE, AEROSPACE, PLAN):
        return []
    accounts = open_books(period, ledger, shop.began)
    if report == RELEASE:
        return owed_release.tables(accounts, reference)
    if report == AEROSPACE:
        return owed_aerospace.tables(accounts, reference, shop)
    return owed_eu.tables(accounts, reference, shop)
