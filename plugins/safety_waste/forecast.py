"""What a job adds to its calendar month and to what is on site, by the ledger."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from safety import clock, quantities
from safety.cited import Unknown
from safety.model import Figure, Finding, Job, LedgerView
from safety.reference import Reference, past
from safety.reference.citing import cited
from safety.words import joined, say
from safety_waste import amounts, fill, month
from safety_waste.bins import Placed
from safety_waste.counted import of_container
from safety_waste.due import due
from safety_waste.month import Month
from safety_waste.rules import PLUGIN, threshold


def judge(
    job: Job, placed: Sequence[Placed], reference: Reference, ledger: LedgerView | None, fills: dict[str, fill.Fill]
) -> list[Finding]:
    """The month with this job, what is on site, and the containers of this job whose time or room runs out."""
    day = job.start.date()
    months = None if ledger is None else month.months(ledger, job.shop, reference, day)
    found = [*_containers(job, placed, fills, months, day, reference)]
    small = threshold("generator-small", reference)
    if small is None:
        return found
    if ledger is None or months is None:
        text = say("There is no ledger, so how much waste this month has already is not known.")
        remedy = say("Record what is thrown away (hazstep record), or ask the person responsible for waste.")
        unknown = Finding(
            "note",
            "waste",
            text,
            say("waste of the month not known"),
            PLUGIN,
            unknown=text,
            remedy=remedy,
            key="waste-month",
            gap="books",
            grounds=(small,),
        )
        return [*found, unknown]
    found.append(_month(job, placed, reference, ledger, day))
    found += _on_site(placed, fills, months, day, reference)
    return [*found, *_expired(job, ledger, day)]


def _planned(placed: Sequence[Placed], reference: Reference) -> tuple[float, float, int]:
    """What of the plan counts [kg], careful and middle estimate, and how many wastes have no mass."""
    mine = [p.left for p in placed if of_container(p.container, reference) == "counted"]
    return sum(x.high for x in mine), sum(x.middle for x in mine), sum(bool(x.unknown) for x in mine)


def _recorded(job: Job, now: Month, reference: Reference) -> float:
    """What of this job is in the month already [kg]."""
    places = {c.id: c for c in job.shop.containers}
    return sum(
        e.mass
        for e in now.entries
        if e.job == job.id
        and not isinstance(e.mass, Unknown)
        and of_container(places.get(e.container), reference) == "counted"
    )


def _month(job: Job, placed: Sequence[Placed], reference: Reference, ledger: LedgerView, day: date) -> Finding:
    """From how much to how much, and over which limit."""
    name = f"{day:%Y-%m}"
    now = month.months(ledger, job.shop, reference, month.last_day_of(name)).get(name, Month(name))
    least = say("at least ") if ledger.left_out else now.at_least
    own = _recorded(job, now, reference)
    before = now.counted - own
    high, middle, without = _planned(placed, reference)
    after = before + max(high, own)
    was, _ = month.category(before, reference)
    becomes, bound = month.category(after, reference)
    crosses = becomes != was
    shown = amounts.kilograms(after) if bound is None else amounts.compared(after, bound)
    values = {"month": clock.month(day), "least": least, "before": amounts.kilograms(before), "after": shown}
    text = (
        say(
            "This job would take {month} from {least}{before} to {after}: over the limit for a {was} ({limit}). "
            "It would be a {becomes}.",
            was=month.title(was, reference),
            limit=bound.written,
            becomes=month.title(becomes, reference),
            **values,
        )
        if crosses and bound is not None
        else say(
            "This job would take {month} from {least}{before} to {after} of hazardous waste that counts: {category}.",
            category=month.title(becomes, reference),
            **values,
        )
    )
    open_end = _open_end(job, placed, day)
    no_mass = say("Waste records of {month} without a known mass: {count}.", count=now.unknown, month=values["month"])
    asked = _asked(now, values["month"])
    rule = threshold("generator-small", reference)
    inputs = (
        ("before this job", Figure(say("by the ledger"), before, "kg")),
        ("this job, careful estimate", Figure(say("from its balance"), high, "kg", p50=middle)),
        ("this job, recorded already", Figure(say("by the ledger"), own, "kg")),
        *((("limit", bound or rule),) if bound or rule else ()),
    )
    name = say("hazardous waste of {month} with this job", month=clock.month(day))
    figure = Figure(name, after, "kg", inputs=inputs, p50=before + max(middle, own))
    return Finding(
        "control" if crosses else "note",
        "waste",
        joined((text, *_beside_the_sum(open_end, asked, bool(ledger.left_out), bool(without), now.wipes))),
        say("month: {least}{after}", least=say("at least ") if without else least, after=shown),
        PLUGIN,
        figures=(figure,),
        rule=joined((cited(t) for t in {t.name: t for t in (rule, bound) if t}.values()), "; "),
        grounds=tuple(t for t in (rule, bound, threshold("generator-large", reference)) if t),
        remedy=say("Do part of the work in another month, use less, or keep the rules of the next category.")
        if crosses
        else "",
        unknown=open_end or ledger.left_out or asked or (no_mass if now.unknown else ""),
        key="waste-month",
        gap="books",
    )


def _asked(now: Month, name: str) -> str:
    """That waste of the month has no code, so nobody knows whether it counts; "" where there is none."""
    if not now.asked:
        return ""
    return say(
        "No waste code was found for {mass} of {month}, and nobody has decided what it is: it is not in the sum.",
        mass=amounts.kilograms(now.asked),
        month=name,
    )


def _beside_the_sum(open_end: str, asked: str, left_out: bool, without: bool, wipes: float) -> Iterator[str]:
    """What is not in the sum of the month, a sentence each. ``wipes`` [kg]."""
    if open_end:
        yield say("{why} The month is at least that.", why=open_end)
    if asked:
        yield asked
    if left_out:
        yield say("Records under another name are not counted, so the month may hold more.")
    if without:
        yield say("What brushes, gloves and other things without an amount hold is not in it.")
    yield say("Only the product is counted: the cloth, the rubber and the old adhesive weigh extra.")
    if wipes:
        yield say("Excluded wipes, {wipes}, are not counted.", wipes=amounts.kilograms(wipes))


def _open_end(job: Job, placed: Sequence[Placed], day: date) -> str:
    """Why the month cannot be told, where a product's own amount is unknown; "" where all are known."""
    named = dict.fromkeys(p.left.product.name for p in placed if p.left.amount_unknown)
    if not named:
        return ""
    return say(
        "How much hazardous waste this job adds to {month} is not known: no amount of {products}.",
        month=clock.month(day),
        products=", ".join(named),
    )


