"""One answer a step: wet liquid, vapour and ignition sources held against each other.

Where 10 % of the lower explosive limit is reached decides what follows. In the air of the whole
place, in a small or enclosed one, beside any named ignition source, or over a structure that
holds fuel it is a stop: that is the air the published 10 % rules are about. Close to the hands
alone, with no ignition source named, it is a control with clock times and a distance: the air
just over any wet solvent passes 10 %, and a stop on every wet brush would soon be read past.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from safety import levels
from safety.cited import Unknown
from safety.clock import clock
from safety.exposure.result import any_of
from safety.model import ClockSpan, ExplosiveShare, Figure, Finding, Ignites, Lights, Role, Step, Threshold
from safety.reference import past
from safety.words import capital, joined, say
from safety_ignition import halogens, lights
from safety_ignition.explosive_limits import correction
from safety_ignition.neighbours import neighbouring_sources
from safety_ignition.sources import TABLE, Source, cleared, decomposing, named, names
from safety_ignition.task import PLUGIN, FireTask
from safety_ignition.wet import Verdict, present, verdict
from safety_ignition.zones import Zone, zones


@dataclass(frozen=True, slots=True)
class Scene:
    """All that one step's fire judgement rests on."""

    index: int
    step: Step
    verdicts: tuple[Verdict, ...]
    near: Zone
    far: Zone
    own: list[Source]  # named in the step
    here: list[Source]  # these, and what another job uses meanwhile
    around: list[Source]  # always in the place or next door
    rules: tuple[Any, ...]  # what makes the place small, a source harmless, and a vapour one without a halogen

    @property
    def burning(self) -> tuple[Verdict, ...]:
        return tuple(v for v in self.verdicts if v.burns)

    @property
    def figures(self) -> tuple[Figure, ...]:
        zones = tuple(z.figure for z in (self.near, self.far) if z.figure is not None)
        return (*zones, *(f for v in self.verdicts for f in v.figures))

    @property
    def grounds(self) -> tuple[Any, ...]:
        """What every answer for the step rests on beside the figures."""
        return (*self.rules, *self.near.grounds, *self.far.grounds, *(g for v in self.verdicts for g in v.grounds))

    @property
    def roles(self) -> tuple[Role, ...]:
        """What the step means to others: what it brings that lights vapour, and how near its air is to burning."""
        return (
            *map(Ignites, [source.text for source in self.own] or [""]),
            *(ExplosiveShare("near", one.value) for one in (self.near.figure,) if one is not None),
            *(ExplosiveShare("far", one.value) for one in (self.far.figure,) if one is not None),
        )


def _dangerous(scene: Scene) -> bool:
    return bool(scene.burning) or scene.near.over or scene.far.over or bool(scene.near.unknown)


def judge(task: FireTask, index: int) -> list[Finding]:
    scene = look(task, index)
    found = [replace(one, grounds=scene.grounds) for one in _unknowns(scene)]
    if not _dangerous(scene):
        return [*found, _marked(scene, _calm(task, scene))]
    answers = [*_air(task, scene), *_pairs(scene, task), *_around(task, scene), _keep_clear(task, scene)]
    return [*found, *(_marked(scene, one) for one in answers)]


def _marked(scene: Scene, finding: Finding) -> Finding:
    """The finding with what the whole scene rests on, and whether it hangs on the error of the computation."""
    near, far = scene.near.standing, scene.far.standing
    if finding.key == "fire-far":
        close = far.close
    elif finding.key in ("fire-enclosed", "fire-near-fuel"):
        close = near.close
    elif finding.key in ("fire-zone", "fire-step"):  # where a stop could be added
        close = near.close or far.close
    else:
        close = "" if scene.burning else any_of((near, far)).close
    return replace(finding, close=close, grounds=(*finding.grounds, *scene.grounds))


