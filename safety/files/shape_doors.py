"""The shape of a door, or another opening, between two places of a shop."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import PlainValidator

from safety.files.shape_kinds import SHARE, Area, Id, Table, key, read
from safety.model import Range

DIFFERENCE = read("temperature_difference", between=("0 K", "60 K"), positive=False)
OVER = read("airflow", between=("0.1 m3/h", "1000000 m3/h"))


class DoorTable(Table):
    to: Id = key("Id of the place behind it. Written in one of the two places.", '"office"')
    area: Area | None = key("Area of the opening, the door wide open.", '"1.8 m^2"', None)
    height: Annotated[float | None, PlainValidator(read("length", between=("1 cm", "30 m")).number)] = key(
        "Height of the opening.", '"2 m"', None
    )
    open_share: Annotated[Range | Literal["unknown"] | None, PlainValidator(SHARE.span_or_unknown)] = key(
        'Share of the time it stands open, or "unknown".', '["10 %", "50 %"]', None
    )
    temperature_difference: Annotated[Range | Literal["unknown"] | None, PlainValidator(DIFFERENCE.span_or_unknown)] = (
        key('How much warmer one place is than the other, or "unknown".', '["0 K", "3 K"]', None)
    )
    airflow: Annotated[Range | None, PlainValidator(OVER.span)] = key(
        "How much air goes over each way, where somebody measured it. In place of all the others.",
        '["40 m3/h", "120 m3/h"]',
        None,
    )
