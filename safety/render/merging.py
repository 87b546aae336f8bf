"""Say once what holds for many steps: parts of a step's few words, and findings that differ in name and times only."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from typing import Literal

from safety.clock import ClockTime
from safety.marks import Mark as Unchecked
from safety.marks import each_once
from safety.model import (
    AgainstLimit,
    ClockSpan,
    Finding,
    KeptOut,
    Planned,
    Report,
    Role,
    SaidUnder,
    Stretch,
    Worn,
    of_step,
)
from safety.words import capital, joined, mould, parts_of, say, term, values_in, with_values

Mark = Literal["STOP", "UNKNOWN", "NOT ASSESSED", "Control", ""]

#: What a person wears: every step says it by name.
WORN = ("hands", "breathing", "eyes")

#: Where on paper few words stand: among the steps; on the back, with who may be there; where a window is said; or with
#: what is read up, for they ask for nothing that other words do not say.
Stands = Literal["front", "back", "window", "annex"]


@dataclass(frozen=True, slots=True)
class Said:
    """A part of a finding's few words: "no synthetic rags". ``steps`` says where it holds, "" everywhere here."""

    mark: Mark
    text: str
    steps: str = ""
    stands: Stands = "front"
    item: str = ""  # of the stock, that is worn


@dataclass(frozen=True, slots=True)
class Merged:
    """Findings of one kind on all their steps. The texts are sentences, each once, with its steps where they differ."""

    mark: Mark
    topic: str
    title: str  # of the topic
    steps: tuple[int, ...]  # numbers from 1; empty: the whole job
    short: str
    statement: str
    unknown: str
    remedy: str
    rule: str
    unchecked: tuple[str, ...]  # what it rests on that nobody has checked, and why
    references: tuple[str, ...]  # what ``hazstep why`` explains
    roles: tuple[Role, ...] = ()


#: Stands beside what rests on a number nobody has checked.
UNCHECKED = "†"


def titled(title: str, unchecked: bool) -> str:
    """A topic's title, with the sign of what nobody has checked; the sign is explained under the steps."""
    name = term(title)
    return say("{topic} {sign}", topic=name, sign=UNCHECKED) if unchecked else name


#: Stretches of the clock that are about people in the place.
ON_THE_BACK: tuple[Stretch, ...] = ("others out", "air not clear", "after another job")


def mark(finding: Finding) -> Mark:
    """The word a finding carries wherever it is printed."""
    if finding.level == "stop":
        return "STOP"
    if finding.unknown and finding.gap == "safety":
        return "UNKNOWN"
    return "Control" if finding.level == "control" else ""


def word(mark: Mark) -> str:
    """How a mark is printed, in the language being spoken."""
    return {
        "STOP": say("STOP"),
        "UNKNOWN": say("UNKNOWN"),
        "NOT ASSESSED": say("NOT ASSESSED"),
        "Control": say("Control"),
        "": "",
    }[mark]


def short(finding: Finding) -> str:
    """A finding's few words; they begin like a sentence."""
    return capital(finding.short)


def numbers(steps: Iterable[int]) -> str:
    """``[1, 2, 3, 6]`` as "1-3, 6"."""
    runs = []
    for _, run in groupby(enumerate(sorted(set(steps))), key=lambda pair: pair[1] - pair[0]):
        members = [number for _, number in run]
        runs.append(
            say("{first}-{last}", first=members[0], last=members[-1])
            if len(members) > 2
            else ", ".join(map(str, members))
        )
    return ", ".join(runs)


def in_steps(steps: Sequence[int]) -> str:
    """Inside a line: "whole job", "step 3" or "steps 1-3, 6"."""
    if not steps:
        return say("whole job")
    if len(steps) == 1:
        return say("step {number}", number=steps[0])
    return say("steps {numbers}", numbers=numbers(steps))


def numbered(steps: Sequence[int]) -> str:
    """The same at the beginning of one: "Whole job", "Step 3" or "Steps 1-3, 6"."""
    return capital(in_steps(steps))


def parts(finding: Finding) -> tuple[Said, ...]:
    """A finding's few words, each thing to do by itself."""
    items = {role.item for role in finding.roles if isinstance(role, Worn)}
    item = items.pop() if len(items) == 1 else ""
    return tuple(Said(mark(finding), text, "", stands(finding), item) for text in parts_of(finding.short, "; "))


def stands(finding: Finding) -> Stands:
    """Where a finding's few words stand on paper, by its roles. A stop, and what is not known, goes before all."""
    if mark(finding) in ("STOP", "UNKNOWN"):
        return "front"
    for role in finding.roles:
        if isinstance(role, KeptOut) or (isinstance(role, ClockSpan) and role.what in ON_THE_BACK):
            return "back"
        if isinstance(role, ClockSpan) and role.what == "window" and finding.level == "note":
            return "window"
        if isinstance(role, (AgainstLimit, SaidUnder)) or role == Planned("waste", 0.0, 0.0):
            return "annex"
    return "back" if finding.topic == "waste" and finding.step is not None else "front"


