"""Whole-job answers: the worker's shift, the vapours together, people standing by, and missing limits."""

from __future__ import annotations

from collections.abc import Sequence

from safety import levels
from safety.exposure.result import any_of
from safety.model import EIGHT_HOURS, AgainstLimit, Averaged, Finding, Level, Limit, LimitKind
from safety.reference import long_shift, settled
from safety.reference.citing import duty
from safety.reference.fractions import is_fraction
from safety.words import capital, joined, say, term
from safety_ventilation.airflow import local_exhaust, remedy
from safety_ventilation.limits import (
    JUDGED,
    PLUGIN,
    Air,
    AirTask,
    Reading,
    add_a_limit,
    broken,
    in_step,
    name_the_groups,
    over_shift,
)

#: Key of a finding -> the kinds of limit it answers for.
GROUPS: dict[str, tuple[LimitKind, ...]] = {
    "air-shift": ("twa",),
    "air-15min": ("short-term",),
    "air-ceiling": ("ceiling", "peak"),
    "air-idlh": ("idlh",),
}
_OVER: dict[str, Averaged] = {"air-shift": "shift average", "air-15min": "15 min", "air-ceiling": "ceiling"}


def judge(task: AirTask) -> list[Finding]:
    air = over_shift(task.exposure.worker)
    found = [_substance(task, key, group) for key, kinds in GROUPS.items() for group in _by_substance(task, air, kinds)]
    return [
        *found,
        *_without_limit(task),
        *_uncounted(task),
        *_together(task, air),
        *_longer_than_shift(task),
    ]


def _by_substance(task: AirTask, air: Air, kinds: Sequence[LimitKind]) -> list[list[Reading]]:
    groups: dict[str, list[Reading]] = {}
    for reading in task.readings(air, kinds):
        groups.setdefault(reading.substance.cas, []).append(reading)
    return list(groups.values())


def _substance(task: AirTask, key: str, readings: list[Reading]) -> Finding:
    worst = readings[0]
    name, value = capital(worst.substance.name), worst.shown
    stated = say(
        "{substance}, {span}: {value} ppm for the worker. The limit is {limit}.",
        substance=name,
        span=worst.span,
        value=value,
        limit=worst.named,
    )
    uncounted = [say("Vapour that could not be counted is not in it.")] if task.exposure.unknowns else []
    plume = [levels.plume()] if any(r.highest for r in readings) else []
    sentences = [stated, *uncounted, *plume, *_remarks(task, readings)]
    help_text, figures = remedy(task, worst) if worst.over else ("", ())
    if worst.over and key == "air-idlh":
        help_text = say(
            "Use less at a time, work a smaller area, or take the vapour away at the source. Then make a new sheet."
        )
    if worst.over and not worst.standing.close:
        sentences.append(_verdict(worst))
    short = say(
        "{substance} {value} ppm ({span}), limit {limit}",
        substance=worst.substance.name,
        value=value,
        span=worst.span,
        limit=worst.brief,
    )
    return Finding(
        level=_level(task, key, worst),
        topic="air",
        statement=joined(sentences),
        short=broken(short, worst) if worst.over else short,
        plugin=PLUGIN,
        figures=(*(r.figure for r in readings), *figures),
        rule=worst.rule,
        remedy=help_text,
        key=f"{key}:{worst.substance.cas}",
        roles=(AgainstLimit(_OVER[key], max(r.value / r.allowed for r in readings), worst.substance.cas),)
        if key in _OVER
        else (),
        close=any_of(r.standing for r in readings).close,
    )


def _verdict(worst: Reading) -> str:
    if worst.at:
        return say("This is at the limit, and it must stay under it.")
    return say("This is over the limit.")


def _level(task: AirTask, key: str, worst: Reading) -> Level:
    """Over a limit for a short time the step says what to do there; the whole job's figure is then to be known."""
    if not worst.over:
        return "note"
    if key == "air-idlh":
        return "stop"
    if key == "air-shift":
        return "control"
    steps = (task.readings(in_step(air), (worst.limit.kind,)) for air in task.exposure.steps)
    return "note" if any(r.over and r.limit == worst.limit for step in steps for r in step) else "control"


def _mixed_in_a_step(task: AirTask) -> bool:
    mixed = (task.mixture(in_step(air), ("short-term", "ceiling"), average=False) for air in task.exposure.steps)
    return any(one is not None and one.standing.over for one in mixed)


def _remarks(task: AirTask, readings: list[Reading]) -> list[str]:
    """What a reader must know to weigh the comparison."""
    out = []
    worst = readings[0]
    if worst.cut:
        out.append(
            say(
                "The limit is multiplied by {factor} for a shift of {hours} hours (Brief and Scala).",
                factor=levels.compared(long_shift.factor(task.job, worst.limit), 1.0, digits=2),
                hours=long_shift.hours(task.job),
            )
        )
    if worst.limit.kind == "twa" and worst.limit.averaging > EIGHT_HOURS:
        hours = worst.limit.averaging / 3600
        out.append(
            say(
                "This limit is meant for days of up to {hours:g} hours. How many such days the week has is not known "
                "here, so it is cut all the same, and the 8-hour average is held against it.",
                hours=hours,
            )
            if worst.cut and task.job.shift <= worst.limit.averaging
            else say(
                "This limit is meant for {hours:g} hours; the 8-hour average is held against it.",
                hours=hours,
            )
        )
    peaks = [r.limit for r in readings if r.limit.kind == "peak"]
    ceilings = [r for r in readings if r.limit.kind == "ceiling"]
    out += [_allowance(task, c.limit, p) for c in ceilings for p in peaks if c.over and c.limit.list == p.list]
    if worst.limit.unverified:
        out.append(say("This limit is unverified: {why}.", why=term(worst.limit.unverified)))
    return out


