"""What really happened: the ledger's records, and the ledger as plugins see it."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Literal, Protocol, get_args

from safety.cited import Unknown
from safety.model.jobs import Container, Part, Product
from safety.model.office import OpenPoint
from safety.words import say

EntryKind = Literal["receive", "open", "use", "return", "waste", "ship", "weigh"]
Basis = Literal["weighed", "measured", "guessed", "label", ""]
Counted = Literal["received", "used", "returned", "wasted"]
#: How it is known how much of a waste is solvent: measured, what holds it weighed empty, estimated from the plan.
SolventBasis = Literal["measured", "tare", "plan", ""]
#: What becomes of waste that was collected; "" = nobody said.
Fate = Literal["", "recovered", "treated", "disposed", "laundered"]
FATES: tuple[Fate, ...] = get_args(Fate)
#: Of a collection: whether the container stayed, with what was not taken.
Rest = Literal["", "stays"]
#: Nobody said how much of a waste is solvent.
UNSAID = Unknown("nobody said how much of it is solvent")


@dataclass(frozen=True, slots=True)
class Period:
    """Whole calendar months, the first and the last included, written "2026-11"."""

    first: str
    last: str


def unrecorded(period: Period, begins: date | None, began: date | None) -> tuple[OpenPoint, ...]:
    """Say what is missing where a period reaches back before the first record; nothing where nothing is.

    ``begins`` is the day of the first record, ``began`` the day the shop says it began to work.
    """
    if begins is None or begins <= date.fromisoformat(f"{period.first}-01") or begins == began:
        return ()
    if began is not None and began > begins:
        text = say(
            "Something is recorded on {day}, before the shop began to work by shop.toml ({began}). One of the two is "
            "wrong, so what was used and thrown away before {day} is not known. Correct [shop] began, or the record.",
            day=begins.isoformat(),
            began=began.isoformat(),
        )
        return (OpenPoint(text, "recorder", "before the records"),)
    text = say(
        "Nothing is recorded before {day}. What was used and thrown away before that day is not counted. Import those "
        "records; or, if there was nothing, write under [shop] in shop.toml: began = {day}.",
        day=begins.isoformat(),
    )
    return (OpenPoint(text, "recorder", "before the records"),)


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
    whole: Product | None = field(default=None, hash=False)  # all its file said
    kept: bool = True  # whether ``whole`` was kept with the record, or is made up from today's file
    since: date | None = None  # the day from which it holds, by its file; None where the file says none


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
    container_edition: int | None = None  # the container as it was described then
    solvent_low: float | Unknown = UNSAID  # kg of solvent in waste, at least
    solvent_high: float | Unknown = UNSAID  # kg, at most
    solvent_basis: SolventBasis = ""  # how that is known
    fate: Fate = ""  # what becomes of waste that was collected
    stays: bool = False  # of a collection: the container stayed, with what was not taken
    reverses: str = ""  # key of the line this one takes back
    replaces: str = ""  # key of the line this one stands in for
    reversed_by: str = ""  # key of the line that takes this one back
    replaced_by: str = ""  # key of the line that stands in for this one
    replaced_on: date | None = None  # the day of that line, which may lie in another month


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
    found_empty: date | None = None  # the day a count found nothing of it: then it is closed, and nothing is left

    @property
    def open(self) -> bool:
        """Whether something may be left of it: what is used up is closed."""
        return isinstance(self.mass, Unknown) or self.mass > 0


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
    solvent_in_waste: float  # of waste_from_jobs, at least: the rest may be cloth, dirt or paint
    closing: float  # by the records
    counted: float | Unknown  # by the last count of each lot, up to the end of the period
    unknown: tuple[str, ...]

    @property
    def lost(self) -> float:
        """Received - on hand - returned - waste, with what was there at the start: gone into air or work, at most.

        Of waste from jobs only what is known to be solvent is taken off.
        """
        gone = self.opening + self.received - self.closing - self.returned
        return gone - self.waste_from_stock - self.solvent_in_waste


@dataclass(frozen=True, slots=True)
class StockDay:
    """What a day brought to the stock of a product and took off it [kg]; lines without a mass are in neither."""

    day: str  # "2026-11-25"; "" for all that was before the period
    product: str
    edition: int
    came: float
    gone: float
    mass_unknown: int


@dataclass(frozen=True, slots=True)
class InWaste:
    """Waste from jobs alike in all of these, added up; that of one product, as far as it is known, is solvent."""

    month: str  # in which it was collected; "" where it has not been
    fate: Fate  # of the collection; "" where nobody said, or nothing was collected
    product: str  # "" for mixed waste
    edition: int | None
    basis: SolventBasis  # how it is known what of it is solvent; "" where nobody said
    mass: float  # kg of waste, of the lines whose mass is known
    solvent: float  # kg, at least


@dataclass(frozen=True, slots=True)
class Chained:
    """The chain of hashes that every line of the ledger stands in, as a log tells of it."""

    lines: int  # up to the last record
    head: str  # hash of that line: with it nothing up to there can be changed unseen
    covered: str  # since when, UTC
    earlier: int  # rows that were there before, and were taken into the chain then
    wrong: tuple[str, ...]  # what is not as it was written
    all_of_it: bool  # whether every line was looked at


@dataclass(frozen=True, slots=True)
class WeighedRate:
    """How much of a product one step took by area, from uses that were weighed [kg/m2]."""

    product: str
    step: str
    jobs: int  # a job on one day counts once, with all its uses of this step together
    median: float
    least: float
    most: float


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

    @property
    def left_out(self) -> str:
        """Sentence on lines that may be this shop's and are not counted, so that no sum is whole; "" for none."""

    def entries(
        self, period: Period, kind: EntryKind | None = None, jobs: Collection[str] | None = None
    ) -> tuple[Entry, ...]:
        """All lines in order of day, with those taken back and their reversals; of ``jobs``, by id, or of all.

        A year may have hundreds of thousands: ask for a sum where there is one, or for one kind.
        """

    def days(self, period: Period) -> frozenset[date]:
        """The days of a period with a line."""

    def editions(self) -> Mapping[int, Edition]:
        """Products as they were, by Edition.id. With the shop known, each is whole."""

    def containers(self) -> Mapping[int, Container]:
        """Waste containers as they were, by Entry.container_edition."""

    def as_listed(self) -> LedgerView:
        """The same, with every container as shop.toml describes it now: for what is printed of today."""

    def flows(self, period: Period) -> tuple[Flow, ...]:
        """Sums by month, kind, product edition, operation and basis."""

    def by_product(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[ProductTotal, ...]:
        """Totals by product, ordered by last month and product."""

    def by_substance(self, period: Period, counted: Counted = "used", span: int = 1) -> tuple[SubstanceTotal, ...]:
        """Totals by substance, ordered by last month and CAS number."""

    def balance(self, period: Period) -> tuple[Balance, ...]:
        """Mass balance of each product that has lines."""

    def stock(self, period: Period) -> tuple[StockDay, ...]:
        """What was on hand when a period began, and what each of its days changed of it; ordered by day."""

    def in_waste(self, period: Period) -> tuple[InWaste, ...]:
        """Waste from jobs: what was collected in the period, and what stands in the containers at its end."""

    def weighed_rates(self, products: Collection[str] | None = None) -> tuple[WeighedRate, ...]:
        """What a square metre took in jobs whose uses were weighed, by product and step; ordered by both.

        Of ``products``, by id, or of all.
        """

    def lots(self, products: Collection[str] | None = None) -> tuple[Lot, ...]:
        """Every lot that has lines, as of the last record; of ``products``, by id, or of all."""
