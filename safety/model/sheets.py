"""What is said: figures, findings, and all there is to print."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Literal, TypeVar

from safety.model.books import Chained, Edition, Entry, Period
from safety.model.data import Pack, Substance, nothing
from safety.model.figures import Figure
from safety.model.hazards import ProductHazards
from safety.model.jobs import Job, Product, Shop
from safety.model.office import LogRole, OpenPoint
from safety.model.roles import Role
from safety.model.tables import Names, OwnKeys, TableSchema
from safety.model.timeline import Timeline
from safety.words import Message, Text, message, say

A_role = TypeVar("A_role", bound=Role)
Thing = TypeVar("Thing")
About = TypeVar("About", bound=Hashable)

Level = Literal["stop", "control", "note"]
#: What an unknown keeps from being judged: whether the work is safe, or only what is written down afterwards.
Gap = Literal["safety", "books"]
Topic = Literal["clock", "air", "fire", "hands", "eyes", "breathing", "skin", "waste", "solvent", "data"]

#: Hazard symbols of the Globally Harmonized System, by the codes of its annex 3.
Symbol = Literal["GHS01", "GHS02", "GHS03", "GHS04", "GHS05", "GHS06", "GHS07", "GHS08", "GHS09"]
Signal = Literal["danger", "warning", ""]

#: Topic -> its name, in the order of reading.
TITLES: dict[str, str] = {
    "hands": message("Hands"),
    "breathing": message("Breathing"),
    "eyes": message("Eyes"),
    "fire": message("Fire"),
    "air": message("Air"),
    "skin": message("Skin"),
    "waste": message("Waste"),
    "clock": message("Clock"),
    "solvent": message("Solvent"),
    "data": message("Data"),
}


#: A text about one step, with the step's name before it.
IN_STEP = "{step}: {text}"


def in_step(job: Job, step: int, text: str) -> str:
    """``text`` with the name of a step before it: ``of_step`` takes them apart again."""
    if isinstance(text, Text):
        return Text((in_step(job, step, text.parts[0]), *text.parts[1:]), text.apart)
    return say(IN_STEP, step=job.steps[step].name, text=text, number=step + 1)


def of_step(text: str) -> tuple[int, str]:
    """The number of the step that a text is about, from 1, and the text without its name; 0 where it is about none."""
    if isinstance(text, Text) and text.parts:
        number, first = of_step(text.parts[0])
        return number, Text((first, *text.parts[1:]), text.apart)
    if isinstance(text, Message) and text.template == IN_STEP:
        about, said = text.values["number"], text.values["text"]
        return (about, said) if isinstance(about, int) and isinstance(said, str) else (0, text)
    return 0, text


@dataclass(frozen=True, slots=True)
class Finding:
    """One judgement. ``stop`` means: do not start until this is changed.

    ``short`` is what stands in a step's box on the sheet (a few words); ``statement`` is the
    whole sentence. ``unknown`` says what could not be judged and why: it stamps the sheet
    INCOMPLETE, unless its ``gap`` is in the books alone. ``remedy`` is the change that would remove a stop or control.
    A ``control`` is what somebody must do; what is only to be known is a ``note``.
    """

    level: Level
    topic: str  # a Topic, or one that a plugin adds (``Contribution.topics``)
    statement: str
    short: str
    plugin: str
    step: int | None = None  # index into Job.steps; None = the whole job
    figures: tuple[Figure, ...] = ()
    rule: str = ""  # citation
    unknown: str = ""
    remedy: str = ""
    key: str = ""  # stable word by which this judgement is asked for
    #: What decided it and is in no figure: Limit, Threshold, Cited, Composition, a figure, a row of a pack, or another
    #: finding that it follows from.
    grounds: tuple[Any, ...] = ()
    gap: Gap = "safety"  # what ``unknown`` keeps from being judged
    close: Literal["", "over", "under"] = ""  # side it was put on where another seed could turn it; said by the core
    roles: tuple[Role, ...] = ()  # what it means to whoever does not read its words


def with_role(findings: Iterable[Finding], kind: type[A_role]) -> Iterator[tuple[Finding, A_role]]:
    """Every role of a kind, with the finding that carries it: by whichever plugin it was made."""
    return ((finding, role) for finding in findings for role in finding.roles if isinstance(role, kind))


def in_turn(things: Iterable[Thing], about: Callable[[Thing], About]) -> dict[tuple[About, int], Thing]:
    """Things by what each is about; of several about the same each in its turn, so that none stands for another."""
    met: Counter[About] = Counter()
    found = {}
    for thing in things:
        key = about(thing)
        found[key, met[key]] = thing
        met[key] += 1
    return found


@dataclass(frozen=True, slots=True)
class Signs:
    """The hazard symbols and the signal word that stand for the hazard statements of one thing."""

    of: str  # what was asked about: the id of a product or of a container
    symbols: tuple[Symbol, ...] = ()
    signal: Signal = ""
    statements: tuple[str, ...] = ()  # the sentences of its hazard statements, in the language being spoken
    precautions: tuple[str, ...] = ()  # and those of what to do about them


@dataclass(frozen=True, slots=True)
class Lines:
    """A titled list of sentences."""

    title: str
    lines: tuple[str, ...]
    key: str = ""
    unknown: tuple[str | OpenPoint, ...] = ()  # what is missing from it. In a log it stamps the log INCOMPLETE
    roles: tuple[LogRole, ...] = ()  # what it means to the office, where it is of a log
    at_work: tuple[str, ...] = ()  # what of it is needed with the hands in the work, where that is not all of it


@dataclass(frozen=True, slots=True)
class Grid:
    """A titled table of text."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    key: str = ""
    unknown: tuple[str | OpenPoint, ...] = ()  # as in Lines
    statements: tuple[str, ...] = ()  # hazard statements of what it is about: a label shows their symbols
    roles: tuple[LogRole, ...] = ()  # as in Lines