def look(task: FireTask, index: int) -> Scene:
    step = task.job.steps[index]
    air = task.exposure.steps[index]
    rows = task.reference.table(TABLE)
    factor, note = correction(task, task.temperature(step))
    verdicts = tuple(verdict(task, wet, step) for wet in present(task, index))
    near, far = zones(task, index, factor, note, any(v.burns for v in verdicts))
    if air.unknown:  # what is not counted can only add to the share
        text = say("How near the air is to its explosive limit is not known: {why}", why=joined(air.unknown))
        near = near if near.over else replace(near, unknown=near.unknown or text)
        far = far if far.over else replace(far, unknown=far.unknown or text)
    own = named(step.ignition_sources, rows)
    here = [*own, *neighbouring_sources(task, index, rows)]
    around = named(step.place.ignition_sources, rows)
    harmless = cleared((*step.ignition_sources, *step.place.ignition_sources), rows)
    rules = (*task.size(step.place), *harmless, *halogens.look(task, index, hot=bool(here or around)).grounds)
    return Scene(index, step, verdicts, near, far, own, here, around, rules)


def _calm(task: FireTask, scene: Scene) -> Finding:
    """Nothing here can be lit; say why, also where an ignition source is named that does no other harm."""
    reasons = [v.why for v in scene.verdicts] or [say("Nothing in this step can be lit as far as the files say.")]
    harmful = decomposing(scene.here)
    harmful = harmful if halogens.look(task, scene.index, hot=bool(harmful)).any else []
    allowed = [source for source in scene.here if source not in harmful]
    if allowed:
        reasons.append(say("{sources} may be used in this step.", sources=capital(names(allowed))))
    reasons.append(say("What the work itself may set alight, such as dust, packing or gas, was not looked at."))
    nothing = say("Nothing wet that can be lit") if scene.verdicts else say("No fire risk from these products")
    short = joined((nothing, say("the work itself may set fire")), "; ")
    return Finding(
        "note",
        "fire",
        joined(reasons),
        short,
        PLUGIN,
        scene.index,
        scene.figures,
        key="fire-step",
        grounds=tuple(g for s in allowed for g in s.grounds),
        roles=(*scene.roles, *lights.allowed(task, scene.index)),
    )


def _unknowns(scene: Scene) -> list[Finding]:
    texts = [
        (v.why, say("Flash point of {product}", product=v.wet.product.name))
        for v in scene.verdicts
        if v.answer == "unknown"
    ]
    texts += [(z.unknown, say("Explosive share of the air")) for z in (scene.near, scene.far) if z.unknown]
    return [
        Finding("control", "fire", text, short, PLUGIN, scene.index, unknown=text, key="fire-unknown")
        for text, short in dict.fromkeys(texts)
    ]


def _air(task: FireTask, scene: Scene) -> list[Finding]:
    """Stops for the air itself, whatever is named."""
    limit = task.fire_stop.written if isinstance(task.fire_stop, Threshold) else ""
    small = task.is_small(scene.step.place)
    close = _close_by(task, scene, limit, small) if scene.near.over and scene.near.figure else []
    if scene.far.over and scene.far.figure and not (small and scene.near.over):
        share = _share(task, scene.far.figure)
        text = joined(
            (
                say("The air of the whole place reaches {share} % of its lower explosive limit.", share=share),
                say("From {limit} on nobody works in it.", limit=limit),
            )
        )
        short = say("Whole place at {limit} of the explosive limit or more", limit=limit)
        return [_stop(task, scene, scene.far.with_time(text), short, "ten-percent", "fire-far"), *close]
    return close


def _close_by(task: FireTask, scene: Scene, limit: str, small: bool) -> list[Finding]:
    """Stops for the air close to the work, which is over the limit."""
    assert scene.near.figure is not None
    share = _share(task, scene.near.figure)
    found = []
    if small:
        text = say(
            "In this small or enclosed space the air reaches {share} % of its lower explosive limit. "
            "The limit is {limit}.",
            share=share,
            limit=limit,
        )
        found.append(
            _stop(
                task,
                scene,
                scene.near.with_time(text),
                say("Enclosed: air at {share} % of the explosive limit", share=share),
                "enclosed",
                "fire-enclosed",
            )
        )
    if scene.step.structure_holds:
        text = say(
            "The air close to a structure that holds fuel reaches {share} % of its lower explosive limit. "
            "The limit is {limit}.",
            share=share,
            limit=limit,
        )
        found.append(
            _stop(
                task,
                scene,
                scene.near.with_time(text),
                say("Air at {share} % of the explosive limit beside held fuel", share=share),
                "ten-percent",
                "fire-near-fuel",
            )
        )
    return found


