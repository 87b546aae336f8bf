"""What a part of a product can be, given the others: all parts together are the whole."""

from __future__ import annotations

from collections.abc import Sequence

from safety.model.jobs import Part


def possible_share(low: float, high: float, others_low: float, others_high: float) -> tuple[float, float]:
    """What a share between two bounds can be, where the others hold at least and at most so much of the same whole."""
    most = min(high, max(1.0 - others_low, 0.0))
    rest = 1.0 - others_high
    whole = rest <= high + 1e-9  # otherwise the parts named cannot be all there is, and nothing must be of this one
    return (min(max(low, rest), most) if whole else low), most


def shares(parts: Sequence[Part]) -> list[tuple[Part, float, float, float]]:
    """Each part with the least, the middle and the most it can hold beside the others."""
    low, high = sum(part.low for part in parts), sum(part.high for part in parts)
    found = []
    for part in parts:
        least, most = possible_share(part.low, part.high, low - part.low, high - part.high)
        found.append((part, least, min(max((part.low + part.high) / 2, least), most), most))
    return found
