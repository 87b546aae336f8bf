"""The records everybody shares: shops, jobs, substances, findings and what a sheet holds.

All numbers are SI base units (K, Pa, kg, m, s, mol and products of them). A quantity that
the job file gives as two numbers is a :class:`Range`, read as 5th and 95th percentile.
Records are frozen: a plugin gets them, and hands back new ones.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from types import MappingProxyType
from typing import Any, Literal, Protocol

from safety.cited import Cited, Unknown

NOTHING: Mapping[str, Any] = MappingProxyType({})


def _nothing() -> Mapping[str, Any]:
    return NOTHING


# ---------------------------------------------------------------- what a shop writes down


@dataclass(frozen=True, slots=True)
class Range:
    """A quantity between its 5th and 95th percentile; ``low == high`` means one number was given."""

    low: float
    high: float
    written: str = ""  # as the file has it; empty for our own defaults
    basis: str = ""  # where a default comes from; empty where the shop gave it

    @property
    def exact(self) -> bool:
        return self.low == self.high


@dataclass(frozen=True, slots=True)
class Part:
    """A component of a product. No ``cas`` and volatile means the maker does not say what it is."""

    name: str
    cas: str  # "" where not disclosed or where it is a named non-volatile
    low: float  # weight fraction, lower bound the data sheet gives
    high: float  # weight fraction, upper bound
    volatile: bool = True  # False: resin, pigment, filler that stays in the film

    @property
    def disclosed(self) -> bool:
        return bool(self.cas) or not self.volatile


@dataclass(frozen=True, slots=True)
class Application:
    """How a product is put on in coats, and the times its maker sets."""

    coats: Mapping[str, int] = field(default_factory=dict)  # surface -> number of coats
    dry_between: float = 0.0  # s
    dry_final: float = 0.0  # s
    start_within: float | None = None  # s after the last coat: the next step must have begun
    recoat_within: float | None = None  # s after the last coat: one more coat still mends it
    stand_at_least: float = 0.0  # s it must stand before it is lifted or scraped
    coverage: Range | None = None  # kg/m2 for one coat


@dataclass(frozen=True, slots=True)
class Product:
    """What is in the can, as its safety data sheet says."""

    id: str
    name: str
    role: str
    parts: tuple[Part, ...]
    density: float | Unknown  # kg/m3
    flash_point: float | Unknown  # K, of the product as sold
    boiling_point: float | Unknown  # K, initial boiling point
    hazards: tuple[str, ...] | Unknown  # H-codes; () means the sheet says "not classified"
    sds_revised: date | Unknown
    application: Application | None = None
    voc: float | Unknown = Unknown("the product file gives no VOC content")  # kg/m3: accounting only
    file: str = ""
    coating: str = ""  # category of a coating in the words of a rules pack; "" = no coating, or its role says it


@dataclass(frozen=True, slots=True)
class AirState:
    """The air of a place in one state it is really in, such as "doors shut"."""

    state: str
    air_changes: Range  # 1/s
    air_speed: Range  # m/s over the work
    basis: str
    capture: Range = Range(0.0, 0.0)  # share of the vapour a hood takes before it mixes


PlaceKind = Literal["hangar", "room", "booth", "enclosed", "outdoor"]


@dataclass(frozen=True, slots=True)
class Place:
    """Somewhere work is done."""

    id: str
    kind: PlaceKind
    volume: float | Unknown  # m3; an outdoor place has none
    temperature: Range  # K
    airs: tuple[AirState, ...]
    near_radius: Range  # m, of the near field around the hands
    humidity: float | None = None  # relative, 0 to 1
    ignition_sources: tuple[str, ...] = ()  # that are always here or next door: heater, pilot light
    name: str = ""

    def air(self, state: str) -> AirState:
        return next(a for a in self.airs if a.state == state)


@dataclass(frozen=True, slots=True)
class Breakthrough:
    """The maker's own figure for one glove against one substance."""

    cas: str
    time: float  # s
    standard: str  # "EN 16523-1", "ASTM F739"
    temperature: float  # K


@dataclass(frozen=True, slots=True)
class Glove:
    id: str
    material: str
    thickness: float  # m
    breakthrough: tuple[Breakthrough, ...] = ()
    name: str = ""
    disposable: bool = False


