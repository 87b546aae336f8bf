"""A report arranged for reading: what stands where, in words. Every form of the sheet sets this."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass, replace
from typing import Literal

from safety.assessment import ASKED
from safety.cited import Unknown
from safety.model import Block, Chart, Finding, Grid, Job, Lines, Product, Report, Step
from safety.render import amounts, fixed
from safety.render.clock import Limits, limits, span, waits
from safety.render.symbols import symbols
from safety.words import say

Mark = Literal["STOP", "UNKNOWN", "NOT ASSESSED", "Control", ""]

_TITLES: dict[str, str] = {
    "hands": "Hands",
    "eyes": "Eyes",
    "breathing": "Breathing",
    "fire": "Fire",
    "air": "Air",
    "skin": "Skin",
    "waste": "Waste",
    "clock": "Clock",
    "solvent": "Solvent",
    "data": "Data",
}
_FIGURES = 6  # of one finding on a page; some rest on forty


@dataclass(frozen=True, slots=True)
class Entry:
    mark: Mark
    text: str


@dataclass(frozen=True, slots=True)
class Box:
    """One topic of one step."""

    title: str
    entries: tuple[Entry, ...]
    big: bool = False
    always: bool = False  # worth a line of its own even where it asks for nothing

    @property
    def quiet(self) -> bool:
        return not self.always and not any(entry.mark for entry in self.entries)


@dataclass(frozen=True, slots=True)
class Card:
    """One step, or the whole job (``number`` 0)."""

    number: int
    name: str
    when: str  # "07:30-07:45"
    where: str  # only what differs from the job's place and air, and who is away
    products: tuple[str, ...]
    waits: tuple[str, ...]
    windows: tuple[Limits, ...]
    signs: tuple[str, ...]  # symbol codes
    unclassified: tuple[str, ...]  # products whose hazard statements are not known
    boxes: tuple[Box, ...]


@dataclass(frozen=True, slots=True)
class Judgement:
    """One finding in full."""

    mark: Mark
    where: str  # "Step 2, 08:00-08:20: Bond", "Whole job"
    topic: str
    short: str
    statement: str
    unknown: str
    remedy: str
    rule: str
    figures: tuple[str, ...]
    plugin: str


@dataclass(frozen=True, slots=True)
class Sheet:
    title: str
    shop: str
    facts: tuple[tuple[str, str], ...]
    result: tuple[Mark, str]
    missing: tuple[str, ...]
    stops: tuple[Judgement, ...]
    whole: Card | None
    cards: tuple[Card, ...]
    all: tuple[Judgement, ...]  # every finding in full, in job order
    blocks: tuple[Block, ...]  # charts, then lists and tables short enough to be read at work
    appendix: tuple[Block, ...]  # the long ones
    cautions: Lines
    closing: tuple[Lines, ...]  # failures, rules, sources, files
    certification: tuple[str, tuple[str, ...]]  # sentence, fields a person fills in
    read: tuple[str, tuple[str, ...]]
    small_print: str
    notice: str

    @property
    def complete(self) -> bool:
        return not self.missing


def arrange(report: Report) -> Sheet:
    """Put a report in reading order: what stops the job, what to do at each step, what it rests on."""
    findings = sorted(report.findings, key=_rank)
    # a table without a column holds nothing
    blocks = [_squared(b) for b in report.blocks if not (isinstance(b, Grid) and not any((b.columns, *b.rows)))]
    in_job_order = sorted(findings, key=_place)
    # what a whole job's notes say is read once, in full, not at every look at the card
    whole = _boxes([f for f in findings if f.step is None and _mark(f)], ())
    job = report.job
    return Sheet(
        title=job.title,
        shop=job.shop.name,
        facts=_facts(report),
        result=_result(report),
        missing=report.missing,
        stops=_stops(report, findings),
        whole=Card(0, say("Whole job"), "", "", (), (), (), (), (), whole) if whole else None,
        cards=tuple(_card(report, index, findings) for index in range(len(job.steps))),
        all=tuple(_judgement(report, f) for f in in_job_order),
        blocks=tuple(sorted((b for b in blocks if not _long(b)), key=_kind)),
        appendix=tuple(b for b in blocks if _long(b)),
        cautions=fixed.cautions(),
        closing=fixed.closing(report),
        certification=fixed.certification(),
        read=fixed.read(),
        small_print=say(
            "hazstep {version}, {draws} draws, seed {seed}",
            version=report.version,
            draws=report.draws,
            seed=report.seed,
        ),
        notice=job.shop.notice,
    )


def _kind(block: Block) -> int:
    return (Chart, Lines, Grid).index(type(block))


def _long(block: Block) -> bool:
    """Whether a block is for looking things up, not for reading at work."""
    if isinstance(block, Grid):
        return sum(len(cell) for row in block.rows for cell in row) > 900
    return isinstance(block, Lines) and (len(block.lines) > 14 or sum(map(len, block.lines)) > 1800)


def _rank(finding: Finding) -> tuple[int, int, int]:
    """Highest level first, what is not known before what is, then in the order of the clock and of the topics."""
    level = {"stop": 0, "control": 2, "note": 3}[finding.level]
    if finding.unknown and finding.level != "stop":
        level = 1
    return level, -1 if finding.step is None else finding.step, list(_TITLES).index(finding.topic)


def _place(finding: Finding) -> float:
    """The whole job, then step by step; what the data are worth is read last."""
    if finding.step is not None:
        return finding.step
    return float("inf") if finding.topic == "data" and not _mark(finding) else -1


def _mark(finding: Finding) -> Mark:
    if finding.level == "stop":
        return "STOP"
    if finding.unknown:
        return "UNKNOWN"
    return "Control" if finding.level == "control" else ""


def _result(report: Report) -> tuple[Mark, str]:
    if report.stops:
        return "STOP", say("STOP - do not start")
    if any(f.level == "control" for f in report.findings):
        return "Control", say("Controls needed")
    return "", say("No stop found") if report.complete else say("No stop found in what was assessed")


def _facts(report: Report) -> tuple[tuple[str, str], ...]:
    job, system = report.job, report.job.shop.print_units
    air = "; ".join(_air_states(job))
    crew = say("1 person") if job.crew == 1 else say("{crew} people", crew=job.crew)
    facts = (
        (say("Unit"), job.unit),
        (say("Date"), job.start.strftime("%Y-%m-%d")),
        (say("Place"), job.place.name or job.place.id),
        (say("Clock"), span(job.start, 0, report.timeline.end)),
        (say("Air"), air),
        (say("Crew"), crew),
        (say("Surface"), job.surface),
        (say("Temperature"), amounts.between(job.place.temperature, "K", system)),
    )
    return tuple((label, value) for label, value in facts if value)


def _card(report: Report, index: int, findings: list[Finding]) -> Card:
    job = report.job
    step = job.steps[index]
    products = _products_of(step)
    known = [p for p in products if not isinstance(p.hazards, Unknown)]
    codes = {s for p in known if not isinstance(p.hazards, Unknown) for s in symbols(p.hazards)}
    own = [f for f in findings if f.step == index and (_mark(f) or f.topic not in ("data", "solvent"))]
    return Card(
        number=index + 1,
        name=step.name,
        when=span(job.start, *report.timeline.span(index)),
        where=_where(report, step),
        products=_amounts(step),
        waits=waits(job, report.timeline.of_step(index)),
        windows=tuple(limits(job, w) for w in report.timeline.windows if w.step == index),
        signs=tuple(sorted(codes)),
        unclassified=tuple(p.name for p in products if isinstance(p.hazards, Unknown)),
        boxes=_boxes(own, ASKED),
    )


def _boxes(own: list[Finding], asked: Collection[str]) -> tuple[Box, ...]:
    boxes = []
    for topic, title in _TITLES.items():
        entries = tuple(dict.fromkeys(Entry(_mark(f), _short(f)) for f in own if f.topic == topic))
        if not entries and topic in asked:
            entries = (Entry("NOT ASSESSED", ""),)
        if entries:
            boxes.append(Box(title, entries, topic in ("hands", "breathing"), topic in ("breathing", "waste", "clock")))
    return tuple(boxes)


def _air_states(job: Job) -> tuple[str, ...]:
    """The states of the air of the job's own place, in the order they come up."""
    return tuple(dict.fromkeys(step.air.state for step in job.steps if step.place == job.place))


