"""For each control the least of it that removes a stop or a respirator, found on the engine itself."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from safety import host, reading, timeline, windows
from safety.assessment import DRAWS, SEED, Records, Told, no_records, nobody, part_of, reference_on
from safety.compare.changes import KINDS, Kind
from safety.compare.levers import Lever, levers
from safety.exposure.engine import compute
from safety.host import Host
from safety.model import Finding, Job, LedgerView
from safety.reference import Reference
from safety.words import say

#: Draws while searching; what is found is then held against all of them.
FEW = 200
#: How finely each control is searched, of its whole way; and how much further it is moved where all draws say no.
FINE = 0.01
MOST_MOVES = 8


@dataclass(frozen=True, slots=True)
class Target:
    """A stop, or a respirator, that is to go."""

    finding: Finding
    step: str  # name; "" = the whole job

    def stands(self, job: Job, findings: Iterable[Finding]) -> bool:
        """Whether it is still there among the findings of a changed job."""
        steps = [s.name for s in job.steps]
        return any(
            f.key == self.finding.key
            and f.plugin == self.finding.plugin
            and (f.level == "stop" or (self.finding.level == "control" and f.level == "control"))
            and ("" if f.step is None else steps[f.step]) == self.step
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
    path: Path,
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    records: Records = no_records,
    told: Told = nobody,
) -> list[Proposal]:
    """Try every control against every stop and respirator of the job in a file; the better kinds first.

    ``told`` hears how far it has come. Raises Problems for anything wrong with the files.
    """
    shop, _ = reading.read_all(reading.find_shop(path), [path])
    plugins = host.load(shop.plugin_files, Path(shop.file).parent)
    contributions = list(plugins.ask("contribute"))
    job = reading.read_job(path, shop, reference_on(shop, date.min, plugins, contributions).find)
    data = reference_on(shop, job.start.date(), plugins, contributions)
    with records(shop) as ledger:
        bench = _Bench(data, plugins, ledger, seed, {})
        found = []
        targets = list(targets_of(job, bench.findings(job, draws)))
        for at, target in enumerate(targets):
            index = next((i for i, s in enumerate(job.steps) if s.name == target.step), None)
            controls = list(levers(job, index))
            for tried, lever in enumerate(controls, 1):
                found.append(_try(bench, job, target, lever, draws))
                part_of(told, at, len(targets))(tried / len(controls))
    order = {id(t): i for i, t in enumerate(targets)}
    return sorted(found, key=lambda p: (order[id(p.target)], not p.helps, KINDS.index(p.kind)))


def targets_of(job: Job, findings: Iterable[Finding]) -> list[Target]:
    """Every stop, and every respirator that must be worn, once."""
    found: dict[tuple[str, str, int | None], Target] = {}
    for f in findings:
        if f.level == "stop" or (f.key == "respirator" and f.level == "control"):
            found.setdefault((f.plugin, f.key, f.step), Target(f, "" if f.step is None else job.steps[f.step].name))
    return list(found.values())


@dataclass(slots=True)
class _Bench:
    """Judges changed jobs; what it has judged once it remembers."""

    data: Reference
    plugins: Host
    ledger: LedgerView | None
    seed: int
    seen: dict[tuple[str, float, int], tuple[Job, list[Finding]]]

    def findings(self, job: Job, draws: int) -> list[Finding]:
        exposure = compute(job, timeline.build(job), self.data, draws=draws, seed=self.seed)
        found = list(windows.findings(job, exposure))
        for _, answer in self.plugins.ask(
            "assess", job=job, exposure=exposure, reference=self.data, ledger=self.ledger
        ):
            found += answer
        return found

    def moved(self, job: Job, lever: Lever, x: float, draws: int) -> tuple[Job, list[Finding]]:
        """The job with a control moved to ``x``, and what is said of it."""
        value = lever.value(x)
        key = (lever.name if x else "", value if x else 0.0, draws)
        if key not in self.seen:
            changed = lever.apply(job, value)
            self.seen[key] = changed, self.findings(changed, draws)
        return self.seen[key]


def _try(bench: _Bench, job: Job, target: Target, lever: Lever, draws: int) -> Proposal:
    def stands(x: float, count: int) -> bool:
        return target.stands(*bench.moved(job, lever, x, count))

    no_use = say("no amount of {control} alone does it", control=lever.name)
    if not lever.stepless:
        helps = not stands(1.0, draws)
        return _proposal(bench, job, target, lever, 1.0, draws) if helps else Proposal(
            target, lever.name, lever.kind, say("{control}: does not do it alone", control=lever.name), False
        )  # fmt: skip
    few = min(FEW, draws)
    if stands(1.0, few) and stands(1.0, draws):
        return Proposal(target, lever.name, lever.kind, no_use, False)
    x = _least(lambda x: stands(x, few))
    for _ in range(MOST_MOVES):
        if not stands(x, draws):
            return _proposal(bench, job, target, lever, x, draws)
        x = min(1.0, x + 2 * FINE)
    if stands(1.0, draws):
        return Proposal(target, lever.name, lever.kind, no_use, False)
    return _proposal(bench, job, target, lever, 1.0, draws)


def _least(stands: Callable[[float], bool]) -> float:
    """The least x, to ``FINE``, at which the target is gone; 1 where few draws find none.

    What is judged is yes or no, so the root is that of a step: +1 while it stands, -1 once it is gone.
    """
    from scipy.optimize import brentq

    if stands(1.0):
        return 1.0
    if not stands(0.0):  # the few draws are kinder than all of them
        return 0.0
    root = float(brentq(lambda x: 1.0 if stands(x) else -1.0, 0.0, 1.0, xtol=FINE / 2, rtol=1e-6))
    while stands(root) and root < 1.0:  # brentq may end on either side of the step
        root = min(1.0, root + FINE / 2)
    return root


def _proposal(bench: _Bench, job: Job, target: Target, lever: Lever, x: float, draws: int) -> Proposal:
    before = {
        (t.finding.plugin, t.finding.key, t.step) for t in targets_of(job, bench.moved(job, lever, 0.0, draws)[1])
    }
    changed, findings = bench.moved(job, lever, x, draws)
    after = {
        (t.finding.plugin, t.finding.key, t.step) for t in targets_of(changed, findings) if t.finding.level == "stop"
    }
    return Proposal(target, lever.name, lever.kind, lever.says(lever.value(x)), True, len(after - before))