@dataclass(frozen=True, slots=True)
class Respirator:
    id: str
    kind: str  # "air-purifying", "powered air-purifying", "supplied air", "self-contained"
    facepiece: str  # "half mask", "full facepiece", "hood", "loose-fitting"
    cartridge: str = ""  # "organic vapour", ...; "" for supplied air
    mode: str = ""  # "demand", "continuous flow", "pressure demand"
    name: str = ""
    cartridge_limit: float | None = None  # mole fraction in air the maker allows the cartridge for
    sorbent_mass: float | None = None  # kg of carbon in all cartridges worn together
    bed_depth: float | None = None  # m


@dataclass(frozen=True, slots=True)
class Eyewear:
    id: str
    kind: str  # "spectacles", "splash goggles", "face shield"
    name: str = ""


@dataclass(frozen=True, slots=True)
class Container:
    """A waste container on the floor."""

    id: str
    stream: str
    size: float  # m3
    kind: Literal["satellite", "central"]
    started: date | None = None  # the day, or day and time, the first waste went in
    accepts: tuple[str, ...] = ()  # forms of waste, such as "wet-cloths"; () = by the words of its stream
    contents: str = ""  # what its label says is in it; "" = the stream
    area: str = ""  # satellite containers of one area count together


@dataclass(frozen=True, slots=True)
class Answer:
    """What a person of the shop decided where a rule is not plain, once and for all jobs."""

    question: str  # id of the question in a rules pack
    answer: Literal["yes", "no"]
    name: str  # who decided
    date: date
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Permit:
    """A cap the shop's own permit or a local rule sets."""

    name: str
    value: float  # kg, or m3
    unit: Literal["kg", "m3"]
    written: str
    per: Literal["month", "year", "rolling 12 months"]
    of: str  # "VOC", "HAP", a CAS number, or a product id
    citation: str
    compare: Compare = "over"


@dataclass(frozen=True, slots=True)
class Shop:
    name: str
    print_units: Literal["us", "si"]
    places: Mapping[str, Place]
    products: Mapping[str, Product]
    gloves: tuple[Glove, ...] = ()
    respirators: tuple[Respirator, ...] = ()
    eyewear: tuple[Eyewear, ...] = ()
    containers: tuple[Container, ...] = ()
    rules: tuple[str, ...] = ()  # pack names or paths, as written
    expects: tuple[str, ...] | None = None  # plugins that must answer; None = the built-in ones
    plugin_files: tuple[str, ...] = ()  # plugins the shop lists by path
    ledger: str = ""
    notice: str = ""  # printed on every page, for example "names and products are invented"
    file: str = ""
    settings: Mapping[str, Any] = field(default_factory=_nothing)  # [settings]: numbers a plugin lets the shop tighten
    answers: tuple[Answer, ...] = ()
    permits: tuple[Permit, ...] = ()


Work = Literal["wipe", "brush", "soak", "gel", "spray", "pour", "open"]


@dataclass(frozen=True, slots=True)
class Use:
    """One product used in one step. Amounts of a coated product are for one coat."""

    product: Product
    work: Work
    mass: Range | Unknown  # kg
    written: str  # the amount as the file has it
    area: float | Unknown  # m2: wetted surface, or the opening for "open"
    kept: Range = Range(0.0, 0.0)  # share that stays in cloth, brush or scrapings and goes to waste
    lifted_by: str = ""  # name of the step at whose end a soak or gel is gone


@dataclass(frozen=True, slots=True)
class Leftover:
    """Something wet left lying about, giving off vapour until it is taken away."""

    what: str
    product: Product
    mass: Range | Unknown  # kg of product in it
    written: str
    area: float | Unknown  # m2
    taken_away: str  # name of the step at whose end it goes; "" = it stays
    near: bool = True  # lies beside the worker


