"""What thresholds and permits leave: so far, what is left, and how the period will end by the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import partial
from typing import Any, Literal

from safety import levels, units
from safety.cited import Unknown
from safety.model import (
    Compare,
    Grid,
    Lines,
    OpenPoint,
    Period,
    Permit,
    Product,
    Shop,
    TalliedOver,
    TallyLimit,
    Threshold,
)
from safety.quantities import mass, volume
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.words import message, say, term
from safety_solvent import books
from safety_solvent.accounts import Books, Sum, add, months
from safety_solvent.books import Kind, answer_to, kinds, only, sorted_as

_PER: dict[TalliedOver, str] = {
    "month": message("month"),
    "year": message("year"),
    "rolling 12 months": message("rolling 12 months"),
}


@dataclass(frozen=True, slots=True)
class Cap:
    """A threshold or permit as the log counts it."""

    name: str
    of: str  # "VOC", "HAP", a CAS number or a product id
    title: str
    per: TalliedOver
    value: float
    unit: Literal["kg", "m3"]
    compare: Compare
    printed: str
    cited: str
    so_far: Sum
    planned: Sum  # of the same thing, still ahead in the period
    remark: str = ""
    named_so: bool = False  # whether its name says of what it is

    @property
    def label(self) -> str:
        return self.name if self.named_so else say("{name}: {title}", name=self.name, title=self.title)

    @property
    def over(self) -> bool:
        return bool(crossed(settled(self.so_far.high), self.value, self.compare))


#: Products still planned in the period [kg].
Plan = Mapping[str, Sum]


def caps(accounts: Books, plan: Plan, reference: Reference, shop: Shop) -> list[Cap]:
    """Every threshold and permit with what counts against it, the fullest first."""
    found = [*_thresholds(accounts, plan, reference, shop), *_permits(accounts, plan, reference, shop)]
    return sorted(found, key=lambda cap: (-cap.so_far.high / cap.value if cap.value else 0.0, cap.name))


def credited(shop: Shop) -> bool:
    """Whether solvent in waste may be taken off the emission: only where a person said so."""
    given = answer_to("waste-credit", shop)
    return given is not None and given.answer == "yes"


def _thresholds(accounts: Books, plan: Plan, reference: Reference, shop: Shop) -> Iterator[Cap]:
    listed = books.inventory(reference)
    by_key = {kind.key: kind for kind in (*kinds(reference), *filter(None, [listed]))}
    for row in reference.table("counted_threshold"):
        threshold = reference.threshold(row["threshold"])
        if isinstance(threshold, Unknown):
            continue
        if row["threshold"] == "major-source-voc-per-year":
            threshold = _of_area(threshold, reference, shop)
        period = accounts.year if row["per"] == "year" else accounts.rolling
        credit = row["flow"] == "to the air" and credited(shop)
        each = row["counts"].startswith("each ")
        kind = by_key.get(row["counts"].removeprefix("each "))
        if kind is None:
            continue
        if each:
            yield from _fullest(accounts, period, kind, credit, threshold, row, plan, shop)
            continue
        so_far = accounts.kind(period, kind, off=credit)
        yield _cap(threshold, row, kind.key, kind.word, so_far, _planned(plan, shop, _kind_share(kind)))


def _of_area(threshold: Threshold, reference: Reference, shop: Shop) -> Threshold:
    """The limit of a major source of VOC: that of the ozone area the shop says it lies in, else of outside all of them.

    The area is [settings] ozone_area; where no pack knows it by that name, the strictest of all holds.
    """
    area = shop.settings.get("ozone_area")
    areas = reference.table("major_source_voc")
    if area is None or not areas:
        return threshold
    own = [row for row in areas if row["area"] == area] or areas
    row = min(own, key=lambda one: units.read(one["limit"], "mass"))
    said = say("the limit of the area {area}, by [settings] ozone_area", area=row["area"])
    if row["area"] != area:
        known = ", ".join(str(one["area"]) for one in areas)
        said = say("no area is called {area}, so the strictest holds; write one of: {known}", area=area, known=known)
    value, written = units.read(row["limit"], "mass"), str(row["limit"])
    return replace(threshold, value=value, written=written, compare=row["compare"], remark=said)


def _fullest(
    accounts: Books,
    period: Period,
    kind: Kind,
    credit: bool,
    threshold: Threshold,
    row: Mapping[str, Any],
    plan: Plan,
    shop: Shop,
) -> list[Cap]:
    """Of a threshold that holds for each substance of a kind by itself, all that are over, and else the fullest."""
    names: dict[str, str] = {}
    unsorted = set()
    for part in accounts.parts(period):
        answer = sorted_as(part, kind)
        if part.cas and answer is not False:
            group = kind.groups.get(part.cas)
            names.setdefault(group or part.cas, group or part.name)
            if answer is None:
                unsorted.add(part.cas)
    found = []
    for of, name in sorted(names.items()):
        one = books.one_of(kind, of)
        so_far = accounts.kind(period, one, off=credit)
        if of in unsorted:
            why = say("No loaded rule says whether {part} counts as {kind}.", part=name, kind=kind.word)
            point = OpenPoint(why, "rules", "not sorted", ", ".join((of, kind.key)))
            so_far = replace(so_far, unknown=(*so_far.unknown, point))
        found.append(_cap(threshold, row, of, name, so_far, _planned(plan, shop, _kind_share(one))))
    if not found:
        return []
    most = max(found, key=lambda cap: cap.so_far.high)
    over = [cap for cap in found if cap.over]
    if len(found) == 1 or len(over) > 1:
        return over or found
    title = say("{name}, the most of {count} counted as {kind}", name=most.title, count=len(found), kind=kind.word)
    return [replace(most, title=title)]


def _cap(limit: Threshold, row: Mapping[str, Any], of: str, title: str, so_far: Sum, planned: Sum) -> Cap:
    rule = cited(limit)
    if row.get("unverified"):
        rule = say("{rule}; {why}", rule=rule, why=term(row["unverified"]))
    unit: Literal["kg", "m3"] = "kg"
    amounts = (limit.value, unit, limit.compare, limit.written)
    name, named_so = term(row["title"]), of in str(row["title"])
    return Cap(name, of, title, row["per"], *amounts, rule, so_far, planned, term(limit.remark), named_so)


def _permits(accounts: Books, plan: Plan, reference: Reference, shop: Shop) -> Iterator[Cap]:
    for permit in shop.permits:
        so_far, planned = _of_permit(permit, accounts, plan, reference, shop)
        yield Cap(
            permit.name,
            permit.of,
            permit.of,
            permit.per,
            permit.value,
            permit.unit,
            permit.compare,
            permit.written,
            permit.citation,
            so_far,
            planned,
            named_so=permit.of in permit.name,
        )


def _of_permit(permit: Permit, accounts: Books, plan: Plan, reference: Reference, shop: Shop) -> tuple[Sum, Sum]:
    measure = _measure(permit, accounts, reference, shop)
    if measure is None:
        reason = say('Permit "{name}": nothing called "{of}" is counted here.', name=permit.name, of=permit.of)
        return Sum(unknown=(OpenPoint(reason, "files", "permit", permit.name),)), Sum()
    if permit.per == "month":
        sums = [measure(Period(month, month)) for month in months(accounts.period)]
        so_far = max(sums, key=lambda s: s.high)
    else:
        so_far = measure(accounts.year if permit.per == "year" else accounts.rolling)
    return so_far, _planned(plan, shop, _permit_share(permit, reference, shop))


def _measure(permit: Permit, accounts: Books, reference: Reference, shop: Shop) -> Callable[[Period], Sum] | None:
    kind = next((k for k in kinds(reference) if k.key == permit.of), None)
    known = {*shop.products, *(edition.product for edition in accounts.editions.values())}
    if permit.unit == "m3":
        if permit.of not in known:
            return None
        return lambda period: add(
            v
            for month in months(period)
            for (edition, _), v in accounts.volumes(month).items()
            if accounts.of_product(edition) == permit.of
        )
    if kind is not None:
        return lambda period: accounts.kind(period, kind, off=credited(shop))
    if permit.of in known:
        return lambda period: accounts.used(period).get(permit.of, Sum())
    if permit.of.replace("-", "").isdigit():
        return lambda period: accounts.kind(period, only(permit.of))
    return None


Share = Callable[[Product], float | Unknown]


def _planned(plan: Plan, shop: Shop, of: Share) -> Sum:
    """What the jobs still ahead add to a limit. A use without an amount, or without a density, is named."""
    found = []
    for product, more in plan.items():
        part = of(shop.products[product])
        if isinstance(part, Unknown):
            found.append(Sum(unknown=(OpenPoint(part.reason, "files", "no density", product),)))
        elif part > 0:
            found.append(Sum(more.low * part, more.mid * part, more.high * part, more.unknown))
    return add(found)


def _kind_share(kind: Kind) -> Share:
    return lambda product: books.share(product.parts, kind, product.name).high


def _permit_share(permit: Permit, reference: Reference, shop: Shop) -> Share:
    kind = next((k for k in kinds(reference) if k.key == permit.of), None)
    if kind is not None:
        return _kind_share(kind)
    if permit.unit == "m3":
        return lambda p: 0.0 if p.id != permit.of else p.density if isinstance(p.density, Unknown) else 1 / p.density
    if permit.of in shop.products:
        return lambda p: float(p.id == permit.of)
    return _kind_share(only(permit.of))


def grid(found: list[Cap], system: str) -> Grid:
    rows = []
    for cap in found:
        show = partial(mass if cap.unit == "kg" else volume, system=system)
        left = cap.value - cap.so_far.high
        room = show(left) if left > 0 else say("nothing")
        so_far = levels.shown(cap.so_far.high, cap.value, show)
        end = levels.shown(cap.so_far.high + cap.planned.high, cap.value, show)
        state = say("over") if cap.over else say("within")
        if cap.so_far.unknown:
            so_far = say("at least {sum}", sum=so_far)
            room = say("at most {room}", room=room) if left > 0 else room
            state = state if cap.over else say("UNKNOWN: not all is counted")
        if cap.so_far.unknown or cap.planned.unknown:
            end = say("at least {sum}", sum=end)
        share = levels.compared(100 * cap.so_far.high / cap.value, 100.0, digits=2) if cap.value else ""
        used = say("{share} %", share=share) if share else ""
        rows.append(
            (cap.label, term(_PER.get(cap.per, cap.per)), so_far, show(cap.value), room, used, end, state, cap.cited)
        )
    unknown = tuple(dict.fromkeys(point for cap in found for point in cap.so_far.unknown))
    roles = tuple(map(_role, found))
    columns = (
        say("Limit"),
        say("Over"),
        say("So far, at most"),
        say("Limit value"),
        say("Left"),
        say("Used up"),
        say("By the end, with jobs still planned"),
        say("State"),
        say("Rule"),
    )
    return Grid(say("Limits and what is left of them"), columns, tuple(rows), "solvent-limits", unknown, roles=roles)


def _role(cap: Cap) -> TallyLimit:
    """A cap for the office's page."""
    return TallyLimit(
        cap.label,
        cap.per,
        cap.so_far.high,
        cap.value,
        cap.unit,
        cap.compare,
        whole=cap.so_far.complete,
        ahead=cap.planned.high,
        ahead_whole=cap.planned.complete,
        rule=cap.cited,
    )


def notes(found: list[Cap]) -> Lines | None:
    """What the rules say about their own numbers."""
    texts = dict.fromkeys(say("{name}: {remark}.", name=cap.name, remark=cap.remark) for cap in found if cap.remark)
    return Lines(say("About these limits"), tuple(texts), "solvent-limit-notes") if texts else None
