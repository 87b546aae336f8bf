"""Amounts written down from the page: the very ``use`` records that ``hazstep record use`` writes."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from typing import Literal

from safety import units
from safety.cited import Unknown
from safety.files.notation import Miswritten
from safety.ledger.amounts import read_amount
from safety.ledger.corrections import correct, draft_of, no_record
from safety.ledger.drafts import Mistake, read_draft
from safety.ledger.entries import Refused, Stored, record
from safety.ledger.runs import last_lot, lots_of
from safety.ledger.store import Ledger
from safety.model import Entry, Job, Lot, Product, Range, Shop, Use
from safety.timeline import applied, coats_of
from safety.units import UnitError
from safety.words import say

#: What is asked once about an amount, and then kept as it was said: it is over three times the plan, under a third
#: of it, ten times it or a tenth (a slipped digit), or more than the lot still holds.
Doubt = Literal["slipped digit", "over plan", "under plan", "more than the lot"]

#: So many times the plan, or that part of it, is asked about (common practice, no source).
FAR = 3.0
#: How near to the plan a figure with one digit less or more has to come to be taken for what was meant.
NEAR = 1.5


@dataclass(frozen=True, slots=True)
class Planned:
    """What one product of a step is planned to take, in the unit of the job's file."""

    product: str
    name: str
    unit: str  # what is typed is in it: "mL"
    kind: Literal["mass", "volume"]
    low: float | None  # in ``unit``; None: the plan does not say
    high: float | None
    lots: tuple[Lot, ...] = ()  # the best first
    usable: tuple[str, ...] = ()  # those in date with something left
    last: str = ""  # the lot it was last taken from
    density: float | None = None  # kg/m3
    operation: str = ""

    @property
    def middle(self) -> float | None:
        return None if self.low is None or self.high is None else (self.low + self.high) / 2

    @property
    def lot(self) -> str:
        """The lot it is taken from, as far as anybody can tell; "" where none is usable."""
        return self.usable[0] if self.usable else ""

    @property
    def text(self) -> str:
        """What is planned: "500 mL to 750 mL"; "" where the plan does not say."""
        if self.low is None or self.high is None:
            return ""
        low, high = _typed(self.low, self.unit), _typed(self.high, self.unit)
        return low if low == high else say("{low} to {high}", low=low, high=high)


@dataclass(frozen=True, slots=True)
class Question:
    """A question about an amount, before it is written down."""

    doubt: Doubt
    amount: str  # as typed: "6250 mL"
    meant: str = ""  # of a slipped digit: "625 mL"
    planned: str = ""  # "500 mL to 750 mL"
    left: str = ""  # of a lot that holds less: "410 mL"


def planned(job: Job, step: int, ledger: Ledger | None, day: date, coats: int | None = None) -> tuple[Planned, ...]:
    """What a step is planned to take, product by product. ``coats`` are those put on, where more than planned were."""
    own, found = job.steps[step], []
    for product in {use.product.id: use.product for use in own.uses}.values():
        uses = [use for use in own.uses if use.product.id == product.id]
        lots, usable, last = _lots(ledger, product.id, day) if ledger else ((), (), "")
        density = None if isinstance(product.density, Unknown) else product.density
        unit, kind = _unit(uses, density)
        low, high = _amounts(job, uses, product, unit, kind, coats)
        names = product.id, product.name, unit, kind
        found.append(Planned(*names, low, high, lots, usable, last, density, own.operation))
    return tuple(found)


def question(plan: Planned, amount: str, lot: str = "") -> Question | None:
    """What is to be asked about an amount, once. Raises Miswritten or UnitError for what is no amount."""
    typed = read_amount(amount)
    number = units.read(typed.typed, typed.kind)
    left = _left(plan, typed.kind, lot)
    value = _in_unit(plan, number, typed.kind)
    if value is not None and plan.low is not None and plan.high is not None:
        far = _far(plan, value)
        for times in (0.1, 10.0):
            if far and plan.low / NEAR <= value * times <= plan.high * NEAR:
                meant = _typed(value * times, plan.unit)
                return Question("slipped digit", amount, meant, plan.text)
    if left is not None and number > left:
        unit = units.written_unit(typed.typed)
        return Question(
            "more than the lot", amount, planned=plan.text, left=units.show(max(left, 0.0), typed.kind, unit)
        )
    if value is None or not _far(plan, value):
        return None
    over = plan.high is not None and value > plan.high
    return Question("over plan" if over else "under plan", amount, planned=plan.text)


def far_from_plan(plan: Planned, line: Entry) -> bool:
    """Whether what was written down is far from the plan; where nobody can tell, it is not said to be."""
    number = line.mass if plan.kind == "mass" else line.volume
    return not isinstance(number, Unknown) and _far(plan, units.convert(number, plan.kind, plan.unit))


def _far(plan: Planned, value: float) -> bool:
    """Whether an amount in the unit of the plan is over so many times the plan, or under that part of it."""
    return plan.low is not None and plan.high is not None and not plan.low / FAR <= value <= FAR * plan.high


def doubted_lot(plan: Planned, lot: str) -> bool:
    """Whether a lot is to be asked about, once: it is out of date, empty or not known, or not the one in use."""
    return lot not in plan.usable or (plan.last in plan.usable and lot != plan.last)


