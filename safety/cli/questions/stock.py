"""The questions about what a shop has in stock: gloves, masks, eyewear, waste containers; tables of ``shop.toml``."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any, get_args

from safety.cli.questions.keys import as_it_is, free_id, made, names, or_nothing
from safety.cli.questions.talk import Answer, Choice, Talk
from safety.files.one_key import example_of
from safety.files.shape_kinds import WasteForm
from safety.files.shape_parts import PartTable
from safety.files.shape_stock import BreakthroughTable, ContainerTable, EyewearTable, GloveTable, RespiratorTable
from safety.model import Reactivity
from safety.words import say

Table = dict[str, Any]


def ask(talk: Talk, taken: Mapping[str, Collection[str]]) -> dict[str, list[Table]]:
    """What is in stock, by the kind of table. ``taken``: the ids of those that are there."""
    found: dict[str, list[Table]] = {}
    while True:
        kind = talk.choose(
            say("What else do you have in stock?") if found else say("What do you have in stock?"),
            say("A sheet chooses only from what is there. Without gloves it says stop."),
            (
                Choice("glove", say("a glove")),
                Choice("respirator", say("a mask")),
                Choice("eyewear", say("goggles or a shield")),
                Choice("container", say("a container for waste")),
            ),
            enter=Answer(None, say("that was all")),
            unknown=Answer(None, say("that was all")),
        ).value
        if kind is None:
            return found
        own = found.setdefault(str(kind), [])
        own.append(_KINDS[str(kind)](talk, {*taken[str(kind)], *(one["id"].value for one in own)}))


def _named(talk: Talk, table: Any, taken: Collection[str]) -> Table:
    name = talk.ask(
        say("What do people call it?"),
        say("Jobs and sheets name it."),
        as_it_is(table, "name"),
        example=example_of(table, "name"),
        advice=say("Make up a name."),
    )
    return {"id": Answer(free_id(name.value, taken)), "name": name}


def _glove(talk: Talk, taken: Collection[str]) -> Table:
    glove = _named(talk, GloveTable, taken)
    glove["material"] = talk.ask(
        say("What is it made of?"),
        say("Each solvent goes through another material."),
        as_it_is(GloveTable, "material"),
        example=example_of(GloveTable, "material"),
        advice=say("The box or its maker's table says it."),
    )
    glove["thickness"] = talk.ask(
        say("How thick is one layer?"),
        say("A thin one only keeps off splashes."),
        as_it_is(GloveTable, "thickness"),
        example=example_of(GloveTable, "thickness"),
        advice=say("The box or its maker's table says it."),
    )
    if talk.yes(
        say("Is it thrown away after one use?"), say("A glove that is worn again counts by the day."), unknown=False
    ):
        glove["disposable"] = Answer(True)
    if times := _times(talk):
        glove["breakthrough"] = Answer(times)
    return glove


def _times(talk: Talk) -> dict[str, dict[str, Any]]:
    """The maker's table, a row for each substance. A row that is not whole is none."""
    rows: dict[str, dict[str, Any]] = {}
    while True:
        done = Answer(None, say("that was all"))
        cas = talk.ask(
            say("For which CAS number does its maker's table give a time?"),
            say("Without its maker's time no glove may be worn in a liquid."),
            as_it_is(PartTable, "cas"),
            example=example_of(PartTable, "cas"),
            enter=done,
            unknown=done,
        ).value
        if cas is None:
            return rows
        asked = {
            "time": say("After what time does it come through?"),
            "standard": say("By which standard was it tested?"),
            "temperature": say("How warm was it in the test?"),
        }
        row: dict[str, Any] = {}
        for key, text in asked.items():
            row[key] = talk.ask(
                text,
                say("A glove is worn for a part of that time alone."),
                as_it_is(BreakthroughTable, key),
                example=example_of(BreakthroughTable, key),
                unknown=Answer(None, say("this row is left out")),
            ).value
            if row[key] is None:
                break
        else:
            rows[cas] = row


