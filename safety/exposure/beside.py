"""What can be said of another job's wet things on this job's clock."""

from __future__ import annotations

from safety.exposure.result import Neighbour, p95
from safety.model import Leftover, Use

NEVER = float("inf")


def wet_until(other: Neighbour, at: int, thing: Use | Leftover) -> float:
    """When a thing of step ``at`` is dry or taken away [s], by the slow bound; never where nobody can say."""
    span, steps = other.timeline.span(at), other.job.steps
    gone = thing.lifted_by if isinstance(thing, Use) else thing.taken_away
    if gone:
        lifted = next((i for i in range(at, len(steps)) if steps[i].name == gone), None)
        return NEVER if lifted is None else other.timeline.span(lifted)[1]
    if isinstance(thing, Leftover) or other.alone is None:
        return NEVER
    laid = max((s.end for s in other.timeline.of_step(at) if s.kind in ("work", "coat")), default=span[1])
    dry = [
        laid + float(p95(b.dry_after))
        for b in other.alone.balances
        if (b.step, b.product, b.what) == (at, thing.product.id, thing.work)
    ]
    return max(span[1], *dry) if dry else NEVER
