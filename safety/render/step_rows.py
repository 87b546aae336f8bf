"""The work in words: what holds for the whole job, and a row for each step with what is its own."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace

from safety.assessment import ASKED
from safety.cited import Unknown
from safety.model import Finding, Job, Leftover, Product, Report, Step, Use
from safety.render.clock import Limits, limits, pace, span, waits
from safety.render.merging import WORN, Mark, Said, common, mark, parts, short, titled
from safety.words import capital, joined, message, say, term, with_plain

#: Way of working -> its word beside the product.
WORKS: dict[str, str] = {
    "wipe": message("wipe"),
    "brush": message("brush"),
    "soak": message("soak"),
    "gel": message("gel"),
    "spray": message("spray"),
    "pour": message("pour"),
    "open": message("open"),
    "wash": message("wash"),
}
#: Notes of these are for reading up, not for the work; the air of each step has its own table.
_READ_UP = ("data", "solvent", "air")
_STATES: tuple[Mark, ...] = ("STOP", "UNKNOWN", "Control")


@dataclass(frozen=True, slots=True)
class Line:
    """What is said on one topic."""

    topic: str
    name: str  # of the topic
    said: tuple[Said, ...]
    unchecked: bool = False  # it rests on something that nobody has checked

    @property
    def title(self) -> str:
        return titled(self.name, self.unchecked)

    @property
    def large(self) -> bool:
        """Whether it has to be read at arm's length."""
        return self.topic in ("hands", "breathing")


@dataclass(frozen=True, slots=True)
class Card:
    """One step."""

    number: int
    name: str
    when: str  # "07:30-07:45"
    where: str  # only what differs from the job's place and air, and who is away
    uses: tuple[str, ...]  # products with their amounts
    left: tuple[str, ...]  # what lies wet when the step is over
    waits: tuple[str, ...]
    windows: tuple[Limits, ...]
    states: tuple[Mark, ...]  # what its findings are marked with, the worst first
    wear: tuple[str, ...]  # topics on which something has to be worn, for the signs
    stopped: tuple[str, ...]  # topics whose stops are said before the steps and not in ``lines``
    lines: tuple[Line, ...]  # what is not said for the whole job already
    boxes: tuple[Line, ...]  # everything, for those who read one step alone
    pace: str  # for which times of the work the sheet holds, where the shop says it

    @property
    def products(self) -> tuple[str, ...]:
        """What is used and what is left wet, and how long the work may take."""
        lines = [*self.uses, *self.left]
        if self.pace:
            lines[:1] = [say("{line}, {time}", line=lines[0], time=self.pace) if lines else self.pace]
        return tuple(lines)


@dataclass(frozen=True, slots=True)
class Band:
    """What holds for the whole job, or for most of its steps."""

    lines: tuple[Line, ...]
    signs: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...]  # symbol codes, and the products that carry them
    unclassified: tuple[str, ...]  # products whose hazard statements are not known
    unsigned: tuple[str, ...]  # products with statements of which nobody says what they carry


def arrange_steps(
    report: Report, findings: Sequence[Finding], doubtful: Collection[int]
) -> tuple[Band, tuple[Card, ...]]:
    """The band and the cards of a report. ``findings`` are in reading order, the gravest first.

    ``doubtful``: the identities of those that rest on something nobody has checked.
    """
    steps = range(len(report.job.steps))
    own = [_by_topic(report, [f for f in findings if f.step == i], ASKED) for i in steps]
    shared = common(own)
    whole = _by_topic(report, [f for f in findings if f.step is None and (mark(f) or f.topic == "clock")], ())
    band = {
        topic: _once([*(said for said in whole.get(topic, ()) if said.mark != "STOP"), *shared.get(topic, ())])
        for topic in report.titles
    }
    said_before = {(topic, said.mark, said.text) for topic, all_said in shared.items() for said in all_said}
    by_step = ([f for f in findings if f.step == i] for i in steps)
    cards = tuple(_card(report, i, own[i], said_before, here, doubtful) for i, here in enumerate(by_step))
    return Band(_lines(report, band.items(), _unchecked(findings, doubtful)), *_signs(report)), cards


def _once(all_said: Iterable[Said]) -> list[Said]:
    """Few words that hold for the whole job need no second saying because they hold for steps too."""
    found: dict[tuple[Mark, str], Said] = {}
    for said in all_said:
        found.setdefault((said.mark, capital(said.text)), said)
    return list(found.values())


def by_mark(line: Line) -> list[tuple[Mark, str]]:
    """One text for each mark; the steps a part holds for stand behind it where they are not all."""
    texts: dict[Mark, list[str]] = {}
    for one in line.said:
        texts.setdefault(one.mark, []).append(_with_steps(one))
    return [(mark, joined(said, ". ")) for mark, said in texts.items()]


def _with_steps(one: Said) -> str:
    if not one.steps:
        return one.text
    if not one.text:
        return say("(steps {steps})", steps=one.steps)
    return say("{text} (steps {steps})", text=one.text, steps=one.steps)


def _by_topic(report: Report, findings: Iterable[Finding], asked: Collection[str]) -> dict[str, list[Said]]:
    """What findings say on each topic, part by part; what nobody answered is said too."""
    said: dict[str, list[Said]] = {topic: [] for topic in report.titles}
    answered = set()
    for finding in findings:
        answered.add(finding.topic)
        if mark(finding) or finding.topic not in _READ_UP:
            said[finding.topic] += parts(finding)
    for topic in asked:
        if topic not in answered:
            said[topic].append(Said("NOT ASSESSED", ""))
    return {topic: list(dict.fromkeys(all_said)) for topic, all_said in said.items() if all_said}