def _allowance(task: AirTask, ceiling: Limit, peak: Limit) -> str:
    """OSHA's table Z-2 lets the air pass a ceiling for some minutes, up to a peak: of a shift, or of 2 or 3 hours."""
    minutes = say("{minutes:g} minutes", minutes=(peak.peak_duration or 0) / 60)
    return say(
        "The rule lets the air pass {ceiling} for {minutes} in any {hours:g} hours, up to {peak}. "
        "This sheet takes no credit for that.",
        ceiling=ceiling.written,
        minutes=minutes,
        hours=(peak.peak_window or EIGHT_HOURS) / 3600,
        peak=peak.written,
    )


def _is_cut(task: AirTask, column: int) -> bool:
    """Whether a vapour is that of a petroleum fraction, which can get a limit from groups of hydrocarbons."""
    key = task.exposure.substances[column].cas
    return any(
        part.key == key and is_fraction(part, task.reference) for product in task.job.products for part in product.parts
    )


def _without_limit(task: AirTask) -> list[Finding]:
    """A vapour that no list has a limit for is unknown, not harmless."""
    everybody = {*task.vapour(over_shift(task.exposure.worker)), *task.vapour(over_shift(task.exposure.bystander))}
    lowest = task.lowest(JUDGED)
    found = []
    for column in sorted(everybody - set(lowest)):
        name = task.exposure.substances[column].name
        text = say("No exposure limit of {substance} is loaded, so its vapour could not be judged.", substance=name)
        key = f"air-no-limit:{task.exposure.substances[column].cas}"
        found.append(
            Finding(
                "control",
                "air",
                text,
                say("No limit for {substance}", substance=name),
                PLUGIN,
                unknown=text,
                remedy=name_the_groups() if _is_cut(task, column) else add_a_limit(),
                key=key,
            )
        )
    return found


def _uncounted(task: AirTask) -> list[Finding]:
    """Groups of atoms that a limit counts, in what is in no figure: the sum is unknown, not small."""
    return [
        Finding(
            "control",
            "air",
            say("{text}.", text=one.text),
            say("{group} groups in the air: not known", group=one.limit.as_group),
            PLUGIN,
            rule=say("{citation}, {edition}", citation=one.limit.citation, edition=one.limit.edition),
            unknown=one.text,
            grounds=one.grounds,
            remedy=say("Have the air measured as {group}, and ask the safety officer.", group=one.limit.as_group),
            key=f"air-group:{one.limit.as_group}",
        )
        for one in task.uncounted
    ]


def _together(task: AirTask, air: Air) -> list[Finding]:
    """Vapours that act alike add up; all solvents are taken to do so unless somebody knows better."""
    found = []
    sorts: tuple[tuple[str, tuple[LimitKind, ...], Averaged, str], ...] = (
        ("air-mixture-shift", ("twa",), "shift average", say("shift average")),
        ("air-mixture-15min", ("short-term", "ceiling"), "15 min", say("worst 15 minutes")),
    )
    for key, kinds, averaged, span in sorts:
        mixed = task.mixture(air, kinds, average=averaged == "shift average")
        if mixed is None:
            continue
        figure, left_out = mixed.figure, mixed.left_out
        over, index = mixed.standing.over, levels.compared(figure.value, 1.0, digits=2)
        sentences = [
            say(
                "All vapours together, {span}: {index} times what is allowed.",
                span=span,
                index=index,
            ),
            say("Solvents are taken to act alike, each against its lowest limit."),
        ]
        if left_out:
            names = ", ".join(s.name for s in left_out)
            sentences.append(say("Not in it, for want of such a limit: {names}.", names=names))
        if kinds == ("twa",) and long_shift.sentence(task.job):
            sentences.append(long_shift.sentence(task.job))
        law = duty(task.reference, "vapours together")
        short = say("Vapours together: {index} times what is allowed ({span})", index=index, span=span)
        if task.exposure.unknowns:
            sentences.append(say("Vapour that could not be counted is not in it."))
            short = say("Counted vapours together: {index} times what is allowed ({span})", index=index, span=span)
        found.append(
            Finding(
                level="control" if over and not (averaged == "15 min" and _mixed_in_a_step(task)) else "note",
                topic="air",
                statement=joined(sentences),
                short=short,
                plugin=PLUGIN,
                figures=(figure,),
                rule=joined(
                    filter(
                        None,
                        (
                            law.text,
                            say("taking solvents as acting alike is the careful side"),
                        ),
                    ),
                    "; ",
                ),
                remedy=local_exhaust(mixed.careful.bound) if over else "",
                key=key,
                close=mixed.standing.close,
                roles=(AgainstLimit(averaged, figure.value),),
                grounds=law.rows,
            )
        )
    return found


def _longer_than_shift(task: AirTask) -> list[Finding]:
    """Limits are cut for the shift the job file gives; the steps may keep people there for longer."""
    stay, shift = long_shift.longest_stay(task.job, task.exposure.timeline), task.job.shift
    if not task.exposure.substances or settled(stay) <= settled(shift):
        return []
    hours = {"stay": levels.compared(stay / 3600, shift / 3600), "shift": levels.printed(shift / 3600)}
    return [
        Finding(
            level="control",
            topic="air",
            statement=say(
                "By the plan people are in this work for {stay} h. The shift in the job file is {shift} h, and the "
                "limits are for that. They do not protect one who stays for all of it.",
                **hours,
            ),
            short=say("Work of {stay} h in a shift of {shift} h: change crews", **hours),
            plugin=PLUGIN,
            remedy=say(
                "Let another crew take over before {shift} h are over. If one crew does it all, write the real length "
                "of the shift into the job file.",
                shift=hours["shift"],
            ),
            key="air-longer-than-shift",
        )
    ]
