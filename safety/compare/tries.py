"""For each control the least of it that removes a stop or a respirator, found on the engine itself.

Each control has few settings, each a round figure, and what is proposed is such a setting: nothing is rounded after it
was tried. It holds with a margin: the answer is not so close to its limit that other draws could turn it.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from safety import timeline
from safety.assessment import DRAWS, SEED, Progress, enough, part_of, silent
from safety.compare.changes import KINDS, Kind
from safety.compare.levers import Lever, levers
from safety.exposure.engine import MeasuredAt, compute
from safety.hosting.host import Host
from safety.model import Finding, Job, LedgerView, Worn
from safety.reference import Reference, fractions
from safety.words import say
from safety.workplace import Workplace

#: Draws while searching; what is found is then held against all of them.
FEW = 200


@dataclass(frozen=True, slots=True)
class Target:
    """A stop, or a respirator, that is to go."""

    finding: Finding
    step: str  # name; "" = the whole job

    def stands(self, job: Job, findings: Iterable[Finding], surely: bool = False) -> bool:
        """Whether it is still there among the findings of a changed job, or so close that it might be.

        ``surely``: not where other draws might take it away.
        """
        steps = [s.name for s in job.steps]
        own = self.finding
        return any(
            (f.plugin, f.topic) == (own.plugin, own.topic)
            and ("" if f.step is None else steps[f.step]) == self.step
            and (f.close == "under" or (f.key == own.key and f.level in ("stop", own.level)))
            and not (surely and f.close)
            for f in findings
        )


@dataclass(frozen=True, slots=True)
class Proposal:
    """What one control can do against one target."""

    target: Target
    control: str
    kind: Kind
    words: str
    helps: bool
    new_stops: int = 0  # stops it brings that were not there


def propose(
    workplace: Workplace,
    job: Path | str,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress = silent,
) -> list[Proposal]:
    """Try every control against every stop and respirator of a job; the better kinds first.

    ``progress`` hears how far it has come. Raises Problems for anything wrong with the files.
    """
    enough(draws)
    (one,) = workplace.planned([job])
    with workplace.records(workplace.shop) as ledger:
        measured_at = MeasuredAt(one.job)
        trials = _Trials(one.job, one.reference, one.plugins, ledger, seed, draws, measured_at, set(), {})
        found = []
        targets = list(targets_of(one.job, trials.planned()))
        trials.judges.update(target.finding.plugin for target in targets)
        for at, target in enumerate(targets):
            index = next((i for i, s in enumerate(one.job.steps) if s.name == target.step), None)
            controls = list(levers(one.job, index))
            for tried, lever in enumerate(controls, 1):
                found.append(_try(trials, target, lever))
                part_of(progress, at, len(targets))(tried / len(controls))
    order = {id(t): i for i, t in enumerate(targets)}
    return sorted(found, key=lambda p: (order[id(p.target)], not p.helps, KINDS.index(p.kind)))


def targets_of(job: Job, findings: Iterable[Finding]) -> list[Target]:
    """Every stop, and every respirator that must be worn, once."""
    found: dict[tuple[str, str, int | None], Target] = {}
    for f in findings:
        mask = any(isinstance(role, Worn) and role.what == "respirator" for role in f.roles)
        if f.level == "stop" or (mask and f.level == "control"):
            found.setdefault((f.plugin, f.key, f.step), Target(f, "" if f.step is None else job.steps[f.step].name))
    return list(found.values())


@dataclass(frozen=True, slots=True)
class _Trials:
    """Judges changed jobs; what it has judged once it remembers."""

    job: Job  # as planned
    data: Reference
    plugins: Host
    ledger: LedgerView | None
    seed: int
    draws: int
    measured_at: MeasuredAt
    judges: set[str]  # the plugins of the targets, once these are known
    seen: dict[tuple[str, float, int], tuple[Job, list[Finding]]]

    def findings(self, job: Job, draws: int) -> list[Finding]:
        """What is said of a job: by everybody on the plan's own draws, by who judges the targets on fewer."""
        only = None if draws == self.draws else self.judges
        data = fractions.known(job.products, self.data)
        exposure = compute(job, timeline.build(job), data, draws=draws, seed=self.seed, measured_at=self.measured_at)
        found: list[Finding] = []
        given = {"job": job, "exposure": exposure, "reference": data, "ledger": self.ledger}
        for _, answer in self.plugins.ask("assess", None, only, **given):
            found += (one for one in answer if isinstance(one, Finding))
        return found

    def planned(self) -> list[Finding]:
        return self._seen("", 0.0, self.job, self.draws)[1]

    def moved(self, lever: Lever, value: float, draws: int) -> tuple[Job, list[Finding]]:
        """The job with a control at ``value``, and what is said of it."""
        return self._seen(lever.name, value, lever.apply(self.job, value), draws)

    def _seen(self, name: str, value: float, job: Job, draws: int) -> tuple[Job, list[Finding]]:
        key = name, value, draws
        if key not in self.seen:
            self.seen[key] = job, self.findings(job, draws)
        return self.seen[key]


def _try(trials: _Trials, target: Target, lever: Lever) -> Proposal:
    settings, few = lever.settings, min(FEW, trials.draws)

    def stands(value: float, draws: int, surely: bool = False) -> bool:
        return target.stands(*trials.moved(lever, value, draws), surely)

    def first(some: range, draws: int, surely: bool = False) -> int:
        """The first of some settings at which the target does not stand; the end where it does at all of them."""
        return some.start + bisect_left(some, True, key=lambda i: not stands(settings[i], draws, surely))

    if not stands(settings[-1], few, surely=True):  # else no more of it helps either
        # few draws leave a span of settings open; only that is searched with all of them
        end = first(range(len(settings)), few)
        at = first(range(first(range(end), few, surely=True), end), trials.draws)
        for value in settings[at:] or settings[-1:]:
            if not stands(value, trials.draws):
                new = _new_stops(trials, lever, value)
                return Proposal(target, lever.name, lever.kind, lever.says(value), True, new)
    words = (
        say("no amount of {control} alone does it", control=lever.name)
        if lever.stepless
        else say("{control}: does not do it alone", control=lever.name)
    )
    return Proposal(target, lever.name, lever.kind, words, False)


def _new_stops(trials: _Trials, lever: Lever, value: float) -> int:
    """How many stops a control brings that were not there."""
    before = {(t.finding.plugin, t.finding.key, t.step) for t in targets_of(trials.job, trials.planned())}
    changed, findings = trials.moved(lever, value, trials.draws)
    after = {
        (t.finding.plugin, t.finding.key, t.step) for t in targets_of(changed, findings) if t.finding.level == "stop"
    }
    return len(after - before)
