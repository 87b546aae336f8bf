"""The solvent part of a log: totals, limits, balance, plan and record, and how sure all of it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any, Literal

from safety.cited import Unknown
from safety.model import (
    Balance,
    Block,
    Chart,
    Curve,
    Grid,
    Job,
    LedgerView,
    Lines,
    OpenPoint,
    Period,
    Shop,
    Tallied,
    Tally,
)
from safety.quantities import mass, volume
from safety.reference import Reference
from safety.reference.citing import cited
from safety.words import capital, say, term
from safety_solvent import coatings, credit, eu, factors, limits, plans
from safety_solvent.accounts import Books, Sum, add, month_before, months, nothing_recorded, open_books
from safety_solvent.books import Kind, answered, kinds, span
from safety_solvent.monthly import as_it_was, operations


def blocks(period: Period, ledger: LedgerView, reference: Reference, shop: Shop, jobs: tuple[Job, ...]) -> list[Block]:
    accounts = open_books(period, ledger, shop.began)
    own = factors.own(ledger, reference)
    planned = plans.of_period(period, ledger, jobs, own)
    until = plans.last_day(period, ledger)
    later = plans.ahead(planned, until)
    counted = kinds(reference)
    system = shop.print_units
    caps = limits.caps(accounts, plans.most(later), reference, shop)
    found: list[Block | None] = [
        _chart(accounts, counted, caps),
        _kinds(accounts, counted, shop),
        limits.grid(caps, system) if caps else _no_limits(),
        limits.notes(caps),
        _products(accounts, shop),
        _substances(accounts, counted, reference, system),
        _monthly(accounts, counted, system) if period.first != period.last else None,
        _operations(accounts, reference, shop),
        _coatings(accounts, reference),
        _balance(ledger.balance(period), system),
        credit.grid(accounts.waste, period, system),
        *eu.blocks(accounts, reference, shop),
        plans.grid(planned, until, reference, system),
        plans.forecast(later, accounts, reference, system, ledger.left_out),
        _known(accounts, counted, reference, system),
        Lines(
            say("The shop's own factors, and the estimates in use"),
            tuple(factors.lines(own, _named_then(accounts, shop), reference)),
            "solvent-factors",
        ),
        plans.missing_days(accounts, ledger, planned, until),
        _decided(reference, shop),
    ]
    return [block for block in found if block is not None and (not isinstance(block, Lines) or block.lines)]


def _no_limits() -> Lines:
    text = say("No threshold and no permit on solvent is loaded for this shop, so nothing is judged.")
    return Lines(say("Limits and what is left of them"), (text,), "solvent-limits")


def _spans(accounts: Books) -> list[tuple[str, Period]]:
    """The times every total is given over: the period, the calendar year so far, the rolling year."""
    period, year, rolling = accounts.period, accounts.year, accounts.rolling
    spans = [(_named(period), period)]
    if year != period:
        spans.append((say("{year} to {month}", year=year.first[:4], month=year.last), year))
    if rolling not in (period, year):
        spans.append((say("12 months to {month}", month=rolling.last), rolling))
    return spans


def _named(period: Period) -> str:
    return (
        period.first if period.first == period.last else say("{first} to {last}", first=period.first, last=period.last)
    )


def _cell(total: Sum, system: str) -> str:
    if total.unknown and total.high == 0:
        return say("UNKNOWN")
    text = span(total.low, total.high, system)
    return say("{text} + UNKNOWN", text=text) if total.unknown else text


def _unknown(*totals: Sum) -> tuple[OpenPoint, ...]:
    return tuple(dict.fromkeys(point for total in totals for point in total.unknown))


def _kinds(accounts: Books, counted: tuple[Kind, ...], shop: Shop) -> Block:
    """Used, and to the air with and without the waste taken off, for each kind a rule counts."""
    title = say("Solvent by what the rules count")
    if not counted:
        text = say("No loaded rules pack says what counts as VOC or HAP, so no such total is given.")
        return Lines(title, (text,), "solvent-kinds")
    rows, sums = [], []
    roles: list[Tally] = []
    spans = _spans(accounts)
    for kind in counted:
        if kind.key != "exempt":
            sort: Tallied = "HAP" if kind.key == "HAP" else "VOC"
            roles += [_tally(sort, over, accounts.kind(p, kind), kind.word) for over, p in _office(accounts)]
        for name, off in ((say("used; all of it to the air"), False), (say("to the air, waste taken off"), True)):
            totals = [accounts.kind(period, kind, off=off) for _, period in spans]
            sums += totals
            rows.append((kind.title, name, *(_cell(total, shop.print_units) for total in totals)))
    columns = (say("Counted as"), say("Reckoned as"), *(name for name, _ in spans))
    return Grid(title, columns, tuple(rows), "solvent-kinds", _unknown(*sums), roles=tuple(roles))


#: The two times the office's page is about.
_Over = Literal["period", "rolling 12 months"]


def _office(accounts: Books) -> tuple[tuple[_Over, Period], ...]:
    return (("period", accounts.period), ("rolling 12 months", accounts.rolling))


def _tally(of: Tallied, over: _Over, total: Sum, name: str = "") -> Tally:
    return Tally(of, over, total.high, whole=total.complete, name=name)


def _products(accounts: Books, shop: Shop) -> Grid:
    spans = _spans(accounts)
    totals = [accounts.used(period) for _, period in spans]
    names = {e.product: e.name for e in accounts.described()}
    whole = sum(total.high for total in totals[-1].values())
    rows = []
    order = sorted({p for total in totals for p in total}, key=lambda p: (-totals[-1].get(p, Sum()).high, p))
    for product in order:
        cells = [_cell(total.get(product, Sum()), shop.print_units) for total in totals]
        last = totals[-1].get(product, Sum())
        part = say("{percent:.0f} %", percent=100 * last.high / whole) if whole > 0 else ""
        part = say("UNKNOWN") if last.unknown else part
        rows.append((names.get(product, product), *cells, part))
    columns = (say("Product"), *(name for name, _ in spans), say("Share of the last column"))
    unknown = _unknown(*(sum_ for total in totals for sum_ in total.values()))
    nothing = Sum(unknown=(nothing_recorded(),))
    roles = tuple(
        _tally("solvent", over, nothing if accounts.silent(period) else add(accounts.used(period).values()))
        for over, period in _office(accounts)
    )
    return Grid(say("Used, by product"), columns, tuple(rows), "solvent-products", unknown, roles=roles)


def _substances(accounts: Books, counted: tuple[Kind, ...], reference: Reference, system: str) -> Grid:
    spans = _spans(accounts)
    totals = [accounts.substances(period) for _, period in spans]
    names = {cas: name for total in totals for cas, (name, _) in total.items()}
    rows = []
    for cas, name in sorted(names.items(), key=lambda item: -totals[-1].get(item[0], ("", Sum()))[1].high):
        cells = [_cell(total[cas][1], system) if cas in total else say("none") for total in totals]
        rows.append((name, cas, _marks(cas, counted), *cells))
    columns = (say("Substance"), say("CAS"), say("Counts as"), *(name for name, _ in spans))
    return Grid(say("Used, by substance"), columns, tuple(rows), "solvent-substances")


def _marks(cas: str, counted: tuple[Kind, ...]) -> str:
    """What a substance counts as; nobody can tell for what is not disclosed."""
    if not cas:
        return say("UNKNOWN")
    answers = [(kind.key, kind.counts(cas)) for kind in counted]
    marks = [
        key if answer else say("UNKNOWN whether {kind}", kind=key) for key, answer in answers if answer is not False
    ]
    return ", ".join(marks) or say("none of these")


def _monthly(accounts: Books, counted: tuple[Kind, ...], system: str) -> Grid:
    rows = []
    for month in months(accounts.period):
        one = Period(month, month)
        if accounts.silent(one):
            rows.append((month, *[say("no record")] * (1 + len(counted))))
            continue
        totals = [accounts.kind(one, kind) for kind in counted]
        products = list(accounts.used(one).values())
        whole = Sum(*(sum(s.high for s in products),) * 3, _unknown(*products))
        rows.append((month, _cell(whole, system), *(_cell(total, system) for total in totals)))
    columns = (say("Month"), say("All products"), *(kind.word for kind in counted))
    return Grid(say("Used, month by month"), columns, tuple(rows), "solvent-months")


def _operations(accounts: Books, reference: Reference, shop: Shop) -> Grid | None:
    rows: list[tuple[str, ...]] = []
    sums: list[Sum] = []
    for month, name, operation, total, pressure, by in operations(accounts, reference, shop):
        sums.append(total)
        cell = volume(total.high, shop.print_units)
        if total.unknown:
            cell = say("{cell} + UNKNOWN", cell=cell)
        rows.append((month, name, operation, cell, pressure, by))
    if not rows:
        return None
    columns = (
        say("Month"),
        say("Cleaning solvent"),
        say("Operation"),
        say("Volume used"),
        say("Composite vapour pressure"),
        say("Route"),
    )
    return Grid(
        say("Cleaning solvents by operation and month"), columns, tuple(rows), "solvent-operations", _unknown(*sums)
    )


def _named_then(accounts: Books, shop: Shop) -> Shop:
    """The shop with each product that has a record as the last of them describes it."""
    then = {e.product: e.whole for e in accounts.described() if e.whole is not None}
    return replace(shop, products={**shop.products, **then})


def _coatings(accounts: Books, reference: Reference) -> Grid | None:
    rows = []
    for month in months(accounts.period):
        used: dict[int | None, float] = {}
        for (edition, _), total in accounts.volumes(month).items():
            used[edition] = used.get(edition, 0.0) + total.high
        known = [(p, v) for e, v in used.items() if (p := as_it_was(accounts, e)) is not None]
        rows += [(month, *row) for row in coatings.averages(known, reference)]
    if not rows:
        return None
    columns = (
        say("Month"),
        say("Category"),
        say("Products"),
        say("VOC, average"),
        say("HAP, average"),
        say("Limit, each"),
    )
    return Grid(say("Coatings: average content by category and month"), columns, tuple(rows), "solvent-coatings")


def _balance(found: tuple[Balance, ...], system: str) -> Grid:
    """Received - on hand - returned - waste = gone, and what a count says against the records."""
    rows, unknown = [], []
    for one in found:
        counted, gap = say("not counted"), ""
        if not isinstance(one.counted, Unknown):
            counted, gap = mass(one.counted, system), mass(one.counted - one.closing, system)
        amounts = (
            one.opening,
            one.received,
            one.returned,
            one.waste_from_stock,
            one.closing,
            one.used,
            one.waste_from_jobs,
            one.solvent_in_waste,
            one.lost,
        )
        cells = [_balanced(value, one, system) for value in amounts]
        if not one.product:
            cells[-1] = ""  # nobody said what is in mixed waste, so it is taken off no product
        rows.append((one.name, *cells, counted, gap))
        unknown += [
            OpenPoint(say("{name}: {text}.", name=one.name, text=text), "recorder", "no mass", one.product)
            for text in one.unknown
        ]
    columns = (
        say("Product"),
        say("At the start"),
        say("Received"),
        say("To supplier"),
        say("Waste from stock"),
        say("On hand by records"),
        say("Used"),
        say("Waste from jobs"),
        say("Solvent in that, at least"),
        say("Gone to air or into the work, at most"),
        say("Counted"),
        say("Counted less records"),
    )
    return Grid(say("Mass balance"), columns, tuple(rows), "solvent-balance", tuple(unknown))


def _balanced(value: float, one: Balance, system: str) -> str:
    """A mass of a balance. A record of unknown mass may belong to any column, so none of them is plainly zero."""
    if not one.unknown:
        return mass(value, system)
    return say("{sum} + UNKNOWN", sum=mass(value, system)) if value else say("UNKNOWN")


def _known(accounts: Books, counted: tuple[Kind, ...], reference: Reference, system: str) -> Lines:
    """Which share of the total was weighed, measured or guessed, and how far off the whole may be."""
    spreads = {row["basis"]: row for row in reference.table("amount_spread")}
    known = accounts.by_basis(accounts.period)
    whole = sum(known.values())
    texts, off = [], 0.0
    for basis, kg in known.items():
        row = spreads.get(basis)
        percent = float(row["percent"]) if row else 100.0
        off += abs(kg) * percent / 100
        why = cited(row) if row else say("no record says how it is known; taken as fully open")
        share = 100 * kg / whole if whole > 0 else 0.0
        texts.append(
            say(
                "{basis}: {kg}, {share:.0f} % of the total, may be {percent:g} % off ({why}).",
                basis=capital(term(basis)) or say("Not said"),
                kg=mass(kg, system),
                share=share,
                percent=percent,
                why=why,
            )
        )
    if whole > 0:
        texts.append(
            say(
                "The total of {whole} may be {off} off, all errors added up.",
                whole=mass(whole, system),
                off=mass(off, system),
            )
        )
        for kind in counted:
            total = accounts.kind(accounts.period, kind)
            share = off / whole
            texts.append(
                say(
                    "{kind}: {mid} in the middle, {low} to {high} with amounts and data sheets at their ends.",
                    kind=kind.word,
                    mid=mass(total.mid, system),
                    low=mass(total.low * (1 - share), system),
                    high=mass(total.high * (1 + share), system),
                )
            )
    if any(total.unknown for total in accounts.used(accounts.period).values()):
        texts.append(say("Records of unknown mass are in none of these figures: the totals are INCOMPLETE."))
    return Lines(say("How the amounts are known, and how sure the total is"), tuple(texts), "solvent-known")


def _decided(reference: Reference, shop: Shop) -> Lines:
    """What people decided where a rule is not plain, what nobody has decided yet, and how long to keep the log."""
    given = {a.question for a in shop.answers}
    outside = {a.question for a in shop.answers if a.answer == "no"}

    def holds(row: Mapping[str, Any]) -> bool:
        """Whether a row is none of a rule that somebody decided does not hold for this shop."""
        return row.get("under") not in outside

    asked = [row for row in filter(holds, reference.table("open_question")) if row["id"] not in given]
    texts = [answered(answer) for answer in shop.answers]
    texts += [say("Not decided yet ({id}): {text}", id=row["id"], text=row["text"]) for row in asked]
    points = tuple(OpenPoint(term(row["text"]), "officer", "not decided", row["id"]) for row in asked)
    texts += [say("{text} {cited}.", text=row["text"], cited=cited(row)) for row in reference.table("record_retention")]
    texts += [row["text"] for row in filter(holds, reference.table("housekeeping"))]
    texts.append(say("This log accounts and flags. What the law asks is for the shop and its authority to say."))
    return Lines(say("Decisions and duties"), tuple(texts), "solvent-decided", roles=points)


def _chart(accounts: Books, counted: tuple[Kind, ...], caps: list[limits.Cap]) -> Chart | None:
    """The rolling year of VOC and HAP at the end of each month, of the last twelve, that the records reach.

    Where nothing was recorded before, or nothing since, the use is not known: no point is drawn at zero.
    """
    shown = [kind for kind in counted if kind.key in ("VOC", "HAP", "VOC (EU)")]
    recorded = {f.month for f in accounts.flows}
    if not shown or not recorded:
        return None
    first = min(recorded)
    year = (month_before(accounts.period.last, back) for back in reversed(range(12)))
    labels = [month for month in year if first <= month <= max(recorded)]
    if not labels:
        return None
    rolling = [Period(month_before(month, 11), month) for month in labels]
    curves = []
    for kind in shown:
        sums = [accounts.kind(p, kind) for p in rolling]
        curves.append(Curve(kind.word, tuple(s.mid for s in sums), tuple(s.high for s in sums)))
    keys = {kind.key for kind in shown}
    levels = tuple((c.label, c.value) for c in caps if c.of in keys and c.per != "month" and c.unit == "kg")
    title = say("Used in the 12 months before the end of each month (records from {first})", first=first)
    return Chart(title, "kg", (), tuple(curves), levels, "solvent-rolling", tuple(labels))
