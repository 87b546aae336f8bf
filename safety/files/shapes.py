"""The shape of each kind of file: its tables and keys. With its neighbours of that name the only importer of pydantic.

Every key carries its sentence and an example, from which docs/files.md is made.
"""

from __future__ import annotations

from datetime import date
from typing import Annotated, Any, Literal, TypeVar

from pydantic import Field, PlainValidator, ValidationError

from safety.files.notation import Amount, day, day_or_none
from safety.files.page_address import page_address
from safety.files.shape_kinds import (
    COVERAGE,
    IN_AIR,
    LASTS,
    LIQUID,
    VISCOSITY,
    Address,
    AirTemperature,
    Area,
    Contact,
    Day,
    Dry,
    Hazards,
    Height,
    Id,
    KnownTable,
    Moment,
    Names,
    OpenTable,
    SecondNames,
    Setting,
    Share,
    Stock,
    Table,
    Telephone,
    Text,
    WasteForm,
    WithinTime,
    key,
    list_of,
    number,
    number_or_absent,
    number_or_unknown,
    read,
    second_names,
)
from safety.files.shape_parts import PartTable
from safety.files.shape_people import AnswerTable, PermitTable, PersonTable, PhoneTable
from safety.files.shape_places import SOURCES, Altitude, PlaceTable
from safety.files.shape_stock import ContainerTable, EyewearTable, GloveTable, RespiratorTable
from safety.files.shape_words import Mistake, words
from safety.files.time_zone import time_zone
from safety.files.toml import At
from safety.model import EIGHT_HOURS, Purpose, Range, Reactivity, Work

MOST_STEPS = 100

# ---------------------------------------------------------------- shop.toml


class ShopTable(Table):
    name: Text = key("The name printed on every page.", '"North yard"')
    print_units: Literal["us", "si"] = key("Which units the pages show first.", '"us"', "si")
    altitude: Altitude = key("How high the shop lies above sea level. Thin air burns sooner.", '"1500 m"', None)
    rules: list[Text] = list_of(
        "Rules packs: the name of one that comes with the program, or a path beside this file. Later ones tighten.",
        '["us-federal", "rules/county.toml"]',
    )
    ledger: Address = key("Where the ledger is kept, without a password.", '"sqlite:///ledger.db"', "")
    timezone: Annotated[str, PlainValidator(time_zone)] = key(
        "Time zone of the clock on the wall, by its name in the IANA list. Left out: that of the computer.",
        '"America/New_York"',
        "",
    )
    earlier_names: list[Text] = list_of(
        "Names this shop had before. What the ledger holds under them counts as its own.", '["North yard"]'
    )
    ledger_shared_with: list[Text] = list_of("Other shops that keep the same ledger.", '["South yard"]')
    began: Annotated[date | None, PlainValidator(day)] = key(
        "The day the shop began to work with solvents: before it there was nothing to record.", "2026-03-02", None
    )
    notice: Text = key("A line printed on every page.", '"Training copy"', "")
    eyewash: Text = key("Where the nearest eyewash is, from a place that names none.", '"beside door 3"', "")
    shower: Text = key("Where the nearest shower is, from a place that names none.", '"beside door 3"', "")
    pages: Annotated[str, PlainValidator(page_address)] = key(
        "Address of the shop's own pages: codes on paper open it.", '"http://shop-pc.local:8420"', ""
    )
    expects: list[Text] | None = key(
        "Plugins that must answer. Left out: the ones that come with the program.", '["ventilation", "ignition"]', None
    )
    plugins: list[Text] = list_of("Plugin files of your own; hazstep trust lets them run.", '["plugins/our_rules.py"]')


class ShopFile(Table):
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
    answer: list[AnswerTable] = Field(
        default_factory=list,
        description="What a person of the shop decided where a rule is not plain. One table for each question.",
    )
    permit: list[PermitTable] = Field(
        default_factory=list, description="A cap of the shop's own permit or of a local rule. One table for each."
    )
    phone: list[PhoneTable] = Field(
        default_factory=list,
        description="A telephone number for the technician's sheet. Without one the sheet has a line to write it on.",
    )
    person: list[PersonTable] = Field(
        default_factory=list,
        description="A person who does the work, with the days of what the work asks of people. One table for each.",
    )
    settings: dict[Text, Setting] = Field(
        default_factory=dict,
        description="What a plugin lets the shop tighten or say. Each plugin names its own; another name is a mistake.",
        examples=["{glove_movement_factor = 0.5}"],
    )


