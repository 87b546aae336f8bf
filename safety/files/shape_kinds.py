"""The kinds of value the files of a shop hold, as shapes.py puts them together. Imports pydantic for it."""

from __future__ import annotations

from datetime import date, datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, PlainValidator

from safety.files.notation import (
    Amount,
    Quantity,
    address,
    cas,
    day,
    day_or_moment,
    hazards,
    identifier,
    moment,
    names,
    setting,
    telephone,
    text,
)
from safety.files.second_names import language
from safety.model import AmountBasis, AreaBasis, Range


class Span(Quantity):
    """A quantity of which one number is something else than a range of no width."""

    def ends(self, value: object) -> tuple[float, ...]:
        """Read one quantity, or the two ends of a range."""
        found = self.amount(value).range
        return (found.low,) if found.exact and not isinstance(value, list) else (found.low, found.high)


def read(
    *kinds: str,
    between: tuple[str, str] | tuple[tuple[str, str], ...] = (),
    positive: bool = True,
    careful: Literal["low", "high", ""] = "",
) -> Quantity:
    """A quantity of one of several kinds; one pair of bounds, or a pair for each kind."""
    pairs = (between,) if between and isinstance(between[0], str) else between
    return Quantity(kinds, pairs, positive, careful)


LASTS = Span(("time",), (("1 s", "24 h"),), positive=True)
AIR_TEMPERATURE = read("temperature", between=("-40 degC", "60 degC"))
LIQUID = read("temperature", careful="low")
SHARE = read("fraction", positive=False)
VISCOSITY = read("viscosity", between=("0.1 mm2/s", "100000 mm2/s"), careful="low")
DRY = read("time", between=("0 s", "30 day"), positive=False)
WINDOW = read("time", between=("1 s", "30 day"))
COVERAGE = read(
    "area_density",
    "film_volume",
    "spreading_rate",
    between=(("1 g/m2", "10 kg/m2"), ("1 mL/m2", "10 L/m2"), ("0.1 m2/L", "1000 m2/L")),
)
STOCK = read("mass", "volume", between=(("1 mg", "20 t"), ("0.001 mL", "20 m3")), positive=False)
IN_AIR = read("air_share", "concentration", between=(("0.000001 ppm", "100 %"), ("0.0001 ug/m3", "3000 g/m3")))

Text = Annotated[str, PlainValidator(text)]
Telephone = Annotated[str, PlainValidator(telephone)]
Address = Annotated[str, PlainValidator(address)]
Names = Annotated[list[str], PlainValidator(names)]
Id = Annotated[str, PlainValidator(identifier)]
Language = Annotated[str, PlainValidator(language)]
SecondNames = dict[Language, Text]
Cas = Annotated[str, PlainValidator(cas)]
Hazards = Annotated[list[str] | None, PlainValidator(hazards)]
Day = Annotated[date, PlainValidator(day)]
Moment = Annotated[datetime, PlainValidator(moment)]
DayOrMoment = Annotated[date, PlainValidator(day_or_moment)]
AirTemperature = Annotated[Range, PlainValidator(AIR_TEMPERATURE.span)]
Share = Annotated[Range, PlainValidator(SHARE.span)]
Stock = Annotated[Amount | Literal["unknown"], PlainValidator(STOCK.amount_or_unknown)]
Area = Annotated[float, PlainValidator(read("area", between=("0.01 cm2", "100000 m2")).number)]
Height = Annotated[float, PlainValidator(read("length", between=("0 cm", "20 m")).number)]
Dry = Annotated[float, PlainValidator(DRY.number)]
WithinTime = Annotated[float, PlainValidator(WINDOW.number)]
Setting = Annotated[float | str, PlainValidator(setting)]
WasteForm = Literal[
    "free-liquid", "wet-cloths", "scrapings", "tools-and-gloves", "empty-containers", "expired-product", "held"
]
Contact = Literal["", "none", "splash", "wet cloth", "immersion"]


def number(quantity: Quantity) -> PlainValidator:
    return PlainValidator(quantity.number)


def number_or_unknown(quantity: Quantity) -> PlainValidator:
    """The data sheet may say "unknown"; that is None here and gets its reason in reading."""
    return PlainValidator(quantity.number_or_none)


def number_or_absent(quantity: Quantity) -> PlainValidator:
    """As :func:`number_or_unknown`, and "none" stays as it is: the data sheet says that there is none."""
    return PlainValidator(quantity.number_or_absent)


class Table(BaseModel):
    model_config = ConfigDict(strict=True, extra="forbid", frozen=True)


class OpenTable(Table):
    """A table in which plugins may ask for keys of their own."""

    x: dict[Text, dict[Text, Any]] = Field(
        default_factory=dict, description="Keys that a plugin asks for, in a table of its name.", examples=["{}"]
    )


def key(says: str, example: str, default: Any = ...) -> Any:
    return Field(default, description=says, examples=[example])


def list_of(says: str, example: str) -> Any:
    return Field(default_factory=list, description=says, examples=[example])


def second_names(example: str, of: str = "Its name") -> Any:
    says = f"{of} in other languages. A sheet in one of them prints it. Left out: as typed."
    return Field(default_factory=dict, description=says, examples=[example])


class KnownTable(Table):
    """A wet thing of a job, and how its amount and its area are known."""

    amount_basis: AmountBasis = key(
        "How the amount is known: weighed or measured at this work before, or guessed.", '"weighed"', "guessed"
    )
    area_basis: AreaBasis = key("How the area is known: measured, or guessed.", '"measured"', "guessed")