def _where(report: Report, step: Step) -> str:
    job = report.job
    parts = []
    if step.place != job.place:
        parts.append(say("In {place}", place=step.place.name or step.place.id))
    if step.place != job.place or len(_air_states(job)) > 1:
        parts.append(step.air.state)
    if step.people == "far":
        parts.append(say("people stay at a distance"))
    elif step.people == "away":
        parts.append(say("nobody in the place"))
    return ", ".join(parts)


def _products_of(step: Step) -> tuple[Product, ...]:
    used, left = [use.product for use in step.uses], [wet.product for wet in step.leaves_wet]
    return tuple({product.id: product for product in (*used, *left)}.values())


def _amounts(step: Step) -> tuple[str, ...]:
    used = [
        say(
            "{product}, {work}, {amount}",
            product=use.product.name,
            work=use.work,
            amount=_amount(use.written, use.mass),
        )
        for use in step.uses
    ]
    left = [
        say(
            "Left wet: {what}, {product}, {amount}",
            what=wet.what,
            product=wet.product.name,
            amount=_amount(wet.written, wet.mass),
        )
        for wet in step.leaves_wet
    ]
    return (*used, *left)


def _amount(written: str, mass: object) -> str:
    return say("amount not known") if isinstance(mass, Unknown) else written


def _judgement(report: Report, finding: Finding) -> Judgement:
    job = report.job
    where = say("Whole job")
    if finding.step is not None:
        when = span(job.start, *report.timeline.span(finding.step))
        where = say(
            "Step {number}, {when}: {name}", number=finding.step + 1, when=when, name=job.steps[finding.step].name
        )
    return Judgement(
        mark=_mark(finding),
        where=where,
        topic=_TITLES[finding.topic],
        short=_short(finding),
        statement=finding.statement,
        unknown=finding.unknown,
        remedy=finding.remedy,
        rule=finding.rule,
        figures=_figures(finding, job.shop.print_units),
        plugin=finding.plugin,
    )


