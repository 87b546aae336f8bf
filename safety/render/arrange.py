"""A report arranged for reading: what stands where, in words. Every form of the sheet sets this."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from safety.marks import Mark as Unchecked
from safety.marks import each_once, of_each
from safety.model import Block, Chart, Finding, Grid, Lines, Report
from safety.render import amounts, fixed
from safety.render.clock import span
from safety.render.merging import Mark, Merged, mark, merged, numbered, reasons, short
from safety.render.sides import Sides, sides
from safety.render.step_rows import Band, Card, air_states, arrange_steps
from safety.why import references
from safety.words import joined, say, term

_FIGURES = 6  # of one finding on a page; some rest on forty


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
    unchecked: tuple[str, ...]  # what it rests on that nobody has checked, and why
    figures: tuple[str, ...]
    plugin: str
    reference: str


@dataclass(frozen=True, slots=True)
class Sheet:
    title: str
    shop: str
    facts: tuple[tuple[str, str], ...]
    result: tuple[Mark, str]
    missing: tuple[str, ...]
    stops: tuple[Merged, ...]
    band: Band
    cards: tuple[Card, ...]
    sides: Sides  # what a technician takes to the work
    unchecked: str  # what the sign beside a topic means; "" where nothing carries it
    marks: Mapping[int, tuple[Unchecked, ...]]  # what each finding of the report rests on that nobody has checked
    asked: tuple[Merged, ...]  # stops, what is not known, controls: each once
    all: tuple[Judgement, ...]  # every finding in full, in job order
    blocks: tuple[Block, ...]  # charts and tables, then lists short enough to be read at work
    appendix: tuple[Block, ...]  # the long ones
    assumed: tuple[Lines, ...]  # what is taken for what no file says; empty where every key is written
    cautions: Lines
    left_out: str  # what a printed sheet does not hold, and the command that shows it
    closing: tuple[Lines, ...]  # what nobody has checked, failures, rules, sources, files
    certification: tuple[str, tuple[str, ...]]  # sentence, fields a person fills in
    read: tuple[str, tuple[str, ...]]
    small_print: str
    notice: str

    @property
    def complete(self) -> bool:
        return not self.missing


def arrange(report: Report) -> Sheet:
    """Put a report in reading order: what stops the job, what to do at each step, what it rests on."""
    job = report.job
    topics = list(report.titles)
    findings = sorted(report.findings, key=lambda finding: _rank(finding, topics))
    names = {id(f): reference for reference, f in references(report).items()}
    marks = of_each(findings)
    asked = merged(report, [(names[id(f)], f) for f in findings if mark(f)], marks)
    # a table without a column holds nothing
    blocks = [squared(b) for b in report.blocks if not (isinstance(b, Grid) and not any((b.columns, *b.rows)))]
    appendix = tuple(b for b in blocks if _long(b))
    band, cards = arrange_steps(report, findings, frozenset(at for at, own in marks.items() if own))
    doubts = each_once(mark for f in findings for mark in marks[id(f)])
    return Sheet(
        title=job.title,
        shop=job.shop.name,
        facts=_facts(report),
        result=_result(report),
        missing=reasons(report.missing),
        stops=tuple(one for one in asked if one.mark == "STOP"),
        band=band,
        cards=cards,
        sides=sides(report, cards, band.lines),
        unchecked=fixed.unchecked_sign() if doubts else "",
        marks=marks,
        asked=asked,
        all=tuple(_judgement(report, f, names[id(f)], marks[id(f)]) for f in sorted(findings, key=_place)),
        blocks=tuple(sorted((b for b in blocks if not _long(b)), key=_kind)),
        appendix=appendix,
        assumed=fixed.assumed(report),
        cautions=fixed.cautions(report),
        left_out=fixed.left_out(report, appendix, sum(not mark(f) for f in findings)),
        closing=(*fixed.unchecked(doubts), *fixed.closing(report)),
        certification=fixed.certification(report),
        read=fixed.read(),
        small_print=say(
            "hazstep {version}, {draws} draws, seed {seed}",
            version=report.version,
            draws=report.draws,
            seed=report.seed,
        ),
        notice=job.shop.notice,
    )


def where(report: Report, steps: tuple[int, ...]) -> str:
    """The steps a finding is about, by number, a single one by its name and clock."""
    if len(steps) != 1:
        return numbered(steps)
    when = span(report.job.start, *report.timeline.span(steps[0] - 1))
    return say("Step {number}, {when}: {name}", number=steps[0], when=when, name=report.job.steps[steps[0] - 1].name)


def _kind(block: Block) -> int:
    return (Chart, Grid, Lines).index(type(block))


def _long(block: Block) -> bool:
    """Whether a block is for looking things up, not for reading at work."""
    if isinstance(block, Grid):
        return sum(len(cell) for row in block.rows for cell in row) > 1200
    return isinstance(block, Lines) and (len(block.lines) > 14 or sum(map(len, block.lines)) > 1800)


def _rank(finding: Finding, topics: Sequence[str]) -> tuple[int, int, int]:
    """Highest level first, what is not known before what is, then in the order of the clock and of the topics."""
    level = {"stop": 0, "control": 2, "note": 3}[finding.level]
    if mark(finding) == "UNKNOWN":
        level = 1
    return level, -1 if finding.step is None else finding.step, topics.index(finding.topic)


def _place(finding: Finding) -> float:
    """The whole job, then step by step; what the data are worth is read last."""
    if finding.step is not None:
        return finding.step
    return float("inf") if finding.topic == "data" and not mark(finding) else -1


def _result(report: Report) -> tuple[Mark, str]:
    if report.stops:
        return "STOP", say("STOP - do not start")
    if not report.complete:
        return "UNKNOWN", say("Not all known - find out before anybody starts")
    if any(f.level == "control" for f in report.findings):
        return "Control", say("Controls needed")
    return "", say("No stop found in what was assessed")


def given(report: Report) -> str:
    """What was given for this sheet alone; "" where all is as the job's file has it."""
    start, air, as_of = report.asked.start, report.asked.air, report.asked.as_of
    told = [
        say("start {start}", start=start.isoformat(" ", "minutes")) if start else "",
        say('air "{state}"', state=air) if air else "",
        say("the rules of {day}", day=as_of.isoformat()) if as_of else "",
    ]
    if not any(told):
        return ""
    return say("{what}, on the command line. The rest is as in the job's file.", what=joined(filter(None, told), "; "))


