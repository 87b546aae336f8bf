"""Gloves: from the shop's own stock, by the maker's own figures, with clock times to change them."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import partial
from typing import Any

from safety.cited import Unknown
from safety.clock import clock
from safety.model import WATER, Figure, Finding, Glove, Job, Part, Product, Worn, in_step
from safety.reference import Reference
from safety.reference.citing import Law, duty
from safety.reference.hazards import ProductHazards, sensitisers
from safety.words import joined, say, term
from safety_protection import glove_data
from safety_protection.contact import Contact
from safety_protection.glove_times import Task, Verdict, is_thin, name_of, verdict
from safety_protection.mixture_hazards import PLUGIN, carried, severe_through_skin
from safety_protection.phrases import beyond, listed, none
from safety_protection.rules import cite, setting, threshold

MOST_TIMES = 8  # clock times printed on a sheet; after them, how often
#: From what share on a part needs a time, and what makes a time of the maker's minutes.
RULES = (
    "glove-part-from",
    "glove-severe-part-from",
    "glove-hand-temperature",
    "glove-test-temperature",
    "glove-splash-only",
    "glove-time-divisor",
    "thin-glove",
)
#: Statements under which what touches the skin matters.
SKIN_HARM = frozenset({"H310", "H311", "H312", "H314", "H315", "H317", "H318", "H340", "H350", "H360", "EUH066"})


def judge(job: Job, contact: Contact, hazards: dict[str, ProductHazards], reference: Reference) -> Finding:
    """The answer for the hands in one step; always one finding."""
    if contact.kind == "none" or not contact.products:
        text = in_step(job, contact.step, joined((say("nothing in this step wets the hands."), beyond())))
        return Finding("note", "hands", text, none(), PLUGIN, contact.step, key="gloves", roles=(Worn("gloves"),))
    task = _task(job, contact, hazards, reference)
    grounds = _grounds(job, contact, hazards, reference)
    verdicts = [verdict(task, glove, reference) for glove in job.shop.gloves]
    chosen = _choose(task, verdicts)
    found = _stop(task, verdicts, reference) if chosen is None else _wear(task, chosen, reference)
    worn = Worn("gloves") if chosen is None else Worn("gloves", chosen.glove.id, lasts=_lasts(task, chosen))
    grounds = (*found.grounds, *grounds, *(a.ground for v in verdicts for a in v.advice))
    found = replace(found, grounds=grounds, roles=(worn,))
    if contact.still:
        left = say("Still wet from before: {things}.", things=listed(contact.left))
        found = replace(found, statement=joined((found.statement, left)))
    if contact.tacky:
        coat = say("The coat of {coats} may not be dry yet.", coats=listed([p.name for p in contact.tacky]))
        return replace(found, statement=joined((found.statement, coat)))
    return found


def _lasts(task: Task, chosen: Verdict) -> float | None:
    """How long a pair is worn [s]: a splash guard has no time, and what does no harm needs none."""
    return None if task.harmless or chosen.wear <= 0 else chosen.wear


def _grounds(job: Job, contact: Contact, hazards: dict[str, ProductHazards], reference: Reference) -> tuple[Any, ...]:
    """What says which parts need a time, what makes one of it, and what the products do to skin."""
    parts = [part for product in contact.products for part in product.parts]
    severe = (c for part in parts if part.cas for c in severe_through_skin(reference.substance(part.cas)))
    return (
        *(threshold(reference, name) for name in RULES),
        *severe,
        *(row for part in parts for row in sensitisers(part, reference)),
        *(ground for product in contact.products for ground in hazards[product.id].by(SKIN_HARM)),
    )


# ---------------------------------------------------------------- what the task asks


def _task(job: Job, contact: Contact, hazards: dict[str, ProductHazards], reference: Reference) -> Task:
    step = job.steps[contact.step]
    parts: dict[str, Part] = {}
    gaps: list[str] = []
    refer: list[str] = []
    for product in contact.products:
        found, missing, doubts = _asked(job, product, hazards[product.id], reference)
        parts |= {part.cas: part for part in found}
        gaps += missing
        refer += doubts
    warmest = max(step.place.temperature.high, step.surface_temperature.high if step.surface_temperature else 0.0)
    movement = setting(job, "glove_movement_factor", "number", 0.01, 1.0)
    if isinstance(movement, Unknown):
        gaps.append(movement.reason)
    factor = movement if isinstance(movement, float) else 1.0
    wetting = tuple(parts.values())
    # water wets but does not hurt: it rules out a glove it destroys, and needs no breakthrough time
    timed = tuple(part for part in wetting if part.cas != WATER)
    harmful = frozenset().union(*(hazards[p.id].careful for p in contact.products)) & SKIN_HARM
    if not timed and not gaps and (harmful or not all(hazards[p.id].known for p in contact.products)):
        refer.append(say("nothing in it has a breakthrough time to go by"))
    return Task(job, contact, timed, wetting, tuple(gaps), tuple(refer), warmest, factor)


def _asked(
    job: Job, product: Product, hazards: ProductHazards, reference: Reference
) -> tuple[list[Part], list[str], list[str]]:
    """Parts that must have a breakthrough figure, what is not disclosed, and what no figure covers."""
    plain = setting(job, "glove_part_threshold", "fraction", 0.0, threshold(reference, "glove-part-from").value)
    gaps = [plain.reason] if isinstance(plain, Unknown) else []
    least = plain if isinstance(plain, float) else threshold(reference, "glove-part-from").value
    severe = threshold(reference, "glove-severe-part-from").value
    # a hazard that a part with a time of its own carries is covered by that time
    reactive = {cas for row in reference.table("sensitiser") for cas in row.get("cas", ())}
    liquid = [part for part in product.parts if part.volatile or part.cas == WATER or part.cas in reactive]
    bad_skin = (hazards.careful & {"H310", "H311", "H317"}) - carried(liquid, reference)
    asked, refer = [], []
    for part in product.parts:
        harms = part.cas in reactive or (part.cas and severe_through_skin(reference.substance(part.cas)))
        from_ = min(severe, least) if harms else least
        if part.high < from_:
            continue
        if not part.disclosed:
            gaps.append(say("{product} does not say what {part} is", product=product.name, part=part.name))
        elif part in liquid:
            asked.append(part)
        elif bad_skin:
            refer.append(
                say(
                    "{product} is marked {codes}, and no figure covers its {part}",
                    product=product.name,
                    codes=", ".join(sorted(bad_skin)),
                    part=part.name,
                )
            )
    rest = round(1 - sum(part.high for part in product.parts), 12)
    if rest and rest >= least:  # what is not named at all counts from the same share as a part that is
        gaps.append(
            say("{product} does not say what {percent:.0f} % of it is", product=product.name, percent=rest * 100)
        )
    return asked, gaps, refer


# ---------------------------------------------------------------- choosing and saying


def _choose(task: Task, verdicts: list[Verdict]) -> Verdict | None:
    """A glove that lasts the task; else the longest of its standard; else, for splashes only, a splash guard.

    Minutes of different standards are never compared: the shop's own order decides between them.
    """
    wearable = [v for v in verdicts if v.wear > 0]
    lasting = [v for v in wearable if v.wear >= task.seconds]
    if lasting:
        return lasting[0]
    if wearable:
        same = [v for v in wearable if v.standard == wearable[0].standard]
        return max(same, key=lambda v: v.wear)
    if not task.contact.wets or task.harmless:
        return next((v for v in verdicts if v.splash), None)
    return None


def _wear(task: Task, chosen: Verdict, reference: Reference) -> Finding:
    job, contact, glove = task.job, task.contact, chosen.glove
    said = partial(in_step, job, contact.step)
    what = say(
        "{name} ({material}, {thickness})",
        name=name_of(glove),
        material=glove.material,
        thickness=say("{mm:g} mm", mm=round(glove.thickness * 1e3, 4)),
    )
    law = duty(reference, "hands")
    if task.harmless:
        text = said(say("{glove}. Nothing in it needs a breakthrough time. New pair when torn.", glove=what))
        short = name_of(glove)
        return Finding("note", "hands", text, short, PLUGIN, contact.step, (), law.text, key="gloves", grounds=law.rows)
    if chosen.wear == 0:
        return _splash_guard(task, chosen, what, law, reference)
    return _timed(task, chosen, what, reference)


def _splash_guard(task: Task, chosen: Verdict, what: str, law: Law, reference: Reference) -> Finding:
    """A glove without a time: it keeps off a splash, and is changed at once when it is wet."""
    job, contact, glove = task.job, task.contact, chosen.glove
    said = partial(in_step, job, contact.step)
    outer, outer_short = _outer(task, glove)
    thin = threshold(reference, "thin-glove")
    return Finding(
        "control",
        "hands",
        said(
            joined(
                (
                    say("{glove}{outer}, as a splash guard only.", glove=what, outer=outer),
                    say("Wetted: take the pair off at once, wash the hands, put on a new pair."),
                    say("No wear time: {why}.", why=chosen.why_not),
                )
            )
        ),
        say("{name}{outer}: splash only, change at once when wet", name=name_of(glove), outer=outer_short),
        PLUGIN,
        contact.step,
        chosen.figures,
        cite(thin) if is_thin(glove, reference) else law.text,
        remedy=say("A thick glove with its maker's time for {parts} would allow wet work.", parts=_names(task.parts)),
        key="gloves",
        grounds=law.rows,
    )


def _timed(task: Task, chosen: Verdict, what: str, reference: Reference) -> Finding:
    """A glove with a time: when each new pair goes on, and how many pairs that takes."""
    job, contact, glove = task.job, task.contact, chosen.glove
    said = partial(in_step, job, contact.step)
    outer, outer_short = _outer(task, glove)
    times = _changes(task, chosen.wear)
    pairs = (len(times) + 1) * max(job.crew, 1)
    count = Figure(
        say("pairs needed"),
        float(pairs),
        "1",
        inputs=(("wear time", chosen.figures[0]), ("changes", float(len(times))), ("people", float(max(job.crew, 1)))),
    )
    minutes = chosen.wear / 60
    listed_times = _listed(job, times, minutes)
    # each step begins with a new pair: "one pair lasts", step after step, read as one pair for the day
    change = say("new pair first, then at {times}", times=listed_times) if times else say("new pair")
    sentences = (
        say("{glove}{outer}.", glove=what, outer=outer),
        say(
            "New pair at {start}; at most {minutes:.0f} min from the first wetting, pauses counted.",
            start=clock(job.start, contact.start, "down"),
            minutes=minutes,
        ),
        say("New pair {times}.", times=listed_times)
        if times
        else say("No change needed before {end}.", end=clock(job.start, contact.end, "down")),
        say(
            "The time is the maker's by {standard}; minutes of other standards do not compare.",
            standard=_standards(glove, task.parts),
        ),
        say("Hands that move much wear it out sooner."),
    )
    return Finding(
        "control",
        "hands",
        said(joined(sentences)),
        joined((say("{name}{outer}", name=name_of(glove), outer=outer_short), change), "; "),
        PLUGIN,
        contact.step,
        (*chosen.figures, count),
        cite(threshold(reference, "glove-time-divisor")),
        key="gloves",
    )


def _changes(task: Task, wear: float) -> list[float]:
    """Seconds since the job's start at which a new pair goes on, while the wet work still lasts."""
    last = math.ceil((task.seconds - 1e-6) / wear)
    return [task.contact.start + n * wear for n in range(1, last)]


