"""What a technician takes to the work: a row for each step, and on the back what to do when something goes wrong.

Everything comes from what the files say and from the typed fields of findings. What matters least goes first where
paper is short: ``rank`` says how much each thing matters.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import get_args

from safety import levels
from safety.clock import clock
from safety.model import Called, ClockSpan, Job, KeptOut, Lights, Lines, Report, Segment, Window, with_role
from safety.paper_codes import PaperCode, of_step
from safety.render.merging import WORN, Mark, Said, in_steps, mark, short
from safety.render.others import stay
from safety.render.step_rows import Card, Line, air_states
from safety.words import capital, joined, say, term

#: How much the few words of a control matter by their topic; those of a plugin's own topic stand between.
_BY_TOPIC = {"hands": 2, "breathing": 2, "eyes": 2, "fire": 2, "clock": 3, "skin": 4, "waste": 4, "air": 6}
_OTHER_TOPIC, _NOTE = 5, 10
#: How much the products of a step and their amounts matter, what is left wet, and what else is told of the job.
USES, LEFT, FACTS = 2, 9, 18
#: The blocks of the back, by their keys: how much their lines matter, and how many of them always stay. Of first aid,
#: spill and fire these are all but the telephones of makers, of which there may be as many as products.
BLOCKS = {"first-aid": (0, 8), "spill": (0, 7), "fire": (0, 5), "respirator-use": (4, 1)}


@dataclass(frozen=True, slots=True)
class Item:
    """Something to do or to know."""

    mark: Mark
    topic: str  # its name
    text: str
    rank: int  # 0 is what may never be left out


@dataclass(frozen=True, slots=True)
class Row:
    """One step."""

    number: int
    name: str
    begin: str  # on the clock
    after: str  # "+90 min" from the real start of the job
    takes: str
    where: str
    uses: tuple[str, ...]
    left: tuple[str, ...]
    waits: tuple[str, ...]
    stopped: tuple[str, ...]  # topics whose stops are said above
    worn: tuple[Line, ...]
    rest: tuple[Item, ...]  # the gravest first
    windows: tuple[str, ...]  # what comes after it, and by when
    code: PaperCode


@dataclass(frozen=True, slots=True)
class Back:
    """What to do when something goes wrong, and who may be there."""

    phones: tuple[tuple[str, str, str], ...]  # whom, number, who answers; a number of "" is not known
    stations: tuple[tuple[str, str], ...]  # what, where; "" is not known
    kept_out: tuple[str, ...]
    stay: tuple[Said, ...]
    lights: tuple[tuple[str, bool], ...]  # thing, and whether it may be used
    until: str  # from when to when none of them may be used that may not
    before: tuple[str, ...]  # to tick before the start
    blocks: tuple[tuple[Lines, int, int], ...]  # with how much each matters, and how many of its lines stay
    waste: tuple[str, ...]  # what goes where


@dataclass(frozen=True, slots=True)
class Sides:
    rows: tuple[Row, ...]
    whole: tuple[Item, ...]  # for the whole job, the gravest first
    late: str
    after: tuple[Item, ...]  # when the work is over
    aside: int  # how many controls only the annex has
    back: Back


def sides(report: Report, cards: Sequence[Card], band: Sequence[Line]) -> Sides:
    """The two sides of a report whose steps are arranged."""
    whole = [one for line in band for one in _items(line) if one[1] == "front"]
    aside = {
        (line.topic, one.text)
        for line in (*band, *(line for card in cards for line in card.lines))
        for one in line.said
        if one.stands == "annex" and one.mark
    }
    return Sides(
        rows=tuple(_row(report, index, card) for index, card in enumerate(cards)),
        whole=_ordered(item for item, _ in whole),
        late=_late(report),
        after=tuple(_after(report)),
        aside=len(aside),
        back=_back(report, band, cards),
    )


def _items(line: Line) -> Iterator[tuple[Item, str]]:
    for one in line.said:
        text = say("{text} (steps {steps})", text=one.text, steps=one.steps) if one.steps and one.text else one.text
        yield Item(one.mark, line.title, text, _rank(one.mark, line.topic)), one.stands


def _rank(mark: Mark, topic: str) -> int:
    if mark in ("STOP", "UNKNOWN", "NOT ASSESSED"):
        return 0
    if not mark and topic == "clock":  # until when something is lifted, and that a coat is dry
        return _OTHER_TOPIC
    return _BY_TOPIC.get(topic, _OTHER_TOPIC) + (0 if mark else _NOTE)


def _ordered(items: Iterable[Item]) -> tuple[Item, ...]:
    """The gravest first; what is said on one topic with one mark stands together."""
    groups: dict[tuple[int, str, Mark], list[str]] = {}
    for item in sorted(items, key=lambda item: item.rank):
        groups.setdefault((item.rank, item.topic, item.mark), []).append(capital(item.text))
    return tuple(Item(mark, topic, joined(texts, ". "), rank) for (rank, topic, mark), texts in groups.items())


# ---------------------------------------------------------------- the front


def _row(report: Report, index: int, card: Card) -> Row:
    job, timeline = report.job, report.timeline
    begin = timeline.span(index)[0]
    rest = (pair for line in card.lines if line.topic not in WORN for pair in _items(line))
    return Row(
        number=card.number,
        name=card.name,
        begin=clock(job.start, begin),
        after=say("+{time}", time=lasting(begin, up=False)) if index else say("start"),
        takes=_takes(report, index),
        where=card.where,
        uses=card.uses,
        left=card.left,
        waits=tuple(_waits(job, timeline.of_step(index))),
        stopped=card.stopped,
        worn=tuple(line for line in card.lines if line.topic in WORN),
        rest=_ordered(item for item, stands in rest if stands == "front"),
        windows=tuple(_window(job, one) for one in timeline.windows if one.step == index),
        code=of_step(job.id, job.steps[index].typed or card.name, card.number),
    )


def _takes(report: Report, index: int) -> str:
    """How long the work of a step may take, by which the whole sheet holds."""
    step = report.job.steps[index]
    if step.lasts is None or step.lasts.exact:
        return say("{minutes} min", minutes=levels.at_most(step.duration / 60))
    low, high = step.lasts.low / 60, step.lasts.high / 60
    if low >= 2:
        return say("{low}-{high} min", low=math.ceil(low - 1e-9), high=math.floor(high + 1e-9))
    return say("{low}-{high} min", low=levels.at_least(low), high=levels.at_most(high))


def lasting(seconds: float, up: bool = True) -> str:
    """A stretch of time as it is counted from something that happened: whole minutes, on the careful side."""
    minutes = int(-(-(seconds - 1e-6) // 60)) if up else int((seconds + 1e-6) // 60)
    if minutes < 120:
        return say("{minutes} min", minutes=minutes)
    if minutes % 60 == 0:
        return say("{hours} h", hours=minutes // 60)
    return say("{hours} h {minutes} min", hours=minutes // 60, minutes=minutes % 60)


def _waits(job: Job, segments: Sequence[Segment]) -> Iterator[str]:
    """The coats and waits of a step: when by the clock, and how long from what was done before."""
    for at, one in enumerate(segments):
        after = segments[at + 1] if at + 1 < len(segments) else None
        wait = after if after is not None and after.kind in ("dry", "stand") else None
        if one.kind == "coat":
            begin = clock(job.start, one.start)
            if wait is None:
                yield say("Coat {number} {begin}", number=one.coat, begin=begin)
            else:
                time = lasting(wait.end - wait.start)
                yield say("Coat {number} {begin}, then dry {time}", number=one.coat, begin=begin, time=time)
        elif wait is not None and wait.kind == "stand":
            time, until = lasting(wait.end - wait.start), clock(job.start, wait.end, "up")
            yield say("Then leave it on {time}, to {until}", time=time, until=until)


def _window(job: Job, window: Window) -> str:
    """What comes next, from the end of the last coat: a late start moves the clock and not the minutes."""
    what = (
        say("Step {number}", number=window.joins + 1)
        if window.joins is not None
        else say("Next work on {product}", product=window.product.name)
    )
    opens = clock(job.start, window.opens, "up")
    soonest = lasting(window.opens - window.last_coat)
    if window.closes is None:
        return say(
            "{what}: {after} after step {step} is done at the earliest ({opens}).",
            what=what,
            after=soonest,
            step=window.step + 1,
            opens=opens,
        )
    text = say(
        "{what}: begin {after} to {within} after the last coat ({opens} to {closes}).",
        what=what,
        after=soonest,
        within=lasting(window.closes - window.last_coat, up=False),
        opens=opens,
        closes=clock(job.start, window.closes, "down"),
    )
    if window.recoat_until is None:
        return joined((text, say("Later: clean and start again.")))
    late = say(
        "Late, up to {within} after it ({until}): one more coat first. Later: clean and start again.",
        within=lasting(window.recoat_until - window.last_coat, up=False),
        until=clock(job.start, window.recoat_until, "down"),
    )
    return joined((text, late))


def _late(report: Report) -> str:
    if report.exposure is not None and report.exposure.neighbours:
        return say("Starting late? Make a new sheet: other work shares this air.")
    return say(
        "Starting late, on the same day? Add the same minutes to every clock time. What counts from the last coat "
        "stays. Quicker or slower than the minutes under the clock: new sheet."
    )


def _after(report: Report) -> Iterator[Item]:
    for finding, role in with_role(report.findings, ClockSpan):
        if role.what == "air not clear":
            yield Item(mark(finding), term(report.titles[finding.topic]), short(finding), 1)


# ---------------------------------------------------------------- the back


def _back(report: Report, band: Sequence[Line], cards: Sequence[Card]) -> Back:
    until, things = _lights(report)
    return Back(
        phones=tuple(_phones(report.job)),
        stations=tuple(_stations(report.job)),
        kept_out=tuple(_kept_out(report)),
        stay=tuple(stay(report)),
        lights=things,
        until=until,
        before=tuple(_before(report.job)),
        blocks=tuple((block, *BLOCKS[block.key]) for block in _said_once(report)),
        waste=tuple(_waste(band, cards)),
    )


def _said_once(report: Report) -> Iterator[Lines]:
    """The blocks of the back in their order, each line once: of a maker's telephone one block is enough."""
    blocks = {block.key: block for block in report.blocks if isinstance(block, Lines) and block.key in BLOCKS}
    said: set[str] = set()
    for block in (blocks[key] for key in BLOCKS if key in blocks):
        lines = tuple(line for line in block.at_work or block.lines if line not in said)
        yield replace(block, lines=lines)
        said |= set(lines)


