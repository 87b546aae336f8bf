"""Page two: the air over the clock, and every step against its limits."""

from __future__ import annotations

import numpy as np

from safety.exposure import Exposure
from safety.exposure.result import PRESSURE, Floats, p50, p95
from safety.formulas.air import ppm_from_mass
from safety.model import Block, Chart, Curve, Figure, Finding, Grid, Job, Limit
from safety.words import say
from safety_ventilation.limits import PLUGIN, label, plain


def blocks(job: Job, exposure: Exposure, findings: tuple[Finding, ...]) -> list[Block]:
    if not exposure.substances:
        return []
    compared = _compared(findings)
    return [_chart(exposure, compared), _grid(job, exposure, compared)]


Compared = dict[str, dict[Limit, tuple[float, float]]]  # CAS -> limit -> (limit in ppm, worst ratio to it)


def _compared(findings: tuple[Finding, ...]) -> Compared:
    """The limits this plugin's own findings were held against."""
    found: Compared = {}
    for figure in (f for finding in findings if finding.plugin == PLUGIN for f in finding.figures):
        inputs = dict(figure.inputs)
        limit, allowed = inputs.get("limit"), inputs.get("limit as compared")
        if isinstance(limit, Limit) and isinstance(allowed, Figure):
            of_substance = found.setdefault(limit.cas, {})
            ratio = max(figure.value / allowed.value, of_substance.get(limit, (0.0, 0.0))[1])
            of_substance[limit] = (allowed.value, ratio)
    return found


def _governing(exposure: Exposure, compared: Compared) -> int:
    """The column nearest to or furthest over a limit; without limits the one with most vapour."""

    def rank(column: int) -> tuple[float, float]:
        limits = compared.get(exposure.substances[column].cas, {})
        ratio = max((r for limit, (_, r) in limits.items() if limit.kind != "idlh"), default=0.0)
        return ratio, float(exposure.curves.near_p95[:, column].max(initial=0.0))

    return max(range(len(exposure.substances)), key=rank)


def _chart(exposure: Exposure, compared: Compared) -> Chart:
    column = _governing(exposure, compared)
    substance, curves = exposure.substances[column], exposure.curves
    temperature = float(np.median(exposure.temperature))

    def ppm(curve: Floats) -> tuple[float, ...]:
        values = ppm_from_mass(curve[:, column], exposure.molar_mass[column], temperature, PRESSURE)
        return tuple(float(v) for v in values)

    levels = tuple(
        (_level(limit), allowed)
        for limit, (allowed, _) in sorted(compared.get(substance.cas, {}).items(), key=lambda item: item[1][0])
        if limit.kind != "idlh"
    )
    return Chart(
        title=say("{substance} in the air over the clock", substance=substance.name),
        unit="ppm",
        times=tuple(float(t) for t in curves.times),
        curves=(
            Curve(say("close to the work"), ppm(curves.near_p50), ppm(curves.near_p95)),
            Curve(say("rest of the place"), ppm(curves.far_p50), ppm(curves.far_p95)),
        ),
        levels=levels,
        key="air-chart",
    )


def _level(limit: Limit) -> str:
    return say("{list}, {kind}", list=limit.list, kind=label(limit))


def _grid(job: Job, exposure: Exposure, compared: Compared) -> Grid:
    rows = []
    for index, (step, air) in enumerate(zip(job.steps, exposure.steps, strict=True)):
        measured = [exposure.ppm(metric) for metric in (air.mean, air.worst_15min, air.peak)]
        for column, substance in enumerate(exposure.substances):
            if float(p95(measured[2])[column]) <= 0:
                continue
            pairs = [_pair(float(p50(m)[column]), float(p95(m)[column])) for m in measured]
            rows.append(
                (
                    say("{number} {step}", number=index + 1, step=step.name),
                    substance.name,
                    *pairs,
                    _limits(compared, substance.cas),
                )
            )
    return Grid(
        title=say("Air in each step [ppm]: middle estimate / careful estimate (95 in 100 cases stay below)"),
        columns=(say("Step"), say("Substance"), say("Mean"), say("Worst 15 min"), say("Peak"), say("Limits [ppm]")),
        rows=tuple(rows),
        key="air-grid",
    )


def _pair(middle: float, careful: float) -> str:
    return say("{middle} / {careful}", middle=plain(middle), careful=plain(careful))


def _limits(compared: Compared, cas: str) -> str:
    """Every limit with its list and pack, lowest first."""
    limits = sorted(compared.get(cas, {}).items(), key=lambda item: item[1][0])
    named = [
        say(
            "{list} {kind} {ppm} ({pack})",
            list=x.list,
            kind=label(x),
            ppm=plain(a, 3),
            pack=x.pack,
        )
        for x, (a, _) in limits
    ]
    return "; ".join(named) or say("UNKNOWN: no limit is loaded")
