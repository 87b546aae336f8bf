"""Waste in a log: months and categories, what is due, streams, codes, shipments, substances in waste, containers."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import replace
from datetime import date

from safety import levels, quantities
from safety.cited import Unknown
from safety.model import Block, Entry, Grid, LedgerView, Lines, LogRole, OpenPoint, Period, Shop
from safety.reference import Reference, past
from safety.reference.citing import cited
from safety.words import say
from safety_waste import amounts, by_month, containers, fill, month, office, traits, us
from safety_waste.bins import form_of_line
from safety_waste.codes import verdicts
from safety_waste.counted import Counting, counting
from safety_waste.due import due
from safety_waste.meant import Meant, meant
from safety_waste.month import Month
from safety_waste.rules import threshold


def blocks(period: Period, ledger: LedgerView, reference: Reference, shop: Shop) -> list[Block]:
    """Everything the waste part says about a period, as of its last day."""
    day = month.last_day_of(period.last)
    how = counting(ledger, shop, reference, day)
    found = month.summed(how, ledger, shop, day)
    fills = fill.on(day, shop, reference, ledger, period.first)
    mine = [e for name, m in sorted(found.items()) if period.first <= name <= period.last for e in m.entries]
    to_do = _to_do(period, found, fills, ledger, day, shop, reference)
    leaving = tuple(office.leaving(fills, found, ledger, day, shop, reference))
    shown: list[Block] = [Lines(say("Waste: what to do"), to_do, key="waste-to-do", roles=leaving)]
    limits = office.limits(period, found, fills, ledger, shop, reference)
    roles: tuple[LogRole, ...] = (*office.tallies(period, found, ledger, shop), *limits)
    shown += by_month.blocks(period, found, roles, ledger, shop, reference)
    shown += _sums(mine, meant(ledger, shop), how, shop, reference)
    shown += _shipments(period, ledger, day, shop)
    shown += _substances(period, ledger, shop)
    return [*shown, *containers.blocks(fills, found, day, shop, reference)]


# ---------------------------------------------------------------- what to do


def _to_do(
    period: Period,
    found: Mapping[str, Month],
    fills: Mapping[str, fill.Fill],
    ledger: LedgerView,
    day: date,
    shop: Shop,
    reference: Reference,
) -> tuple[str, ...]:
    said = []
    if not us.covered(reference) and not reference.table("list_of_waste"):
        said.append(say("No rules pack of this shop covers waste: no code, no category and no last day is given."))
    held = month.on_site(fills.values(), reference)[0]
    for one in fills.values():
        limit = due(one, found, day, shop, reference, held)
        if limit.near(day, reference):
            said.append(
                say(
                    "{container}: {words} ({why}; {rule}).",
                    container=one.container.id,
                    words=limit.words(day),
                    why=limit.why,
                    rule=limit.rule,
                )
            )
    said += _gaps(period, fills, shop, reference)
    said += _full(fills, shop)
    said += _acute(fills, shop, reference)
    said += _areas(fills, day, shop, reference)
    said += _on_site(found, fills, day, reference)
    said += _site_line(found, day, reference)
    for lot in ledger.lots():
        if isinstance(lot.expires, date) and lot.expires < day and lot.open:
            text = say(
                "Lot {lot} of {product} expired on {date}: expired product.",
                lot=lot.lot,
                product=lot.name,
                date=lot.expires,
            )
            said.append(text)
    if not said:
        return (say("Nothing is due by {day}.", day=day),)
    return (say("As of {day}:", day=day), *said)


def _site_line(found: Mapping[str, Month], day: date, reference: Reference) -> list[str]:
    """What a large generator owes to its neighbours."""
    distance, own = threshold("lqg-ignitable-distance", reference), found.get(f"{day:%Y-%m}")
    if distance is None or own is None or month.category_of(own, reference)[0] != "LQG":
        return []
    text = say("Waste that ignites or reacts stands at least {limit} inside the line of the site ({rule}).",
               limit=distance.written, rule=cited(distance))  # fmt: skip
    return [text]


def _gaps(period: Period, fills: Mapping[str, fill.Fill], shop: Shop, reference: Reference) -> list[str]:
    """Shipments of the period whose mass is far from what was recorded as put in."""
    limit = threshold("waste-gap", reference)
    return [
        say(
            "{container}, shipped on {day}: {shipped}, but the records say {recorded} went in. Find the difference: "
            "what was not recorded is in no total.",
            container=one.container.id,
            day=day,
            shipped=quantities.mass(shipped, shop.print_units),
            recorded=quantities.mass(recorded, shop.print_units),
        )
        for one in fills.values()
        for day, shipped, recorded in one.gaps
        if period.first <= f"{day:%Y-%m}" <= period.last
        and (limit is None or past(abs(shipped - recorded) / max(shipped, recorded, 1e-9), limit))
    ]


def _full(fills: Mapping[str, fill.Fill], shop: Shop) -> list[str]:
    """Containers that hold more by the records than there is room for: something was taken out or put elsewhere."""
    return [
        say(
            "{container}: {volume} by the records, more than it holds ({size}). Look into it, and record what was "
            "collected or put elsewhere.",
            container=one.container.id,
            volume=quantities.volume(one.volume, shop.print_units),
            size=quantities.volume(one.container.size, shop.print_units),
        )
        for one in fills.values()
        if one.over_full
    ]


def _areas(fills: Mapping[str, fill.Fill], day: date, shop: Shop, reference: Reference) -> list[str]:
    limit = threshold("satellite-volume", reference)
    if limit is None:
        return []
    said = []
    for area, members in fill.satellite_areas(fills.values(), reference).items():
        held = sum(f.volume for f in members)
        without = sum(f.volume_unknown for f in members)
        name = area or say("all satellite containers")
        if past(held, limit):
            said.append(
                say(
                    "{area}: {volume}, over {limit}. Date it and move what is too much ({rule}).",
                    area=name,
                    volume=levels.shown(held, limit.value, lambda volume: quantities.volume(volume, shop.print_units)),
                    limit=amounts.limit(limit),
                    rule=cited(limit),
                )
            )
        if without:
            said.append(
                say(
                    "{area}: records without a volume: {count}. So how full it is is not known.",
                    area=name,
                    count=without,
                )
            )
    return said


def _acute(fills: Mapping[str, fill.Fill], shop: Shop, reference: Reference) -> list[str]:
    """Containers beside the work with more acute waste than may stand there."""
    limit = threshold("satellite-acute-liquid", reference)
    return [
        say(
            "{container}: {volume} with acute waste in it, over {limit}. Date it and move what is too much ({rule}).",
            container=one.container.id,
            volume=quantities.volume(one.volume, shop.print_units),
            limit=amounts.limit(limit),
            rule=cited(limit),
        )
        for one in fills.values()
        if limit is not None
        and one.container.kind == "satellite"
        and past(one.volume, limit)
        and any(
            found.acute
            for product, way in one.products
            if product is not None
            for found in verdicts(product, form_of_line(one.container, way, reference), reference)
        )
    ]


def _on_site(found: Mapping[str, Month], fills: Mapping[str, fill.Fill], day: date, reference: Reference) -> list[str]:
    """What is on site at the end of the period against the limit of its last month's category."""
    now, missing = month.on_site(fills.values(), reference)
    name = f"{day:%Y-%m}"
    category = month.category_of(found.get(name, Month(name)), reference)[0]
    if not category:
        return []
    limit = month.on_site_limit(category, reference)
    least = say("at least ") if missing else ""
    shown = amounts.kilograms(now) if limit is None else amounts.compared(now, limit)
    words = {"least": least, "now": shown, "title": month.title(category, reference)}
    if limit is None:
        return [say("On site now: {least}{now}. A {title} has no limit.", **words)]
    over = say("past it") if past(now, limit) else say("not past it")
    return [
        say(
            "On site now: {least}{now}. The limit for a {title} is {limit} ({rule}): {over}.",
            **words,
            limit=limit.written,
            rule=cited(limit),
            over=over,
        )
    ]