@dataclass(frozen=True, slots=True)
class Step:
    name: str
    duration: float  # s hands-on; for a coated product, of one coat
    people: Literal["near", "far", "away"]
    place: Place
    air: AirState
    uses: tuple[Use, ...] = ()
    leaves_wet: tuple[Leftover, ...] = ()
    ignition_sources: tuple[str, ...] = ()
    length: float | None = None  # m, of the part the hands travel along
    structure_holds: str = ""  # CAS of the liquid the structure beneath holds, or "unknown"
    surface_temperature: Range | None = None  # K, where it differs from the air
    overhead: bool = False
    joins: str = ""  # product id whose window this step must meet
    contact: str = ""  # "none", "splash", "wet cloth", "immersion"; "" = by the way of working
    operation: str = ""  # what the work is in a rule's words, such as "before-bonding"; "" = nobody said

    @property
    def wet_things(self) -> tuple[Use | Leftover, ...]:
        """What is used and what is left lying wet."""
        return (*self.uses, *self.leaves_wet)


@dataclass(frozen=True, slots=True)
class Carried:
    """Stock carried into the place, whether or not the plan uses it."""

    product: Product
    mass: Range | Unknown
    written: str


@dataclass(frozen=True, slots=True)
class Measurement:
    """One result of a badge, tube or meter, taken while a job of this kind was done."""

    cas: str
    value: float  # share of the air (unit "ppm") or kg/m3 (unit "mg/m3"); the detection limit where nothing was found
    unit: Literal["ppm", "mg/m3"]
    written: str
    kind: Literal["badge", "tube", "meter"]
    duration: float  # s it was worn or drawn
    date: date
    steps: tuple[str, ...] = ()  # names of the steps it covers; () = the whole shift
    position: Literal["worker", "far"] = "worker"
    air: str = ""  # state of the air it was taken in; "" = not said
    method: str = ""
    below_detection: bool = False


@dataclass(frozen=True, slots=True)
class Job:
    id: str
    title: str
    shop: Shop
    place: Place
    start: datetime
    crew: int
    surface: str
    steps: tuple[Step, ...]
    carried: tuple[Carried, ...] = ()
    shift: float = 28800.0  # s
    afterwards: Literal["far", "away"] = "far"  # where the worker is for the rest of the shift
    unit: str = ""  # the vehicle, vessel, press or object worked on
    file: str = ""
    measurements: tuple[Measurement, ...] = ()

    @property
    def products(self) -> tuple[Product, ...]:
        """Every product of the job once, in order of first use."""
        seen: dict[str, Product] = {}
        for step in self.steps:
            for thing in step.wet_things:
                seen.setdefault(thing.product.id, thing.product)
        for carried in self.carried:
            seen.setdefault(carried.product.id, carried.product)
        return tuple(seen.values())


@dataclass(frozen=True, slots=True)
class Given:
    """A value a file of the shop gives, and the place in it: what a person can go and look at."""

    file: str  # seen from the shop's folder
    path: tuple[str | int, ...]  # ("place", 0, "air", 1, "air_changes")
    text: str


