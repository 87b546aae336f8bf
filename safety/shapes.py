"""The shape of each kind of file: its tables, keys and kinds. The only module that imports pydantic.

Every key carries its sentence and an example, from which docs/files.md is made.
"""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, ConfigDict, Field, PlainValidator, ValidationError

from safety.model import PlaceKind, Range, Work
from safety.shape_words import Mistake, words
from safety.toml import At
from safety.written import Amount, Quantity, cas, day, day_or_none, hazards, identifier, moment, setting, text


def _read(*kinds: str, between: tuple[str, str] | tuple[tuple[str, str], ...] = (), positive: bool = True) -> Quantity:
    """A quantity of one of several kinds; one pair of bounds, or a pair for each kind."""
    pairs = (between,) if between and isinstance(between[0], str) else between
    return Quantity(kinds, pairs, positive)


_AIR_TEMPERATURE = _read("temperature", between=("-40 degC", "60 degC"))
_LIQUID = _read("temperature")
_SHARE = _read("fraction", positive=False)
_DRY = _read("time", between=("0 s", "30 day"), positive=False)
_WINDOW = _read("time", between=("1 s", "30 day"))
_COVERAGE = _read(
    "area_density",
    "film_volume",
    "spreading_rate",
    between=(("1 g/m2", "10 kg/m2"), ("1 mL/m2", "10 L/m2"), ("0.1 m2/L", "1000 m2/L")),
)
_STOCK = _read("mass", "volume", between=(("1 mg", "20 t"), ("0.001 mL", "20 m3")), positive=False)

Text = Annotated[str, PlainValidator(text)]
Id = Annotated[str, PlainValidator(identifier)]
Cas = Annotated[str, PlainValidator(cas)]
Hazards = Annotated[list[str] | None, PlainValidator(hazards)]
Day = Annotated[date, PlainValidator(day)]
Moment = Annotated[datetime, PlainValidator(moment)]
AirTemperature = Annotated[Range, PlainValidator(_AIR_TEMPERATURE.span)]
Share = Annotated[Range, PlainValidator(_SHARE.span)]
Stock = Annotated[Amount | Literal["unknown"], PlainValidator(_STOCK.amount_or_unknown)]
Area = Annotated[float, PlainValidator(_read("area", between=("0.01 cm2", "100000 m2")).number)]
Dry = Annotated[float, PlainValidator(_DRY.number)]
WithinTime = Annotated[float, PlainValidator(_WINDOW.number)]
Setting = Annotated[float | str, PlainValidator(setting)]
Contact = Literal["", "none", "splash", "wet cloth", "immersion"]


def _number(quantity: Quantity) -> PlainValidator:
    return PlainValidator(quantity.number)


def _maybe(quantity: Quantity) -> PlainValidator:
    """The data sheet may say "unknown"; that is None here and gets its reason in reading."""
    return PlainValidator(quantity.number_or_none)


