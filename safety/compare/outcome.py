"""What one alternative comes to, in few numbers, and which of several is best."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from safety.assessment import DRAWS, SEED, Progress, part_of, silent
from safety.compare.changes import KINDS, Alternative
from safety.exposure.engine import MeasuredAt
from safety.model import AgainstLimit, Averaged, ExplosiveShare, Finding, Planned, Report, Wear, Worn, Zone, with_role
from safety.problems import Problems
from safety.words import joined, say
from safety.workplace import Workplace

#: Row of the exposure part -> over what time, and whether it is of all vapours together.
EXPOSURE: dict[str, tuple[Averaged, bool]] = {
    "shift average": ("shift average", False),
    "15 min": ("15 min", False),
    "ceiling": ("ceiling", False),
    "vapours together, shift average": ("shift average", True),
    "vapours together, 15 min": ("15 min", True),
}
_ZONES: tuple[Zone, ...] = ("near", "far")


@dataclass(frozen=True, slots=True)
class Outcome:
    """One alternative's report in the numbers that are compared. None: not assessed, or no such vapour."""

    alternative: Alternative
    report: Report
    stops: int
    controls: int
    exposure: dict[str, float | None]  # worst 95th percentile over its limit, for the worker without a mask
    respirators: dict[int, str] | None  # step -> what is worn, or why none will do
    gloves: dict[int, str] | None
    fire: dict[Zone, float]  # highest share of the lower explosive limit [%]
    fire_stops: int
    solvent: dict[str, float] | None  # planned kg, careful estimate, by what of it counts; "" = all of it
    waste: float | None  # planned kg, careful estimate

    @property
    def worst(self) -> float | None:
        """The worst of all exposure ratios."""
        return max((v for v in self.exposure.values() if v is not None), default=None)


def compare(
    workplace: Workplace,
    job: Path | str,
    alternatives: Iterable[Alternative],
    *,
    draws: int = DRAWS,
    seed: int = SEED,
    progress: Progress = silent,
) -> list[Outcome]:
    """Assess each alternative of a job with the same draws, so that differences are real.

    ``progress`` hears how far it has come. Raises Problems, named after the change, where one cannot be read.
    """
    found = []
    (planned,) = workplace.planned([job])
    measured_at = MeasuredAt(planned.job)
    listed = [(alternative, workplace.edited(alternative.edit)) for alternative in alternatives]
    for alternative, changed in listed:  # a slip in the last of them must not cost the time of all the others
        with _named(alternative):
            changed.planned([job])
    for at, (alternative, changed) in enumerate(listed):
        with _named(alternative):
            told = part_of(progress, at, len(listed))
            report = changed.assess(job, draws=draws, seed=seed, progress=told, measured_at=measured_at)
        found.append(outcome(alternative, report))
    return found


@contextmanager
def _named(alternative: Alternative) -> Iterator[None]:
    """Name mistakes after the change that made them."""
    try:
        yield
    except Problems as problems:
        raise (alternative.refused(problems) if alternative.changes else problems) from None


def outcome(alternative: Alternative, report: Report) -> Outcome:
    """The numbers of one report."""
    findings = report.findings
    levels = [f.level for f in findings]
    steps = len(report.job.steps)
    return Outcome(
        alternative=alternative,
        report=report,
        stops=levels.count("stop"),
        controls=levels.count("control"),
        exposure={name: _ratio(findings, *of) for name, of in EXPOSURE.items()},
        respirators=_worn(findings, "respirator", steps),
        gloves=_worn(findings, "gloves", steps),
        fire=_shares(findings),
        fire_stops=sum(f.level == "stop" and f.topic == "fire" for f in findings),
        solvent=_planned(findings, "solvent"),
        waste=(_planned(findings, "waste") or {}).get(""),
    )


def ranked(outcomes: Sequence[Outcome]) -> list[Outcome]:
    """Best first: fewer stops, all vapour counted, no respirator, lower exposure, the better kind of change.

    Where nothing was assessed it counts as the worst that could be.
    """

    def rank(one: Outcome) -> tuple[float, ...]:
        masks = float("inf") if one.respirators is None else len(one.respirators)
        worst = float("inf") if one.worst is None and not _clean(one) else one.worst or 0.0
        kind = one.alternative.kind
        return (
            one.stops,
            len(one.report.exposure.unknowns),
            masks,
            float(f"{worst:.3g}"),
            -1 if kind is None else KINDS.index(kind),
        )

    return sorted(outcomes, key=rank)


def _clean(one: Outcome) -> bool:
    """Whether there is no vapour at all, which is not the same as none assessed."""
    return not one.report.exposure.substances and not one.report.exposure.unknowns


def _ratio(findings: Sequence[Finding], over: Averaged, together: bool) -> float | None:
    ratios = (r.ratio for _, r in with_role(findings, AgainstLimit) if r.over == over and (r.cas == "") == together)
    return max(ratios, default=None)


def _worn(findings: Sequence[Finding], what: Wear, steps: int) -> dict[int, str] | None:
    """Step -> what is worn, for the steps that need it; None where a step has no answer."""
    answers = [f for f, role in with_role(findings, Worn) if role.what == what]
    if not {f.step for f in answers}.issuperset(range(steps)):
        return None
    worn: dict[int, list[str]] = {}
    for f in answers:
        if f.step is not None and f.level != "note":
            worn.setdefault(f.step, []).append(f.short)
    return {step: joined(dict.fromkeys(texts), "; ") for step, texts in worn.items()}


def _shares(findings: Sequence[Finding]) -> dict[Zone, float]:
    found: dict[Zone, float] = {}
    for _, role in with_role(findings, ExplosiveShare):
        found[role.zone] = max(role.percent, found.get(role.zone, 0.0))
    return {zone: found[zone] for zone in _ZONES if zone in found}


def _planned(findings: Sequence[Finding], what: Literal["solvent", "waste"]) -> dict[str, float] | None:
    """The total of each kind [kg]: of the whole job where it is given, else of the steps; None where nobody says.

    Of several plugins the one that says most counts.
    """
    sums: dict[tuple[str, str], dict[bool, float]] = {}
    for f, role in with_role(findings, Planned):
        if role.what == what:
            of = sums.setdefault((role.kind, f.plugin), {})
            of[f.step is None] = of.get(f.step is None, 0.0) + role.mass
    totals: dict[str, float] = {}
    for (kind, _), of in sums.items():
        totals[kind] = max(of[True] if True in of else of[False], totals.get(kind, 0.0))
    return totals or None


def named(alternative: Alternative) -> str:
    return alternative.text or say("as planned")