# ---------------------------------------------------------------- the clock


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of the clock in which one thing happens."""

    step: int  # index into Job.steps
    kind: Literal["work", "coat", "dry", "stand"]
    start: float  # s since the job's start
    end: float
    label: str
    coat: int = 0  # 1, 2, 3 ... for kind "coat"


@dataclass(frozen=True, slots=True)
class Window:
    """A time limit a product sets, on this job's clock [s since the job's start]."""

    product: Product
    step: int  # the step that put the product on
    joins: int | None  # the step that must begin inside the window
    last_coat: float  # when the last coat ended
    opens: float  # earliest begin of the joining step
    closes: float | None  # latest begin
    recoat_until: float | None  # until then one more coat mends a missed window
    extra_coat: Range | Unknown  # kg more of the product for one more coat
    redo: Range | Unknown  # kg more of the product for starting again


@dataclass(frozen=True, slots=True)
class Timeline:
    segments: tuple[Segment, ...]
    windows: tuple[Window, ...]
    end: float  # s

    def of_step(self, step: int) -> tuple[Segment, ...]:
        return tuple(s for s in self.segments if s.step == step)

    def span(self, step: int) -> tuple[float, float]:
        """Start and end of a step with all its coats and waits [s]."""
        own = self.of_step(step)
        return own[0].start, own[-1].end


# ---------------------------------------------------------------- reference data


@dataclass(frozen=True, slots=True)
class Substance:
    """What the loaded data say of one substance; several values a property, the one to use first.

    Property names and SI units: molar_mass kg/mol, density kg/m3 (liquid), boiling_point K,
    vapour_pressure Pa (condition temperature K), flash_point K, lower_explosive_limit and
    upper_explosive_limit as mole fractions, autoignition K, log_kow 1, conductivity S/m,
    heat_of_vaporisation J/mol, heat_of_combustion J/mol, water_solubility kg/m3,
    refractive_index 1, antoine_a 1, antoine_b K, antoine_c K (log10 P/Pa = A - B/(T + C);
    conditions low and high K on antoine_a).
    """

    cas: str
    names: tuple[str, ...]
    properties: Mapping[str, tuple[Cited, ...]]
    hazards: tuple[str, ...] | Unknown = Unknown("no harmonised classification is loaded")
    notes: Mapping[str, str] = field(default_factory=_nothing)
    origin: str = ""  # file or plugin

    @property
    def name(self) -> str:
        return self.names[0]

    def best(self, name: str) -> Cited | Unknown:
        """The value of a property to use, or why there is none."""
        values = self.properties.get(name, ())
        return values[0] if values else Unknown(f"no {name.replace('_', ' ')} of {self.names[0]} is loaded")


LimitKind = Literal["twa", "short-term", "ceiling", "peak", "idlh"]
Compare = Literal["over", "at or over", "under", "at or under"]


@dataclass(frozen=True, slots=True)
class Limit:
    """One exposure limit as a dated record of a rules pack."""

    cas: str
    list: str  # "OSHA PEL", "NIOSH REL", "EU indicative OELV"
    kind: LimitKind
    value: float  # mole fraction in air (unit "ppm") or kg/m3 (unit "mg/m3")
    unit: Literal["ppm", "mg/m3"]
    written: str
    averaging: float  # s; 0 = never to be exceeded
    compare: Compare
    citation: str
    edition: str
    jurisdiction: str
    pack: str
    reference_temperature: float = 298.15  # K at which the list turns ppm into mg/m3
    unverified: str = ""
    peak_duration: float | None = None  # s, for kind "peak"
    peak_window: float | None = None  # s
    skin: bool = False
    remark: str = ""
    valid_from: date | None = None  # first day in force; None = always was
    valid_until: date | None = None  # last day in force; None = no end is set


@dataclass(frozen=True, slots=True)
class Threshold:
    """A number a rule or a standard sets, by name."""

    name: str
    value: float
    unit: str
    compare: Compare
    written: str
    citation: str
    edition: str
    jurisdiction: str
    pack: str
    averaging: float | None = None
    unverified: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class Pack:
    """A rules pack: limits, thresholds, and tables whose meaning a plugin knows."""

    id: str
    title: str
    jurisdiction: str
    edition: str
    limits: tuple[Limit, ...] = ()
    thresholds: tuple[Threshold, ...] = ()
    tables: Mapping[str, tuple[Mapping[str, Any], ...]] = field(default_factory=_nothing)
    file: str = ""
    replaces: bool = False  # its records stand in for same-named ones of earlier packs, even looser ones


# ---------------------------------------------------------------- what is said


@dataclass(frozen=True, slots=True)
class Figure:
    """A number on a sheet, with what it was made from. ``value`` is in ``unit``."""

    name: str
    value: float
    unit: str
    formula: str = ""  # a name in the formula catalogue, or "" for a datum
    inputs: tuple[tuple[str, Any], ...] = ()  # label -> Figure, Cited, Limit, Threshold, Range or text
    p50: float | None = None  # where the value is a 95th percentile
    note: str = ""


Level = Literal["stop", "control", "note"]
Topic = Literal["clock", "air", "fire", "hands", "eyes", "breathing", "skin", "waste", "solvent", "data"]


@dataclass(frozen=True, slots=True)
class Finding:
    """One judgement. ``stop`` means: do not start until this is changed.

    ``short`` is what stands in a step's box on the sheet (a few words); ``statement`` is the
    whole sentence. ``unknown`` says what could not be judged and why: it stamps the sheet
    INCOMPLETE. ``remedy`` is the change that would remove a stop or control.
    """

    level: Level
    topic: Topic
    statement: str
    short: str
    plugin: str
    step: int | None = None  # index into Job.steps; None = the whole job
    figures: tuple[Figure, ...] = ()
    rule: str = ""  # citation
    unknown: str = ""
    remedy: str = ""
    key: str = ""  # stable word by which this judgement is asked for


@dataclass(frozen=True, slots=True)
class Lines:
    """A titled list of sentences."""

    title: str
    lines: tuple[str, ...]
    key: str = ""
    unknown: tuple[str, ...] = ()  # sentences: what is missing from it. In a log they stamp the log INCOMPLETE


@dataclass(frozen=True, slots=True)
class Grid:
    """A titled table of text."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    key: str = ""
    unknown: tuple[str, ...] = ()  # as in Lines


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
class Contribution:
    """What a plugin adds to the reference data."""

    substances: Mapping[str, Substance] = field(default_factory=_nothing)
    packs: tuple[Pack, ...] = ()
    formulas: tuple[Any, ...] = ()