# ---------------------------------------------------------------- tables


def _sums(mine: list[Entry], then: Meant, how: Counting, shop: Shop, reference: Reference) -> list[Block]:
    """Totals of the period by stream, by code and by container."""
    if not mine:
        return []
    by_stream: dict[str, list[Entry]] = defaultdict(list)
    by_code: dict[str, list[Entry]] = defaultdict(list)
    by_container: dict[str, list[Entry]] = defaultdict(list)
    for entry in mine:
        container = then.container(entry)
        by_container[entry.container].append(entry)
        by_stream[container.stream if container else say("container is not listed any more")].append(entry)
        for code in _codes(entry, then, how, reference):
            by_code[code].append(entry)
    stream, code = say("Stream"), say("Code")
    return [
        _grid(say("Waste by stream"), stream, by_stream, shop, "waste-by-stream"),
        replace(
            _grid(say("Waste by code (one record may stand under several)"), code, by_code, shop, "waste-by-code"),
            unknown=_secrets(mine, then),
        ),
        _grid(say("Waste by container"), say("Container"), by_container, shop, "waste-by-container"),
    ]


def _secrets(mine: list[Entry], then: Meant) -> tuple[OpenPoint, ...]:
    secrets = {e.product: traits.secret(product) for e in mine if (product := then.product(e)) is not None}
    return tuple(
        OpenPoint(say("Waste codes are not all known: {why}.", why=why), "maker", "waste codes", product)
        for product, why in secrets.items()
        if why
    )