def _stops(report: Report, findings: list[Finding]) -> tuple[Judgement, ...]:
    """Each thing to change once, with all the steps it stops; every step's own words stand with its findings."""
    alike: dict[tuple[str, str], list[Finding]] = {}
    for finding in findings:
        if finding.level == "stop":
            alike.setdefault((finding.topic, finding.short), []).append(finding)
    stops = []
    for first, *others in alike.values():
        steps = sorted({f.step + 1 for f in (first, *others) if f.step is not None})
        one = _judgement(report, first)
        if len(steps) > 1:
            one = replace(one, where=say("Steps {numbers}", numbers=", ".join(map(str, steps))))
        stops.append(one)
    return tuple(stops)


def _short(finding: Finding) -> str:
    """The words of a box; the mark before them is ours to set, once."""
    return finding.short.removeprefix(say("{mark}: ", mark=_mark(finding)))


def _figures(finding: Finding, system: str) -> tuple[str, ...]:
    shown = [amounts.figure(figure, system) for figure in finding.figures[:_FIGURES]]
    more = len(finding.figures) - len(shown)
    return (*shown, say("{count} more figures in the JSON form of the sheet", count=more)) if more > 0 else tuple(shown)


def _squared(block: Block) -> Block:
    """A table whose rows are all as long as the longest, so that no cell of a plugin is lost."""
    if not isinstance(block, Grid):
        return block
    length = max(map(len, (block.columns, *block.rows)))
    columns, *rows = ((*row, *[""] * (length - len(row))) for row in (block.columns, *block.rows))
    return replace(block, columns=columns, rows=tuple(rows))
