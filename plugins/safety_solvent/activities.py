"""The activities of Annex VII part 2 of 2010/75/EU: whether they are in scope, their limits, the reduction scheme."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from safety import levels, units
from safety.cited import Unknown
from safety.formulas.emission import (
    fugitive_emission_indirect,
    reference_emission,
    solvent_consumption,
    solvent_input,
    target_emission,
    total_solvent_emission,
)
from safety.model import Block, Grid, OpenPoint, Shop, shares
from safety.quantities import mass
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.words import say, term
from safety_solvent.accounts import Books

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Balance:
    """What a plan comes to, all [kg]."""

    whole: float
    consumed: float
    fugitive: float
    emitted: float

    @classmethod
    def of(cls, v: Mapping[str, float]) -> Balance:
        fugitive = float(fugitive_emission_indirect(v["I1"], v["O1"], v["O5"], v["O6"], v["O7"], v["O8"]))
        return cls(
            float(solvent_input(v["I1"], v["I2"])),
            float(solvent_consumption(v["I1"], v["O8"])),
            fugitive,
            float(total_solvent_emission(fugitive, v["O1"])),
        )


def blocks(balance: Balance, accounts: Books, reference: Reference, shop: Shop) -> list[Block]:
    """The consumption against the threshold of the shop's activity, or of each where the shop does not say which."""
    own = shop.settings.get("solvent_activity")
    rows = []
    for row in reference.table("solvent_activity"):
        if own is not None and row["id"] != own:
            continue
        limit = units.read(row["consumption"], "mass")
        over = bool(crossed(settled(balance.consumed), limit, row["compare"]))
        left = mass(limit - balance.consumed, shop.print_units)
        state = say("in scope") if over else say("not reached; {left} left", left=left)
        other = ""
        if over and balance.whole > 0:
            size = at_this_pace(balance.consumed, accounts)
            state = fugitive_state(str(row["id"]), size, balance.fugitive / balance.whole, reference)
            other = "; ".join(_others(row, size, balance, accounts, reference, shop))
        shown = levels.shown(balance.consumed, limit, lambda kilograms: mass(kilograms, shop.print_units))
        rows.append((term(row["title"]), row["consumption"], shown, state, other, cited(row)))
    if not rows:
        missing = say('[settings] solvent_activity = "{own}" is in no loaded pack.', own=own)
        point = OpenPoint(missing, "files")
        return [Grid(say("Activities under the directive"), (), ((missing,),), "solvent-activities", (point,))]
    title = say("Activities under the directive: consumption from which they are in scope")
    columns = (
        say("Activity"),
        say("Threshold a year"),
        say("Consumption so far"),
        say("State"),
        say("Other limits"),
        say("Rule"),
    )
    return [Grid(title, columns, tuple(rows), "solvent-activities")]


def at_this_pace(consumed: float, accounts: Books) -> float:
    """What the year comes to where it goes on so: of two bands of size, the stricter one holds."""
    return consumed * 12 / int(accounts.year.last[5:])


def _band(table: str, activity: str, consumed: float, reference: Reference) -> Iterator[Row]:
    for row in reference.table(table):
        low, high = units.read(row["over"], "mass"), units.read(row["up_to"], "mass")
        if row["activity"] == activity and consumed > low and (high == 0 or consumed <= high):
            yield row


def fugitive_limit(activity: str, consumed: float, reference: Reference) -> Row | None:
    """The strictest fugitive limit of an activity of a size [kg a year]."""
    found = _band("fugitive_limit", activity, consumed, reference)
    return min(found, key=lambda row: float(row["percent"]), default=None)


def fugitive_state(activity: str, consumed: float, share: float, reference: Reference) -> str:
    """How the fugitive share [1] of an activity that consumes so much solvent in the year [kg] stands to its limit."""
    row = fugitive_limit(activity, consumed, reference)
    if row is None:
        return say("in scope; no fugitive limit is loaded for this size")
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


