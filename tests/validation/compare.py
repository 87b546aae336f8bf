"""The engine's range beside each published value."""

from __future__ import annotations

import csv
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date
from functools import cache
from math import sqrt
from pathlib import Path
from typing import Literal

import numpy as np

from safety import reference, timeline
from safety.exposure.engine import compute
from safety.exposure.result import Exposure, Floats
from safety.formulas.prediction import lower_end
from safety.model import Measurement
from tests.validation.further import further
from tests.validation.scenarios import Check, Scenario, scenarios
from tests.validation.untuned import untuned

DRAWS = 300
HERE = Path(__file__).parent


@dataclass(frozen=True, slots=True)
class Compared:
    check: Check
    low: float  # 5th percentile, in the unit of the check
    middle: float
    high: float  # 95th percentile

    @property
    def value(self) -> float:
        """The published value; of a published range the geometric middle."""
        return sqrt(self.check.measured[0] * self.check.measured[1])

    @property
    def place(self) -> Literal["inside", "above", "below"]:
        if self.value > self.high and not self.check.at_most:
            return "above"
        return "below" if self.value < self.low else "inside"

    @property
    def factor(self) -> float:
        """Published value over the middle of the prediction."""
        return self.value / self.middle


@cache
def compared() -> tuple[tuple[Scenario, tuple[Compared, ...]], ...]:
    """Every scenario with its checks, run once."""
    return _run(scenarios())


@cache
def compared_further() -> tuple[tuple[Scenario, tuple[Compared, ...]], ...]:
    """The same of the further ones."""
    return _run(further())


@cache
def compared_untuned() -> tuple[tuple[Scenario, tuple[Compared, ...]], ...]:
    """The same of those that nothing was chosen by."""
    return _run(untuned())


def _run(every: Iterable[Scenario]) -> tuple[tuple[Scenario, tuple[Compared, ...]], ...]:
    data = reference.load((), Path(), date(2026, 1, 5))
    out = []
    for scenario in every:
        shop = replace(scenario.job.shop, products=_products(scenario))
        job = replace(scenario.job, shop=shop, measurements=tuple(_sampled(scenario)))
        exposure = compute(job, timeline.build(job), data, draws=DRAWS, seed=1)
        assert not exposure.unknowns, exposure.unknowns
        out.append((scenario, tuple(_compare(check, exposure) for check in scenario.checks)))
    return tuple(out)


def _sampled(scenario: Scenario) -> Iterator[Measurement]:
    """What makes the engine keep the air where the samples were."""
    steps = tuple(s.name for s in scenario.job.steps)
    for check in scenario.checks:
        if check.at == "far":
            yield Measurement(check.cas, 0.0, "ppm", "", "badge", 60.0, date(2026, 1, 5), steps, "far")


def _products(scenario: Scenario) -> dict[str, object]:
    return {p.id: p for p in scenario.job.products}


def _compare(check: Check, exposure: Exposure) -> Compared:
    mass = _average(check, exposure)
    values = sum(_of(check, cas, mass, exposure) for cas in (check.cas, *check.also))
    assert exposure.error is not None
    low, middle = (float(x) for x in np.percentile(values / exposure.error, (5, 50)))
    return Compared(check, float(lower_end(low, middle, exposure.width.down)), middle, float(np.percentile(values, 95)))


def _of(check: Check, cas: str, mass: Floats, exposure: Exposure) -> Floats:
    column = exposure.column(cas)
    assert column is not None
    return exposure.ppm(mass)[:, column] if check.unit == "ppm" else mass[:, column] * 1e6


def _average(check: Check, exposure: Exposure) -> Floats:
    """Mean over the whole task where the sample was [kg/m3], (draws, substances)."""
    if check.at == "8 h in the place":
        return exposure.bystander.shift_average
    if check.at == "peak":
        return exposure.worker.peak
    spans = [exposure.timeline.span(i) for i in range(len(exposure.steps))]
    dose = sum(
        (step.mean if check.at == "worker" else _far(step.far_mean)) * (end - start)
        for step, (start, end) in zip(exposure.steps, spans, strict=True)
    )
    return np.asarray(dose / sum(end - start for start, end in spans))


def _far(mean: Floats | None) -> Floats:
    assert mean is not None
    return mean


def published() -> dict[str, dict[str, str]]:
    """The table of published field measurements by row number."""
    with (HERE / "field_measurements.csv").open(encoding="utf-8", newline="") as file:
        return {row["row"]: row for row in csv.DictReader(file)}
