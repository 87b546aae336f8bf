"""How much of a waste is solvent where nobody measured it: estimated from the job's plan, with its spread."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from pathlib import Path

from sqlalchemy import Connection, and_, bindparam, func, or_, select

from safety.files.reading import read_job
from safety.ledger import quick
from safety.ledger.drafts import Draft
from safety.ledger.tables import entry, standing
from safety.model import WATER, Job, Part, Range, Shop, shares
from safety.problems import Problems

#: Days before a waste on which it may have been used: a night shift ends on another day (common practice, no source).
BEFORE = 1

_DAYS = entry.c.day.between(bindparam("first"), bindparam("last"))
_OF_JOB = (entry.c.product == bindparam("product"), entry.c.job == bindparam("job"), *standing())
_BACK = and_(entry.c.kind == "return", entry.c.way == "to stock")
_USED = (
    select(entry.c.kind, func.sum(entry.c.mass_ug).label("mass"))
    .where(_DAYS, or_(entry.c.kind == "use", _BACK), *_OF_JOB)
    .group_by(entry.c.kind)
)
_CLAIMED = select(func.sum(entry.c.solvent_low_ug).label("solvent")).where(
    _DAYS, entry.c.kind == "waste", entry.c.solvent_basis == "plan", *_OF_JOB
)


@dataclass(frozen=True, slots=True)
class Plans:
    """What the job files of a shop say that stays in cloth, brush or scrapings. Each is read once."""

    shop: Shop | None = None
    _jobs: dict[str, Job | None] = field(default_factory=dict)

    def kept(self, job: str, product: str) -> Range | None:
        """The share of a product that stays, over all uses of a job; None where no plan says so."""
        plan = self._job(job)
        uses = [use for step in plan.steps for use in step.uses if use.product.id == product] if plan else []
        if not uses:
            return None
        return Range(min(use.kept.low for use in uses), max(use.kept.high for use in uses))

    def _job(self, name: str) -> Job | None:
        if self.shop is not None and name not in self._jobs:
            files = {file.stem: file for file in (Path(self.shop.file).parent / "jobs").glob("*.toml")}
            try:
                self._jobs[name] = read_job(files[name], self.shop) if name in files else None
            except Problems:  # the job is no plan while its file has a mistake
                self._jobs[name] = None
        return self._jobs.get(name)


def estimated(connection: Connection, draft: Draft, mass: int | None, plans: Plans) -> Draft:
    """A draft of waste with the solvent its job's plan leaves in it, of what was really used and is in no other waste.

    Nothing is estimated where somebody said how much it is, or where no plan says what stays.
    """
    if draft.kind != "waste" or draft.way != "from job" or draft.solvent_basis or not (draft.product and draft.job):
        return draft
    kept = plans.kept(draft.job, draft.product.product)
    if kept is None:
        return draft
    used = _used(connection, draft)
    low, high = organic(draft.product.parts)
    least = max(0, int(used * kept.low * low) - _claimed(connection, draft))
    most = round(used * kept.high * high)
    if mass is not None:
        least, most = min(least, mass), min(most, mass)
    return replace(draft, solvent=(least, max(least, most)), solvent_basis="plan")


def organic(parts: tuple[Part, ...]) -> tuple[float, float]:
    """The least and the most of a product that evaporates and is not water."""
    own = [(low, high) for part, low, _, high in shares(parts) if part.volatile and part.cas != WATER]
    return min(1.0, sum(low for low, _ in own)), min(1.0, sum(high for _, high in own))


def _window(draft: Draft, after: int = 0) -> dict[str, str]:
    """The days a waste may be of; none before the calendar begins."""
    day = date.fromisoformat(draft.day)
    assert draft.product
    first, last = (day + timedelta(days=days) for days in (-BEFORE, after))
    return {
        "first": first.isoformat(),
        "last": last.isoformat(),
        "product": draft.product.product,
        "job": draft.job,
    }


def _used(connection: Connection, draft: Draft) -> int:
    """Micrograms of its product that its job used and did not put back; lines without a mass are left out."""
    sums = {row["kind"]: int(row["mass"] or 0) for row in quick.rows(connection, _USED, _window(draft))}
    return max(0, sums.get("use", 0) - sums.get("return", 0))


def _claimed(connection: Connection, draft: Draft) -> int:
    """Micrograms that the plan has put into other waste already, of uses that this waste may be of."""
    (row,) = quick.rows(connection, _CLAIMED, _window(draft, BEFORE))
    return int(row["solvent"] or 0)
