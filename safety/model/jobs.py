"""What a shop writes down, and the job on its clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Literal

from safety.cited import Unknown
from safety.model.data import EIGHT_HOURS, TakenAs, nothing
from safety.model.decisions import Answer, Permit
from safety.model.known import AmountBasis, AreaBasis, Measurement
from safety.model.people import Person
from safety.model.purposes import Purpose, Reactivity
from safety.model.stated import NOT_STATED, Range, Stated


@dataclass(frozen=True, slots=True)
class Part:
    """A component of a product. No ``cas`` and volatile means the maker does not say what it is."""

    name: str  # in the language being spoken, where it is a name we know
    cas: str  # "" where not disclosed or where it is a named non-volatile
    low: float  # weight fraction, lower bound the data sheet gives
    high: float  # weight fraction, upper bound
    volatile: bool = True  # False: resin, pigment, filler that stays in the film
    written: str = ""  # the name as the product's file has it
    groups: tuple[str, ...] = ()  # groups of atoms it carries that a limit may count: "NCO"
    stated: Stated = NOT_STATED
    taken_as: TakenAs | None = None  # where the part has no number of its own, ``cas`` is that of what stands in

    @property
    def key(self) -> str:
        """By what the air knows it: its CAS number, or its name where it has none."""
        return self.cas or self.name

    @property
    def lends(self) -> str:
        """The CAS number of what stands in for what is not known of the part's own number; "" where nothing does."""
        return self.taken_as.cas if self.taken_as and self.taken_as.cas != self.cas else ""

    @property
    def disclosed(self) -> bool:
        return bool(self.cas) or not self.volatile


#: Share by weight that must stay behind at least for a coat to count as one that holds its solvent. Our judgement: a
#: tie coat with less leaves too thin a film.
FILM_SOLIDS = 0.2

#: Stands for every surface that has no number of coats of its own.
ANY = "any"


@dataclass(frozen=True, slots=True)
class Application:
    """How a product is put on in coats, and the times its maker sets."""

    coats: Mapping[str, int] = field(default_factory=dict)  # surface, or ANY -> number of coats
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
    role: str  # what it is for, in the shop's words: for people alone
    parts: tuple[Part, ...]
    density: float | Unknown  # kg/m3
    flash_point: float | Unknown  # K, of the product as sold
    boiling_point: float | Unknown  # K, initial boiling point
    hazards: tuple[str, ...] | Unknown  # H-codes; () means the sheet says "not classified"
    sds_revised: date | Unknown
    application: Application | None = None
    voc: float | Unknown = Unknown("the product file gives no VOC content")  # kg/m3: accounting only
    file: str = ""
    coating: str = ""  # category of a coating in the words of a rules pack; "" = no coating, or nobody said
    viscosity: float | None = None  # m2/s, kinematic, at 40 degC
    draft: bool = False  # read from a data sheet by the program, and confirmed by nobody
    emergency_telephone: str = ""  # the maker's, with its hours; "" where the file gives none
    purpose: Purpose | Literal[""] = ""  # what rules go by; "" = nobody said
    reactivity: tuple[Reactivity, ...] | None = None  # of its waste, beside what the data say; None = nobody said
    confirmed: str = ""  # who compared a draft with its data sheet, and when
    no_flash_point: str = ""  # how it is known that it has none: for waste alone; "" = it has one, or nobody knows
    since: date | None = None  # the day from which the can is as described here; None = its file says none
    x: Mapping[str, Mapping[str, Any]] = field(default_factory=nothing, hash=False)  # plugin -> the keys it asks for

    @property
    def forms_film(self) -> bool:
        """Whether it dries to a film that holds its solvent: put on in coats, and known to leave enough behind.

        What nobody knows to stay behind does not count, so an unknown make-up forms none.
        """
        stays = sum(part.low for part in self.parts if not part.volatile)
        return self.application is not None and bool(self.application.coats) and stays >= FILM_SOLIDS


