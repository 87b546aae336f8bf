"""The solvent management plan as a report: each code, what it comes to, and the activities."""

from __future__ import annotations

from safety.model import Cell, Column, DataTable, Grid, OpenPoint, Shop
from safety.reference import Reference
from safety.words import say
from safety_solvent import activities, eu
from safety_solvent.accounts import Books


def tables(accounts: Books, reference: Reference, shop: Shop) -> list[DataTable]:
    plan = eu.plan_of(accounts, reference, shop)
    title = say("Solvent plan of {year}, up to {month}", year=accounts.year.first[:4], month=accounts.year.last)
    columns = (
        Column("code", say("Code")),
        Column("what", say("What")),
        Column("mass_kg", say("Mass at most, kg")),
        Column("share_percent", say("Share of the input, %")),
        Column("source", say("From")),
        Column("rule", say("Rule")),
    )
    if plan is None:
        text = say("No rules pack of this shop asks for a solvent management plan.")
        return [DataTable("plan", title, columns, (), (), (OpenPoint(text, "files", "no plan"),))]
    rows: list[tuple[Cell, ...]] = [
        (code, text, line.amount.high, "", line.source, rule) for code, text, line, rule in plan.codes
    ]
    for code, text, value, unit, rule in plan.results:
        mass, share = (value, "") if unit == "kg" else ("", 100 * value)
        rows.append((code, text, mass, share, "", rule))
    found = [DataTable("plan", title, columns, tuple(rows), (), plan.unknown)]
    if plan.balance:
        found += [_as_table(grid) for grid in activities.blocks(plan.balance, accounts, reference, shop)]
    return found


def _as_table(block: object) -> DataTable:
    """The activities, which are words: a limit and how it is kept."""
    assert isinstance(block, Grid)
    names = ("activity", "threshold", "consumption", "state", "other_limits", "rule")
    columns = tuple(Column(name, title) for name, title in zip(names, block.columns, strict=False))
    rows = block.rows if columns else ()
    return DataTable("activities", block.title, columns, rows, (), block.unknown)
