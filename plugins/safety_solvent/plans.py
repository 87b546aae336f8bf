"""Planned jobs against what was recorded: what is still ahead, what nobody wrote down, what a job cost."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta

from safety.cited import Unknown
from safety.model import Entry, Grid, Job, LedgerView, Lines, OpenPoint, Period
from safety.quantities import mass
from safety.reference import Reference
from safety.words import say
from safety_solvent.accounts import Books, Sum, add, months, nothing_recorded
from safety_solvent.books import kinds, share, span
from safety_solvent.factors import Key, Own
from safety_solvent.planned import amount, left_wet, of_leftover


@dataclass(frozen=True, slots=True)
class Planned:
    """One job of the period, with what it plans to use by product."""

    job: Job
    products: Mapping[str, Sum]  # a use without an amount is in ``unknown``, beside the others' sum
    recorded: tuple[Entry, ...]  # its uses and returns in the period, corrections worked in


def of_period(period: Period, ledger: LedgerView, jobs: tuple[Job, ...], own: Mapping[Key, Own]) -> list[Planned]:
    """Every job whose day lies in the period, in order of day."""
    those = [job for job in jobs if period.first <= job.start.isoformat()[:7] <= period.last]
    lines: dict[str, list[Entry]] = defaultdict(list)
    for entry in ledger.entries(period, jobs=[job.id for job in those]):
        back = entry.kind == "return" and entry.way == "to stock"
        if (entry.kind == "use" or back) and not entry.reverses and not entry.reversed_by:
            lines[entry.job].append(entry)
    found = [Planned(job, _products(job, own), tuple(lines[job.id])) for job in those]
    return sorted(found, key=lambda p: (p.job.start, p.job.id))


def _products(job: Job, own: Mapping[Key, Own]) -> dict[str, Sum]:
    found: dict[str, Sum] = {}
    for step in job.steps:
        each = [(use.product.id, amount(job, step, use, own)) for use in step.uses]
        each += [(wet.product.id, of_leftover(wet)) for wet in left_wet(job, step)]
        for product, more in each:
            so_far = found.get(product, Sum())
            if isinstance(more, Unknown):
                point = OpenPoint(more.reason, "files", "no amount", ", ".join((job.id, product)))
                found[product] = replace(so_far, unknown=tuple(dict.fromkeys((*so_far.unknown, point))))
            else:
                sums = (so_far.low + more.low, so_far.mid + more.mid, so_far.high + more.high)
                found[product] = Sum(*sums, so_far.unknown)
    return found


def last_day(period: Period, ledger: LedgerView) -> date | None:
    """The day up to which somebody has recorded anything in the period."""
    return max(ledger.days(period), default=None)


def ahead(planned: list[Planned], until: date | None) -> list[Planned]:
    """Jobs without a record whose day has not been reached by the records."""
    return [p for p in planned if not p.recorded and (until is None or p.job.start.date() > until)]


def grid(planned: list[Planned], until: date | None, reference: Reference, system: str) -> Grid | None:
    """Actual against plan, product by product; a job of the past without a record is missing, never zero."""
    rows: list[tuple[str, ...]] = []
    unknown = []
    later = ahead(planned, until)
    for one in planned:
        if one in later:
            continue
        names = {p.id: p.name for p in one.job.products} | {e.product: e.name for e in one.recorded}
        where = (one.job.start.date().isoformat(), one.job.id, one.job.unit)
        used = _used(one.recorded)
        without = []
        for product in sorted({*one.products, *used}):
            plan, real = one.products.get(product), used.get(product)
            if real is None:
                without.append(names[product])
            days = len({e.day for e in one.recorded if e.product == product and e.kind == "use"})
            rows.append((*where, names[product], _plan(plan, system), _real(real, system), _apart(plan, real, days)))
        if without:
            text = say(
                "{day}, {job}: no record of {products}, which was planned.",
                day=where[0],
                job=where[1],
                products=", ".join(without),
            )
            unknown.append(OpenPoint(text, "recorder", "no record", one.job.id, len(without)))
        rows += _counted(one, where, used, reference, system)
    if not rows:
        return None
    columns = (
        say("Day"),
        say("Job"),
        say("Unit"),
        say("Product"),
        say("Planned (estimate)"),
        say("Recorded"),
        say("Difference"),
    )
    return Grid(say("Recorded against plan, job by job"), columns, tuple(rows), "solvent-plan", tuple(unknown))


def _used(entries: tuple[Entry, ...]) -> dict[str, Sum]:
    sums: dict[str, float] = defaultdict(float)
    unknown: dict[str, int] = defaultdict(int)
    for entry in entries:
        if isinstance(entry.mass, Unknown):
            unknown[entry.product] += 1
        sums[entry.product] += (
            0.0 if isinstance(entry.mass, Unknown) else -entry.mass if entry.kind == "return" else entry.mass
        )
    return {p: Sum(m, m, m, (OpenPoint(say("unknown")),) if unknown[p] else ()) for p, m in sums.items()}


def _plan(plan: Sum | None, system: str) -> str:
    if plan is None:
        return say("not planned")
    if plan.unknown and plan.high == 0:
        return say("UNKNOWN")
    text = span(plan.low, plan.high, system)
    return say("{text} + UNKNOWN", text=text) if plan.unknown else text


def _real(real: Sum | None, system: str) -> str:
    if real is None:
        return say("no record")
    if not real.unknown:
        return mass(real.mid, system)
    return say("UNKNOWN") if real.mid == 0 else say("{sum} + UNKNOWN", sum=mass(real.mid, system))


def _apart(plan: Sum | None, real: Sum | None, days: int) -> str:
    """How far the records are from the plan. The plan is for once: a job done day after day says on how many days."""
    if plan is None or plan.unknown or real is None or real.unknown or plan.mid == 0:
        return ""
    apart = say("{percent:+.0f} %", percent=100 * (real.mid / plan.mid - 1))
    return apart if days < 2 else say("{apart}; recorded on {days} days, planned once", apart=apart, days=days)


def _counted(
    one: Planned, where: tuple[str, ...], used: Mapping[str, Sum], reference: Reference, system: str
) -> list[tuple[str, ...]]:
    """What the job cost: the mass of each kind in what was recorded."""
    rows = []
    products = one.job.shop.products
    for kind in kinds(reference):
        shares = {p: share(products[p].parts, kind, p) for p in used if p in products}
        high = sum(used[p].mid * own.high for p, own in shares.items())
        low = sum(used[p].mid * own.low for p, own in shares.items())
        unknown = any(s.unknown for s in used.values()) or shares.keys() != used.keys()
        if high > 0 or unknown:
            text = span(low, high, system)
            rows.append(
                (
                    *where,
                    say("{kind} of the job", kind=kind.word),
                    "",
                    say("{text} + UNKNOWN", text=text) if unknown else text,
                    "",
                )
            )
    return rows


def forecast(
    later: list[Planned], accounts: Books, reference: Reference, system: str, left_out: str = ""
) -> Lines | None:
    """How the period ends if the jobs still planned go as planned. ``left_out``: lines that may not be counted."""
    if not later:
        return None
    texts, unknown = [], [OpenPoint(left_out, "files", "left out")] if left_out else []
    sums: dict[str, float] = defaultdict(float)
    for one in later:
        texts.append(say("Still planned: {day}, {title}.", day=one.job.start.date().isoformat(), title=one.job.title))
        for product, plan in one.products.items():
            unknown += [
                replace(point, text=say("{job}: {reason}.", job=one.job.id, reason=point.text))
                for point in plan.unknown
            ]
            sums[product] += plan.high
    shop = later[0].job.shop
    for kind in kinds(reference):
        more = sum(kg * share(shop.products[p].parts, kind, p).high for p, kg in sums.items())
        now = accounts.kind(accounts.period, kind)
        unknown += [point for point in now.unknown if point not in unknown]
        total, part = mass(now.high + more, system), mass(more, system)
        most = say(
            "{kind} by the end of the period, an estimate: at most {total}, of which {more} is still planned.",
            kind=kind.title,
            total=total,
            more=part,
        )
        counted = say(
            "{kind} by the end of the period, an estimate of what can be counted: {total}, of which {more} is still "
            "planned. The rest is not known.",
            kind=kind.title,
            total=total,
            more=part,
        )
        texts.append(counted if unknown else most)
    texts += [say("Not in this estimate: {text}", text=point.text) for point in unknown]
    return Lines(say("Forecast to the end of the period (estimate)"), tuple(texts), "solvent-forecast", tuple(unknown))


def most(later: list[Planned]) -> dict[str, Sum]:
    """What all of these jobs plan to use, by product."""
    found: dict[str, Sum] = {}
    for one in later:
        for product, plan in one.products.items():
            found[product] = add((found.get(product, Sum()), plan))
    return found


def missing_days(accounts: Books, ledger: LedgerView, planned: list[Planned], until: date | None) -> Lines:
    """Days without any record up to the last recorded one: first those with a planned job, then the other weekdays."""
    title = say("Days without a record")
    if until is None:
        nothing = nothing_recorded()
        return Lines(title, (nothing.text,), "solvent-days", (nothing,))
    recorded = ledger.days(accounts.period)
    jobs = sorted({p.job.start.date() for p in planned if p.job.start.date() <= until} - recorded)
    day = max(date.fromisoformat(accounts.period.first + "-01"), ledger.begins or until)
    silent = []
    while day < until:
        if day.weekday() < 5 and day not in recorded:
            silent.append(day)
        day += timedelta(days=1)
    texts = [say("{day}: a job was planned and nothing was recorded.", day=d.isoformat()) for d in jobs]
    texts += [
        say("{month}: {count} weekdays without a record: {days}.", month=month, count=len(days), days=_runs(days))
        for month in months(accounts.period)
        if (days := [d for d in silent if d.isoformat()[:7] == month])
    ]
    texts.append(say("The last record of the period is of {day}. Later days are not looked at.", day=until.isoformat()))
    return Lines(title, tuple(texts), "solvent-days")


def _runs(days: list[date]) -> str:
    """Days of one month as runs: "2-6, 9, 12-13". A weekend does not break a run."""
    runs: list[list[date]] = []
    for day in days:
        gap = (day - runs[-1][-1]).days if runs else 0
        if runs and (gap == 1 or (gap == 3 and day.weekday() == 0)):
            runs[-1].append(day)
        else:
            runs.append([day])
    parts = [str(r[0].day) if len(r) == 1 else say("{first} to {last}", first=r[0].day, last=r[-1].day) for r in runs]
    return ", ".join(parts)