# ---------------------------------------------------------------- products/*.toml


class ApplicationTable(Table):
    coats: dict[Text, Annotated[int, Field(ge=1, le=20)]] = Field(
        default_factory=dict,
        description='Number of coats on each surface; "any" is every other one. Needed beside times of coats.',
        examples=["{aluminium = 2, any = 3}"],
    )
    dry_between: Dry = key("Drying time between two coats.", '"5 min"', 0.0)
    dry_final: Dry = key("Drying time after the last coat.", '"10 min"', 0.0)
    start_within: WithinTime | None = key("The joining step must begin this soon after the last coat.", '"2 h"', None)
    recoat_within: WithinTime | None = key("Until then one more coat still mends a missed start.", '"3 h"', None)
    stand_at_least: Dry = key("How long it must stand before it is lifted or scraped.", '"10 min"', 0.0)
    coverage: Annotated[Amount | None, PlainValidator(COVERAGE.amount)] = key(
        "How much one coat takes.", '"150 g/m^2"', None
    )


class ProductTable(OpenTable):
    draft: bool = key("True while nobody has confirmed what a data sheet was read as.", "true", False)
    confirmed: Text = key("Who compared a draft with its sheet and the can, and when.", '"R. Vale, 2026-03-02"', "")
    id: Id = key("The word by which jobs name this product.", '"wash-solvent"')
    name: Text = key("The name on the can.", '"Wash solvent"')
    names: SecondNames = second_names('{es = "Solvente de lavado"}', "What it is called beside the name on the can")
    role: Text = key("What it is for, in your own words. No rule goes by it.", '"cleaner"')
    purpose: Purpose | None = key(
        "What it is for, for the rules on cleaning, coatings and waste. A softener loosens a coating or an adhesive, a "
        "remover takes it off. Left out: the careful side of each rule.", '"cleaner"', None,
    )  # fmt: skip
    reactivity: list[Reactivity] | None = key(
        "What decides with which other waste its waste may not meet, beside what the data say; [] where it is none of "
        "these. Left out: a part that the data do not know may be any.",
        '["isocyanate"]',
        None,
    )
    density: Annotated[float | None, number_or_unknown(read("density", between=("300 kg/m3", "4000 kg/m3")))] = key(
        "Density of the product.", '"0.87 g/mL"', None
    )
    flash_point: Annotated[float | Literal["none"] | None, number_or_absent(LIQUID)] = key(
        'Flash point of the product as sold; "none" where it was looked for and there is none.', '"4 degC"', None
    )
    flash_point_ground: Text = key(
        'How it is known that there is none, beside flash_point = "none". Only the rules on waste go by it.',
        '"data sheet, section 9: none up to boiling, EN ISO 2719"',
        "",
    )
    boiling_point: Annotated[float | None, number_or_unknown(LIQUID)] = key(
        "Where it begins to boil.", '"98 degC"', None
    )
    voc: Annotated[
        float | None, number_or_unknown(read("density", between=("0 g/L", "4000 g/L"), positive=False, careful="high"))
    ] = key("VOC content as the maker states it. Used for records only.", '"850 g/L"', None)
    coating: Id | None = key(
        "Category of a coating, adhesive or sealant, as the rules pack names it.", '"bonding-primer-to-250f"', None
    )
    viscosity: Annotated[float | None, number_or_unknown(VISCOSITY)] = key(
        "Kinematic viscosity at 40 degC. Over 20.5 mm2/s it is no danger to the lungs when swallowed.",
        '"1.1 mm2/s"',
        None,
    )
    hazards: Hazards = key("H-codes from section 2 of the safety data sheet.", '["H225", "H304"]', None)
    not_classified: bool = key("True where the safety data sheet says the product is not classified.", "true", False)
    sds_revised: Annotated[date | None, PlainValidator(day_or_none)] = key(
        "Revision date of the safety data sheet.", "2026-01-15", None
    )
    since: Annotated[date | None, PlainValidator(day)] = key(
        "The day from which the can is as this file says. Late papers of before take what was recorded before.",
        "2026-06-01",
        None,
    )
    emergency_telephone: Telephone = key(
        "The maker's emergency telephone, from section 1, with its hours.", '"030 23125 199 (day and night)"', ""
    )
    part: list[PartTable] = Field(min_length=1, description="What it is made of. One table for each part.")
    application: ApplicationTable | None = Field(
        None, description="For things put on in coats or left to stand: the times the maker sets."
    )


