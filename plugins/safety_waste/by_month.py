"""Hazardous waste by calendar month: what counts, what does not, what is asked about, and by which rule."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from safety.model import Block, Grid, LedgerView, Lines, LogRole, OpenPoint, Period, Shop, Threshold, unrecorded
from safety.reference import Reference
from safety.reference.citing import cited, sources
from safety.words import say
from safety_waste import amounts, month
from safety_waste.month import Month
from safety_waste.rules import threshold


def blocks(
    period: Period,
    found: Mapping[str, Month],
    roles: tuple[LogRole, ...],
    ledger: LedgerView,
    shop: Shop,
    reference: Reference,
) -> list[Block]:
    """Month by month. A month without any record is not one without waste, nor is one that began before the records."""
    rows: list[tuple[str, ...]] = []
    recorded = {flow.month for flow in ledger.flows(period)}
    partly = {n for n in recorded if unrecorded(Period(n, n), ledger.begins, shop.began)}
    for name in month.names_of(period.first, period.last):
        if name not in recorded:
            rows.append((name, *[say("no record")] * 3, "", "", "", ""))
            continue
        one = found.get(name, Month(name))
        at_least = one.at_least or (say("at least ") if name in partly else "")
        category, bound = month.category_of(one, reference)
        rows.append(
            (
                name,
                at_least + (amounts.compared(one.counted, bound) if bound else amounts.kilograms(one.counted)),
                amounts.kilograms(one.wipes),
                amounts.kilograms(one.empties + one.apart + one.none),
                amounts.kilograms(one.asked),
                str(one.unknown),
                at_least + month.title(category, reference) if category else say("no rule loaded"),
                _bound(bound),
            )
        )
    if len(rows) > 1:
        names = month.names_of(period.first, period.last)
        rows += _years([found.get(name, Month(name)) for name in names], recorded, bool(partly))
    columns = (
        say("Month"),
        say("Counts"),
        say("Wipes, not counted"),
        say("Empty containers and others, not counted"),
        say("No code found, asked"),
        say("Records without a mass"),
        say("Category"),
        say("Over"),
    )
    return [
        Grid(
            say("Hazardous waste by calendar month"),
            columns,
            tuple(rows),
            key="waste-months",
            unknown=_asked(period, found, shop),
            roles=roles,
        ),
        *_counting_rules(reference),
    ]


def _years(months: list[Month], recorded: set[str], partly: bool) -> Iterator[tuple[str, ...]]:
    """A row for each year of the period."""
    by_year: dict[str, list[Month]] = defaultdict(list)
    for one in months:
        by_year[one.month[:4]].append(one)
    for year, several in by_year.items():
        each = [(m.counted, m.wipes, m.empties + m.apart + m.none, m.asked) for m in several]
        sums = [sum(kind) for kind in zip(*each, strict=True)]
        without = sum(m.unknown for m in several)
        missing = sums[-1] or without or partly or any(m.month not in recorded for m in several)
        least = say("at least ") if missing else ""
        shown = [amounts.kilograms(s) for s in sums]
        name = say("{year}, {count} months", year=year, count=len(several))
        yield (name, least + shown[0], *shown[1:], str(without), "", "")


def _bound(bound: Threshold | None) -> str:
    if bound is None:
        return ""
    return say("{limit}, acute", limit=bound.written) if bound.name == "generator-large-acute" else bound.written


def _asked(period: Period, found: Mapping[str, Month], shop: Shop) -> tuple[OpenPoint, ...]:
    """What no code was found for: a person says whether it is hazardous waste, and until then it is in no total."""
    ids = {id for name, m in found.items() if period.first <= name <= period.last for id in m.open}
    return tuple(
        OpenPoint(
            say(
                "No waste code was found for {product}, which is no proof that it is not hazardous. Have it looked at, "
                "and write a [[waste_determination]] in a rules pack of the shop.",
                product=shop.products[id].name if id in shop.products else id,
            ),
            "officer",
            "no waste code",
            id,
        )
        for id in sorted(ids)
    )


def _counting_rules(reference: Reference) -> list[Block]:
    """What counts towards the limits of a month, and by which rule; nothing where no limit is loaded."""
    limits = [t for n in ("generator-small", "generator-large") if (t := threshold(n, reference))]
    if not limits:
        return []
    text = [say("{written}: {rule}.", written=t.written, rule=cited(t)) for t in limits]
    text += [say("{text} ({rule})", text=str(r["text"]), rule=cited(r)) for r in reference.table("counted")]
    not_counted = reference.table("not_counted")
    if not_counted:
        text.append(
            say(
                "Not counted: {list} ({rule}).",
                list="; ".join(str(r["text"]) for r in not_counted),
                rule=sources(not_counted),
            )
        )
    text.append(
        say("This program adds up and warns. What is hazardous waste is for the facility and its authority to say.")
    )
    return [Lines(say("What counts, and by which rule"), tuple(text), key="waste-counting")]
