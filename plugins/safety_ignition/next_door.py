"""The air behind the doors of the job's places: whether what comes over can catch fire there."""

from __future__ import annotations

from safety import levels
from safety.exposure.result import NextDoor
from safety.model import Finding, Threshold
from safety.words import joined, say
from safety_ignition.sources import TABLE, named
from safety_ignition.task import PLUGIN, FireTask
from safety_ignition.zones import Zone, beyond

KEY = "fire-next-door"


def judge(task: FireTask) -> list[Finding]:
    pairs = ((one, beyond(task, one)) for one in task.exposure.next_door)
    return [_finding(task, one, zone) for one, zone in pairs if zone.figure is not None or zone.unknown]


def _finding(task: FireTask, one: NextDoor, zone: Zone) -> Finding:
    place = one.place.name or one.place.id
    sources = named(one.place.ignition_sources, task.reference.table(TABLE))
    return Finding(
        level="stop" if zone.over else "control" if zone.unknown else "note",
        topic="fire",
        statement=joined((*_sentences(task, zone, place), *_lit(zone, [s.text for s in sources]))),
        short=_short(task, zone, place),
        plugin=PLUGIN,
        figures=(zone.figure,) if zone.figure is not None else (),
        rule=task.rule("ten-percent") if zone.over else "",
        unknown=zone.unknown,
        remedy=say("Keep the door shut and write how long it is open, or wet less at a time.")
        if zone.over or zone.unknown
        else "",
        key=f"{KEY}:{one.place.id}",
        close=zone.standing.close,
        grounds=(*zone.grounds, *task.grounds("ten-percent"), *(g for s in sources for g in s.grounds)),
    )


def _sentences(task: FireTask, zone: Zone, place: str) -> list[str]:
    found = [zone.unknown] if zone.unknown else []
    if zone.figure is not None:
        text = say(
            "Vapour goes through the door. The air of {place} reaches {share} % of its lower explosive limit.",
            place=place,
            share=_share(task, zone.figure.value),
        )
        found.append(text)
    return found


def _lit(zone: Zone, sources: list[str]) -> list[str]:
    """What could light it there."""
    if not sources or not (zone.over or zone.unknown):
        return []
    return [say("There: {sources}. Turn it off before the first can is opened.", sources=", ".join(sources))]


def _short(task: FireTask, zone: Zone, place: str) -> str:
    if zone.figure is None:
        return say("Fire next door in {place}: not known", place=place)
    share = _share(task, zone.figure.value)
    return say("Next door in {place}: air at {share} % of the explosive limit", place=place, share=share)


def _share(task: FireTask, value: float) -> str:
    limit = task.fire_stop
    return levels.compared(value, *((limit.value * 100,) if isinstance(limit, Threshold) else ()), digits=2)
