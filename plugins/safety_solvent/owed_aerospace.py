"""What the aerospace rule asks: coatings by formulation and month, cleaning solvents, averages, low volumes."""

from __future__ import annotations

from collections import defaultdict

from safety import units
from safety.cited import Unknown
from safety.model import Cell, Column, DataTable, OpenPoint, Product, Shop
from safety.reference import Reference, crossed, settled
from safety.reference.citing import cited
from safety.words import say, term
from safety_solvent import coatings
from safety_solvent.accounts import Books, Sum, add, months
from safety_solvent.books import bound
from safety_solvent.monthly import as_it_was, operations


def tables(accounts: Books, reference: Reference, shop: Shop) -> list[DataTable]:
    used = list(_coatings(accounts, reference))
    if not reference.table("coating_limit"):
        text = say("No rules pack of this shop holds limits for coatings.")
        return [DataTable("coatings", say("Coatings"), _COATINGS, (), (), (OpenPoint(text, "files", "no limits"),))]
    return [
        _by_month(used, reference),
        _averages(accounts, reference),
        _low_volume(used, reference),
        _cleaning(accounts, reference, shop),
        _asked(reference),
    ]


_COATINGS = (
    Column("month", say("Month")),
    Column("product", say("Product")),
    Column("name", say("Formulation")),
    Column("category", say("Category")),
    Column("voc_g_per_l", say("VOC less water and exempt, g/L"), say("as applied, at most")),
    Column("hap_g_per_l", say("HAP less water, g/L"), say("as applied, at most")),
    Column("limit_g_per_l", say("Limit, g/L")),
    Column("within", say("Each within the limit")),
    Column("volume_l", say("Volume, L")),
    Column("volume_gal", say("Volume, US gal")),
    Column("without_volume", say("Records without a volume")),
)

_Used = tuple[str, Product, Sum]


def _coatings(accounts: Books, reference: Reference) -> list[_Used]:
    """Month, product as it was and volume [m3] of each coating; one whose category nobody names is there as well."""
    found = []
    for month in months(accounts.period):
        sums: dict[int | None, list[Sum]] = defaultdict(list)
        for (edition, _), total in accounts.volumes(month).items():
            sums[edition].append(total)
        for edition, totals in sums.items():
            made = as_it_was(accounts, edition)
            if made is not None and (made.coating or made.purpose in coatings.COATS):
                found.append((month, made, add(totals)))
    return found


def _by_month(used: list[_Used], reference: Reference) -> DataTable:
    rows: list[tuple[Cell, ...]] = []
    unknown: dict[OpenPoint, None] = {}
    for month, made, total in used:
        row = coatings.category(made, reference)
        limit = units.read(row["limit"], "density") if row else None
        held = [coatings.contents(made, key, reference) for key in ("VOC", "HAP")]
        known = [None if isinstance(one, Unknown) else one.value for one in held]
        for one in held:
            if isinstance(one, Unknown):
                text = say("Content of {product}: {why}.", product=made.name, why=one.reason)
                unknown[OpenPoint(text, "files", "no content", made.id)] = None
        if row is None:
            text = say("{product}: its file names no category of coating.", product=made.name)
            unknown[OpenPoint(text, "files", "no category", made.id)] = None
        within: str | None = None
        if row is not None and limit is not None and None not in known:
            over = any(crossed(settled(v), limit, row["compare"]) for v in known if v is not None)
            within = say("no") if over else say("yes")
        unknown |= dict.fromkeys(total.unknown)
        rows.append(
            (
                month, made.id, made.name, term(row["title"]) if row else None, *known, limit, within,
                total.high * 1000, units.convert(total.high, "volume", "US_gal"),
                float(sum(point.count for point in total.unknown)),
            )
        )  # fmt: skip
    notes = (
        say("Volumes by formulation and month, as the last table says the rule asks for them."),
        say("Contents are those of the product as it was recorded: of thinned product look at them again."),
    )
    return DataTable(
        "coatings", say("Coatings by formulation and month"), _COATINGS, tuple(rows), notes, tuple(unknown)
    )