def _facts(report: Report) -> tuple[tuple[str, str], ...]:
    job, system = report.job, report.job.shop.print_units
    air = "; ".join(air_states(job))
    crew = say("1 person") if job.crew == 1 else say("{crew} people", crew=job.crew)
    facts = (
        (say("Unit"), job.unit),
        (say("Date"), job.start.strftime("%Y-%m-%d")),
        (say("Place"), job.place.name or job.place.id),
        (say("Clock"), span(job.start, 0, report.timeline.end)),
        (say("Air"), air),
        (say("Given"), given(report)),
        (say("Crew"), crew),
        (say("Surface"), job.surface),
        (say("Temperature"), amounts.between(job.place.temperature, "K", system)),
        (say("Translation"), fixed.translation()),
    )
    return tuple((label, value) for label, value in facts if value)


def _judgement(report: Report, finding: Finding, reference: str, marks: tuple[Unchecked, ...]) -> Judgement:
    return Judgement(
        mark=mark(finding),
        where=where(report, () if finding.step is None else (finding.step + 1,)),
        topic=term(report.titles[finding.topic]),
        short=short(finding),
        statement=finding.statement,
        unknown=finding.unknown,
        remedy=finding.remedy,
        rule=finding.rule,
        unchecked=tuple(map(str, marks)),
        figures=_figures(finding, report.job.shop.print_units),
        plugin=finding.plugin,
        reference=reference,
    )


def _figures(finding: Finding, system: str) -> tuple[str, ...]:
    shown = [amounts.figure(figure, system) for figure in finding.figures[:_FIGURES]]
    more = len(finding.figures) - len(shown)
    return (*shown, say("{count} more figures in the JSON form of the sheet", count=more)) if more > 0 else tuple(shown)


def squared(block: Block) -> Block:
    """A table whose rows are all as long as the longest, so that no cell of a plugin is lost."""
    if not isinstance(block, Grid):
        return block
    length = max(map(len, (block.columns, *block.rows)))
    columns, *rows = ((*row, *[""] * (length - len(row))) for row in (block.columns, *block.rows))
    return replace(block, columns=columns, rows=tuple(rows))
