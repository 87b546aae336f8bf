"""What one alternative comes to, in few numbers, and which of several is best."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from safety.assessment import DRAWS, SEED, Progress, part_of, silent
from safety.compare.changes import KINDS, Alternative
from safety.model import Figure, Finding, Report
from safety.problems import Problems
from safety.words import say
from safety.workplace import Workplace

#: Row of the exposure part -> the beginning of the keys of the findings that hold it.
EXPOSURE = {
    "shift average": "air-shift:",
    "15 min": "air-15min:",
    "ceiling": "air-ceiling:",
    "vapours together, shift average": "air-mixture-shift",
    "vapours together, 15 min": "air-mixture-15min",
}


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
    fire: dict[str, float]  # highest share of the lower explosive limit [%], by zone
    fire_stops: int
    solvent: dict[str, float] | None  # planned kg, careful estimate
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
    listed = [(alternative, workplace.edited(alternative.edit)) for alternative in alternatives]
    for alternative, changed in listed:  # a slip in the last of them must not cost the time of all the others
        with _named(alternative):
            changed.planned([job])
    for at, (alternative, changed) in enumerate(listed):
        with _named(alternative):
            report = changed.assess(job, draws=draws, seed=seed, progress=part_of(progress, at, len(listed)))
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
    answered = {f.plugin for f in findings}
    return Outcome(
        alternative=alternative,
        report=report,
        stops=levels.count("stop"),
        controls=levels.count("control"),
        exposure={name: _ratio(findings, key) for name, key in EXPOSURE.items()},
        respirators=_worn(findings, "respirator") if "protection" in answered else None,
        gloves=_worn(findings, "gloves") if "protection" in answered else None,
        fire=_shares(findings),
        fire_stops=sum(f.level == "stop" and f.topic == "fire" for f in findings),
        solvent=_planned(findings),
        waste=_waste(findings) if "waste" in answered else None,
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


def _of(findings: Iterable[Finding], key: str) -> Iterator[Finding]:
    return (f for f in findings if f.key.startswith(key))


def _ratio(findings: Sequence[Finding], key: str) -> float | None:
    return max((r for f in _of(findings, key) for figure in f.figures for r in _over(figure)), default=None)


def _over(figure: Figure) -> Iterator[float]:
    """A figure over the limit it is held against; a sum of parts of limits is that already."""
    allowed = dict(figure.inputs).get("limit as compared")
    if isinstance(allowed, Figure):
        yield figure.value / allowed.value
    elif figure.formula == "additive_index":
        yield figure.value


def _worn(findings: Sequence[Finding], key: str) -> dict[int, str]:
    """Step -> what is worn, for the steps that need it."""
    return {f.step: f.short for f in findings if f.key == key and f.step is not None and f.level != "note"}


def _shares(findings: Sequence[Finding]) -> dict[str, float]:
    found: dict[str, float] = {}
    for finding in findings:
        for figure in finding.figures if finding.topic == "fire" else ():
            if figure.unit == "%" and "fire limit" in dict(figure.inputs):
                found[figure.name] = max(figure.value, found.get(figure.name, 0.0))
    return dict(sorted(found.items()))


def _planned(findings: Sequence[Finding]) -> dict[str, float] | None:
    whole = next((f for f in _of(findings, "solvent-planned") if f.step is None), None)
    return None if whole is None else {figure.name: figure.value for figure in whole.figures}


def _waste(findings: Sequence[Finding]) -> float:
    """All that the steps' findings say will be thrown away [kg], wherever it goes."""
    steps = (f for f in findings if f.topic == "waste" and f.step is not None)
    # one amount may be named by two findings of a step
    return sum({(f.step, x.name): x.value for f in steps for x in f.figures if x.unit == "kg"}.values())


def named(alternative: Alternative) -> str:
    return alternative.text or say("as planned")