@dataclass(frozen=True, slots=True)
class AirState:
    """The air of a place in one state it is really in, such as "doors shut"."""

    state: str
    air_changes: Range  # 1/s
    air_speed: Range  # m/s over the work
    basis: str
    capture: Range = Range(0.0, 0.0)  # share of the vapour a hood takes before it mixes
    measured: date | None = None  # the day the numbers were measured in this place; None: they were not
    face_velocity: Range | None = None  # m/s of the stream through a booth; None = no stream, or not known
    name: str = ""  # what people who read the sheet call the state; "" as the file does

    @property
    def called(self) -> str:
        """For people to read: ``state`` is what the files name it by, in whatever language."""
        return self.name or self.state


@dataclass(frozen=True, slots=True)
class Door:
    """A door, or another opening, between two places. None is what nobody said."""

    to: str  # id of the place behind it
    area: float | None = None  # m2
    height: float | None = None  # m
    open_share: Range | None = None  # of the time it stands open
    temperature_difference: Range | None = None  # K, between the two airs
    airflow: Range | None = None  # m3/s that goes over each way, as measured: in place of all of these

    @property
    def known(self) -> bool:
        """Whether anybody can say how much air goes over."""
        return self.airflow is not None or None not in (
            self.area, self.height, self.open_share, self.temperature_difference
        )  # fmt: skip


PlaceKind = Literal["hangar", "room", "booth", "enclosed", "outdoor"]


#: The least pressure of the air [Pa] of what counts as usual, some 1900 m up. IEC 60079-0:2017, scope: 80 to 110 kPa.
LEAST_PRESSURE = 80e3


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
    overnight: str = ""  # state of its air when the shift is over; "" = nobody said: the one with the least air
    eyewash: str = ""  # where the nearest one is; "" = nobody said
    shower: str = ""
    doors: tuple[Door, ...] = ()  # to other places; each is written in one of the two
    pressure: float | None = None  # Pa, of its air; None = nobody said how high it lies
    x: Mapping[str, Mapping[str, Any]] = field(default_factory=nothing, hash=False)  # plugin -> the keys it asks for

    @property
    def air_pressure(self) -> float:
        """Pressure of its air [Pa] that fire is judged in: where nobody said it, the least that counts as usual."""
        return LEAST_PRESSURE if self.pressure is None else self.pressure

    @property
    def at_night(self) -> AirState:
        """Its air when the shift is over."""
        return self.air(self.overnight) if self.overnight else self.least_air

    @property
    def least_air(self) -> AirState:
        """That of its airs which clears it least."""
        return min(self.airs, key=lambda one: one.air_changes.low)

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
    stream: str  # what goes in, in the shop's words: for people alone
    size: float  # m3
    kind: Literal["satellite", "central"]
    started: date | None = None  # the day, or day and time, the first waste went in
    accepts: tuple[str, ...] = ()  # forms of waste, such as "wet-cloths"; () = nobody said
    reactivity: tuple[Reactivity, ...] | None = None  # of what it is for; None = nobody said
    contents: str = ""  # what its label says is in it; "" = the stream
    area: str = ""  # satellite containers of one area count together
    regime: Literal["", "universal waste", "used oil", "episodic event"] = ""  # rules of its own for what is in it


#: Whom a telephone number of the shop reaches, in the order of a sheet.
Called = Literal["emergency", "poison centre", "officer", "waste"]


@dataclass(frozen=True, slots=True)
class Phone:
    """A telephone number that somebody at the work may need."""

    reaches: Called
    number: str
    name: str = ""  # who answers


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
    timezone: str = ""  # of the clock on its wall, "Europe/Berlin"; "" = that of the computer
    earlier_names: tuple[str, ...] = ()  # their lines in the ledger are this shop's
    ledger_shared_with: tuple[str, ...] = ()  # their lines are not
    began: date | None = None  # before this day nothing was used, so nothing is missing from the ledger
    notice: str = ""  # printed on every page, for example "names and products are invented"
    pages: str = ""  # address of the shop's own pages, "http://shop-pc.local:8420"; "" = it has none
    file: str = ""
    settings: Mapping[str, Any] = field(default_factory=nothing)  # [settings]: numbers a plugin lets the shop tighten
    answers: tuple[Answer, ...] = ()
    permits: tuple[Permit, ...] = ()
    phones: tuple[Phone, ...] = ()
    people: tuple[Person, ...] = ()
    eyewash: str = ""  # where the nearest one is, from every place that names none
    shower: str = ""