def _others(
    row: Row, size: float, balance: Balance, accounts: Books, reference: Reference, shop: Shop
) -> Iterator[str]:
    activity = str(row["id"])
    for limit in _band("emission_limit", activity, size, reference):
        yield from _emission(limit, balance, accounts, shop)
    fugitive = fugitive_limit(activity, size, reference)
    if fugitive is not None:
        yield from _scheme(row, fugitive, balance, accounts, reference, shop)


def _emission(limit: Row, balance: Balance, accounts: Books, shop: Shop) -> Iterator[str]:
    rule = cited(limit)
    if limit.get("waste_gas"):
        name = f"solvent_waste_gas_{accounts.year.first[:4]}"
        of = say("carbon") if limit["carbon"] else say("these substances")
        measured = _concentration(shop, name)
        yield say(
            "waste gas at most {limit} of {of}: {state} ({rule})",
            limit=limit["waste_gas"], of=of, rule=rule,
            state=measured.reason if isinstance(measured, Unknown) else _against(
                measured, units.read(limit["waste_gas"], "concentration"), limit
            ),
        )  # fmt: skip
    if limit.get("percent_of_input"):
        most = float(limit["percent_of_input"])
        share = 100 * balance.emitted / balance.whole
        state = say("over") if crossed(settled(share), most, limit["compare"]) else say("within")
        yield say(
            "total emission {share} % of the input, at most {most:g} %: {state} ({rule})",
            share=levels.compared(share, most, digits=2), most=most, state=state, rule=rule,
        )  # fmt: skip
    if limit.get("total"):
        emitted = mass(balance.emitted, shop.print_units)
        yield say(
            "total emission at most {total}; {emitted} so far, and what was made no record holds ({rule})",
            total=term(limit["total"]), emitted=emitted, rule=rule,
        )  # fmt: skip


def _against(measured: float, most: float, limit: Row) -> str:
    over = crossed(settled(measured), most, limit["compare"])
    shown = levels.shown(measured, most, lambda value: units.show(value, "concentration", "mg/m3"))
    return say("{shown} measured, over", shown=shown) if over else say("{shown} measured, within", shown=shown)


def _concentration(shop: Shop, name: str) -> float | Unknown:
    """What was measured in the waste gas [kg/m3], by the settings."""
    given = shop.settings.get(name)
    if given is None:
        return Unknown(say("no measurement is given; write [settings] {name}", name=name))
    try:
        return units.read(str(given), "concentration")
    except units.UnitError as error:
        return Unknown(say("[settings] {name} cannot be read: {error}", name=name, error=str(error)))


def _scheme(
    row: Row, fugitive: Row, balance: Balance, accounts: Books, reference: Reference, shop: Shop
) -> Iterator[str]:
    """The emission against the target of a reduction scheme: solids at their least, so that the target is not large."""
    chosen = shop.settings.get("solvent_coating", row["id"])
    factors = [one for one in reference.table("reference_factor") if one["activity"] == chosen]
    if not factors:
        return
    lower = units.read(fugitive["up_to"], "mass") > 0
    fits = [one for one in reference.table("target_addition") if row["item"] in one["items"] or not one["items"]]
    addition = next((one for one in fits if one["items"] and (lower or not one["lower_band_only"])), None)
    addition = addition or next((one for one in fits if not one["items"]), None)
    if addition is None:
        return
    solids = sum(accounts.mass_of(accounts.year, _solid).values())
    factor = min(factors, key=lambda one: float(one["factor"]))
    target = float(
        target_emission(
            reference_emission(solids, float(factor["factor"])),
            float(fugitive["percent"]) / 100,
            float(addition["percent"]) / 100,
        )
    )
    state = say("over") if balance.emitted > target else say("within")
    yield say(
        "reduction scheme: {solids} of solids times {factor:g}, target {target}, emission {emitted}: {state} ({rule})",
        solids=mass(solids, shop.print_units), factor=float(factor["factor"]), state=state, rule=cited(factor),
        target=mass(target, shop.print_units),
        emitted=levels.shown(balance.emitted, target, lambda kilograms: mass(kilograms, shop.print_units)),
    )  # fmt: skip


def _solid(edition: Any) -> float:
    """The least share of a product that stays in the film."""
    return sum(low for part, low, _, _ in shares(edition.parts) if not part.volatile)