@dataclass(frozen=True, slots=True)
class Failure:
    """A plugin that did not answer."""

    plugin: str
    hook: str
    reason: str


@dataclass(frozen=True, slots=True)
class Report:
    """All there is to print about one job."""

    job: Job
    timeline: Timeline
    exposure: Any  # safety.exposure.Exposure; Any keeps this module free of NumPy
    findings: tuple[Finding, ...]
    blocks: tuple[Block, ...]
    failures: tuple[Failure, ...]
    missing: tuple[str, ...]  # sentences: what is not known or was not assessed
    packs: tuple[Pack, ...]
    sources: tuple[Any, ...]  # safety.cited.Source
    version: str
    seed: int
    draws: int

    @property
    def complete(self) -> bool:
        return not self.missing

    @property
    def stops(self) -> tuple[Finding, ...]:
        return tuple(f for f in self.findings if f.level == "stop")


# ---------------------------------------------------------------- what really happened: the ledger's records

EntryKind = Literal["receive", "open", "use", "return", "waste", "ship", "weigh"]
Basis = Literal["weighed", "measured", "guessed", "label", ""]
Counted = Literal["received", "used", "returned", "wasted"]


@dataclass(frozen=True, slots=True)
class Period:
    """Whole calendar months, the first and the last included, written "2026-11"."""

    first: str
    last: str


