"""What every answer for breathing rests on in a step, beside the figures it prints."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from safety.exposure.result import Exposure
from safety.model import Job
from safety.reference import Reference
from safety.reference.hazards import ProductHazards
from safety_protection import device_rules, need, sensitisers, stocked
from safety_protection.mist import GRAVE
from safety_protection.need import StepNeed
from safety_protection.rules import threshold


def of_step(
    job: Job,
    exposure: Exposure,
    own: StepNeed,
    stock: Sequence[stocked.Stock],
    hazards: Mapping[str, ProductHazards],
    reference: Reference,
) -> tuple[Any, ...]:
    """What was looked at for a step, whatever the answer is: limits, laws, the stock, what products do to lungs."""
    compared = (f for n in own.needs for f in need.figures(exposure, own.step, n, n.ratio)[1:2])
    laws = device_rules.bars(job, exposure, own.step, reference).rows
    bad = (g for p in sensitisers.wet(exposure, own.step) for g in hazards[p.id].by(sensitisers.LUNGS | GRAVE))
    doubts = (threshold(reference, "excursion-factor"),) if own.needs else ()
    warm = (threshold(reference, "sensitiser-warm"),) if sensitisers.about(exposure, own.step, hazards) else ()
    found = (*compared, *own.deadly, *laws, *bad, *doubts, *warm)
    return (*found, *stocked.grounds(exposure, own, stock, reference)) if own.asks else found
