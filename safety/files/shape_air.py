"""The shape of a place's air in one state of its doors and fans, and of what draws vapour away there."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from safety.files.shape_kinds import Area, Day, SecondNames, Share, Table, Text, key, read, second_names
from safety.model import Range

SPEED = read("speed", between=("0.01 m/s", "20 m/s"))


class HoodTable(Table):
    airflow: Annotated[Range, PlainValidator(read("airflow", between=("1 m3/h", "100000 m3/h")).span)] = key(
        "How much air it draws.", '"500 cfm"'
    )
    opening: Area = key("Area of its opening.", '"0.09 m^2"')
    distance: Annotated[Range, PlainValidator(read("length", between=("1 cm", "3 m")).span)] = key(
        "From the opening to where the vapour comes off.", '["0.15 m", "0.3 m"]'
    )
    flange: bool = key("True where a flat rim stands around the opening.", "true", False)


class AirTable(Table):
    state: Text = key("What people call this state of the doors and fans.", '"doors shut"')
    names: SecondNames = second_names('{es = "puertas cerradas"}', "What the state is called")
    air_changes: Annotated[Range | None, PlainValidator(read("air_changes", positive=False).span)] = key(
        "How often the air of the place is replaced. Needed everywhere but outdoors.", '["0.3 /hour", "2 /hour"]', None
    )
    air_speed: Annotated[Range, PlainValidator(read("speed", between=("0.001 m/s", "20 m/s")).span)] = key(
        "How fast the air moves over the work.", '["0.03 m/s", "0.2 m/s"]'
    )
    basis: Text = key("Where these numbers are from.", '"tracer gas, doors shut, by R. Vale"')
    measured: Day | None = key(
        "The day they were measured in this place. Left out: they count as assumed, whatever the basis says.",
        "2026-03-02",
        None,
    )
    capture: Share | None = key(
        "Share of the vapour a hood takes away before it mixes with the room air, where somebody measured it.",
        '"80 %"',
        None,
    )
    capture_velocity: Annotated[Range | None, PlainValidator(SPEED.span)] = key(
        "Air speed toward the hood, measured where the vapour comes off. In place of capture.", '"0.4 m/s"', None
    )
    hood: HoodTable | None = Field(None, description="The hood, where nobody measured. In place of capture.")
    face_velocity: Annotated[Range | Literal["unknown"] | None, PlainValidator(SPEED.span_or_unknown)] = key(
        'Speed of the stream through a booth, measured over its face, or "unknown". Needed in a booth.',
        '["0.4 m/s", "0.6 m/s"]',
        None,
    )