def _waste(band: Sequence[Line], cards: Sequence[Card]) -> Iterator[str]:
    """What goes into which container, each with its steps."""
    for line in band:
        if line.topic == "waste":
            yield from (item.text for item, stands in _items(line) if stands == "back")
    found: dict[str, list[int]] = {}
    for card in cards:
        for said in (one for line in card.lines if line.topic == "waste" for one in line.said):
            if said.stands == "back":
                found.setdefault(said.text, []).append(card.number)
    yield from (say("{text} ({steps})", text=text, steps=in_steps(steps)) for text, steps in found.items())


def called(whom: Called) -> str:
    """Whom a number reaches, in words."""
    return {
        "emergency": say("Emergency"),
        "poison centre": say("Poison center"),
        "officer": say("Safety officer"),
        "waste": say("Waste"),
    }[whom]


def _phones(job: Job) -> Iterator[tuple[str, str, str]]:
    known = {phone.reaches: phone for phone in job.shop.phones}
    for whom in get_args(Called):
        phone = known.get(whom)
        yield (called(whom), phone.number, phone.name) if phone else (called(whom), "", "")


def _stations(job: Job) -> Iterator[tuple[str, str]]:
    """Where eyewash and shower are; where the work is in several places, for each that has its own."""
    places = {place.id: place for place in (job.place, *(step.place for step in job.steps))}.values()
    for what, title in (("eyewash", say("Eyewash")), ("shower", say("Shower"))):
        where = {place.name or place.id: getattr(place, what) or getattr(job.shop, what) for place in places}
        if len(set(where.values())) == 1:
            yield title, next(iter(where.values()))
            continue
        for place, its in where.items():
            yield say("{what}, from {place}", what=title, place=place), its