class ProductFile(Table):
    product: ProductTable = Field(description="What is in the can, as its safety data sheet says.")


# ---------------------------------------------------------------- jobs/*.toml


class CarriedTable(Table):
    product: Id = key("Id of a product.", '"wash-solvent"')
    amount: Stock = key("How much is carried in.", '"2 L"')


class JobTable(Table):
    id: Id = key("The word by which commands name this job.", '"bench-cleaning"')
    title: Text = key("What the sheet says at its head.", '"Clean the bench"')
    names: SecondNames = second_names('{es = "Limpiar el banco"}', "The title")
    unit: Text = key("The vehicle, vessel, press or object worked on.", '"Unit 4"', "")
    place: Id = key("Id of the place.", '"bay-2"')
    air: Text = key("State of the air. Needed where the place has more than one.", '"doors shut"', "")
    temperature: AirTemperature | None = key(
        "Temperature on this day, in place of every place's own.", '["30 degC", "38 degC"]', None
    )
    start: Moment = key("When work begins, by the clock on the wall.", "2026-11-25T07:30:00")
    shift: Annotated[float, number(read("time", between=("10 min", "24 h")))] = key(
        "Length of the worker's shift.", '"10 h"', EIGHT_HOURS
    )
    afterwards: Literal["far", "away"] = key(
        "Where the worker is for the rest of the shift: in the same place, or away from it.", '"away"', "far"
    )
    crew: Annotated[int, Field(ge=1, le=200)] = key("How many people do the work.", "2")
    who: list[Id] = list_of("Who they are, by the ids of [[person]] in shop.toml.", '["tech-1", "tech-2"]')
    surface: Text = key("What is coated. Needed where a product's coats depend on it.", '"aluminium"', "")
    carried: list[CarriedTable] = Field(
        default_factory=list, description="Stock carried into the place, used or not. One table for each."
    )


class UseTable(KnownTable):
    product: Id = key("Id of a product.", '"wash-solvent"')
    work: Work = key(
        "The way of working; brush is also a roller, trowel or spatula, wash is parts washed in a tank or tray.",
        '"wipe"',
    )
    amount: Stock | None = key(
        "How much goes on, for one coat. For open and wash, what is in the can or tank. Left out: area times coverage.",
        '"250 mL"',
        None,
    )
    area: Area | None = key(
        "The wetted area. For open the opening, for wash the liquid and the wet parts. Needed for all but spray.",
        '"1.5 m^2"',
        None,
    )
    kept: Share = key("Share that stays in cloth, brush or scrapings.", '["20 %", "50 %"]', Range(0.0, 0.0))
    lifted_by: Text = key("Name of the step at whose end it is gone. Left out: it stays till it dries.", '"Scrape"', "")
    freeboard: Height = key(
        "Of a can that stands open, from the rim down to the liquid. Left out: none.", '"20 cm"', 0.0
    )
    can_depth: Height | None = key("From its rim to its bottom; goes with freeboard.", '"30 cm"', None)


class LeftoverTable(KnownTable):
    what: Text = key("What is left lying.", '"wet rags"')
    product: Id = key("Id of the product in it.", '"wash-solvent"')
    amount: Stock | None = key("How much product is in it, over and above the amounts of the uses.", '"100 mL"', None)
    area: Area | None = key("Its wet surface.", '"0.3 m^2"', None)
    form: WasteForm | None = key("What waste it is. Left out: held until somebody has said.", '"wet-cloths"', None)
    taken_away: Text = key("Name of the step at whose end it goes. Left out: it stays.", '"Wipe down"', "")
    near: bool = key("True where it lies beside the worker.", "false", True)


