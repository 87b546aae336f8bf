"""What touches the worker in a step, how, and for how long."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.exposure.result import p95
from safety.model import Job, Leftover, Product, Step, Use

#: How liquid meets the hands, from the least to the most. A sprayer's hands get mist and drops.
KINDS = ("none", "splash", "wet cloth", "immersion")
#: By the way of working, where the step does not say. A soak or gel is scraped up wet with the hands beside it.
_BY_WORK: Mapping[str, str] = {
    "wipe": "wet cloth",
    "soak": "wet cloth",
    "gel": "wet cloth",
    "brush": "splash",
    "spray": "splash",
    "pour": "splash",
    "open": "splash",
}


@dataclass(frozen=True, slots=True)
class Contact:
    """The products in hand in one step. ``start`` and ``end`` [s since the job's start] hold all of its wet work."""

    step: int
    kind: str  # one of KINDS
    products: tuple[Product, ...]
    works: frozenset[str]
    overhead: bool
    start: float
    end: float
    tacky: tuple[Product, ...] = ()  # of the products: coats joined here that may not be dry yet

    @property
    def splashes(self) -> bool:
        """Whether any liquid is about that can fly: a coat that is only pressed on cannot."""
        return self.kind != "none" and len(self.products) > len(self.tacky)

    @property
    def wets(self) -> bool:
        """Whether the glove is wetted as a matter of course, and not by accident."""
        return self.kind in ("wet cloth", "immersion")


def of_step(job: Job, exposure: Exposure, index: int) -> Contact:
    """What is in hand in step ``index``: its own products, what it leaves wet, and what it lifts or takes away."""
    step = job.steps[index]
    lifted = [use for s in job.steps for use in s.uses if use.lifted_by == step.name]
    taken = [left for s in job.steps for left in s.leaves_wet if left.taken_away == step.name]
    things: tuple[Use | Leftover, ...] = (*step.uses, *step.leaves_wet, *lifted, *taken)
    products = {thing.product.id: thing.product for thing in things}
    works = frozenset(use.work for use in step.uses)
    tacky = {p.id: p for p in _tacky(exposure, index) if p.id not in products}
    wet = [s for s in exposure.timeline.of_step(index) if s.kind in ("work", "coat")]
    # the clock of a glove does not stop in a pause, so waits between coats count
    start, end = (wet[0].start, wet[-1].end) if wet else exposure.timeline.span(index)
    kind = _kind(step, works, bool(lifted or taken or step.leaves_wet), bool(tacky))
    touched = (*products.values(), *tacky.values())
    return Contact(index, kind, touched, works, step.overhead, start, end, tuple(tacky.values()))


def _tacky(exposure: Exposure, index: int) -> list[Product]:
    """Products of coats this step joins, unless the slow estimate says the film is dry by then."""
    start = exposure.timeline.span(index)[0]
    found = []
    for window in exposure.timeline.windows:
        if window.joins == index:
            films = [b for b in exposure.balances if (b.step, b.product) == (window.step, window.product.id)]
            times = [b.dry_after for b in films]
            known = [float(p95(t)) for t in times if not isinstance(t, Unknown)]
            if len(known) < len(times) or not known or max(known) > start - window.last_coat:
                found.append(window.product)
    return found


def _kind(step: Step, works: frozenset[str], handles_wet: bool, tacky: bool) -> str:
    if step.contact:
        return step.contact
    kinds = [_BY_WORK[work] for work in works]
    if handles_wet:
        kinds.append("wet cloth")
    if tacky:
        kinds.append("splash")
    return max(kinds, key=KINDS.index, default="none")