def _listed(job: Job, times: list[float], minutes: float) -> str:
    text = joined((clock(job.start, t, "down") for t in times[:MOST_TIMES]), ", ")
    if len(times) > MOST_TIMES:
        return say("{times}, then every {minutes:.0f} min", times=text, minutes=minutes)
    return text


def _outer(task: Task, glove: Glove) -> tuple[str, str]:
    """The outer glove a laminate needs, in full and in short."""
    if not glove_data.is_laminate(glove.material):
        return "", ""
    others = [g for g in task.job.shop.gloves if g is not glove and not glove_data.is_laminate(g.material)]
    whole = [g for g in others if not any(glove_data.ruled_out(p.cas, g.material) for p in task.parts)]
    if not others:
        return (say(", under an outer glove against cuts: the shop has none, so get one"), say(" under an outer glove"))
    outer = max(whole or others, key=lambda g: g.thickness)
    return (say(", under {outer} against cuts", outer=name_of(outer)), say(" under {outer}", outer=name_of(outer)))


def _stop(task: Task, verdicts: list[Verdict], reference: Reference) -> Finding:
    said = partial(in_step, task.job, task.contact.step)
    unknown = ""
    if task.gaps:
        unknown = said(say("no glove can be granted a time: {gaps}", gaps="; ".join(task.gaps)))
    if not verdicts:
        reasons = say("The shop's stock list has no gloves.")
    else:
        reasons = joined(
            say("{glove}: {why}.", glove=name_of(v.glove), why=v.why_not or say("nothing is published on it"))
            for v in verdicts[:4]
        )
    against = _names(task.parts) or say("this product")
    return Finding(
        "stop",
        "hands",
        said(joined((say("no glove in stock holds against {parts}.", parts=against), reasons))),
        say("No glove in stock holds"),
        PLUGIN,
        task.contact.step,
        tuple(f for v in verdicts for f in v.figures),
        joined(
            (cite(threshold(reference, "glove-time-divisor")), *(str(a) for v in verdicts for a in v.ruled_out)), "; "
        ),
        unknown,
        _ask_for(task),
        "gloves",
        tuple(word.ground for words in _kinds(task) for word in words),
    )


def _kinds(task: Task) -> tuple[tuple[glove_data.Advice, ...], ...]:
    """The kinds of glove to ask for, each with the words that recommend it."""
    return glove_data.kinds_for(p.cas for p in task.parts)[:2]


def _ask_for(task: Task) -> str:
    kinds = _kinds(task)
    maker = say(
        "Ask the glove's maker for its time against {parts}, with the standard and temperature.",
        parts=_names(task.parts) or say("the product"),
    )
    if task.gaps:
        maker = say("Ask the product's maker what is in it, and which glove was tested with it.")
    if not kinds:
        return joined((say("Nothing published is recommended for all of it."), maker))
    named = say(", or ").join(say("{kind} ({by})", kind=term(words[0].material), by=words[0].by) for words in kinds)
    return joined((say("Published lists recommend {named}.", named=named), maker))


def _names(parts: tuple[Part, ...]) -> str:
    return ", ".join(p.name for p in parts)


def _standards(glove: Glove, parts: tuple[Part, ...]) -> str:
    return ", ".join(sorted({b.standard for b in glove.breakthrough if b.cas in {p.cas for p in parts}}))
