"""Work on a structure that holds fuel: how warm it is, and what is near it."""

from __future__ import annotations

from dataclasses import replace

from safety import levels, units
from safety.cited import Cited, Unknown
from safety.model import Figure, Finding
from safety.reference import past, settled
from safety.reference.citing import as_threshold
from safety.words import capital, joined, say
from safety_ignition.sources import TABLE, named
from safety_ignition.task import PLUGIN, FireTask, air_pressure, here


def judge(task: FireTask, index: int) -> list[Finding]:
    step = task.job.steps[index]
    if not step.structure_holds:
        return []
    return [*_sources(task, index), _heat(task, index)]


def _sources(task: FireTask, index: int) -> list[Finding]:
    """Any ignition source over held fuel is a stop, wet solvent or not."""
    step = task.job.steps[index]
    sources = named((*step.ignition_sources, *step.place.ignition_sources), task.reference.table(TABLE))
    return [
        Finding(
            level="stop",
            topic="fire",
            statement=say(
                "{source} is named where the structure holds fuel. {why}.",
                source=capital(s.text),
                why=s.why,
            ),
            short=say("No {source} over held fuel", source=s.described),
            plugin=PLUGIN,
            step=index,
            rule=joined((task.rule("held-liquid"), s.citation), "; "),
            grounds=(*task.grounds("held-liquid"), *s.grounds),
            remedy=say("Empty the structure and make its vapour space safe, or take the source away."),
            key="fire-held-source",
        )
        for s in sources
    ]


def _heat(task: FireTask, index: int) -> Finding:
    step = task.job.steps[index]
    holds = step.structure_holds
    remedy = say("Empty it and make its vapour space safe, or cool it, or work when it is cooler.")
    if holds.strip().casefold() == "unknown":
        text = say("What the structure holds is not known. Find out before anybody starts.")
        return _stop(
            task,
            index,
            text,
            say("Find out what the structure holds"),
            say("Find out what it holds, and write it in the job."),
            text,
        )
    burns_from = _burns_from(task, holds, air_pressure(task.job.steps[index].place))
    if isinstance(burns_from, Unknown):
        text = say(
            "From which temperature the liquid in the structure ({cas}) can burn is not known: {why}.",
            cas=holds,
            why=burns_from.reason,
        )
        return _stop(task, index, text, say("Held liquid: no fire data"), remedy, text)
    return _held_at(task, index, burns_from, remedy)


def _held_at(task: FireTask, index: int, burns_from: Figure, remedy: str) -> Finding:
    """How near what the structure holds comes to the temperature from which it can burn."""
    step = task.job.steps[index]
    temperature = step.place.temperature.high if step.surface_temperature is None else step.surface_temperature.high
    margin = task.reference.threshold("held-liquid-margin")
    gap = settled(settled(burns_from.value) - settled(temperature))
    figure = Figure(
        name=say("structure below the temperature from which what it holds can burn"),
        value=gap,
        unit="K (difference)",
        inputs=(
            ("can burn from", burns_from),
            ("temperature", Figure(say("highest of the structure"), temperature, "K")),
            *((("margin", margin),) if not isinstance(margin, Unknown) else ()),
        ),
    )
    margins = () if isinstance(margin, Unknown) else (burns_from.value - margin.value,)
    warm = levels.shown(temperature, burns_from.value, task.degrees, *margins)
    burns = task.degrees(burns_from.value)
    if gap <= 0:
        text = say(
            "The structure is at up to {warm}. From {burns} on the vapour inside it can burn.", warm=warm, burns=burns
        )
        return _stop(
            task, index, text, say("Held fuel at {warm}: vapour inside can burn", warm=warm), remedy, "", (figure,)
        )
    near = isinstance(margin, Unknown) or past(gap, margin)
    text = (
        say(
            "The structure is at up to {warm}, near {burns}, from which the vapour inside it can burn. "
            "Keep it from heat, close it, bond and earth it.",
            warm=warm,
            burns=burns,
        )
        if near
        else say(
            "The structure is at up to {warm}, well below {burns}, from which the vapour inside it can burn.",
            warm=warm,
            burns=burns,
        )
    )
    return Finding(
        level="control" if near else "note",
        topic="fire",
        statement=text,
        short=say("Held fuel: keep it closed, bonded and from heat") if near else say("Held fuel is cool enough"),
        plugin=PLUGIN,
        step=index,
        figures=(figure,),
        rule=task.rule("held-liquid"),
        grounds=task.grounds("held-liquid", "held-liquid-margin"),
        remedy=remedy if near else "",
        key="fire-held",
    )


def _stop(
    task: FireTask, index: int, text: str, short: str, remedy: str, unknown: str, figures: tuple[Figure, ...] = ()
) -> Finding:
    rule = task.rule("held-liquid")
    grounds = task.grounds("held-liquid", "held-liquid-margin")
    return Finding("stop", "fire", text, short, PLUGIN, index, figures, rule, unknown, remedy, "fire-held", grounds)


def _burns_from(task: FireTask, cas: str, pressure: Figure) -> Figure | Unknown:
    """The lowest of this plugin's flammability temperature and all published flash points [K], in this air."""
    flash = task.lowest(cas, "flash_point")
    row = task.row("held-liquid", cas)
    name = say("lowest temperature at which the held liquid can burn")
    known = []
    if row is not None:
        own = units.read(str(row["flammable_from"]), "temperature")
        limit = as_threshold(row, say("flammability temperature"), own, "K")
        known.append(Figure(name, own, "K", inputs=((limit.name, replace(limit, written=row["flammable_from"])),)))
    if isinstance(flash, Cited):
        known.append(Figure(name, flash.value, "K", inputs=((say("flash point"), flash),)))
    elif not known:
        return flash
    lowest = min(known, key=lambda f: f.value)
    return replace(lowest, value=here(lowest.value, pressure), inputs=(*lowest.inputs, (pressure.name, pressure)))
