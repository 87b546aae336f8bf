"""Which of two limits or thresholds stops more: a rules pack laid over another may only tighten it."""

from __future__ import annotations

from safety.model import Limit


def comparable(one: Limit, other: Limit) -> tuple[float, float] | None:
    """Two limits as numbers that may be compared as they stand, or None."""
    if (one.unit, one.as_group) != (other.unit, other.as_group):
        return None
    same = one.unit == "ppm" or one.reference_temperature == other.reference_temperature
    return (one.value, other.value) if same else None


def upward(compare: str) -> bool:
    """Whether a comparison sign looks at what is over a bound, not under it."""
    return compare.endswith("over")


def tighter(a: float, compare_a: str, b: float, compare_b: str) -> bool:
    """Whether ``a`` stops more than ``b``. Both look the same way, over or under."""
    if a == b:
        return compare_a.startswith("at or") and not compare_b.startswith("at or")
    return a < b if upward(compare_a) else a > b