def common(steps: Sequence[dict[str, list[Said]]]) -> dict[str, tuple[Said, ...]]:
    """What most steps have in common, topic by topic, each with the steps it holds for.

    ``steps`` has what each step says by topic. A stop is never taken out of its step, nor what to wear.
    """
    where: dict[tuple[str, Said], list[int]] = {}
    for number, topics in enumerate(steps, 1):
        for topic, said in topics.items():
            for one in dict.fromkeys(said):
                if one.mark != "STOP" and topic not in WORN:
                    where.setdefault((topic, one), []).append(number)
    found: dict[str, tuple[Said, ...]] = {}
    for (topic, one), held in where.items():
        if len(held) > 1 and 2 * len(held) > len(steps):
            there = "" if len(held) == len(steps) else numbers(held)
            found[topic] = (*found.get(topic, ()), replace(one, steps=there))
    return found


def merged(
    report: Report, findings: Sequence[tuple[str, Finding]], marks: Mapping[int, tuple[Unchecked, ...]]
) -> tuple[Merged, ...]:
    """Findings of one kind together. ``findings`` are in reading order, each with its reference."""
    alike: dict[tuple[Hashable, ...], list[tuple[str, Finding]]] = {}
    for reference, finding in findings:
        first = mould(parts(finding)[0].text, ClockTime)
        kind = (mark(finding), finding.topic, finding.plugin, finding.key, first)
        alike.setdefault(kind, []).append((reference, finding))
    return tuple(_together(report.titles, group, marks) for group in alike.values())


def _together(
    titles: Mapping[str, str], group: list[tuple[str, Finding]], marks: Mapping[int, tuple[Unchecked, ...]]
) -> Merged:
    first = group[0][1]

    def once(texts: Iterable[str]) -> str:
        pairs = [(0 if f.step is None else f.step + 1, text) for (_, f), text in zip(group, texts, strict=True)]
        return _once([(step, text) for step, text in pairs if text])

    return Merged(
        mark=mark(first),
        topic=first.topic,
        title=titles[first.topic],
        steps=tuple(sorted({f.step + 1 for _, f in group if f.step is not None})),
        short=short(first)
        if len({f.short for _, f in group}) == 1
        else capital(once(parts(f)[0].text for _, f in group)),
        statement=once(_unnamed(f.statement) for _, f in group),
        unknown=once(_unnamed(f.unknown) for _, f in group),
        remedy=once(f.remedy for _, f in group),
        rule=joined(dict.fromkeys(rule for _, f in group for rule in parts_of(f.rule, "; ")), "; "),
        unchecked=tuple(map(str, each_once(one for _, f in group for one in marks[id(f)]))),
        references=tuple(reference for reference, _ in group),
        roles=tuple(role for _, f in group for role in f.roles),
    )


def _unnamed(text: str) -> str:
    """A text of a finding without the step's name before it."""
    number, own = of_step(text)
    return capital(own) if number else text


def reasons(missing: Sequence[str]) -> tuple[str, ...]:
    """What is not known; where only the step's name before it differs, once with the numbers of the steps."""
    alike: dict[str, list[tuple[int, str]]] = {}
    for text in missing:
        number, own = of_step(text)
        alike.setdefault(own, []).append((number, text))
    found: list[str] = []
    for own, held in alike.items():
        steps = [number for number, _ in held]
        if len(held) > 1 and all(steps):
            found.append(say("{steps}: {reason}", steps=numbered(steps), reason=own))
        else:
            found += [text for _, text in held]
    return tuple(found)


def _once(texts: Sequence[tuple[int, str]]) -> str:
    """The sentences of the texts of several steps, each once and with its steps where it does not stand in all."""
    alike: dict[Hashable, dict[int, list[str]]] = {}
    for step, text in texts:
        for sentence in parts_of(text):
            held = alike.setdefault(mould(sentence, ClockTime), {}).setdefault(step, [])
            if sentence not in held:
                held.append(sentence)
    all_steps = {step for step, _ in texts}
    return joined(_sentence(held, all_steps) for held in alike.values())


def _sentence(held: dict[int, list[str]], all_steps: set[int]) -> str:
    """One sentence of several steps, in which only times differ."""
    where: dict[str, list[int]] = {}
    for step, sentences in held.items():
        for sentence in sentences:
            where.setdefault(sentence, []).append(step)
    first, *others = where
    if not others and set(held) == all_steps:
        return first
    times = {sentence: values_in(sentence, ClockTime) for sentence in where}
    if others and all(len(found) == 1 for found in times.values()):
        at = (say("{time} [{steps}]", time=found[0], steps=numbers(where[one])) for one, found in times.items())
        listed = joined(at, ", ")
        return with_values(first, ClockTime, lambda _: listed)
    return joined(say("{sentence} [{steps}]", sentence=one, steps=numbers(steps)) for one, steps in where.items())
