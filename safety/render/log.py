"""A log arranged for reading: every record a line, then the totals. Every form of the log sets this."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from safety import units
from safety.cited import Unknown
from safety.clock import month
from safety.model import (
    PRINTED,
    Basis,
    Block,
    Chained,
    Edition,
    Entry,
    Fate,
    Filed,
    Grid,
    Lines,
    LogReport,
    Pack,
    Period,
    SolventBasis,
)
from safety.render.arrange import squared
from safety.render.fixed import translation
from safety.render.office import Office, arrange_office
from safety.words import message, say, term


@dataclass(frozen=True, slots=True)
class Record:
    """One record in words and numbers. Numbers are text; UNKNOWN is a word, and "" means that there is none."""

    day: str
    time: str
    what: str
    thing: str
    lot: str
    typed: str
    kilograms: str
    litres: str
    pounds: str
    gallons: str
    density: str
    known: str
    job: str
    step: str
    operation: str
    container: str
    who: str
    remarks: str
    key: str


@dataclass(frozen=True, slots=True)
class Page:
    title: str
    office: Office
    shop: str
    facts: tuple[tuple[str, str], ...]
    missing: tuple[str, ...]
    records: tuple[Record, ...]
    blocks: tuple[Block, ...]  # what the plugins count, then corrections and products
    sign_off: tuple[str, tuple[str, ...]]
    small_print: str
    notice: str
    us: bool
    translated: str  # who answers for the language it is in; "" of an English one
    unprinted: int = 0  # records that are in the CSV and the JSON alone

    @property
    def lines(self) -> str:
        """Where the records are that are not printed; "" where all of them are."""
        if not self.unprinted:
            return ""
        return say(
            "{count} records are counted above and not printed. hazstep log --csv FILE writes each of them; --lines "
            "prints them.",
            count=self.unprinted,
        )

    @property
    def complete(self) -> bool:
        return not self.missing

    @property
    def result(self) -> str:
        if self.complete:
            return say("Everything recorded in this period is counted.")
        return say("INCOMPLETE: not everything is counted. The totals are at least what is shown.")


#: Field of a Record -> head of its column.
COLUMNS = {
    "day": message("Day"),
    "time": message("Time"),
    "what": message("What"),
    "thing": message("Product"),
    "lot": message("Lot"),
    "typed": message("As written down"),
    "kilograms": "kg",
    "litres": "L",
    "pounds": "lb",
    "gallons": "US gal",
    "density": "kg/L",
    "known": message("Known by"),
    "job": message("Job"),
    "step": message("Step"),
    "operation": message("Operation"),
    "container": message("Container"),
    "who": message("Who"),
    "remarks": message("Remarks"),
    "key": message("Key"),
}

_KINDS = {
    ("receive", ""): message("received"),
    ("open", ""): message("opened"),
    ("use", ""): message("used"),
    ("return", "to stock"): message("put back"),
    ("return", "to supplier"): message("sent back to the supplier"),
    ("waste", "from stock"): message("thrown away from stock"),
    ("waste", "from job"): message("waste of a job"),
    ("ship", ""): message("container collected"),
    ("weigh", "out"): message("weighed before the job"),
    ("weigh", "count"): message("counted"),
}


#: How an amount or the solvent in a waste is known, and what became of waste that was collected.
_KNOWN: dict[Basis | SolventBasis | Fate, str] = {
    "weighed": message("weighed"),
    "measured": message("measured"),
    "guessed": message("guessed"),
    "label": message("label"),
    "tare": message("tare"),
    "plan": message("plan"),
    "recovered": message("recovered"),
    "treated": message("treated"),
    "disposed": message("disposed"),
    "laundered": message("laundered"),
}


def heads() -> tuple[str, ...]:
    """The heads of the columns of the records, in the language being spoken."""
    return tuple(term(head) for head in COLUMNS.values())


def arrange(report: LogReport, every: bool = True) -> Page:
    """Put a log in reading order. Without ``every``, records that would fill a book are left to the files."""
    shop, all_of_them = report.shop, every or report.count <= PRINTED
    if all_of_them and not report.whole:
        raise ValueError("the records of this log were not read")
    begins = report.begins.isoformat() if report.begins else say("nothing is recorded yet")
    facts = [
        (say("Shop"), shop.name),
        (say("Period"), named(report.period)),
        (say("Records"), say("{count}", count=report.count)),
        (say("First record of all"), begins),
        (
            say("Rules"),
            "; ".join(say("{title}, {edition}", title=term(p.title), edition=p.edition) for p in report.packs),
        ),
    ]
    if report.chained:
        facts.append((say("Ledger"), _chained(report.chained)))
    facts += [(say("Filed before"), _filed(one)) for one in report.filed]
    if report.other_shops:
        facts.append((say("Not in this log"), say("records of {shops}", shops=", ".join(report.other_shops))))
    closing = (
        *map(_not_as_filed, report.filed),
        _corrections(report.entries),
        _anyway(report.entries),
        _products(report),
    )
    return Page(
        title=say("Solvent and waste log, {period}", period=named(report.period)),
        office=arrange_office(report, named(report.period)),
        shop=shop.name,
        facts=tuple(facts),
        missing=report.missing,
        records=tuple(_record(entry) for entry in report.entries) if all_of_them else (),
        blocks=(*map(squared, report.blocks), *(block for block in closing if block)),
        sign_off=(
            say("I have looked through this log. What is marked UNKNOWN or missing has been followed up."),
            (say("Name"), say("Role"), say("Signature"), say("Date")),
        ),
        small_print=say("hazstep {version}", version=report.version),
        notice=shop.notice,
        us=shop.print_units == "us",
        translated=say("{label}: {value}", label=say("Translation"), value=translation()) if translation() else "",
        unprinted=0 if all_of_them else report.count,
    )


def _pack(one: Pack) -> str:
    return say("{title}, {edition}", title=term(one.title), edition=one.edition)


def _filed(one: Filed) -> str:
    signed = say(", signed by {names}", names="; ".join(one.signed)) if one.signed else say(", signed by nobody")
    if one.differs is None:
        same = say("not held beside it: leave --language out for that")
    else:
        same = say("differences: {count}, below", count=len(one.differs)) if one.differs else say("nothing differs")
    return say("{id} of {day}{signed}; {same}", id=one.id[:12], day=f"{one.at:%Y-%m-%d}", signed=signed, same=same)


def _not_as_filed(one: Filed) -> Block | None:
    title = say("Not as it was filed on {day} ({id})", day=f"{one.at:%Y-%m-%d}", id=one.id[:12])
    return Lines(title, one.differs, "log-filed") if one.differs else None


def _chained(held: Chained) -> str:
    """One line on the ledger itself: its head, to be kept elsewhere, and whether it is as it was written."""
    if held.wrong:
        state = say("NOT AS IT WAS WRITTEN, places: {count}", count=len(held.wrong))
    elif held.all_of_it:
        state = say("every line is as it was written")
    else:
        state = say("the last lines are as they were written; hazstep verify looks at all")
    earlier = say(" (records of before were taken over then: {count})", count=held.earlier) if held.earlier else ""
    return say(
        "head {head}, line {line}; covered from {day}{earlier}; {state}",
        head=held.head,
        line=held.lines,
        day=held.covered[:10],
        earlier=earlier,
        state=state,
    )


def named(period: Period) -> str:
    """A period in words: "November 2026", "2026", "2025-12 to 2026-11"."""
    if period.first == period.last:
        return month(date.fromisoformat(f"{period.first}-01"))
    if period.first[:4] == period.last[:4] and (period.first[5:], period.last[5:]) == ("01", "12"):
        return period.first[:4]
    return say("{first} to {last}", first=period.first, last=period.last)


def _record(entry: Entry) -> Record:
    moved = entry.kind != "open"
    return Record(
        day=entry.day.isoformat(),
        time=entry.happened.strftime("%H:%M") if entry.happened else "",
        what=term(_KINDS.get((entry.kind, entry.way), entry.kind)),
        thing=entry.name or (say("mixed waste") if entry.kind in ("waste", "ship") else entry.product),
        lot=entry.lot,
        typed=entry.typed,
        kilograms=_number(entry.mass, "mass", "kg", moved),
        litres=_number(entry.volume, "volume", "L", moved),
        pounds=_number(entry.mass, "mass", "lb", moved),
        gallons=_number(entry.volume, "volume", "US_gal", moved),
        density=_number(entry.density, "density", "kg/L", moved),
        known=term(_KNOWN.get(entry.basis, entry.basis)),
        job=entry.job,
        step=entry.step,
        operation=entry.operation,
        container=entry.container,
        who=entry.who,
        remarks="; ".join(_remarks(entry)),
        key=entry.key,
    )


def _number(value: float | Unknown, kind: str, unit: str, moved: bool) -> str:
    if isinstance(value, Unknown):
        return say("UNKNOWN") if moved else ""
    return units.significant(units.convert(value, kind, unit), 4)


def _remarks(entry: Entry) -> list[str]:
    texts = []
    if entry.reverses:
        texts.append(say("takes back {key}", key=entry.reverses))
    if entry.reversed_by:
        texts.append(say("taken back by {key}", key=entry.reversed_by))
    if entry.replaces:
        texts.append(say("stands in for {key}", key=entry.replaces))
    if entry.expires:
        texts.append(say("expires {day}", day=entry.expires))
    if entry.receiver:
        texts.append(say("to {receiver}", receiver=entry.receiver))
    if entry.manifest:
        texts.append(say("manifest {number}", number=entry.manifest))
    if not isinstance(entry.solvent_high, Unknown) and entry.solvent_basis:
        much = units.significant(entry.solvent_high, 4)
        texts.append(say("{kg} kg of it solvent ({basis})", kg=much, basis=term(_KNOWN[entry.solvent_basis])))
    texts += [term(_KNOWN[entry.fate])] if entry.fate else []
    texts += [say("the container stays with the rest")] if entry.stays else []
    if entry.against:
        texts.append(say("against: {against}; anyway: {reason}", against=entry.against, reason=entry.anyway))
    if not isinstance(entry.area, Unknown):
        texts.append(say("{area} m2 treated", area=units.significant(entry.area)))
    return [*texts, *([entry.note] if entry.note else [])]


def _corrections(entries: tuple[Entry, ...]) -> Block:
    """Each reversal with its reason, the day it was made, and what stands in its place, be it in another month."""
    lines = {entry.key: entry for entry in entries}
    texts = [
        say(
            "{day}, {what}, {typed}, key {key}: taken back by {who} on {made} ({why}); {instead}.",
            day=entry.day.isoformat(),
            what=entry.name or entry.container,
            typed=entry.typed,
            key=entry.reverses,
            who=entry.who,
            made=entry.recorded.date().isoformat(),
            why=entry.note,
            instead=_instead(lines[entry.reverses], lines),
        )
        for entry in entries
        if entry.reverses
    ]
    return Lines(
        say("Corrections"), tuple(texts) or (say("No record of this period was corrected."),), "log-corrections"
    )


def _instead(old: Entry, lines: Mapping[str, Entry]) -> str:
    """What stands in the place of a line that was taken back, as far as it is not the same."""
    if not old.replaced_by or old.replaced_on is None:
        return say("nothing stands in its place")
    new = lines.get(old.replaced_by)
    if new is None:
        day = old.replaced_on.isoformat()
        return say("now under {day}, in the log of that month, key {key}", day=day, key=old.replaced_by)
    what = [new.day.isoformat()] if new.day != old.day else []
    what += [new.name or new.container] if (new.product, new.container) != (old.product, old.container) else []
    return say("now {what}, key {key}", what=", ".join([*what, new.typed]), key=new.key)


def _anyway(entries: tuple[Entry, ...]) -> Block | None:
    texts = [
        say(
            "{day}, {what}, {who}: against: {against}. The reason given: {reason}.",
            day=entry.day.isoformat(),
            what=entry.name or entry.container,
            who=entry.who,
            against=entry.against,
            reason=entry.anyway,
        )
        for entry in entries
        if entry.against and not entry.reverses and not entry.reversed_by
    ]
    return Lines(say("Done on purpose against a warning"), tuple(texts), "log-anyway") if texts else None


def _products(report: LogReport) -> Block | None:
    """The products of the period as their files described them when they were recorded."""
    if not report.recorded:
        return None
    rows = tuple(_product(report.editions[number]) for number in report.recorded)
    columns = (
        say("Product"),
        say("Role"),
        say("Density"),
        say("VOC the maker states"),
        say("Data sheet of"),
        say("Parts by weight"),
    )
    return Grid(say("Products as recorded"), columns, rows, "log-products")


def _product(edition: Edition) -> tuple[str, ...]:
    parts = "; ".join(
        say(
            "{name}{cas} {low:.3g} to {high:.3g} %",
            name=part.name,
            cas=say(" ({cas})", cas=part.cas) if part.cas and part.cas != part.name else "",
            low=100 * part.low,
            high=100 * part.high,
        )
        for part in edition.parts
    )

    def shown(value: float | Unknown, unit: str) -> str:
        return say("UNKNOWN") if isinstance(value, Unknown) else units.show(value, "density", unit)

    day = say("UNKNOWN") if isinstance(edition.sds_revised, Unknown) else edition.sds_revised.isoformat()
    return edition.name, edition.role, shown(edition.density, "kg/L"), shown(edition.voc, "g/L"), day, parts
