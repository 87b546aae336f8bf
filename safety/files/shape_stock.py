"""The shapes of what a shop has in stock to wear, and of its waste containers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, PlainValidator

from safety.files.shape_kinds import (
    Cas,
    DayOrMoment,
    Id,
    SecondNames,
    Table,
    Text,
    WasteForm,
    key,
    list_of,
    number,
    read,
    second_names,
)
from safety.model import Reactivity


class BreakthroughTable(Table):
    time: Annotated[float, number(read("time", between=("0 s", "7 day"), positive=False, careful="low"))] = key(
        "When the liquid first came through. Write 480 min where the maker says more than 480.", '"480 min"'
    )
    standard: Text = key("The test standard the maker names.", '"EN 16523-1"')
    temperature: Annotated[float, number(read("temperature", between=("0 degC", "60 degC")))] = key(
        "Temperature of the test.", '"23 degC"'
    )


class GloveTable(Table):
    id: Id = key("The word by which sheets name this glove.", '"laminate-liner"')
    name: Text = key("What people call it.", '"Flat laminate liner"', "")
    names: SecondNames = second_names('{es = "Guante interior laminado"}')
    material: Text = key("What it is made of, by its name: one the glove tables know.", '"PE/EVAL laminate"')
    thickness: Annotated[float, number(read("length", between=("0.01 mm", "5 mm")))] = key(
        "Thickness of one layer.", '"0.06 mm"'
    )
    disposable: bool = key("True where it is thrown away after one use.", "true", False)
    breakthrough: dict[Cas, BreakthroughTable] = Field(
        default_factory=dict,
        description="The maker's own table: for each CAS number a time, a standard and a temperature.",
        examples=['{"108-88-3" = {time = "480 min", standard = "EN 16523-1", temperature = "23 degC"}}'],
    )


class RespiratorTable(Table):
    id: Id = key("The word by which sheets name this respirator.", '"half-mask"')
    name: Text = key("What people call it.", '"Half mask with vapour cartridges"', "")
    names: SecondNames = second_names('{es = "Media cara con cartuchos"}')
    kind: Literal["air-purifying", "powered air-purifying", "supplied air", "self-contained"] = key(
        "Where its air is from.", '"air-purifying"'
    )
    facepiece: Literal["half mask", "full facepiece", "hood", "loose-fitting"] = key(
        "What covers the face.", '"half mask"'
    )
    cartridge: Text = key("What the cartridge is for.", '"organic vapour"', "")
    mode: Literal["", "demand", "continuous flow", "pressure demand"] = key("How its air is fed.", '"demand"', "")
    cartridge_limit: Annotated[float | None, PlainValidator(read("air_share").number)] = key(
        "Most vapour the maker allows the cartridge for.", '"1000 ppm"', None
    )
    sorbent_mass: Annotated[float | None, PlainValidator(read("mass", between=("1 g", "5 kg")).number)] = key(
        "Carbon in all cartridges worn together.", '"100 g"', None
    )
    bed_depth: Annotated[float | None, PlainValidator(read("length", between=("1 mm", "200 mm")).number)] = key(
        "Depth of the carbon bed.", '"22 mm"', None
    )


class EyewearTable(Table):
    id: Id = key("The word by which sheets name it.", '"goggles"')
    name: Text = key("What people call it.", '"Splash goggles"', "")
    names: SecondNames = second_names('{es = "Goggles"}')
    kind: Literal["spectacles", "splash goggles", "face shield"] = key("What it is.", '"splash goggles"')


class ContainerTable(Table):
    id: Id = key("What is written on the container.", '"rags-1"')
    stream: Text = key("What goes in, in your own words. No rule goes by it.", '"wet rags"')
    names: SecondNames = second_names('{es = "trapos mojados"}', "What its label says is in it")
    size: Annotated[float, number(read("volume", between=("0.1 L", "100 m3")))] = key(
        "How much it holds.", '"55 US_gal"'
    )
    kind: Literal["satellite", "central"] = key("Beside the work, or where full ones are kept.", '"satellite"')
    started: DayOrMoment | None = key("The day, or the day and time, the first waste went in.", "2026-11-02", None)
    accepts: list[WasteForm] = list_of("What may go in. Left out: nothing is offered it.", '["wet-cloths"]')
    reactivity: list[Reactivity] | None = key(
        "What the waste in it is, for what else may go in; [] where it is none of these. Left out: it may be any.",
        '["flammable"]',
        None,
    )
    contents: Text = key("What the label says is in it. Left out: the stream.", '"Rags with toluene"', "")
    regime: Literal["", "universal waste", "used oil", "episodic event"] = key(
        "Rules of its own for its waste, so that it does not count towards the category of a generator.",
        '"universal waste"',
        "",
    )
    area: Text = key(
        "The work area it serves. Satellite containers of one area count together against the volume limit.",
        '"bay-2"',
        "",
    )
