"""The solvent management plan of Directive 2010/75/EU: what came in, where it went, and what is not known of it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety import units
from safety.cited import Unknown
from safety.formulas.emission import (
    fugitive_emission_direct,
    fugitive_emission_indirect,
    fugitive_emission_share,
    solvent_consumption,
    solvent_input,
    total_solvent_emission,
)
from safety.model import Block, Grid, OpenPoint, Period, Shop
from safety.quantities import mass
from safety.reference import Reference
from safety.reference.citing import cited
from safety.words import say, term
from safety_solvent import activities
from safety_solvent.accounts import Books, Sum
from safety_solvent.books import Kind, kinds

#: Codes that no record of the ledger holds; the shop gives them in [settings] with their year.
GIVEN = ("I2", "O1", "O2", "O3", "O4", "O5", "O7", "O8", "O9")
#: Of these, those that make the emission, or its share of the input, smaller.
MILDER = ("I2", "O1", "O5", "O7", "O8")


@dataclass(frozen=True, slots=True)
class Line:
    """One code of the plan, and where its mass comes from."""

    amount: Sum
    source: str


@dataclass(frozen=True, slots=True)
class Plan:
    """The plan of a calendar year so far: its codes, and what they come to where it closes."""

    codes: tuple[tuple[str, str, Line, str], ...]  # code, what it is, its line, the rule
    results: tuple[tuple[str, str, float, str, str], ...]  # code, what it is, value, "kg" or "fraction", the rule
    balance: activities.Balance | None
    unknown: tuple[OpenPoint, ...]


def plan_of(accounts: Books, reference: Reference, shop: Shop) -> Plan | None:
    """The plan, where a loaded pack asks for one."""
    rows = reference.table("solvent_plan")
    kind = next((k for k in reversed(kinds(reference)) if k.key in ("VOC (EU)", "VOC")), None)
    if not rows or kind is None:
        return None
    plan = {row["code"]: _line(row["code"], accounts, kind, shop) for row in rows}
    codes = tuple((row["code"], term(row["text"]), plan[row["code"]], cited(row)) for row in rows)
    unknown = [point for line in plan.values() for point in line.amount.unknown]
    values = {code: plan[code].amount.high if code in plan else 0.0 for code in ("I1", "O6", *GIVEN)}
    try:
        results, balance = _results(values), activities.Balance.of(values)
    except ValueError as error:
        text = say("The solvent plan does not close: {error}.", error=str(error))
        unknown.append(OpenPoint(text, "files", "solvent plan"))
        results, balance = (), None
    return Plan(codes, results, balance, tuple(dict.fromkeys(unknown)))


def blocks(accounts: Books, reference: Reference, shop: Shop) -> list[Block]:
    """The plan of the calendar year so far, and the activities it may be of."""
    plan = plan_of(accounts, reference, shop)
    if plan is None:
        return []
    system = shop.print_units
    lines = [(code, text, _shown(line.amount, system), line.source, rule) for code, text, line, rule in plan.codes]
    for code, text, value, unit, rule in plan.results:
        shown = mass(value, system) if unit == "kg" else units.show(value, "fraction", "%")
        lines.append((code, text, shown, "", rule))
    columns = (say("Code"), say("What"), say("Mass, at most"), say("From"), say("Rule"))
    title = say("Solvent plan of {year}, up to {month}", year=accounts.year.first[:4], month=accounts.year.last)
    found = activities.blocks(plan.balance, accounts, reference, shop) if plan.balance else []
    return [Grid(title, columns, tuple(lines), "solvent-plan-eu", plan.unknown), *found]


def _line(code: str, accounts: Books, kind: Kind, shop: Shop) -> Line:
    used = accounts.kind(accounts.year, kind)
    if code == "I1":
        return Line(used, say("used by the ledger's records"))
    if code == "O6":
        left = accounts.kind(accounts.year, kind, off=True)
        # waste is counted at its least, so that the emission is not made small
        waste = used.low - left.low
        return Line(Sum(waste, waste, waste), say("collected waste from jobs, what is known of it to be solvent"))
    return _given(code, accounts.year, shop)


def _given(code: str, year: Period, shop: Shop) -> Line:
    """A code as the shop gives it, of the whole year or up to a month: of a part of a year it is never taken whole."""
    old = f"solvent_plan_{code}"
    to_date, whole = f"{old}_{year.last}", f"{old}_{year.first[:4]}"
    over = year.last.endswith("-12")
    for name, holds in ((to_date, True), (whole, over or code not in MILDER)):
        if name not in shop.settings:
            continue
        value = number(shop, name, "mass")
        if isinstance(value, Unknown):
            return Line(Sum(unknown=(OpenPoint(value.reason, "files", "solvent plan", name),)), value.reason)
        if holds:
            return Line(Sum(value, value, value), say("[settings] {name}", name=name))
        text = say(
            "[settings] {name} is of the whole year and is not taken off a part of it; give {to_date}, of all up to "
            "that month",
            name=name,
            to_date=to_date,
        )
        return Line(Sum(), text)
    if old in shop.settings:
        wrong = say("[settings] {old} says no year, so it is not read: write {name}", old=old, name=whole)
        return Line(Sum(unknown=(OpenPoint(say("{what}.", what=wrong), "files", "solvent plan", old),)), wrong)
    return Line(Sum(), say("not recorded, taken as nothing; give it in [settings] {name}, in kg", name=whole))


def number(shop: Shop, name: str, kind: str) -> float | Unknown:
    """A number of the settings, in kg where it has no unit. Unknown, with what to write, where it cannot be one."""
    given = shop.settings[name]
    try:
        value = units.read(given, kind) if isinstance(given, str) else float(given)
    except (units.UnitError, ValueError) as error:
        return Unknown(say("[settings] {name} cannot be read: {error}.", name=name, error=str(error)))
    if value < 0:
        return Unknown(say("[settings] {name} is less than zero.", name=name))
    return value


def _shown(amount: Sum, system: str) -> str:
    text = mass(amount.high, system)
    return say("{text} + UNKNOWN", text=text) if amount.unknown else text


def _results(v: Mapping[str, float]) -> tuple[tuple[str, str, float, str, str], ...]:
    indirect = float(fugitive_emission_indirect(v["I1"], v["O1"], v["O5"], v["O6"], v["O7"], v["O8"]))
    direct = float(fugitive_emission_direct(v["O2"], v["O3"], v["O4"], v["O9"]))
    emitted = float(total_solvent_emission(indirect, v["O1"]))
    whole, consumed = float(solvent_input(v["I1"], v["I2"])), float(solvent_consumption(v["I1"], v["O8"]))
    rule = say("Directive 2010/75/EU, Annex VII part 7")
    rows = [
        ("I", say("whole input, I1 + I2"), whole, "kg", rule),
        ("C", say("consumption, I1 - O8"), consumed, "kg", rule),
        ("F", say("fugitive emission, I1 - O1 - O5 - O6 - O7 - O8"), indirect, "kg", rule),
        ("F", say("fugitive emission as measured, O2 + O3 + O4 + O9"), direct, "kg", rule),
        ("E", say("emission, F + O1"), emitted, "kg", rule),
    ]
    if whole > 0:
        share = float(fugitive_emission_share(indirect, whole))
        rows.append(("F/I", say("fugitive emission as a share of the input"), share, "fraction", rule))
    return tuple(rows)