def _on_site(
    placed: Sequence[Placed],
    fills: dict[str, fill.Fill],
    months: Mapping[str, Month],
    day: date,
    reference: Reference,
) -> list[Finding]:
    """What is on site against the limit of the category."""
    name = f"{day:%Y-%m}"
    category = month.category_of(months.get(name, Month(name)), reference)[0]
    limit = month.on_site_limit(category, reference)
    if limit is None:
        return []
    now = month.on_site(fills.values(), reference)[0]
    after = now + _planned(placed, reference)[0]
    if not past(after, limit):
        return []
    text = say(
        "With this job {after} of hazardous waste would be on site ({now} now). The limit for a {title} is {limit}.",
        after=amounts.compared(after, limit),
        now=amounts.kilograms(now),
        title=month.title(category, reference),
        limit=limit.written,
    )
    figure = Figure(say("on site with this job"), after, "kg", "", (("limit", limit),))
    return [
        Finding(
            "control",
            "waste",
            text,
            say("on site: {after}", after=amounts.compared(after, limit)),
            PLUGIN,
            figures=(figure,),
            rule=cited(limit),
            remedy=say("Have full containers collected first."),
            key="waste-on-site",
        )
    ]


def _containers(
    job: Job,
    placed: Sequence[Placed],
    fills: dict[str, fill.Fill],
    months: Mapping[str, Month] | None,
    day: date,
    reference: Reference,
) -> list[Finding]:
    """Containers this job would use that are near their last day, over it, or nearly full."""
    found = []
    full = threshold("waste-nearly-full", reference)
    held = month.on_site(fills.values(), reference)[0]
    for name in dict.fromkeys(p.container.id for p in placed if p.container is not None):
        one = fills[name]
        limit = due(one, months, day, job.shop, reference, held)
        left = limit.left(day)
        if limit.near(day, reference) and left is not None:
            text = say(
                "{container}: its last day is {words} ({why}).", container=name, words=limit.words(day), why=limit.why
            )
            found.append(
                Finding(
                    "control",
                    "waste",
                    text,
                    say("{container} is over its time", container=name)
                    if left < 0
                    else say("{container}: {left} days left", container=name, left=left),
                    PLUGIN,
                    figures=limit.figures,
                    rule=limit.rule,
                    remedy=say("Have it collected, and use another container."),
                    key=f"waste-due:{name}",
                    grounds=tuple(t for n in ("waste-warning", "satellite-volume") if (t := threshold(n, reference))),
                )
            )
        if full is not None and one.volume and past(one.volume / one.container.size, full):
            text = say(
                "{container} holds {volume} of {size} by the ledger.",
                container=name,
                volume=quantities.volume(one.volume, job.shop.print_units),
                size=quantities.volume(one.container.size, job.shop.print_units),
            )
            found.append(
                Finding(
                    "control",
                    "waste",
                    text,
                    say("{container} is nearly full", container=name),
                    PLUGIN,
                    remedy=say("Empty it first, or use another."),
                    key=f"waste-full:{name}",
                    grounds=(full,),
                )
            )
    return found


def _expired(job: Job, ledger: LedgerView, day: date) -> list[Finding]:
    """Lots of the job's products that have expired and still stand in stock."""
    products = {p.id for p in job.products}
    lots = [x for x in ledger.lots(products) if isinstance(x.expires, date) and x.expires < day and x.open]
    return [
        Finding(
            "control",
            "waste",
            say(
                "Lot {lot} of {product} expired on {date}. It is waste once it is thrown away: expired product.",
                lot=x.lot,
                product=x.name,
                date=x.expires,
            ),
            say("{product}, lot {lot}: expired, do not use it", product=x.name, lot=x.lot),
            PLUGIN,
            remedy=say("Do not use it. Ask the maker for a new date, or throw it away as expired product."),
            key=f"waste-expired:{x.product}:{x.lot}",
        )
        for x in lots
    ]