def _kept_out(report: Report) -> Iterator[str]:
    """Who does not do this work, by the findings that say so, and who asks before any work with solvent."""
    found = (f for f in report.findings for role in f.roles if isinstance(role, KeptOut))
    yield from dict.fromkeys(short(finding) for finding in found)
    yield say("Asthma, allergy, bad skin or heart, or unwell today: ask before the start.")


def _lights(report: Report) -> tuple[str, tuple[tuple[str, bool], ...]]:
    """Each thing that can light the vapour, with whether it may be used: one step that says no outweighs all others."""
    asked = range(len(report.job.steps))
    answered = {f.step for f in report.findings if f.topic == "fire"}
    judged = all(step in answered for step in asked)
    found: dict[str, bool] = {}
    for _, role in with_role(report.findings, Lights):
        name = capital(role.thing)
        found[name] = found.get(name, judged) and role.allowed and judged
    return _no_source(report), tuple(found.items())


def _no_source(report: Report) -> str:
    """From when to when what may not be used is kept away."""
    spans = [role for _, role in with_role(report.findings, ClockSpan) if role.what == "no ignition source"]
    if not spans:
        return ""
    begin = clock(report.job.start, min(one.begin for one in spans), "down")
    ends = [one.end for one in spans if one.end is not None]
    if len(ends) < len(spans):
        return say("NO from {begin}; until when is not known", begin=begin)
    end = clock(report.job.start, max(ends), "up")
    return say("NO from {begin} to {end}, longer if the work is late", begin=begin, end=end)