def _unchecked(findings: Iterable[Finding], doubtful: Collection[int]) -> frozenset[str]:
    """The topics of findings that rest on something nobody has checked."""
    return frozenset(f.topic for f in findings if id(f) in doubtful)


def _lines(report: Report, topics: Iterable[tuple[str, Sequence[Said]]], doubtful: Collection[str]) -> tuple[Line, ...]:
    return tuple(
        Line(
            topic,
            report.titles[topic],
            tuple(replace(one, text=capital(one.text)) for one in said),
            topic in doubtful,
        )
        for topic, said in topics
        if said
    )


def _card(
    report: Report,
    index: int,
    own: dict[str, list[Said]],
    said_before: set[tuple[str, Mark, str]],
    findings: Sequence[Finding],
    doubtful: Collection[int],
) -> Card:
    job, step = report.job, report.job.steps[index]
    left = {
        topic: [one for one in said if (topic, one.mark, one.text) not in said_before] for topic, said in own.items()
    }
    found: set[Mark] = {one.mark for said in own.values() for one in said if one.mark in ("STOP", "Control")}
    found |= {"UNKNOWN" for said in left.values() for one in said if one.mark in ("UNKNOWN", "NOT ASSESSED")}
    for topic in left.keys() - set(WORN):
        left[topic] = [one for one in left[topic] if one.mark != "STOP"]
    return Card(
        number=index + 1,
        name=step.name,
        when=span(job.start, *report.timeline.span(index)),
        where=_where(report, step),
        uses=_used(step),
        left=_left(step),
        waits=waits(job, report.timeline.of_step(index)),
        windows=tuple(limits(job, w) for w in report.timeline.windows if w.step == index),
        states=tuple(state for state in _STATES if state in found),
        wear=_worn(own),
        stopped=tuple(
            term(report.titles[t]) for t, said in own.items() if t not in WORN and any(s.mark == "STOP" for s in said)
        ),
        lines=_lines(report, left.items(), _unchecked(findings, doubtful)),
        boxes=_boxes(report, findings, _unchecked(findings, doubtful)),
        pace=pace(step),
    )


def _worn(own: dict[str, list[Said]]) -> tuple[str, ...]:
    """What to show a sign for: all of it or none, for the signs are read as the whole list.

    None where the step may not start, or where something that is worn is not known.
    """
    worn = {topic: {said.mark for said in own.get(topic, ())} for topic in (*WORN, "skin")}
    if any(said.mark == "STOP" for all_said in own.values() for said in all_said):
        return ()
    if any(marks & {"UNKNOWN", "NOT ASSESSED"} for marks in worn.values()):
        return ()
    return tuple(topic for topic, marks in worn.items() if "Control" in marks)


def _boxes(report: Report, findings: Sequence[Finding], doubtful: Collection[str]) -> tuple[Line, ...]:
    boxes = []
    for topic, name in report.titles.items():
        said = tuple(dict.fromkeys(Said(mark(f), short(f)) for f in findings if f.topic == topic))
        if not said and topic in ASKED:
            said = (Said("NOT ASSESSED", ""),)
        if said:
            boxes.append(Line(topic, name, said, topic in doubtful))
    return tuple(boxes)


def _signs(
    report: Report,
) -> tuple[tuple[tuple[tuple[str, ...], tuple[str, ...]], ...], tuple[str, ...], tuple[str, ...]]:
    """Symbols with the products that carry them, and the products nobody knows all the symbols of."""
    products = {p.id: p for step in report.job.steps for p in _products(step)}.values()
    signs = {one.of: one.symbols for one in report.signs}
    carried: dict[tuple[str, ...], list[str]] = {}
    unclassified, unsigned = [], []
    for product in products:
        if isinstance(report.hazards_of(product).declared, Unknown):
            unclassified.append(product.name)
        if product.id not in signs:
            unsigned.append(product.name)
        elif codes := signs[product.id]:
            carried.setdefault(codes, []).append(product.name)
    return tuple((codes, tuple(names)) for codes, names in carried.items()), tuple(unclassified), tuple(unsigned)


def air_states(job: Job) -> tuple[str, ...]:
    """The states of the air of the job's own place, in the order they come up."""
    return tuple({step.air.state: step.air.called for step in job.steps if step.place == job.place}.values())


def _where(report: Report, step: Step) -> str:
    job = report.job
    words = []
    if step.place != job.place:
        words.append(say("In {place}", place=step.place.name or step.place.id))
    if step.place != job.place or len(air_states(job)) > 1:
        words.append(step.air.called)
    if step.people == "far":
        words.append(say("people stay at a distance"))
    elif step.people == "away":
        words.append(say("nobody in the place"))
    return capital(", ".join(words))


def _products(step: Step) -> tuple[Product, ...]:
    used, left = [use.product for use in step.uses], [wet.product for wet in step.leaves_wet]
    return tuple({product.id: product for product in (*used, *left)}.values())


def _used(step: Step) -> tuple[str, ...]:
    return tuple(
        say("{product}, {work}, {amount}", product=use.product.name, work=term(WORKS[use.work]), amount=_amount(use))
        for use in step.uses
    )


def _left(step: Step) -> tuple[str, ...]:
    return tuple(
        say("Left wet: {what}, {amount}", what=wet.what, amount=_amount(wet))
        if [wet.product.id] == [use.product.id for use in step.uses]
        else say("Left wet: {what}, {product}, {amount}", what=wet.what, product=wet.product.name, amount=_amount(wet))
        for wet in step.leaves_wet
    )


def _amount(of: Use | Leftover) -> str:
    """As the file has it, but for what only a file needs: "5 US fl oz", "250 g/m²"."""
    if isinstance(of.mass, Unknown):
        return say("amount not known")
    return with_plain(of.written, lambda written: written.replace("_", " ").replace("^2", "²"))
