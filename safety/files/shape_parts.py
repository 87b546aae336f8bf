"""The shape of one part of a product: what section 3 of a data sheet says of it, and sections 8 and 9 where they do."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PlainValidator, model_validator

from safety.files.notation import Amount, Miswritten, atoms
from safety.files.shape_kinds import (
    IN_AIR,
    LIQUID,
    SHARE,
    VISCOSITY,
    Cas,
    Day,
    Share,
    Table,
    Text,
    key,
    list_of,
    number_or_unknown,
    read,
)
from safety.model import Range
from safety.words import say

_BOILS = read("temperature", between=("20 degC", "600 degC"))
_PRESSURE = read("pressure", between=("0 Pa", "200 kPa"), positive=False)
_BURNS_FROM = read("air_share", between=("0.1 %", "30 %"), careful="low")


class TakenAsTable(Table):
    cas: Cas = key("CAS number of the substance it is taken as.", '"108-88-3"')
    reason: Text = key("Why that one is no milder.", '"The maker says: an aromatic that boils at 110 degC"')
    name: Text = key("Who decided.", '"R. Vale, safety officer"')
    date: Day = key("The day it was decided.", "2026-03-02")


class PartLimitTable(Table):
    value: Annotated[Amount, PlainValidator(IN_AIR.single)] = key("The limit, as the data sheet prints it.", '"50 ppm"')
    kind: Literal["twa", "short-term", "ceiling"] = key(
        "Average of a shift, of 15 minutes, or never to be exceeded.", '"twa"'
    )
    list: Text = key("Whose limit the data sheet says it is. A DNEL is not a limit.", '"TLV"')


class PartTable(Table):
    cas: Cas | None = key("CAS number, from section 3 of the safety data sheet.", '"108-88-3"', None)
    name: Text = key("Its name. Needed where there is no CAS number.", '"polymer"', "")
    taken_as: TakenAsTable | None = Field(
        default=None,
        description="Another substance that stands in for what nobody knows of a part. What its own CAS number can do "
        "stays. Every sheet says so.",
    )
    weight: Share = key("Share by weight, as the safety data sheet gives it.", '["30 %", "60 %"]')
    volatile: bool = key("False for a resin or pigment that stays, of no known vapour pressure.", "false", True)
    groups: list[Literal["NCO", "Cr"]] = key("Groups a limit counts: NCO in a polyisocyanate.", '["NCO"]', [])
    boiling_range: Annotated[Range | None, PlainValidator(_BOILS.span)] = key(
        "Where a petroleum fraction begins and ends to boil, from section 9. For mixtures of hydrocarbons alone.",
        '["150 degC", "200 degC"]',
        None,
    )
    density: Annotated[float | None, number_or_unknown(read("density", between=("600 kg/m3", "1100 kg/m3")))] = key(
        "Density of a fraction at 15 or 20 degC.", '"0.78 g/mL"', None
    )
    vapour_pressure: Annotated[Range | None, PlainValidator(_PRESSURE.span)] = key(
        "Vapour pressure of a fraction, or of a part whose own is not in the data. There a bound, from 0, serves to "
        "0.1 Pa.",
        '["0 kPa", "1 kPa"]',
        None,
    )
    vapour_pressure_at: Annotated[float, PlainValidator(read("temperature", between=("0 degC", "60 degC")).number)] = (
        key("The temperature of that vapour pressure.", '"37.8 degC"', 293.15)
    )
    flash_point: Annotated[float | None, number_or_unknown(LIQUID)] = key(
        "Flash point of this part alone.", '"38 degC"', None
    )
    lower_explosive_limit: Annotated[float | None, number_or_unknown(_BURNS_FROM)] = key(
        "Lower explosive limit of this part alone.", '"0.6 %"', None
    )
    viscosity: Annotated[float | None, number_or_unknown(VISCOSITY)] = key(
        "Kinematic viscosity of this part at 40 degC.", '"1.1 mm2/s"', None
    )
    benzene: Annotated[Range | None, PlainValidator(SHARE.span)] = key(
        "Benzene in this part by weight. Shown to be under 0.1 %, the H340 and H350 of a list fall away (note P).",
        '["0 %", "0.05 %"]',
        None,
    )
    dmso_extract: Annotated[Range | None, PlainValidator(SHARE.span)] = key(
        "DMSO extract of a mineral oil by IP 346. Shown to be under 3 %, the H350 of a list falls away (note L).",
        '["0 %", "2.9 %"]',
        None,
    )
    carbon_numbers: Annotated[tuple[int, int] | None, PlainValidator(atoms)] = key(
        "Fewest and most carbon atoms of its molecules.", "[9, 11]", None
    )
    aromatics: Annotated[Range | None, PlainValidator(SHARE.span)] = key(
        "Aromatic hydrocarbons in this part by weight.", '["0 %", "2 %"]', None
    )

    limit: list[PartLimitTable] = list_of(
        "Exposure limits of this part, from section 8. They are held beside those of the rules packs, never in place "
        "of one.",
        '[{ value = "50 ppm", kind = "twa", list = "TLV" }]',
    )

    @model_validator(mode="after")
    def _stands_in(self) -> PartTable:
        if self.taken_as is not None and (self.taken_as.cas == self.cas or not self.volatile):
            raise Miswritten(
                say("a part that stays is taken as no other, and none as itself"),
                say("take taken_as out, or volatile = false"),
            )
        return self

    @model_validator(mode="after")
    def _evaporates(self) -> PartTable:
        if self.boiling_range is not None and not self.volatile:
            raise Miswritten(
                say("the part boils and is said to give off no vapour"),
                say("take volatile = false out; what soaks in and stays is the job's kept"),
            )
        return self