def _stop(task: FireTask, scene: Scene, text: str, short: str, rule: str, key: str) -> Finding:
    """``rule``: the name of the rule it stands by."""
    remedy = say("Wet less at a time, use less, or bring in more clean air. Then make a new sheet.")
    if scene.near.later or scene.far.later:
        remedy = say("Take what is wet away when the step ends, or let fans run on. Then make a new sheet.")
    return Finding(
        "stop",
        "fire",
        text,
        short,
        PLUGIN,
        scene.index,
        scene.figures,
        task.rule(rule),
        remedy=remedy,
        key=key,
        grounds=task.grounds(rule),
    )


def _pairs(scene: Scene, task: FireTask) -> list[Finding]:
    """A named ignition source and something to light, in one step."""
    return [
        Finding(
            level="stop",
            topic="fire",
            statement=say(
                "{source}: not in this step. {reason} {why}.",
                source=capital(s.described),
                reason=_reason(task, scene),
                why=s.why,
            ),
            short=say("No {source} in this step", source=s.described),
            plugin=PLUGIN,
            step=scene.index,
            figures=scene.figures,
            rule=joined((task.rule("ignition-free"), s.citation), "; "),
            grounds=(*task.grounds("ignition-free"), *s.grounds),
            remedy=say("Take it out of this step, or wait until everything is dry and the air is clear."),
            key="fire-pair",
            roles=(Lights(s.described, False),),
        )
        for s in scene.here
    ]


def _share(task: FireTask, figure: Figure) -> str:
    """A share of the explosive limit [%] beside the fire limit."""
    limit = task.fire_stop
    return levels.compared(figure.value, *((limit.value * 100,) if isinstance(limit, Threshold) else ()), digits=2)


def _reason(task: FireTask, scene: Scene) -> str:
    """The strongest reason why vapour here can be lit, in one sentence."""
    for zone in (scene.near, scene.far):
        if zone.over and zone.figure:
            text = say("The air reaches {share} % of its lower explosive limit.", share=_share(task, zone.figure))
            return zone.with_time(text)
    if scene.burning:
        return capital(scene.burning[0].why)
    return scene.near.unknown or scene.far.unknown


def _around(task: FireTask, scene: Scene) -> list[Finding]:
    """Sources that are always in the place or next door: a pilot light, a heater.

    A stop in a room, an enclosed or small space, and wherever the air near the work passes the
    fire limit or nobody can say. In a large or open place with thin air they must be out first: a control.
    """
    small = task.is_small(scene.step.place) or scene.step.place.kind == "room"
    unsure = bool(scene.near.unknown or scene.far.unknown)
    stop = small or scene.near.over or scene.far.over or unsure or bool(scene.step.structure_holds)
    return [
        Finding(
            level="stop" if stop else "control",
            topic="fire",
            statement=joined(
                (
                    say("{source} is always in this place or beside it.", source=capital(s.text)),
                    _reason(task, scene),
                    say("Turn it off, and see that it is out, before the first can is opened."),
                )
            ),
            short=say("Turn off first: {source}", source=s.text),
            plugin=PLUGIN,
            step=scene.index,
            figures=scene.figures,
            rule=joined((task.rule("ignition-free"), s.citation), "; "),
            grounds=(*task.grounds("ignition-free"), *s.grounds),
            remedy=say(
                "Turn it off and lock it, or do the job elsewhere. Then take it off the place's list for this job."
            ),
            key="fire-around",
            roles=(Lights(s.text, False),),
        )
        for s in scene.around
    ]