def _averages(accounts: Books, reference: Reference) -> DataTable:
    rows: list[tuple[Cell, ...]] = []
    for month in months(accounts.period):
        volumes: dict[int | None, float] = defaultdict(float)
        for (edition, _), total in accounts.volumes(month).items():
            volumes[edition] += total.high
        known = [(made, v) for e, v in volumes.items() if (made := as_it_was(accounts, e)) is not None]
        rows += [(month, *row) for row in coatings.averages(known, reference)]
    columns = (
        Column("month", say("Month")),
        Column("category", say("Category")),
        Column("products", say("Products")),
        Column("voc_average", say("VOC, average")),
        Column("hap_average", say("HAP, average")),
        Column("limit", say("Limit, each")),
    )
    return DataTable("averages", say("Average content by category and month"), columns, tuple(rows))


def _low_volume(used: list[_Used], reference: Reference) -> DataTable:
    """What the limits leave out for its small volume in a year: each formulation, and all of them together."""
    one, all_ = (reference.threshold(f"low-volume-coating{n}-per-year") for n in ("", "s-together"))
    sums: dict[str, list[Sum]] = defaultdict(list)
    names: dict[str, str] = {}
    for _, made, total in used:
        sums[made.id].append(total)
        names[made.id] = made.name
    rows: list[tuple[Cell, ...]] = []
    small = 0.0
    for id, totals in sorted(sums.items()):
        whole = add(totals)
        over = None if isinstance(one, Unknown) else bool(crossed(settled(whole.high), one.value, one.compare))
        small += 0.0 if over else whole.high
        low = None if over is None or (whole.unknown and not over) else say("no") if over else say("yes")
        rows.append((id, names[id], *_volumes(whole.high), low))
    together = None if isinstance(all_, Unknown) else bool(crossed(settled(small), all_.value, all_.compare))
    if rows:
        state = None if together is None else say("no") if together else say("yes")
        rows.append(("", say("all that are small, together"), *_volumes(small), state))
    columns = (
        Column("product", say("Product")),
        Column("name", say("Formulation")),
        Column("volume_l", say("Volume of the period, L")),
        Column("volume_gal", say("Volume of the period, US gal")),
        Column("low_volume", say("Within the low volume of a year")),
    )
    notes = (*bound(one), *bound(all_), say("Of a period that is no calendar year this tells nothing yet."))
    return DataTable("low_volume", say("Coatings of low volume"), columns, tuple(rows), notes)


def _volumes(cubic_metres: float) -> tuple[float, float]:
    return cubic_metres * 1000, units.convert(cubic_metres, "volume", "US_gal")


def _cleaning(accounts: Books, reference: Reference, shop: Shop) -> DataTable:
    rows: list[tuple[Cell, ...]] = []
    unknown: dict[OpenPoint, None] = {}
    for month, name, operation, total, pressure, by in operations(accounts, reference, shop):
        unknown |= dict.fromkeys(total.unknown)
        rows.append((month, name, operation, *_volumes(total.high), pressure, by))
    columns = (
        Column("month", say("Month")),
        Column("name", say("Cleaning solvent")),
        Column("operation", say("Operation")),
        Column("volume_l", say("Volume, L")),
        Column("volume_gal", say("Volume, US gal")),
        Column("vapour_pressure", say("Composite vapour pressure")),
        Column("route", say("Route")),
    )
    rules = reference.table("approved_composition")
    approved = [say("{text} ({rule})", text=term(row["text"]), rule=cited(row)) for row in rules]
    title = say("Cleaning solvents by operation and month")
    return DataTable("cleaning", title, columns, tuple(rows), tuple(approved), tuple(unknown))


def _asked(reference: Reference) -> DataTable:
    """The records that the rule asks for: a list to go through before a report is signed."""
    rows = tuple((term(r["text"]), r["period"], cited(r), "") for r in reference.table("solvent_record"))
    columns = (
        Column("record", say("Record that is asked for")),
        Column("each", say("Each")),
        Column("rule", say("Rule")),
        Column("there", say("There, looked at by"), say("to be filled in by hand")),
    )
    return DataTable("records_asked", say("Records the rule asks for"), columns, rows)