class _Table(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


def _key(says: str, example: str, default: Any = ...) -> Any:
    return Field(default, description=says, examples=[example])


def _list(says: str, example: str) -> Any:
    return Field(default_factory=list, description=says, examples=[example])


# ---------------------------------------------------------------- shop.toml


class ShopTable(_Table):
    name: Text = _key("The name printed on every page.", '"North yard"')
    print_units: Literal["us", "si"] = _key("Which units the pages show first.", '"us"', "si")
    rules: list[Text] = _list(
        "Rules packs: the name of one that comes with the program, or a path beside this file. Later ones tighten.",
        '["us-federal", "rules/county.toml"]',
    )
    ledger: Text = _key("Where the ledger is kept.", '"sqlite:///ledger.db"', "")
    notice: Text = _key("A line printed on every page.", '"Training copy"', "")
    expects: list[Text] | None = _key(
        "Plugins that must answer. Left out: the ones that come with the program.", '["ventilation", "ignition"]', None
    )
    plugins: list[Text] = _list("Plugin files of your own, as paths beside this file.", '["plugins/our_rules.py"]')


class AirTable(_Table):
    state: Text = _key("What people call this state of the doors and fans.", '"doors shut"')
    air_changes: Annotated[Range | None, PlainValidator(_read("air_changes", positive=False).span)] = _key(
        "How often the air of the place is replaced. Needed everywhere but outdoors.", '["0.3 /hour", "2 /hour"]', None
    )
    air_speed: Annotated[Range, PlainValidator(_read("speed", between=("0.001 m/s", "20 m/s")).span)] = _key(
        "How fast the air moves over the work.", '["0.03 m/s", "0.2 m/s"]'
    )
    basis: Text = _key("Where these numbers are from.", '"measured 2026-03-02"')
    capture: Share = _key(
        "Share of the vapour a hood takes away before it mixes with the room air.", '"80 %"', Range(0.0, 0.0)
    )


class PlaceTable(_Table):
    id: Id = _key("The word by which jobs name this place.", '"bay-2"')
    name: Text = _key("What people call it.", '"Bay 2"', "")
    kind: PlaceKind = _key("What sort of place it is.", '"room"')
    volume: Annotated[float | None, PlainValidator(_read("volume", between=("1 L", "10000000 m3")).number)] = _key(
        "Volume of its air. Needed everywhere but outdoors.", '"2400 m^3"', None
    )
    temperature: AirTemperature = _key("Temperature of the air.", '"24 degC"')
    humidity: Annotated[float | None, PlainValidator(_SHARE.number)] = _key("Relative humidity.", '"50 %"', None)
    near_radius: Annotated[Range | None, PlainValidator(_read("length", between=("0.1 m", "3 m")).span)] = _key(
        "How far the air around the hands reaches. Left out: 0.4 m to 0.9 m, our assumption.",
        '["0.4 m", "0.9 m"]',
        None,
    )
    ignition_sources: list[Text] = _list("What can set off vapour and is always here or next door.", '["gas heater"]')
    air: list[AirTable] = Field(min_length=1, description="One table for each state the air is really in.")


class BreakthroughTable(_Table):
    time: Annotated[float, _number(_read("time", between=("0 s", "7 day"), positive=False))] = _key(
        "When the liquid first came through. Write 480 min where the maker says more than 480.", '"480 min"'
    )
    standard: Text = _key("The test standard the maker names.", '"EN 16523-1"')
    temperature: Annotated[float, _number(_read("temperature", between=("0 degC", "60 degC")))] = _key(
        "Temperature of the test.", '"23 degC"'
    )


class GloveTable(_Table):
    id: Id = _key("The word by which sheets name this glove.", '"laminate-liner"')
    name: Text = _key("What people call it.", '"Flat laminate liner"', "")
    material: Text = _key("What it is made of.", '"PE/EVAL laminate"')
    thickness: Annotated[float, _number(_read("length", between=("0.01 mm", "5 mm")))] = _key(
        "Thickness of one layer.", '"0.06 mm"'
    )
    disposable: bool = _key("True where it is thrown away after one use.", "true", False)
    breakthrough: dict[Cas, BreakthroughTable] = Field(
        default_factory=dict,
        description="The maker's own table: for each CAS number a time, a standard and a temperature.",
        examples=['{"108-88-3" = {time = "480 min", standard = "EN 16523-1", temperature = "23 degC"}}'],
    )


class RespiratorTable(_Table):
    id: Id = _key("The word by which sheets name this respirator.", '"half-mask"')
    name: Text = _key("What people call it.", '"Half mask with vapour cartridges"', "")
    kind: Literal["air-purifying", "powered air-purifying", "supplied air", "self-contained"] = _key(
        "Where its air is from.", '"air-purifying"'
    )
    facepiece: Literal["half mask", "full facepiece", "hood", "loose-fitting"] = _key(
        "What covers the face.", '"half mask"'
    )
    cartridge: Text = _key("What the cartridge is for.", '"organic vapour"', "")
    mode: Literal["", "demand", "continuous flow", "pressure demand"] = _key(
        "How supplied air is fed.", '"pressure demand"', ""
    )
    cartridge_limit: Annotated[float | None, PlainValidator(_read("air_share").number)] = _key(
        "Most vapour the maker allows the cartridge for.", '"1000 ppm"', None
    )
    sorbent_mass: Annotated[float | None, PlainValidator(_read("mass", between=("1 g", "5 kg")).number)] = _key(
        "Carbon in all cartridges worn together.", '"100 g"', None
    )
    bed_depth: Annotated[float | None, PlainValidator(_read("length", between=("1 mm", "200 mm")).number)] = _key(
        "Depth of the carbon bed.", '"22 mm"', None
    )


class EyewearTable(_Table):
    id: Id = _key("The word by which sheets name it.", '"goggles"')
    name: Text = _key("What people call it.", '"Splash goggles"', "")
    kind: Literal["spectacles", "splash goggles", "face shield"] = _key("What it is.", '"splash goggles"')


class ContainerTable(_Table):
    id: Id = _key("What is written on the container.", '"rags-1"')
    stream: Text = _key("What goes in.", '"wet rags"')
    size: Annotated[float, _number(_read("volume", between=("0.1 L", "100 m3")))] = _key(
        "How much it holds.", '"55 US_gal"'
    )
    kind: Literal["satellite", "central"] = _key("Beside the work, or where full ones are kept.", '"satellite"')
    started: Day | None = _key("The day the first waste went in.", "2026-11-02", None)


class ShopFile(_Table):
    shop: ShopTable = Field(description="The shop itself. Written once.")
    place: list[PlaceTable] = Field(min_length=1, description="A place where work is done. One table for each.")
    glove: list[GloveTable] = Field(default_factory=list, description="A glove in stock. One table for each.")
    respirator: list[RespiratorTable] = Field(
        default_factory=list, description="A respirator in stock. One table for each."
    )
    eyewear: list[EyewearTable] = Field(
        default_factory=list, description="Eye protection in stock. One table for each."
    )
    container: list[ContainerTable] = Field(
        default_factory=list, description="A waste container on the floor. One table for each."
    )
    settings: dict[Text, Setting] = Field(
        default_factory=dict,
        description="Numbers a plugin lets the shop tighten. Each plugin names its own.",
        examples=["{glove_safety_factor = 4}"],
    )


# ---------------------------------------------------------------- products/*.toml


class PartTable(_Table):
    cas: Cas | None = _key("CAS number, from section 3 of the safety data sheet.", '"108-88-3"', None)
    name: Text = _key("Its name. Needed where there is no CAS number.", '"polymer"', "")
    weight: Share = _key("Share by weight, as the safety data sheet gives it.", '["30 %", "60 %"]')
    volatile: bool = _key("False for a resin, pigment or filler that stays where it is put.", "false", True)


class ApplicationTable(_Table):
    coats: dict[Text, Annotated[int, Field(ge=1, le=20)]] = Field(
        default_factory=dict,
        description="Number of coats on each surface.",
        examples=["{aluminium = 2, composite = 3}"],
    )
    dry_between: Dry = _key("Drying time between two coats.", '"5 min"', 0.0)
    dry_final: Dry = _key("Drying time after the last coat.", '"10 min"', 0.0)
    start_within: WithinTime | None = _key("The joining step must begin this soon after the last coat.", '"2 h"', None)
    recoat_within: WithinTime | None = _key("Until then one more coat still mends a missed start.", '"3 h"', None)
    stand_at_least: Dry = _key("How long it must stand before it is lifted or scraped.", '"10 min"', 0.0)
    coverage: Annotated[Amount | None, PlainValidator(_COVERAGE.amount)] = _key(
        "How much one coat takes.", '"150 g/m^2"', None
    )


class ProductTable(_Table):
    id: Id = _key("The word by which jobs name this product.", '"wash-solvent"')
    name: Text = _key("The name on the can.", '"Wash solvent"')
    role: Text = _key("What it is for.", '"cleaner"')
    density: Annotated[float | None, _maybe(_read("density", between=("300 kg/m3", "4000 kg/m3")))] = _key(
        "Density of the product.", '"0.87 g/mL"', None
    )
    flash_point: Annotated[float | None, _maybe(_LIQUID)] = _key(
        "Flash point of the product as sold.", '"4 degC"', None
    )
    boiling_point: Annotated[float | None, _maybe(_LIQUID)] = _key("Where it begins to boil.", '"98 degC"', None)
    voc: Annotated[float | None, _maybe(_read("density", between=("0 g/L", "4000 g/L"), positive=False))] = _key(
        "VOC content as the maker states it. Used for records only.", '"850 g/L"', None
    )
    hazards: Hazards = _key("H-codes from section 2 of the safety data sheet.", '["H225", "H304"]', None)
    not_classified: bool = _key("True where the safety data sheet says the product is not classified.", "true", False)
    sds_revised: Annotated[date | None, PlainValidator(day_or_none)] = _key(
        "Revision date of the safety data sheet.", "2026-01-15", None
    )
    part: list[PartTable] = Field(min_length=1, description="What it is made of. One table for each part.")
    application: ApplicationTable | None = Field(
        None, description="For things put on in coats or left to stand: the times the maker sets."
    )


class ProductFile(_Table):
    product: ProductTable = Field(description="What is in the can, as its safety data sheet says.")


# ---------------------------------------------------------------- jobs/*.toml


class CarriedTable(_Table):
    product: Id = _key("Id of a product.", '"wash-solvent"')
    amount: Stock = _key("How much is carried in.", '"2 L"')


class JobTable(_Table):
    id: Id = _key("The word by which commands name this job.", '"bench-cleaning"')
    title: Text = _key("What the sheet says at its head.", '"Clean the bench"')
    unit: Text = _key("The vehicle, vessel, press or object worked on.", '"Unit 4"', "")
    place: Id = _key("Id of the place.", '"bay-2"')
    air: Text = _key("State of the air. Needed where the place has more than one.", '"doors shut"', "")
    temperature: AirTemperature | None = _key(
        "Temperature on this day, in place of every place's own.", '["30 degC", "38 degC"]', None
    )
    start: Moment = _key("When work begins, by the clock on the wall.", "2026-11-25T07:30:00")
    shift: Annotated[float, _number(_read("time", between=("10 min", "24 h")))] = _key(
        "Length of the worker's shift.", '"10 h"', 28800.0
    )
    afterwards: Literal["far", "away"] = _key(
        "Where the worker is for the rest of the shift: in the same place, or away from it.", '"away"', "far"
    )
    crew: Annotated[int, Field(ge=1, le=200)] = _key("How many people do the work.", "2")
    surface: Text = _key("What is coated. Needed where a product's coats depend on it.", '"aluminium"', "")
    carried: list[CarriedTable] = Field(
        default_factory=list, description="Stock carried into the place, used or not. One table for each."
    )


class UseTable(_Table):
    product: Id = _key("Id of a product.", '"wash-solvent"')
    work: Work = _key("The way of working.", '"wipe"')
    amount: Stock | None = _key(
        "How much goes on, for one coat. For open, what is in the can. Left out: area times coverage.",
        '"250 mL"',
        None,
    )
    area: Area | None = _key(
        "The wetted area. For open, the opening. Needed for all ways of working but spray.", '"1.5 m^2"', None
    )
    kept: Share = _key("Share that stays in cloth, brush or scrapings.", '["20 %", "50 %"]', Range(0.0, 0.0))
    lifted_by: Text = _key("Name of the step at whose end a soak or gel is gone.", '"Scrape"', "")


class LeftoverTable(_Table):
    what: Text = _key("What is left lying.", '"wet rags"')
    product: Id = _key("Id of the product in it.", '"wash-solvent"')
    amount: Stock | None = _key("How much product is in it, over and above the amounts of the uses.", '"100 mL"', None)
    area: Area | None = _key("Its wet surface.", '"0.3 m^2"', None)
    taken_away: Text = _key("Name of the step at whose end it goes. Left out: it stays.", '"Wipe down"', "")
    near: bool = _key("True where it lies beside the worker.", "false", True)


class StepTable(_Table):
    name: Text = _key("What is done. No two steps share a name.", '"Wipe down"')
    duration: Annotated[float, _number(_read("time", between=("1 s", "24 h")))] = _key(
        "Time of hands-on work, for one coat where there are coats.", '"20 min"'
    )
    people: Literal["near", "far", "away"] = _key(
        "Where the worker is: at the work, elsewhere in the place, or out of it.", '"far"', "near"
    )
    place: Id | None = _key("Id of another place.", '"tank"', None)
    air: Text = _key("State of the air, where it is not the job's.", '"one door open"', "")
    temperature: AirTemperature | None = _key("Temperature of the air in this step.", '"30 degC"', None)
    surface_temperature: Annotated[
        Range | None, PlainValidator(_read("temperature", between=("-60 degC", "150 degC")).span)
    ] = _key("Temperature of the surface, where it is not that of the air.", '["35 degC", "45 degC"]', None)
    length: Annotated[float | None, PlainValidator(_read("length", between=("1 cm", "1000 m")).number)] = _key(
        "Length the hands travel along.", '"2.5 m"', None
    )
    ignition_sources: list[Text] = _list("What can set off vapour in this step.", '["work lamp"]')
    structure_holds: Text = _key(
        'What the structure beneath holds: a CAS number, a name, or "unknown".', '"8008-20-6"', ""
    )
    overhead: bool = _key("True where the work is above the head.", "true", False)
    joins: Id | None = _key("Id of the product whose start window this step must meet.", '"bond-primer"', None)
    contact: Contact = _key("How liquid meets the skin, where the way of working does not say it.", '"wet cloth"', "")
    use: list[UseTable] = Field(default_factory=list, description="A product used in the step. One table for each.")
    leaves_wet: list[LeftoverTable] = Field(
        default_factory=list, description="Something wet left lying that gives off vapour. One table for each."
    )


class JobFile(_Table):
    job: JobTable = Field(description="The job itself. Written once.")
    step: list[StepTable] = Field(min_length=1, max_length=100, description="One piece of work, in order.")


Shape = TypeVar("Shape", ShopFile, ProductFile, JobFile)


def fit(shape: type[Shape], data: dict[str, Any]) -> Shape | list[Mistake]:
    """Return the data in their shape, or every mistake in them."""
    try:
        return shape.model_validate(data)
    except ValidationError as error:
        details = error.errors(include_url=False)
    found: list[Mistake] = []
    for detail in details:
        path: At = tuple(step for step in detail["loc"] if step != "[key]")  # pydantic's mark of a mistake in a key
        wrong, write = words(shape, path, detail)
        found.append((path, wrong, write))
    return found
