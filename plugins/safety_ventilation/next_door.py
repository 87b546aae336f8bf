"""People behind the doors of the job's places: what comes over to them, and whether they may stay."""

from __future__ import annotations

from safety.exposure.result import NextDoor
from safety.model import Finding
from safety.words import joined, say
from safety_ventilation.bystanders import Verdict, verdict, why_out
from safety_ventilation.clearing import partly_judged
from safety_ventilation.limits import PLUGIN, AirTask, over_shift

KEY = "air-next-door"


def judge(task: AirTask) -> list[Finding]:
    return [_finding(task, one) for one in task.exposure.next_door if _anything(task, one)]


def _anything(task: AirTask, one: NextDoor) -> bool:
    """Whether any vapour can be there at all."""
    return bool(task.vapour(over_shift(one.people))) or partly_judged(task)


def _finding(task: AirTask, one: NextDoor) -> Finding:
    found = verdict(task, over_shift(one.people))
    place = one.place.name or one.place.id
    unknown = say("What people next door in {place} breathe is not all known.", place=place) if found.partly else ""
    return Finding(
        level="stop" if found.deadly else "control" if found.out or found.partly else "note",
        topic="air",
        statement=joined((*_sentences(found, place, unknown), _counted(one))),
        short=_short(found, place),
        plugin=PLUGIN,
        figures=found.figures,
        rule=found.worst.rule if found.readings or found.deadly else "",
        unknown=unknown,
        remedy=_remedy(found),
        key=f"{KEY}:{one.place.id}",
        close=found.danger.close or found.standing.close,
        grounds=task.clear_by if found.out else (),
    )


def _sentences(found: Verdict, place: str, unknown: str) -> list[str]:
    if found.out:
        out = say(
            "Vapour goes through the door. Keep people out of {place} too, until its air has been measured.",
            place=place,
        )
        return [out, why_out(found)]
    if not found.readings:
        return [unknown]
    worst = found.readings[0]
    under = say(
        "What could be judged of the vapour next door in {place} stays under every limit. "
        "Highest: {substance}, {span}, {value} ppm, limit {limit}.",
        place=place,
        substance=worst.substance.name,
        span=worst.span,
        value=worst.shown,
        limit=worst.named,
    )
    return [unknown, under] if unknown else [under]


def _counted(one: NextDoor) -> str:
    """By which air they are judged, and by which the people at the work."""
    over = (
        say("The door counts as its file says, and people walk through it.")
        if one.known
        else say(
            "How much air goes through is not known, so both places count as one air. Write of the door: its area, "
            "height, open_share and temperature_difference, or the airflow as measured."
        )
    )
    return joined((over, say("For the people at the work it takes nothing away.")))


def _short(found: Verdict, place: str) -> str:
    if found.out:
        return say("Keep people out of {place} next door", place=place)
    if found.partly:
        return say("Next door in {place}: not known", place=place)
    return say("Next door in {place}: under the limits", place=place)


def _remedy(found: Verdict) -> str:
    if found.out:
        return say("Keep the door shut and write how long it is open, or do the job when nobody is next door.")
    return say("Keep people out until what is missing is known.") if found.partly else ""
