"""The story in one place: lay out on a clock, compute the air, ask the plugins, report."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any

from safety import __version__, reference, timeline
from safety.cited import Source, Unknown
from safety.exposure.engine import MeasuredAt, compute
from safety.exposure.result import FEWEST, Exposure, Neighbour
from safety.hosting.host import Host
from safety.hosting.kept import Kept
from safety.model import (
    TITLES,
    Block,
    Contribution,
    Finding,
    Job,
    LedgerView,
    Report,
    Shop,
    Signs,
    Substance,
    Timeline,
    Topic,
)
from safety.problems import Problem, Problems
from safety.reference import Reference, fractions
from safety.reference.hazards import product_hazards
from safety.words import joined, say, term

DRAWS, SEED = 2000, 1

#: What every step of a sheet is asked about; an unanswered one is said, never left blank.
ASKED: tuple[Topic, ...] = ("air", "fire", "hands", "eyes", "breathing", "skin", "waste")

#: Hears the share of the work that is done, 0 to 1.
Progress = Callable[[float], None]

#: Opens what a shop has recorded, for the time of one assessment; None where there is nothing.
Records = Callable[[Shop], AbstractContextManager[LedgerView | None]]


def no_records(shop: Shop) -> AbstractContextManager[LedgerView | None]:
    return nullcontext()


def silent(share: float) -> None:
    """Nobody waits for the work to be done."""


def part_of(progress: Progress, at: int, count: int) -> Progress:
    """What hears the ``at``-th of ``count`` equal parts of the work (from 0)."""
    return lambda share: progress((at + share) / count)


def enough(draws: int) -> None:
    """Raise Problems for so few draws that no bound of their 95th percentile is sure: its error would go unseen."""
    if draws < FEWEST:
        wrong = say("{draws} draws are too few to tell the 95th percentile by", draws=draws)
        raise Problems([Problem("draws", 0, "", wrong, say("write {fewest} or more", fewest=FEWEST))])


def assess(
    job: Job,
    data: Reference,
    plugins: Host,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    ledger: LedgerView | None = None,
    neighbours: Sequence[Neighbour] = (),
    progress: Progress = silent,
    measured_at: MeasuredAt | None = None,
    clock: Timeline | None = None,
) -> Report:
    """Assess a job that has been read, with the other jobs done in its places. Raises Problems for too few draws.

    ``measured_at`` is the job at which its results were measured, where it is a change of that; ``clock`` is not given
    where the job runs by its plan.
    """
    enough(draws)
    clock = clock or timeline.build(job)
    data = fractions.known([p for one in (job, *(n.job for n in neighbours)) for p in one.products], data)
    exposure = compute(
        job, clock, data, draws=draws, seed=seed, neighbours=neighbours, progress=progress, measured_at=measured_at
    )
    hazards = tuple(product_hazards(product, data) for product in job.products)  # looks up: not while others are asked
    findings: list[Finding] = []
    blocks: list[tuple[str, Block]] = []
    kept = Kept()
    for name, answer in plugins.ask("assess", kept, job=job, exposure=exposure, reference=data, ledger=ledger):
        findings += (one for one in answer if isinstance(one, Finding))
        blocks += ((name, one) for one in answer if not isinstance(one, Finding))
    judged = tuple(sorted(map(_told, findings), key=_order))
    books = [f.unknown for f in judged if f.unknown and f.gap == "books"]
    books += [ledger.left_out] if ledger is not None and ledger.left_out else []
    signs = signs_of({one.product.id: one.codes for one in hazards}, data, plugins, kept)
    asked: dict[str, Any] = {"job": job, "exposure": exposure, "findings": judged, "signs": signs, "reference": data}
    for name, answer in plugins.ask("sheet_blocks", kept, **asked):
        blocks += ((name, one) for one in answer)
    return Report(
        job=job,
        timeline=clock,
        exposure=exposure,
        findings=judged,
        blocks=tuple(one for _, one in sorted(blocks, key=lambda pair: pair[0])),
        failures=plugins.failures,
        missing=tuple(dict.fromkeys((*data.conflicts, *plugins.conflicts, *_missing(job, exposure, judged, plugins)))),
        packs=data.packs,
        sources=_sources(exposure),
        version=__version__,
        seed=seed,
        draws=draws,
        books=tuple(dict.fromkeys(books)),
        own_data=tuple(s.origin for s in exposure.substances if s.origin.startswith("substances/")),
        hazards=hazards,
        signs=signs,
        looked_up=_looked_up(job, data),
        certifies=data.table("certification"),
        titles=plugins.titles,
        formulas=plugins.formulas,
    )


def signs_of(
    statements: Mapping[str, tuple[str, ...]], data: Reference, plugins: Host, kept: Kept | None = None
) -> tuple[Signs, ...]:
    """What each thing carries for its hazard statements, by all who say; what nobody answers for is not among them."""
    found: dict[str, Signs] = {}
    for _, answer in plugins.ask("signs", kept, statements=MappingProxyType(dict(statements)), reference=data):
        for one in answer:
            other = found.get(one.of, one)
            found[one.of] = Signs(
                one.of,
                tuple(sorted({*one.symbols, *other.symbols})),
                min(one.signal, other.signal, key=("danger", "warning", "").index),
                tuple(dict.fromkeys((*other.statements, *one.statements))),
                tuple(dict.fromkeys((*other.precautions, *one.precautions))),
            )
    return tuple(found[name] for name in statements if name in found)


def reference_on(shop: Shop, on: date, plugins: Host, contributions: list[tuple[str, Contribution]]) -> Reference:
    """Load the reference data; what a plugin adds wrongly is its own failure and nobody else's."""
    folder = Path(shop.file).parent
    first: Problems | None = None  # what went wrong before anything was left out
    while True:
        try:
            absent = any(plugins.gaps(shop.expects))
            return reference.load(shop.rules, folder, on, contributions, absent, plugins.substance)
        except Problems as problems:
            blamed = {name: p for p in problems.problems for name, _ in contributions if p.file == f"plugin {name}"}
            if not blamed and any(p.file in shop.rules for p in problems.problems):
                raise  # a pack the shop wrote is looser than the plugins' rules, or speaks of what nobody reads
            blamed = blamed or _breaks(shop, on, contributions)
            first = first or problems
            if not blamed:
                raise first from None
            for name, problem in blamed.items():
                plugins.fail(name, "contribute", ValueError(f"{problem.where}: {problem.wrong}"))
            contributions[:] = [one for name, c in contributions for one in _left_of(name, c, name in blamed)]


