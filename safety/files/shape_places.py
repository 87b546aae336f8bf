"""The shape of a place of the shop, and of the states its air is really in."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, PlainValidator

from safety.files.shape_air import AirTable
from safety.files.shape_doors import DoorTable
from safety.files.shape_kinds import (
    SHARE,
    AirTemperature,
    Id,
    OpenTable,
    SecondNames,
    Text,
    key,
    list_of,
    read,
    second_names,
)
from safety.model import PlaceKind, Range

#: Where people work, and the air there in any weather; below the sea 0 m is the careful side.
Altitude = Annotated[float | None, PlainValidator(read("length", between=("0 m", "6000 m"), positive=False).number)]
Pressure = Annotated[float | None, PlainValidator(read("pressure", between=("45 kPa", "110 kPa")).number)]

#: How an ignition source is best written.
SOURCES = (
    "A name from the table ignition-source of a rules pack, whole. Any other text counts as a source nobody knows, and "
    "hazstep check offers the nearest name."
)


class PlaceTable(OpenTable):
    id: Id = key("The word by which jobs name this place.", '"bay-2"')
    name: Text = key("What people call it.", '"Bay 2"', "")
    names: SecondNames = second_names('{es = "Bahía 2"}')
    kind: PlaceKind = key("What sort of place it is.", '"room"')
    volume: Annotated[float | None, PlainValidator(read("volume", between=("1 L", "10000000 m3")).number)] = key(
        "Volume of its air. Needed everywhere but outdoors.", '"2400 m^3"', None
    )
    temperature: AirTemperature = key("Temperature of the air.", '"24 degC"')
    altitude: Altitude = key("How high it lies above sea level, where not as the shop.", '"1500 m"', None)
    pressure: Pressure = key("Pressure of its air in place of its height, not reduced to sea level.", '"84 kPa"', None)
    humidity: Annotated[float | None, PlainValidator(SHARE.number)] = key("Relative humidity.", '"50 %"', None)
    near_radius: Annotated[Range | None, PlainValidator(read("length", between=("0.1 m", "3 m")).span)] = key(
        "How far the air around the hands reaches. Left out: 0.4 m to 0.9 m, our assumption.",
        '["0.4 m", "0.9 m"]',
        None,
    )
    ignition_sources: list[Text] = list_of(
        f"What can set off vapour and is always here or next door. {SOURCES}", '["heater"]'
    )
    overnight: Text = key(
        "State of its air once the shift is over. Left out: the one with the least air.", '"doors shut"', ""
    )
    eyewash: Text = key("Where the nearest eyewash is.", '"at the wash-up, 12 m"', "")
    shower: Text = key("Where the nearest shower is.", '"outside the paint store"', "")
    air: list[AirTable] = Field(min_length=1, description="One table for each state the air is really in.")
    door: list[DoorTable] = Field(
        default_factory=list,
        description="A door, or another opening, to another place. One table for each. Left out: nothing goes over.",
    )
