"""The rules this plugin brings, and how it asks for them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from safety import units
from safety.cited import Unknown
from safety.model import Job, Pack, Threshold
from safety.reference import Reference, read_pack
from safety.reference.citing import as_threshold, cite
from safety.words import say

__all__ = ["as_threshold", "cite", "packs", "setting", "threshold"]

HERE = Path(__file__).parent


@cache
def packs() -> tuple[Pack, ...]:
    """What this plugin adds to the rules packs of the same id."""
    files = ("us-federal", "eu", "law-us-federal", "law-eu")
    rules = (f"rules/{file}.toml" for file in files)
    return tuple(read_pack(HERE / file, file) for file in ("data/practice.toml", *rules))


def threshold(reference: Reference, name: str) -> Threshold:
    """The threshold of this name in force, else the one this plugin ships. Raises KeyError for a name nobody has."""
    found = reference.threshold(name)
    if isinstance(found, Threshold):
        return found
    return {t.name: t for pack in packs() for t in pack.thresholds}[name]


def setting(job: Job, name: str, kind: str, low: float, high: float) -> float | Unknown | None:
    """A number the shop's [settings] give in the base unit of ``kind``; None where it gives none.

    Unknown, with the sentence to print, where it cannot be read or lies outside ``low`` to ``high``.
    """
    if name not in job.shop.settings:
        return None
    given = job.shop.settings[name]
    try:
        value = units.read(given, kind) if isinstance(given, str) else float(given)
    except (units.UnitError, TypeError, ValueError) as error:
        return Unknown(say("the setting {name} cannot be read: {why}", name=name, why=error))
    if not low <= value <= high:
        return Unknown(say("the setting {name} must lie from {low:g} to {high:g}", name=name, low=low, high=high))
    return value