def _before(job: Job) -> Iterator[str]:
    """What somebody looks at before the first can is opened."""
    yield say("Doors and windows: {air}", air="; ".join(air_states(job)) or say("as this sheet says"))
    yield say("Fans and hoods that this air needs are running")
    held = [step for step in job.steps if step.structure_holds]
    yield say("Fuel: what the structure holds is as planned") if held else say("No fuel in the structure beneath")
    yield say("Neighbours told; no other work with heat or solvent near")
    yield say("All that can light vapour is off or away")
    yield say("Eyewash tried, the way to it is free")
    yield say("Gloves, masks, goggles are here; mask seal checked")
    yield say("Cans and lots looked at: none other, none expired")


# ---------------------------------------------------------------- as lists, for the forms that have no second side


def listed(back: Back) -> tuple[Lines, ...]:
    """The back as titled lists."""
    blank = "________________"
    calls = (say("{whom}: {number}", whom=whom, number=number or blank) for whom, number, _ in back.phones)
    named = (say("{call} ({name})", call=c, name=p[2]) if p[2] else c for c, p in zip(calls, back.phones, strict=True))
    stay = (
        said.text if said.mark != "NOT ASSESSED" else say("NOT ASSESSED: {what}", what=said.text) for said in back.stay
    )
    lights = tuple(
        say("{thing}: yes", thing=thing) if allowed else say("{thing}: NO", thing=thing)
        for thing, allowed in back.lights
    )
    return (
        Lines(say("Telephone"), tuple(named), "telephone"),
        Lines(
            say("Eyewash and shower"),
            tuple(say("{what}: {where}", what=what, where=where or blank) for what, where in back.stations),
            "stations",
        ),
        Lines(say("Who does not do this work"), back.kept_out, "kept-out"),
        Lines(say("Who may stay"), tuple(stay), "stay"),
        Lines(lights_title(), (*filter(None, (back.until,)), *(lights or (nobody_judged(),))), "lights"),
        Lines(say("Before the start"), back.before, "before"),
        *([Lines(say("Waste"), back.waste, "waste")] if back.waste else []),
    )


def lights_title() -> str:
    return say("May it be used near the work?")


def nobody_judged() -> str:
    return say("NOT ASSESSED: keep flame, heat gun, lamp, fan and telephone away.")