def _keep_clear(task: FireTask, scene: Scene) -> Finding:
    begin, end = _hours(task, scene)
    begins = task.exposure.timeline.possible(scene.index)[0]
    until = math.inf if _open_end(task, scene) else _end(task, scene)  # nobody can say when: it has no end
    if _fills_the_place(task, scene):  # no distance helps
        keep = say(
            "No flame, spark, heater or power switch in the whole place, from {begin} to {end}.",
            begin=begin,
            end=end,
        )
    else:
        keep = say(
            "Keep flames, sparks, heaters and power switches {distance} away, and off the floor up to "
            "{height}, from {begin} to {end}.",
            distance=task.length("ignition-free-distance"),
            height=task.length("ignition-free-height"),
            begin=begin,
            end=end,
        )
    return Finding(
        level="control",
        topic="fire",
        statement=joined((_reason(task, scene), keep)),
        short=_short(task, scene),
        plugin=PLUGIN,
        step=scene.index,
        figures=(*scene.figures, Figure(say("no ignition source until, after the start"), until, "s")),
        rule=joined(dict.fromkeys(r for r in (task.rule("ignition-free"), task.rule("flash-margin")) if r), "; "),
        grounds=task.grounds("ignition-free", "flash-margin", "ignition-free-distance", "ignition-free-height"),
        key="fire-zone",
        roles=(
            *scene.roles,
            ClockSpan("no ignition source", begins, None if math.isinf(until) else until),
            *lights.kept_away(task),
        ),
    )


def _fills_the_place(task: FireTask, scene: Scene) -> bool:
    """Whether the air that can catch fire is not around the work alone."""
    return scene.far.over or (scene.near.over and task.is_small(scene.step.place))


def _short(task: FireTask, scene: Scene) -> str:
    """Without a time while the step or the next one goes on, which is the same zone."""
    text = (
        say("No ignition source in the whole place")
        if _fills_the_place(task, scene)
        else say(
            "No ignition source; {distance} is the least distance",
            distance=task.length("ignition-free-distance"),
        )
    )
    ends, last = task.exposure.timeline.possible(scene.index)[1], scene.index + 1 == len(task.job.steps)
    until = _end(task, scene)
    if not (last or not _dangerous(look(task, scene.index + 1))):
        return text
    if _open_end(task, scene):
        return joined((text, say("until when is not known")), "; ")
    if until <= ends:
        return text
    return joined((text, say("no ignition source until {time}", time=clock(task.job.start, until, "up"))), "; ")


def _hours(task: FireTask, scene: Scene) -> tuple[str, str]:
    start, begin = task.job.start, task.exposure.timeline.possible(scene.index)[0]
    end: str = clock(start, _end(task, scene), "up")
    if _open_end(task, scene):
        end = say("{end} and after that until the air has been measured", end=end)
    return clock(start, begin, "down"), end


def _open_end(task: FireTask, scene: Scene) -> bool:
    """Whether nobody can say when the air is thin again: vapour that is in no figure, or no lower limit of it."""
    return bool(
        scene.near.unknown
        or scene.far.unknown
        or task.exposure.steps[scene.index].unknown
        or isinstance(task.exposure.curves.near_fraction_p95, Unknown)
        or isinstance(task.fire_stop, Unknown)
    )


def _end(task: FireTask, scene: Scene) -> float:
    """When the step has ended and the air close by stays under the fire limit, until the next step in the place [s].

    However slowly the work is done.
    """
    end = task.exposure.timeline.span(scene.index)[1]
    curves = task.exposure.curves
    fraction, limit = curves.decisive.near_fraction, task.fire_stop
    if (
        not isinstance(fraction, Unknown)
        and not isinstance(limit, Unknown)
        and scene.step.place.id == task.job.place.id
    ):
        factor, _ = correction(task, task.temperature(scene.step))
        follows = task.follows(scene.index)
        thick = [past(float(f) * factor, limit) for f in fraction]
        # what is left wet may bring the air up again while nobody works there
        begin = max([end, *(float(t) for t, bad in zip(curves.times, thick, strict=True) if bad and t < follows)])
        thin = [float(t) for t, bad in zip(curves.times, thick, strict=True) if not bad and t >= begin]
        end = thin[0] if thin else max(end, float(np.max(curves.times, initial=end)))
    return task.exposure.timeline.latest(end)
