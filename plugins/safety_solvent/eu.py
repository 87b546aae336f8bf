"""The solvent management plan of Directive 2010/75/EU, and the thresholds of its activities."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from safety import levels, units
from safety.formulas.emission import (
    fugitive_emission_direct,
    fugitive_emission_indirect,
    fugitive_emission_share,
    solvent_consumption,
    solvent_input,
    total_solvent_emission,
)
from safety.model import Block, Grid, OpenPoint, Shop
from safety.quantities import mass
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.words import say, term
from safety_solvent.accounts import Books, Sum
from safety_solvent.books import Kind, kinds

#: Codes that no record of the ledger holds; the shop may give them in [settings] as plain kilograms a year.
GIVEN = ("I2", "O1", "O2", "O3", "O4", "O5", "O7", "O8", "O9")


def blocks(accounts: Books, reference: Reference, shop: Shop) -> list[Block]:
    """The plan of the calendar year so far, where a loaded pack asks for one."""
    rows = reference.table("solvent_plan")
    kind = next((k for k in reversed(kinds(reference)) if k.key in ("VOC (EU)", "VOC")), None)
    if not rows or kind is None:
        return []
    amounts = _amounts(accounts, kind, shop)
    system = shop.print_units
    unknown = list(amounts["I1"].unknown)
    lines: list[tuple[str, ...]] = [
        (row["code"], term(row["text"]), _shown(amounts[row["code"]], system), _from(row["code"], shop), cited(row))
        for row in rows
    ]
    values = {code: amount.high for code, amount in amounts.items()}
    try:
        lines += _results(values, system)
        found = _activities(values, reference, shop)
    except ValueError as error:
        text = say("The solvent plan does not close: {error}.", error=error)
        unknown.append(OpenPoint(text, "files", "solvent plan"))
        found = []
    columns = (say("Code"), say("What"), say("Mass, at most"), say("From"), say("Rule"))
    title = say("Solvent plan of {year}, up to {month}", year=accounts.year.first[:4], month=accounts.year.last)
    return [Grid(title, columns, tuple(lines), "solvent-plan-eu", tuple(unknown)), *found]


def _amounts(accounts: Books, kind: Kind, shop: Shop) -> dict[str, Sum]:
    """Every code [kg]. Solvent in waste from jobs is what the ledger's products hold of it."""
    used = accounts.kind(accounts.year, kind)
    left = accounts.kind(accounts.year, kind, off=True)
    # waste is counted at its least, so that the emission is not made small
    waste = Sum(used.low - left.low, used.mid - left.mid, used.low - left.low)
    given = {code: float(shop.settings.get(_setting(code), 0.0)) for code in GIVEN}
    return {"I1": used, "O6": waste} | {code: Sum(v, v, v) for code, v in given.items()}


def _setting(code: str) -> str:
    return say("solvent_plan_{code}", code=code)


def _shown(amount: Sum, system: str) -> str:
    text = mass(amount.high, system)
    return say("{text} + UNKNOWN", text=text) if amount.unknown else text


def _from(code: str, shop: Shop) -> str:
    if code == "I1":
        return say("used by the ledger's records")
    if code == "O6":
        return say("waste from jobs of known products, at its least")
    if _setting(code) in shop.settings:
        return say("[settings] {name}, in kg", name=_setting(code))
    return say("not recorded, taken as nothing; give it in [settings] {name}, in kg", name=_setting(code))


def _results(v: Mapping[str, float], system: str) -> list[tuple[str, ...]]:
    indirect = float(fugitive_emission_indirect(v["I1"], v["O1"], v["O5"], v["O6"], v["O7"], v["O8"]))
    direct = float(fugitive_emission_direct(v["O2"], v["O3"], v["O4"], v["O9"]))
    emitted = float(total_solvent_emission(indirect, v["O1"]))
    whole, consumed = float(solvent_input(v["I1"], v["I2"])), float(solvent_consumption(v["I1"], v["O8"]))
    rule = say("Directive 2010/75/EU, Annex VII part 7")
    rows: list[tuple[str, ...]] = [
        ("I", say("whole input, I1 + I2"), mass(whole, system), "", rule),
        ("C", say("consumption, I1 - O8"), mass(consumed, system), "", rule),
        ("F", say("fugitive emission, I1 - O1 - O5 - O6 - O7 - O8"), mass(indirect, system), "", rule),
        ("F", say("fugitive emission as measured, O2 + O3 + O4 + O9"), mass(direct, system), "", rule),
        ("E", say("emission, F + O1"), mass(emitted, system), "", rule),
    ]
    if whole > 0:
        share = float(fugitive_emission_share(indirect, whole))
        rows.append(
            ("F/I", say("fugitive emission as a share of the input"), units.show(share, "fraction", "%"), "", rule)
        )
    return rows


def _activities(v: Mapping[str, float], reference: Reference, shop: Shop) -> list[Block]:
    """The consumption against the threshold of the shop's activity, or of each where the shop does not say which."""
    consumed = float(solvent_consumption(v["I1"], v["O8"]))
    whole = float(solvent_input(v["I1"], v["I2"]))
    fugitive = float(fugitive_emission_indirect(v["I1"], v["O1"], v["O5"], v["O6"], v["O7"], v["O8"]))
    own = shop.settings.get("solvent_activity")
    rows = []
    for row in reference.table("solvent_activity"):
        if own is not None and row["id"] != own:
            continue
        limit = units.read(row["consumption"], "mass")
        over = bool(crossed(settled(consumed), limit, row["compare"]))
        state = (
            say("in scope") if over else say("not reached; {left} left", left=mass(limit - consumed, shop.print_units))
        )
        if over and whole > 0:
            state = fugitive_state(str(row["id"]), consumed, float(fugitive_emission_share(fugitive, whole)), reference)
        shown = levels.shown(consumed, limit, lambda kilograms: mass(kilograms, shop.print_units))
        rows.append((term(row["title"]), row["consumption"], shown, state, cited(row)))
    if not rows:
        missing = say('[settings] solvent_activity = "{own}" is in no loaded pack.', own=own)
        return [
            Grid(
                say("Activities under the directive"),
                (),
                ((missing,),),
                "solvent-activities",
                (OpenPoint(missing, "files"),),
            )
        ]
    title = say("Activities under the directive: consumption from which they are in scope")
    columns = (say("Activity"), say("Threshold a year"), say("Consumption so far"), say("State"), say("Rule"))
    return [Grid(title, columns, tuple(rows), "solvent-activities")]


def fugitive_state(activity: str, consumed: float, share: float, reference: Reference) -> str:
    """How the fugitive share [1] of an activity that consumed so much solvent in the year [kg] stands to its limit."""
    for row in sorted(reference.table("fugitive_limit"), key=lambda row: float(row["percent"])):
        low, high = units.read(row["over"], "mass"), units.read(row["up_to"], "mass")
        if row["activity"] == activity and consumed > low and (high == 0 or consumed <= high):
            limit = float(row["percent"]) / 100
            over: Any = crossed(settled(share), limit, row["compare"])
            shown = levels.compared(100 * share, 100 * limit, digits=2)
            text = say("in scope; fugitive share {share} %, limit {limit:g} %", share=shown, limit=100 * limit)
            text = (
                say("{text}: over, a reduction scheme is the other route", text=text)
                if over
                else say("{text}: within", text=text)
            )
            return say("{text} ({cited})", text=text, cited=cited(row))
    return say("in scope; no fugitive limit is loaded for this size")