Work = Literal["wipe", "brush", "soak", "gel", "spray", "pour", "open", "wash"]
#: Ways of working that put nothing on a surface: the liquid stays in its can, tank or tray but for what evaporates.
IN_A_VESSEL: tuple[Work, ...] = ("open", "wash")


@dataclass(frozen=True, slots=True)
class Use:
    """One product used in one step. Amounts of a coated product are for one coat."""

    product: Product
    work: Work
    mass: Range | Unknown  # kg
    written: str  # the amount as the file has it
    area: float | Unknown  # m2: wetted surface; for "open" the opening, for "wash" the liquid and the wet parts
    kept: Range = Range(0.0, 0.0)  # share that stays in cloth, brush or scrapings and goes to waste
    lifted_by: str = ""  # name of the step at whose end it is gone; "" = never: it lies there until it is dry
    freeboard: float = 0.0  # m from the rim of an open can down to the liquid
    amount_basis: AmountBasis = "guessed"
    area_basis: AreaBasis = "guessed"

    @property
    def measured(self) -> bool:
        """Whether its vapour can be counted: what has no amount, or no area, has no film of its own in any result."""
        return not isinstance(self.mass, Unknown) and (self.work == "spray" or not isinstance(self.area, Unknown))


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
    amount_basis: AmountBasis = "guessed"
    area_basis: AreaBasis = "guessed"
    form: str = ""  # of waste, such as "wet-cloths"; "" = nobody said

    @property
    def measured(self) -> bool:
        """Whether its vapour can be counted, as of a use."""
        return not isinstance(self.mass, Unknown) and not isinstance(self.area, Unknown)


@dataclass(frozen=True, slots=True)
class Step:
    name: str
    duration: float  # s hands-on by the plan; for a coated product, of one coat
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
    near_share: Range = Range(1.0, 1.0)  # of the step, that somebody near is at the work; else elsewhere in the place
    x: Mapping[str, Mapping[str, Any]] = field(default_factory=nothing, hash=False)  # plugin -> the keys it asks for
    lasts: Range | None = None  # s, between which it is done; None: just as long as planned
    typed: str = ""  # its name as the file has it, whatever language is spoken; "" where no file has it

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
    shift: float = EIGHT_HOURS  # s
    afterwards: Literal["far", "away"] = "far"  # where the worker is for the rest of the shift
    unit: str = ""  # the vehicle, vessel, press or object worked on
    file: str = ""
    measurements: tuple[Measurement, ...] = ()
    who: tuple[str, ...] = ()  # Person.id of those of the crew whose names are given
    assumed: tuple[str, ...] = ()  # sentences: what is taken for what no file says

    @property
    def places(self) -> tuple[Place, ...]:
        """Every place the job is done in once, its own first, then in order of first use."""
        found = {self.place.id: self.place}
        for step in self.steps:
            found.setdefault(step.place.id, step.place)
        return tuple(found.values())

    @property
    def products(self) -> tuple[Product, ...]:
        """Every product of the job once, in order of first use."""
        seen: dict[str, Product] = {}
        for thing in (*(wet for step in self.steps for wet in step.wet_things), *self.carried):
            seen.setdefault(thing.product.id, thing.product)
        return tuple(seen.values())


@dataclass(frozen=True, slots=True)
class Given:
    """A value a file of the shop gives, and the place in it: what a person can go and look at."""

    file: str  # seen from the shop's folder
    path: tuple[str | int, ...]  # ("place", 0, "air", 1, "air_changes")
    text: str