def _left_of(name: str, added: Contribution, blamed: bool) -> list[tuple[str, Contribution]]:
    """What still counts of what a plugin adds: of one at fault the tables it declares, so that nobody else fails."""
    if not blamed:
        return [(name, added)]
    only = Contribution(tables=added.tables)
    return [(name, only)] if added.tables and added != only else []


def _breaks(shop: Shop, on: date, contributions: Sequence[tuple[str, Contribution]]) -> dict[str, Problem]:
    """The plugins whose rules do not go with the others', and why; none where the shop's own files are wrong."""
    folder = Path(shop.file).parent
    sound: list[tuple[str, Contribution]] = []
    found = {}
    try:
        reference.load(shop.rules, folder, on, absent=True)
    except Problems:
        return {}
    for name, contribution in contributions:
        try:
            reference.load(shop.rules, folder, on, [*sound, (name, contribution)], absent=True)
        except Problems as problems:
            found[name] = problems.problems[0]
        else:
            sound.append((name, contribution))
    return found


def _told(finding: Finding) -> Finding:
    """A finding with what is to be said where it hangs on the error of the computation."""
    if not finding.close:
        return finding
    text = (
        say("Close to the limit: within the error of the computation, so taken as over it.")
        if finding.close == "over"
        else say("Close to the limit: a little more would count as over it.")
    )
    return replace(finding, statement=joined((finding.statement, text)))


def _order(finding: Finding) -> tuple[int, int, str, str, str]:
    levels = ("stop", "control", "note")
    step = -1 if finding.step is None else finding.step
    return levels.index(finding.level), step, finding.topic, finding.plugin, finding.key


def _missing(job: Job, exposure: Exposure, findings: Sequence[Finding], plugins: Host) -> Iterator[str]:
    """Every sentence for which nobody can say that the work is safe as planned."""
    yield from plugins.gaps(job.shop.expects)
    for product in job.products:
        if product.draft:
            yield say(
                "{product}: its file is a draft read from a data sheet, and nobody has confirmed it. "
                "Compare it with the sheet, then run: hazstep confirm {id} --who NAME",
                product=product.name,
                id=product.id,
            )
        if isinstance(product.hazards, Unknown):
            yield say("{product}: {reason}.", product=product.name, reason=product.hazards.reason)
    yield from exposure.unknowns
    for finding in findings:
        if finding.unknown and finding.gap == "safety":
            yield finding.unknown
    for topic in ASKED:
        answered = {f.step for f in findings if f.topic == topic}
        steps = [
            say("{number} {name}", number=i + 1, name=s.name) for i, s in enumerate(job.steps) if i not in answered
        ]
        if len(steps) == len(job.steps):
            yield say("{topic}: not assessed for any step.", topic=term(TITLES[topic]))
        elif steps:
            yield say("{topic}: not assessed for {steps}.", topic=term(TITLES[topic]), steps="; ".join(steps))


def _looked_up(job: Job, data: Reference) -> tuple[Substance, ...]:
    """The substances of the job's products whose data came from a plugin that was asked for them."""
    numbers = dict.fromkeys(part.cas for product in job.products for part in product.parts if part.cas)
    found = (data.listed(cas) for cas in numbers if data.looked_up(cas))
    return tuple(one for one in found if isinstance(one, Substance))


def _sources(exposure: Exposure) -> tuple[Source, ...]:
    """The sources of every value of the substances in this job's air."""
    used = {
        value.source.key: value.source
        for substance in exposure.substances
        for values in substance.properties.values()
        for value in values
    }
    return tuple(used[key] for key in sorted(used))