def _codes(entry: Entry, then: Meant, how: Counting, reference: Reference) -> tuple[str, ...]:
    """Codes of a line: those its product has in the form its container takes."""
    product = then.product(entry)
    if product is None:
        return (say("not known: mixed waste"),)
    container = then.container(entry)
    if how.kind(entry, product, container)[0] == "wipes":
        return (say("excluded wipes"),)
    found = verdicts(product, form_of_line(container, entry.way, reference), reference)
    named = [code for v in found for code in (*v.codes, *(say("{code}, to be confirmed", code=c) for c in v.maybe))]
    secret = traits.secret(product)
    if secret:
        named.append(say("UNKNOWN: {why}", why=secret))
    return tuple(named) or (say("no code found"),)


def _grid(title: str, column: str, groups: Mapping[str, list[Entry]], shop: Shop, key: str) -> Grid:
    rows = []
    for name, entries in sorted(groups.items()):
        known = [e.mass for e in entries if not isinstance(e.mass, Unknown)]
        without = len(entries) - len(known)
        total = quantities.mass(sum(known), shop.print_units)
        if without:
            total = say("at least {total}", total=total) if known else say("UNKNOWN")
        months: dict[str, float] = defaultdict(float)
        for e in entries:
            months[f"{e.day:%Y-%m}"] += 0.0 if isinstance(e.mass, Unknown) else e.mass
        spread = "; ".join(
            say("{month}: {mass}", month=m, mass=quantities.mass(v, shop.print_units))
            for m, v in sorted(months.items())
        )
        rows.append((name, total, str(len(entries)), str(without), spread))
    columns = (column, say("Total"), say("Records"), say("Without a mass"), say("By month"))
    return Grid(title, columns, tuple(rows), key=key)


def _shipments(period: Period, ledger: LedgerView, day: date, shop: Shop) -> list[Block]:
    then = meant(ledger, shop)
    rows = []
    totals: dict[str, float] = defaultdict(float)
    for e in fill.lines(ledger, "ship", day):
        if not period.first <= f"{e.day:%Y-%m}" <= period.last:
            continue
        inside = then.ours(e.receiver) is not None
        mass = say("UNKNOWN") if isinstance(e.mass, Unknown) else quantities.mass(e.mass, shop.print_units)
        where = say("on site, into {id}", id=e.receiver) if inside else e.receiver
        rows.append(
            (e.day.isoformat(), e.container, mass, where, e.manifest or ("" if inside else say("no number given")))
        )
        if not inside and not isinstance(e.mass, Unknown):
            totals[f"{e.day:%Y}"] += e.mass
    if not rows:
        return []
    rows += [
        (say("{year}, all", year=y), "", quantities.mass(m, shop.print_units), say("off site"), "")
        for y, m in sorted(totals.items())
    ]
    columns = (say("Day"), say("Container"), say("Mass"), say("To"), say("Shipping paper"))
    return [Grid(say("Shipments of waste"), columns, tuple(rows), key="waste-shipments")]


def _substances(period: Period, ledger: LedgerView, shop: Shop) -> list[Block]:
    """Each substance that the waste may hold, at most: of rags the most part is cloth, and nobody knows how much."""
    sums: dict[str, float] = defaultdict(float)
    names: dict[str, str] = {}
    unknown: dict[str, set[str]] = defaultdict(set)
    for t in ledger.by_substance(period, "wasted"):
        sums[t.cas] += t.high
        names[t.cas] = t.name
        unknown[t.cas] |= set(t.unknown)
    rows = tuple(
        (names[cas], cas, quantities.mass(sums[cas], shop.print_units), "; ".join(sorted(unknown[cas])))
        for cas in sorted(sums)
    )
    if not rows:
        return []
    columns = (say("Substance"), say("CAS"), say("At most"), say("Not in it"))
    title = say("Substances in waste, as if all of it were the product")
    return [Grid(title, columns, rows, key="waste-substances")]