@dataclass(frozen=True, slots=True)
class Edition:
    """A product as its file described it when something was recorded. Later edits make a new one."""

    id: int
    product: str  # Product.id
    name: str
    role: str
    density: float | Unknown  # kg/m3
    voc: float | Unknown  # kg/m3: accounting only
    sds_revised: date | Unknown
    parts: tuple[Part, ...]


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the ledger. A reversal repeats the line it takes back with negative amounts."""

    number: int  # rising in the order of recording
    key: str
    kind: EntryKind
    day: date  # by the clock on the shop's wall
    happened: datetime | None  # with the zone offset of that day; None where only the day was given
    recorded: datetime  # UTC
    shop: str
    who: str
    product: str  # Product.id; "" for mixed waste
    name: str  # of the product at that time
    edition: int | None  # Edition.id
    lot: str
    job: str
    step: str
    operation: str  # what the product was used for, in the shop's words: "hand-wipe", "gun cleaning"
    way: str  # "to stock" or "to supplier" for return; "from stock" or "from job" for waste; "out" or "count" for weigh
    container: str
    mass: float | Unknown  # kg
    volume: float | Unknown  # m3
    density: float | Unknown  # kg/m3, that turned the one into the other
    typed: str  # the amount as it was entered
    basis: Basis  # how the amount is known
    area: float | Unknown  # m2 treated
    expires: str  # "2027-01-31", "none" or "unknown" as given on this line; "" where the line gives none
    receiver: str
    manifest: str
    note: str
    anyway: str  # the reason a person gave for going on against ``against``
    against: str  # what spoke against it: "lot 7 expired on 2026-10-31"
    reverses: str = ""  # key of the line this one takes back
    replaces: str = ""  # key of the line this one stands in for
    reversed_by: str = ""  # key of the line that takes this one back


@dataclass(frozen=True, slots=True)
class Lot:
    """A lot and what the records say is left of it."""

    product: str
    name: str
    lot: str
    expires: date | Unknown | None  # the earlier of the label's date and the date set at opening; None = no date is set
    opened: date | None
    mass: float | Unknown  # kg left; below zero where a receipt is missing
    volume: float | Unknown  # m3 left
    counted: float | Unknown  # kg at the last count
    counted_on: date | None = None


@dataclass(frozen=True, slots=True)
class Flow:
    """Lines alike in all of these, added up. Reversals are taken off."""

    month: str
    kind: EntryKind
    way: str
    product: str
    edition: int | None
    operation: str
    basis: Basis
    mass: float  # kg, of the lines whose mass is known
    volume: float  # m3, of the lines whose volume is known
    entries: int
    mass_unknown: int  # lines that are not in ``mass``
    volume_unknown: int


@dataclass(frozen=True, slots=True)
class ProductTotal:
    """What was used (or received, returned, wasted) of one product from month ``first`` to month ``last``.

    Used means taken out less what was put back. ``mass`` and ``volume`` leave out the lines counted as unknown.
    """

    first: str
    last: str
    product: str
    name: str
    mass: float  # kg
    volume: float  # m3
    by_basis: tuple[tuple[Basis, float], ...]  # kg that was weighed, measured, guessed, on the label
    entries: int
    mass_unknown: int
    volume_unknown: int

    @property
    def complete(self) -> bool:
        return not self.mass_unknown


@dataclass(frozen=True, slots=True)
class SubstanceTotal:
    """The same of one substance, through the weight ranges of the data sheets of the time."""

    first: str
    last: str
    cas: str  # "" for what the makers do not disclose
    name: str
    low: float  # kg, every product at the lower end of its range
    mid: float  # kg, at the middle
    high: float  # kg
    products: tuple[str, ...]
    unknown: tuple[str, ...]  # sentences: what is not in the three figures


@dataclass(frozen=True, slots=True)
class Balance:
    """Mass balance of one product over a period [kg]. Lines of unknown mass are in no figure but in ``unknown``."""

    product: str  # "" for mixed waste
    name: str
    opening: float
    received: float
    used: float  # taken out less put back
    returned: float  # to the supplier
    waste_from_stock: float
    waste_from_jobs: float
    closing: float  # by the records
    counted: float | Unknown  # by the last count of each lot, up to the end of the period
    unknown: tuple[str, ...]

    @property
    def lost(self) -> float:
        """Received - on hand - returned - waste, with what was there at the start: gone into air or work."""
        gone = self.opening + self.received - self.closing - self.returned
        return gone - self.waste_from_stock - self.waste_from_jobs


class LedgerView(Protocol):
    """The ledger as plugins see it: it only tells. Every figure has corrections worked in.

    Months run by the day a thing happened. ``span`` is how many months each total reaches back:
    1 gives months, 12 the rolling year that ends with each month of the period.
    """

    @property
    def begins(self) -> date | None:
        """The day of the earliest line; None for an empty ledger."""

    @property
    def shops(self) -> tuple[str, ...]:
        """The shops whose lines are counted."""

    def entries(self, period: Period, kind: EntryKind | None = None) -> tuple[Entry, ...]:
        """All lines in order of day, with those taken back and their reversals."""

    def editions(self) -> Mapping[int, Edition]:
        """Products as they were, by Edition.id."""

    def flows(self, period: Period) -> tuple[Flow, ...]:
        """Sums by month, kind, product edition, operation and basis."""

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        """Totals by product, ordered by last month and product."""

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        """Totals by substance, ordered by last month and CAS number."""

    def balance(self, period: Period) -> tuple[Balance, ...]:
        """Mass balance of each product that has lines."""

    def lots(self) -> tuple[Lot, ...]:
        """Every lot that has lines, as of the last record."""


@dataclass(frozen=True, slots=True)
class LogReport:
    """All there is to print about a period."""

    shop: Shop
    period: Period
    entries: tuple[Entry, ...]
    editions: Mapping[int, Edition]
    begins: date | None  # the day of the earliest line of the ledger
    other_shops: tuple[str, ...]  # whose lines are in the same ledger and not in this log
    blocks: tuple[Block, ...]
    failures: tuple[Failure, ...]
    missing: tuple[str, ...]  # sentences: what keeps the totals from being whole
    packs: tuple[Pack, ...]
    version: str

    @property
    def complete(self) -> bool:
        return not self.missing
