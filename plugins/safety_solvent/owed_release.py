"""Inputs to the toxic release inventory: every chemical that is listed, or of which nobody knows."""

from __future__ import annotations

from safety.cited import Unknown
from safety.model import Cell, Column, DataTable, OpenPoint, Threshold
from safety.reference import Reference, crossed, settled
from safety.units import convert
from safety.words import say
from safety_solvent import books, credit
from safety_solvent.accounts import Books, Sum
from safety_solvent.books import Kind, sorted_as


def chemicals(accounts: Books, kind: Kind) -> dict[str, tuple[str, bool]]:
    """CAS number or group -> name, and whether it is known to be of the kind; what is known to be none is left out."""
    found: dict[str, tuple[str, bool]] = {}
    for part in accounts.parts(accounts.period):
        answer = sorted_as(part, kind)
        if part.cas and answer is not False:
            group = kind.groups.get(part.cas)
            known = found.get(group or part.cas, ("", True))[1] and answer is not None
            found[group or part.cas] = (group or part.name, known)
    return dict(sorted(found.items(), key=lambda one: one[1][0]))


def tables(accounts: Books, reference: Reference) -> list[DataTable]:
    kind = books.inventory(reference)
    title = say("Toxic chemicals, each by itself")
    if kind is None:
        text = say("No rules pack of this shop holds the list of the release inventory.")
        return [DataTable("chemicals", title, _COLUMNS, (), (), (OpenPoint(text, "files", "no list"),))]
    used = reference.threshold("toxic-release-otherwise-used-per-year")
    processed = reference.threshold("toxic-release-processed-per-year")
    rows: list[tuple[Cell, ...]] = []
    unknown: dict[OpenPoint, None] = {}
    for of, (name, listed) in chemicals(accounts, kind).items():
        one = books.one_of(kind, of)
        whole = accounts.kind(accounts.period, one)
        air = accounts.kind(accounts.period, one, off=True)
        waste = sum(credit.by_product(accounts.waste, accounts.period, one, accounts.editions).values())
        unknown |= dict.fromkeys(whole.unknown)
        rows.append(
            (
                of, name, say("yes") if listed else None, whole.low, whole.high, convert(whole.high, "mass", "lb"),
                air.high, waste, _reached(whole, used), _reached(whole, processed),
            )
        )  # fmt: skip
    notes = (
        *books.bound(used),
        *books.bound(processed),
        say("What was used counts as otherwise used. What stays in the work, such as a pigment, may be processed."),
        say("Which threshold holds is for the facility to say."),
        say("To the air: what was used, less what is known to have left in collected waste."),
    )
    return [DataTable("chemicals", title, _COLUMNS, tuple(rows), notes, tuple(unknown))]


def _reached(whole: Sum, limit: Threshold | Unknown) -> str | None:
    """Whether a threshold is passed: yes, no, or not known."""
    if isinstance(limit, Unknown):
        return None
    if crossed(settled(whole.high), limit.value, limit.compare):
        return say("yes") if crossed(settled(whole.low), limit.value, limit.compare) else say("may be")
    return None if whole.unknown else say("no")


_COLUMNS = (
    Column("chemical", say("CAS number or group")),
    Column("name", say("Name")),
    Column("listed", say("Listed"), say("empty where no loaded rule says it")),
    Column("used_at_least_kg", say("Used at least, kg"), say("by the lower ends of the data sheets")),
    Column("used_at_most_kg", say("Used at most, kg"), say("by their upper ends")),
    Column("used_at_most_lb", say("Used at most, lb")),
    Column("air_at_most_kg", say("To the air at most, kg")),
    Column("waste_at_least_kg", say("In collected waste at least, kg")),
    Column("over_otherwise_used", say("Over the threshold for otherwise used")),
    Column("over_processed", say("Over the threshold for processed")),
)