def _respirator(talk: Talk, taken: Collection[str]) -> Table:
    mask = _named(talk, RespiratorTable, taken)
    mask["kind"] = talk.choose(
        say("Where is its air from?"),
        say("What protects in one air is deadly in another."),
        (
            Choice("air-purifying", say("it cleans the air of the place by a filter")),
            Choice("powered air-purifying", say("the same with a fan")),
            Choice("supplied air", say("through a hose")),
            Choice("self-contained", say("from a bottle on the back")),
        ),
        advice=say("Ask who looks after the masks."),
    )
    mask["facepiece"] = talk.choose(
        say("What covers the face?"),
        say("A full facepiece lets in less, and keeps the eyes."),
        (
            Choice("half mask", say("half mask")),
            Choice("full facepiece", say("full facepiece")),
            Choice("hood", say("hood")),
            Choice("loose-fitting", say("loose-fitting facepiece")),
        ),
        advice=say("Ask who looks after the masks."),
    )
    if str(mask["kind"].value) == "supplied air":
        mask["mode"] = talk.choose(
            say("How is its air fed?"),
            say("Only pressure keeps vapour out where it does not fit."),
            (Choice("demand"), Choice("continuous flow"), Choice("pressure demand")),
            unknown=Answer(None, say("left out: the rules give it no factor")),
        )
    if str(mask["kind"].value).endswith("air-purifying"):
        mask["cartridge"] = talk.ask(
            say("What is its cartridge for?"),
            say("One for dust lets vapour through."),
            as_it_is(RespiratorTable, "cartridge"),
            example=example_of(RespiratorTable, "cartridge"),
            unknown=Answer(None, say("left out: the mask is not chosen")),
        )
        mask["sorbent_mass"] = _carbon(talk)
    return mask


def _carbon(talk: Talk) -> Answer:
    few = Answer(None, say("left out: 50 g count, less than any pair holds"))
    return talk.ask(
        say("How much carbon is in all its cartridges together?"),
        say("More carbon lasts longer."),
        as_it_is(RespiratorTable, "sorbent_mass"),
        example=example_of(RespiratorTable, "sorbent_mass"),
        enter=few,
        unknown=few,
    )


def _eyewear(talk: Talk, taken: Collection[str]) -> Table:
    kind = talk.choose(
        say("What is it?"),
        say("Spectacles stop no splash."),
        (
            Choice("spectacles", say("spectacles with side shields")),
            Choice("splash goggles", say("splash goggles")),
            Choice("face shield", say("face shield")),
        ),
        unknown=Answer("spectacles", say("counts as spectacles")),
    )
    return {**_named(talk, EyewearTable, taken), "kind": kind}


def _container(talk: Talk, taken: Collection[str]) -> Table:
    stream = talk.ask(
        say("What goes in? As its label says."),
        say("What must not go together has containers of its own."),
        as_it_is(ContainerTable, "stream"),
        example=example_of(ContainerTable, "stream"),
        advice=say("Read its label."),
    )
    nothing = Answer(None, say("left out: nothing is offered it"))
    anything = Answer(None, say("left out: it may be any of these"))
    accepts = talk.ask(
        say("Which wastes may go in? Write their words with commas between."),
        say("A waste that has no container stops the sheet."),
        made(ContainerTable, "accepts", names),
        enter=nothing,
        unknown=nothing,
        listed=get_args(WasteForm),
    )
    reactivity = talk.ask(
        say("What is the waste in it? Write the words with commas between, or none."),
        say("Some wastes heat up or burst a container together."),
        made(ContainerTable, "reactivity", lambda line: or_nothing(names)(line) or []),
        enter=anything,
        unknown=anything,
        listed=get_args(Reactivity),
    )
    return {
        "id": Answer(free_id(stream.value, taken)),
        "stream": stream,
        "accepts": accepts,
        "reactivity": reactivity,
        "size": talk.ask(
            say("How much does it hold?"),
            say("The sheet says when it is full."),
            as_it_is(ContainerTable, "size"),
            example=example_of(ContainerTable, "size"),
            advice=say("Write the smaller figure where you are not sure."),
        ),
        "kind": talk.choose(
            say("Where does it stand?"),
            say("The rules give it more or less time."),
            (Choice("satellite", say("beside the work")), Choice("central", say("where full ones are kept"))),
            unknown=Answer("central", say("counts as where full ones are kept")),
        ),
    }


_KINDS = {"glove": _glove, "respirator": _respirator, "eyewear": _eyewear, "container": _container}