class StepTable(OpenTable):
    name: Text = key("What is done. No two steps share a name.", '"Wipe down"')
    names: SecondNames = second_names('{es = "Limpiar con trapo"}')
    duration: Annotated[tuple[float, ...], PlainValidator(LASTS.ends)] = key(
        "Time of hands-on work, for one coat where there are coats: the least and the most it may take. One time "
        "counts as two thirds to one and a half of it, our judgement.",
        '["15 min", "25 min"]',
    )
    people: Literal["near", "far", "away"] = key(
        "Where the worker is: at the work, elsewhere in the place, or out of it.", '"far"', "near"
    )
    near_share: Share | None = key(
        "Share of the step the worker is at the work; else elsewhere in the place. Left out: all of it.",
        '["30 %", "60 %"]',
        None,
    )
    place: Id | None = key("Id of another place.", '"tank"', None)
    air: Text = key("State of the air, where it is not the job's.", '"one door open"', "")
    temperature: AirTemperature | None = key("Temperature of the air in this step.", '"30 degC"', None)
    surface_temperature: Annotated[
        Range | None, PlainValidator(read("temperature", between=("-60 degC", "150 degC")).span)
    ] = key("Temperature of the surface, where it is not that of the air.", '["35 degC", "45 degC"]', None)
    length: Annotated[float | None, PlainValidator(read("length", between=("1 cm", "1000 m")).number)] = key(
        "Length the hands travel along.", '"2.5 m"', None
    )
    ignition_sources: list[Text] = list_of(f"What can set off vapour in this step. {SOURCES}", '["hot lamp"]')
    structure_holds: Text = key(
        'What the structure beneath holds: a CAS number, a name, or "unknown".', '"8008-20-6"', ""
    )
    overhead: bool = key("True where the work is above the head.", "true", False)
    joins: Id | None = key("Id of the product whose start window this step must meet.", '"bond-primer"', None)
    operation: Text = key(
        "What the work is in the words of a rule: an exempt operation, or an open question.", '"before-bonding"', ""
    )
    contact: Contact = key("How what is wet here meets the skin: not less than a splash.", '"wet cloth"', "")
    use: list[UseTable] = Field(default_factory=list, description="A product used in the step. One table for each.")
    leaves_wet: list[LeftoverTable] = Field(
        default_factory=list, description="Something wet left lying that gives off vapour. One table for each."
    )


class MeasurementTable(Table):
    substance: Text = key("What was measured: its CAS number or its name.", '"108-88-3"')
    value: Annotated[Amount, PlainValidator(IN_AIR.single)] = key(
        "The result, as the laboratory gives it. The detection limit where nothing was found.", '"85 ppm"'
    )
    as_planned: bool = key(
        "True where amounts, areas and air were then those of this file: only such results make its figures milder.",
        "true",
        False,
    )
    below_detection: bool = key("True where the result lies below the detection limit.", "true", False)
    kind: Literal["badge", "tube", "meter"] = key("What it was taken with.", '"badge"')
    step: Names = Field(
        default_factory=list,
        description="Name of the step it covers, or a list of names. Left out: the whole shift.",
        examples=['"Wipe down"'],
    )
    duration: Annotated[float, number(read("time", between=("1 s", "24 h")))] = key(
        "How long it was worn or drawn.", '"45 min"'
    )
    position: Literal["worker", "far"] = key(
        "Where: at the worker's breathing zone, or elsewhere in the place.", '"worker"', "worker"
    )
    air: Text = key("State of the air it was taken in. Left out: taken as the planned one.", '"doors shut"', "")
    date: Day = key("The day it was taken.", "2026-03-02")
    method: Text = key("Laboratory and method.", '"charcoal badge, own laboratory"', "")


class JobFile(Table):
    job: JobTable = Field(description="The job itself. Written once.")
    step: list[StepTable] = Field(min_length=1, max_length=MOST_STEPS, description="One piece of work, in order.")
    measurement: list[MeasurementTable] = Field(
        default_factory=list, description="A result measured while this job was done. One table for each."
    )


Shape = TypeVar("Shape", ShopFile, ProductFile, JobFile)


def fit(shape: type[Shape], data: dict[str, Any]) -> Shape | list[Mistake]:
    """Return the data in their shape, or every mistake in them."""
    found: list[Mistake] = []
    try:
        return shape.model_validate(data)
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            path: At = tuple(step for step in detail["loc"] if step != "[key]")  # its mark of a mistake in a key
            wrong, write = words(shape, path, detail)
            found.append((path, wrong, write))
    return found