def as_planned(shop: Shop, ledger: Ledger, plan: Planned, now: datetime, **fields: str) -> Stored:
    """Write down the middle of the plan: guessed, for nobody measured it. ``fields`` as for ``write``.

    Raises Refused and Problems.
    """
    if plan.middle is None:
        wrong = say("the plan does not say how much")
        raise Refused([(0, Mistake("amount", wrong, say("write down how much it was")))])
    fields = {"lot": plan.lot, "operation": plan.operation, **fields}
    fields |= {"product": plan.product, "amount": _typed(plan.middle, plan.unit), "basis": "guessed"}
    fields["note"] = say("as planned, {amount}", amount=plan.text)
    return write(shop, ledger, fields, now)


def write(shop: Shop, ledger: Ledger, fields: Mapping[str, str], now: datetime) -> Stored:
    """Write down a use that happened ``now`` (aware, local): the fields of ``hazstep record use`` and its ``key``.

    The same key with the same content counts once. Raises Refused and Problems.
    """
    draft = read_draft("use", fields, shop, now)
    if isinstance(draft, list):
        raise Refused([(0, mistake) for mistake in draft])
    (stored,) = record(ledger, [draft])
    return stored


def change(shop: Shop, ledger: Ledger, key: str, fields: Mapping[str, str], now: datetime, who: str) -> Stored:
    """Put another amount in the place of one that is written down. Raises Refused and Problems."""
    old = draft_of(ledger, key)
    if old is None:
        raise Refused([(0, no_record(key))])
    draft = read_draft(old.kind, fields, shop, now, old)
    if isinstance(draft, list):
        raise Refused([(0, mistake) for mistake in draft])
    return correct(ledger, key, draft, who, say("changed on the page"))[-1]


def take_back(ledger: Ledger, key: str, who: str) -> tuple[Stored, ...]:
    """Undo: the record and its reversal both stay. Raises Refused and Problems."""
    return correct(ledger, key, None, who, say("taken back on the page"))


# ---------------------------------------------------------------- what is planned


def _unit(uses: Sequence[Use], density: float | None) -> tuple[str, Literal["mass", "volume"]]:
    """The unit people pour in: that of the file, where it is one of an amount."""
    for use in uses:
        written = "" if isinstance(use.mass, Unknown) else use.mass.written
        try:
            amount = read_amount(" ".join(("1", *written.split()[-1:])))
        except (Miswritten, UnitError):
            continue
        return units.written_unit(amount.typed), amount.kind
    return ("g", "mass") if density is None else ("mL", "volume")


def _amounts(
    job: Job, uses: Sequence[Use], product: Product, unit: str, kind: str, coats: int | None
) -> tuple[float | None, float | None]:
    """The least and the most of all uses together, each coat counted."""
    low = high = 0.0
    most = max(coats_of(use, job.surface) for use in uses)
    for use in uses:
        if not isinstance(use.mass, Range):
            return None, None
        own = coats_of(use, job.surface)
        times = max(own, 1, coats or 0 if own == most and applied(use) else 0)
        low, high = low + times * use.mass.low, high + times * use.mass.high
    if kind == "volume":
        if isinstance(product.density, Unknown):
            return None, None
        low, high = low / product.density, high / product.density
    return _rounded(units.convert(low, kind, unit)), _rounded(units.convert(high, kind, unit))


def _rounded(value: float) -> float:
    return float(units.significant(value, 4))


def _typed(value: float, unit: str) -> str:
    return " ".join((units.significant(value, 4), unit))


def _lots(ledger: Ledger, product: str, day: date) -> tuple[tuple[Lot, ...], tuple[str, ...], str]:
    """The lots of a product: what can be used first, of that what was used last, then what is opened; and the last."""
    last = last_lot(ledger, product)

    def order(one: Lot) -> tuple[bool, bool, bool, date, str]:
        expires = one.expires if isinstance(one.expires, date) else date.max
        return not _usable(one, day), one.lot != last, one.opened is None, expires, one.lot

    lots = tuple(sorted(lots_of(ledger, product), key=order))
    return lots, tuple(one.lot for one in lots if _usable(one, day)), last


def _usable(lot: Lot, day: date) -> bool:
    in_date = lot.expires is None or (isinstance(lot.expires, date) and day <= lot.expires)
    return in_date and any(not isinstance(left, Unknown) and left > 0 for left in (lot.mass, lot.volume))


def _left(plan: Planned, kind: str, lot: str) -> float | None:
    """What a lot holds by the records [kg or m3]; None where nobody can tell."""
    own = next((one for one in plan.lots if one.lot == lot), None)
    left = None if own is None else own.mass if kind == "mass" else own.volume
    return None if left is None or isinstance(left, Unknown) else left


def _in_unit(plan: Planned, number: float, kind: str) -> float | None:
    """An amount [SI] in the unit of the plan; None where no density turns the one into the other."""
    if kind != plan.kind:
        if plan.density is None:
            return None
        number = number / plan.density if kind == "mass" else number * plan.density
    return units.convert(number, plan.kind, plan.unit)