@dataclass(frozen=True, slots=True)
class Curve:
    name: str
    low: tuple[float, ...]  # p50
    high: tuple[float, ...]  # p95


@dataclass(frozen=True, slots=True)
class Chart:
    """Curves over the clock. ``times`` [s since the job's start]; values in ``unit``.

    A log has no clock: its curves have one value for each of ``labels``, months such as "2026-11".
    """

    title: str
    unit: str
    times: tuple[float, ...]
    curves: tuple[Curve, ...]
    levels: tuple[tuple[str, float], ...] = ()  # limits drawn across
    key: str = ""
    labels: tuple[str, ...] = ()


Block = Lines | Grid | Chart


@dataclass(frozen=True, slots=True)
class ReportKind:
    """A report that a plugin can make of a period."""

    name: str  # by which it is asked for: small letters and hyphens
    title: str
    says: str = ""  # one sentence: what it is for, and by which rule it is owed


@dataclass(frozen=True, slots=True)
class Contribution:
    """What a plugin adds, to the reference data and to what can be said."""

    substances: Mapping[str, Substance] = field(default_factory=nothing)
    packs: tuple[Pack, ...] = ()
    formulas: tuple[Any, ...] = ()  # safety.formulas.Formula, made with safety.formulas.described
    tables: tuple[TableSchema, ...] = ()  # of rules packs, that this plugin reads
    keys: tuple[OwnKeys, ...] = ()  # of a shop's files, that this plugin reads
    names: tuple[Names, ...] = ()  # that this plugin knows in keys of a shop's files
    topics: Mapping[str, str] = field(default_factory=nothing)  # word -> title; read after ours, in this order
    messages: Mapping[str, Mapping[str, str]] = field(default_factory=nothing)  # language -> English -> what is said
    reports: tuple[ReportKind, ...] = ()  # that this plugin makes


@dataclass(frozen=True, slots=True)
class Failure:
    """A plugin that did not answer."""

    plugin: str
    hook: str
    reason: str


@dataclass(frozen=True, slots=True)
class Asked:
    """What somebody gave for one sheet, in place of what the job's file says. None and "": as the file has it."""

    start: datetime | None = None
    air: str = ""
    as_of: date | None = None  # the day whose rules and lists hold


@dataclass(frozen=True, slots=True)
class Report:
    """All there is to print about one job."""

    job: Job
    timeline: Timeline
    exposure: Any  # safety.exposure.Exposure; Any keeps this module free of NumPy
    findings: tuple[Finding, ...]
    blocks: tuple[Block, ...]
    failures: tuple[Failure, ...]
    missing: tuple[str, ...]  # sentences: what is not known or was not assessed, and the work may not be safe for it
    packs: tuple[Pack, ...]
    sources: tuple[Any, ...]  # safety.cited.Source
    version: str
    seed: int
    draws: int
    own_data: tuple[str, ...] = ()  # files of the shop's own on substances in this job's air
    books: tuple[str, ...] = ()  # sentences: what is missing for the records alone
    hazards: tuple[ProductHazards, ...] = ()  # of the job's products
    signs: tuple[Signs, ...] = ()  # of the job's products; of one that is not here nobody says what it carries
    looked_up: tuple[Substance, ...] = ()  # of the products' parts: from plugins that were asked for a CAS number
    certifies: tuple[Mapping[str, Any], ...] = ()  # rows of packs: what the sheet is in law once it is signed
    asked: Asked = Asked()
    titles: Mapping[str, str] = field(default_factory=lambda: TITLES)  # of every topic, in the order of reading
    formulas: Mapping[str, Any] = field(default_factory=nothing)  # what plugins add to the catalogue, by name

    def hazards_of(self, product: Product) -> ProductHazards:
        """What a product can do; by its data sheet alone where nobody looked at its parts."""
        found = (one for one in self.hazards if one.product.id == product.id)
        return next(found, ProductHazards(product, product.hazards))

    @property
    def complete(self) -> bool:
        return not self.missing

    @property
    def stops(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if f.level == "stop")


@dataclass(frozen=True, slots=True)
class Filed:
    """A log of the same time that was kept as it was filed."""

    id: str
    at: datetime
    signed: tuple[str, ...]  # who, as what
    differs: tuple[str, ...] | None  # sentences: what is not as it was then; None where nobody compared


#: Records that a log prints unasked: a busy month of one person. More than these nobody reads on paper.
PRINTED = 500


@dataclass(frozen=True, slots=True)
class LogReport:
    """All there is to print about a period."""

    shop: Shop
    period: Period
    entries: tuple[Entry, ...]  # every record; of a log that is not ``whole`` those that say more than an amount
    count: int  # of the records, read or not
    recorded: tuple[int, ...]  # the product editions of the records
    editions: Mapping[int, Edition]
    begins: date | None  # the day of the earliest line of the ledger
    other_shops: tuple[str, ...]  # whose lines are in the same ledger and not in this log
    blocks: tuple[Block, ...]
    failures: tuple[Failure, ...]
    points: tuple[OpenPoint, ...]  # what keeps the totals from being whole, each once
    packs: tuple[Pack, ...]
    version: str
    chained: Chained | None = None
    filed: tuple[Filed, ...] = ()  # earlier ones of the same time, the newest first

    @property
    def whole(self) -> bool:
        """Whether each record was read: of a log of which only a summary is printed, it was not."""
        return len(self.entries) == self.count

    @property
    def missing(self) -> tuple[str, ...]:
        """Sentences: what keeps the totals from being whole."""
        return tuple(point.text for point in self.points)

    @property
    def complete(self) -> bool:
        return not self.points
