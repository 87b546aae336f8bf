"""Limits that count a group of atoms in whatever carries it, and what carries it but is in no figure of the air.

A diisocyanate that evaporates is a column of the air and is counted by its data. A polyisocyanate or a prepolymer is
not, nor what has no known vapour pressure: how much of it gets into the air, sprayed or not, nothing here computes,
so the sum of all groups is not known from the first step that uses it on.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from safety.cited import Unknown
from safety.model import Job, Limit, Product, Substance
from safety.reference.loaded import Reference
from safety.words import say

#: Statement of a data sheet, or of what makes allergic by its number -> the group that is then in the product.
_STATED = {"EUH204": "NCO"}


@dataclass(frozen=True, slots=True)
class Uncounted:
    """What carries a group that a loaded limit counts, and is in no figure."""

    limit: Limit
    step: int  # the first that uses any of it
    names: tuple[str, ...]
    rules: tuple[Mapping[str, Any], ...] = ()  # rows by which a part counts as one that carries the group

    @property
    def grounds(self) -> tuple[Any, ...]:
        """What it rests on."""
        return (self.limit, *self.rules)

    @property
    def text(self) -> str:
        return say(
            "{names} may put {group} groups into the air that are not computed, so whether {limit} ({list}) is kept "
            "is not known",
            names=", ".join(self.names),
            group=self.limit.as_group,
            limit=self.limit.written,
            list=self.limit.list,
        )


def uncounted(job: Job, reference: Reference) -> tuple[Uncounted, ...]:
    """One record for each group that a limit counts as a sum, named by the tightest of these limits."""
    limits: dict[str, Limit] = {}
    for limit in reference.limits_on_groups():
        best = limits.setdefault(limit.as_group, limit)
        limits[limit.as_group] = min(best, limit, key=lambda x: x.value)
    found = []
    for group, limit in limits.items():
        first: dict[str, int] = {}
        for index, step in enumerate(job.steps):
            for thing in step.wet_things:
                for name in _carriers(thing.product, group, reference):
                    first.setdefault(name, index)
        if first:
            rules = tuple(row for row in reference.table("sensitiser") if _states(row["always"], group))
            found.append(Uncounted(limit, min(first.values()), tuple(first), rules))
    return tuple(found)


def _carriers(product: Product, group: str, reference: Reference) -> Iterator[str]:
    """Parts of a product that carry the group and cannot be converted; the product where its sheet says no more."""
    counted = False
    listed = {
        cas for row in reference.table("sensitiser") if _states(row["always"], group) for cas in row.get("cas", ())
    }
    for part in product.parts:
        substance = reference.substance(part.cas) if part.cas else Unknown("")
        has = 0 if isinstance(substance, Unknown) else substance.groups.get(group, 0)
        if part.volatile and has and isinstance(substance, Substance) and substance.has_equation:
            counted = True
        elif has or group in part.groups or part.cas in listed:
            yield say("{part} of {product}", part=part.name, product=product.name)
            counted = True
    stated = () if isinstance(product.hazards, Unknown) else product.hazards
    if not counted and _states(stated, group):
        yield product.name


def _states(codes: Iterable[str], group: str) -> bool:
    return any(_STATED.get(code) == group for code in codes)
