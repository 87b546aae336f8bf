"""Alternatives side by side, and proposals, as text and as plain data."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import groupby
from string import ascii_uppercase
from typing import Any

from safety.compare import Outcome, Proposal
from safety.compare.changes import Kind
from safety.compare.outcome import named
from safety.model import Zone
from safety.reference import long_shift
from safety.render import text_safe
from safety.render.arrange import given
from safety.render.text import WIDTH, heading, wrapped
from safety.units import significant
from safety.words import say, term

LABEL, COLUMN = 45, 11
ACROSS = (WIDTH - LABEL) // COLUMN
Row = tuple[str, Callable[[Outcome], str]]


def table(outcomes: Sequence[Outcome]) -> str:
    """Alternatives best first, ending in a line break."""
    return "\n".join(str(line).rstrip() for line in _table(outcomes)) + "\n"


def proposals(found: Sequence[Proposal]) -> str:
    """What each control can do against each stop and respirator, ending in a line break."""
    return "\n".join(str(line).rstrip() for line in _proposals(found)) + "\n"


def record(outcomes: Sequence[Outcome]) -> list[dict[str, Any]]:
    """Alternatives best first, as plain data; None where a thing was not assessed or is not there."""
    return [
        {
            "alternative": text_safe(named(o.alternative)),
            "planned": not o.alternative.changes,
            "kind": o.alternative.kind,
            "stops": o.stops,
            "controls": o.controls,
            "complete": o.report.complete,
            "missing": [text_safe(m) for m in o.report.missing],
            "exposure": o.exposure,
            "respirators": _by_step(o.respirators),
            "gloves": _by_step(o.gloves),
            "fire": {"share": {text_safe(_share(zone)): v for zone, v in o.fire.items()}, "stops": o.fire_stops},
            "solvent": None if o.solvent is None else {text_safe(_planned(kind)): v for kind, v in o.solvent.items()},
            "waste": o.waste,
        }
        for o in outcomes
    ]


def columns(outcomes: Sequence[Outcome]) -> dict[str, Any]:
    """The cells of the table as they are printed, for a page that has room for every column: best first."""
    return {
        "names": [text_safe(named(o.alternative)) for o in outcomes],
        "rows": [[text_safe(label), *(cell(o) for o in outcomes)] for label, cell in _rows(outcomes)],
        "worn": [
            [title, *(_worn(of(o)) for o in outcomes)]
            for title, of in ((say("Respirators"), _respirators), (say("Gloves"), _gloves))
        ],
    }


def record_proposals(found: Sequence[Proposal]) -> list[dict[str, Any]]:
    """The proposals as plain data."""
    return [
        {
            "step": text_safe(p.target.step),
            "finding": text_safe(p.target.finding.short),
            "level": p.target.finding.level,
            "key": text_safe(p.target.finding.key),
            "control": text_safe(p.control),
            "kind": p.kind,
            "helps": p.helps,
            "words": text_safe(p.words),
            "new_stops": p.new_stops,
        }
        for p in found
    ]


def _by_step(worn: dict[int, str] | None) -> dict[str, str] | None:
    return None if worn is None else {str(step + 1): text_safe(text) for step, text in worn.items()}


def _table(outcomes: Sequence[Outcome]) -> Iterator[str]:
    job = outcomes[0].report.job
    yield from wrapped(say("{title}: what if", title=job.title))
    if told := given(outcomes[0].report):
        yield from wrapped(told)
    yield "=" * WIDTH
    yield from wrapped(
        say(
            "Best first: fewer stops, then no respirator, then less vapour, "
            "then the change that works nearer the source."
        )
    )
    yield ""
    letters = [ascii_uppercase[i] if i < 26 else str(i + 1) for i in range(len(outcomes))]
    for letter, one in zip(letters, outcomes, strict=True):
        kind = one.alternative.kind
        text = (
            say("{change} ({kind})", change=one.alternative.text, kind=_kind(kind)) if kind else named(one.alternative)
        )
        yield from wrapped(text, f"{letter:<3}")
    for first in range(0, len(outcomes), ACROSS):
        part = outcomes[first : first + ACROSS]
        yield ""
        yield " " * LABEL + "".join(f"{letter:>{COLUMN}}" for letter in letters[first : first + ACROSS])
        yield "-" * WIDTH
        for label, cell in _rows(outcomes):
            yield f"{text_safe(label)[: LABEL - 1]:<{LABEL}}" + "".join(f"{cell(o):>{COLUMN}}" for o in part)
    for letter, one in zip(letters, outcomes, strict=True):
        if cut := long_shift.sentence(one.report.job):
            yield from wrapped(cut, f"{letter:<3}")
    for title, of in ((say("Respirators"), _respirators), (say("Gloves"), _gloves)):
        yield from heading(title)
        for letter, one in zip(letters, outcomes, strict=True):
            yield from wrapped(_worn(of(one)), f"{letter:<3}")


def _rows(outcomes: Sequence[Outcome]) -> Iterator[Row]:
    yield say("stops"), lambda o: str(o.stops)
    yield say("controls"), lambda o: str(o.controls)
    yield say("steps that need a respirator"), lambda o: _count(o.respirators)
    for name in outcomes[0].exposure:
        yield _exposure(name), lambda o, name=name: _number(o.exposure[name])  # type: ignore[misc]
    zones = dict.fromkeys(zone for o in outcomes for zone in o.fire)
    for zone in zones:
        short = say("explosive share [%] {where}", where=_where(zone))
        yield short, lambda o, zone=zone: _number(o.fire.get(zone))  # type: ignore[misc]
    yield say("fire stops"), lambda o: str(o.fire_stops)
    kinds = dict.fromkeys(kind for o in outcomes for kind in o.solvent or ())
    for kind in kinds:
        yield say("{kind} [kg]", kind=_counted(kind)), lambda o, kind=kind: _number((o.solvent or {}).get(kind))  # type: ignore[misc]
    if not kinds:
        yield say("{kind} [kg]", kind=say("solvent planned")), lambda o: _number(None)
    yield say("waste [kg]"), lambda o: _number(o.waste)
    yield say("sheet"), lambda o: say("whole") if o.report.complete else say("INCOMPLETE")


def _exposure(name: str) -> str:
    return {
        "shift average": say("worst shift average, times its limit"),
        "15 min": say("worst 15 min, times its limit"),
        "ceiling": say("worst ceiling, times its limit"),
        "vapours together, shift average": say("vapours together, shift average"),
        "vapours together, 15 min": say("vapours together, 15 min"),
    }[name]


def _where(zone: Zone) -> str:
    return say("close to the work") if zone == "near" else say("in the rest of the place")


def _share(zone: Zone) -> str:
    return say("share of the lower explosive limit {where}", where=_where(zone))


def _counted(kind: str) -> str:
    """What of the planned solvent is meant."""
    return term(kind) or say("product")


def _planned(kind: str) -> str:
    return say("{what} planned for the job", what=_counted(kind))


def _kind(kind: Kind) -> str:
    return {
        "substitution": say("at the source"),
        "engineering": say("air and hoods"),
        "administrative": say("way of working"),
        "protection": say("protection"),
        "other": say("other"),
    }[kind]


def _respirators(one: Outcome) -> dict[int, str] | None:
    return one.respirators


def _gloves(one: Outcome) -> dict[int, str] | None:
    return one.gloves


def _worn(worn: dict[int, str] | None) -> str:
    """Steps with the same thing worn together."""
    if worn is None:
        return say("NOT ASSESSED")
    if not worn:
        return say("none")
    steps: dict[str, list[int]] = {}
    for step, text in sorted(worn.items()):
        steps.setdefault(text, []).append(step + 1)
    return "; ".join(
        say("step {numbers}: {text}", numbers=", ".join(map(str, numbers)), text=text)
        for text, numbers in steps.items()
    )


def _count(worn: dict[int, str] | None) -> str:
    return say("-") if worn is None else str(len(worn))


def _number(value: float | None) -> str:
    """Two figures; a dash for what was not assessed or is not there."""
    return say("-") if value is None else say("{value:g}", value=float(significant(value, 2)))


def _proposals(found: Sequence[Proposal]) -> Iterator[str]:
    yield from heading(say("The least that helps, one control at a time"))
    if not found:
        yield from wrapped(say("There is no stop and no respirator in this job."))
    for target, group in groupby(found, key=lambda p: id(p.target)):
        own = list(group)
        del target
        finding, step = own[0].target.finding, own[0].target.step
        word = say("STOP") if finding.level == "stop" else say("Respirator")
        yield ""
        yield from wrapped(
            say("{word}, {step}: {short}", word=word, step=step or say("whole job"), short=finding.short)
        )
        for one in own:
            if one.helps:
                more = say(" (but it brings {count} new stops)", count=one.new_stops) if one.new_stops else ""
                text = say("{words}{more} [{kind}]", words=one.words, more=more, kind=_kind(one.kind))
                yield from wrapped(text, "  - " if more else "  + ", "    ")
        if any(one.helps for one in own):
            yield from wrapped(say("Each of these holds with a margin: other draws give it too."), "    ")
        useless = [p.control for p in own if not p.helps]
        if useless:
            yield from wrapped(say("No amount of this alone does it: {controls}.", controls="; ".join(useless)), "    ")
