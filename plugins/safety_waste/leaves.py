"""What each step of a job leaves, in which form, and how much of the product is in it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.exposure.origin import data_of
from safety.exposure.result import Balance, Floats, p50, p95
from safety.model import Figure, Job, Leftover, Product, Use
from safety.reference import Reference
from safety.words import message, say, term
from safety_waste.rules import meant_for
from safety_waste.traits import hidden

#: Form of waste -> the word in a step's box.
_NAMES = {
    "free-liquid": message("liquid"),
    "wet-cloths": message("rags"),
    "scrapings": message("scrapings"),
    "tools-and-gloves": message("brushes and gloves"),
    "empty-containers": message("empty cans"),
    "expired-product": message("expired product"),
    "held": message("not classified"),
}


def name(form: str) -> str:
    """The word for a form of waste in a step's box, in the language being spoken."""
    return term(_NAMES[form])


@dataclass(frozen=True, slots=True)
class Left:
    """Something a step leaves. Masses [kg] are of the product in it: cloth, rubber and old adhesive weigh extra."""

    step: int
    form: str
    what: str  # in a few words
    product: Product
    low: float
    middle: float
    high: float
    unknown: str = ""  # why there is no mass; then the three are zero
    figures: tuple[Figure, ...] = ()
    taken_away: str = ""
    amount_unknown: bool = False  # the job's own amount of the product is not known
    rules: tuple[Mapping[str, Any], ...] = ()  # the rows by whose words it has its form


def of_job(job: Job, exposure: Exposure, reference: Reference) -> list[Left]:
    """Everything the steps leave, in order; the same form of the same product once for each step and thing."""
    found: list[Left] = []
    for index, step in enumerate(job.steps):
        for use in step.uses:
            found += _of_use(job, exposure, reference, index, use)
        found += [_of_leftover(exposure, index, left) for left in step.leaves_wet]
    lefts = (_with_data(exposure, _held_if_hidden(left)) for left in _once(found))
    return sorted(lefts, key=lambda left: left.step)


def _with_data(exposure: Exposure, left: Left) -> Left:
    """What is left is what did not evaporate, so it rests on the data of what does."""
    held = {part.cas for part in left.product.parts}
    data = tuple(one for s in exposure.substances if s.cas in held for one in data_of(exposure, s.cas))
    return replace(left, figures=tuple(replace(f, inputs=(*f.inputs, *data)) for f in left.figures))


def _held_if_hidden(left: Left) -> Left:
    """What holds an undisclosed part may be barred from any stream, so no container is offered for it."""
    return replace(left, form="held") if hidden(left.product) else left


def _once(found: list[Left]) -> list[Left]:
    """Brushes and gloves wetted with the same product in one step are one thing; of an unknown amount where one is."""
    kept: dict[tuple[int, str, str, str], Left] = {}
    for left in found:
        key = (left.step, left.form, left.what, left.product.id)
        before = kept.get(key)
        if before is None or left.amount_unknown or (before.unknown and not (left.unknown or before.amount_unknown)):
            kept[key] = left
    return list(kept.values())


def _of_use(job: Job, exposure: Exposure, reference: Reference, index: int, use: Use) -> Iterator[Left]:
    own = [b for b in exposure.balances if (b.step, b.product, b.what) == (index, use.product.id, use.work)]
    lifting = next((i for i in range(index, len(job.steps)) if job.steps[i].name == use.lifted_by), index)
    unsaid = not use.kept.written and use.kept.high == 0
    if use.work == "wipe":
        yield _left(index, "wet-cloths", name("wet-cloths"), use, own, ("kept", "wet"), unsaid=unsaid)
        yield _gloves(index, use)
    elif use.work in ("brush", "spray"):
        if unsaid:
            yield _gloves(index, use)
        else:
            yield _left(index, "tools-and-gloves", name("tools-and-gloves"), use, own, ("kept",))
    elif use.work == "soak":
        yield _left(index, "wet-cloths", say("soaked cloths"), use, own, ("kept",), unsaid=unsaid)
        yield _left(lifting, "free-liquid", say("used liquid"), use, own, ("wet", "solids"))
        yield _gloves(lifting, use)
    elif use.work in ("gel", "pour"):
        softens = meant_for(use.product, "softening_purpose", reference)
        form = "scrapings" if softens or use.work == "gel" else "free-liquid"
        left = _left(lifting, form, name(form), use, own, ("kept", "wet", "solids"))
        yield left if use.work == "gel" else replace(left, rules=softens)
        yield _gloves(index, use)
        yield _gloves(lifting, use)
    elif use.work == "wash":
        yield _gloves(index, use)


def _gloves(step: int, use: Use) -> Left:
    why = say("what brushes and gloves hold is not given in the job")
    return Left(step, "tools-and-gloves", name("tools-and-gloves"), use.product, 0.0, 0.0, 0.0, why)


def _of_leftover(exposure: Exposure, index: int, left: Leftover) -> Left:
    own = [b for b in exposure.balances if (b.step, b.product, b.what) == (index, left.product.id, left.what)]
    return _left(index, left.form or "held", left.what, left, own, ("kept", "wet", "solids"))


def _left(
    step: int,
    form: str,
    what: str,
    thing: Use | Leftover,
    own: list[Balance],
    parts: tuple[str, ...],
    *,
    unsaid: bool = False,
) -> Left:
    """Add up what did not go into the air. ``unsaid``: the job gives no share, so all of it may be in the cloth."""
    taken = thing.taken_away if isinstance(thing, Leftover) else ""
    product = thing.product
    if not (own and thing.measured):  # the films of another use of the same product are not its own
        why = thing.mass.reason if isinstance(thing.mass, Unknown) else say("its balance could not be computed")
        return Left(step, form, what, product, 0.0, 0.0, 0.0, why, taken_away=taken, amount_unknown=True)
    applied = _sum(own, ("applied",))
    rest = applied if unsaid else _sum(own, parts)
    rest = np.maximum(rest, 0.0)
    name = say("{product} in {what}", product=product.name, what=what)
    note = say("the job does not say what the cloth keeps, so all of it may be there") if unsaid else ""
    inputs = tuple((label, _figure(label, _sum(own, (label,)))) for label in ("applied", "evaporated", *parts))
    figure = Figure(name, float(p95(rest)), "kg", "", inputs, float(p50(rest)), note)
    low = 0.0 if unsaid else float(np.percentile(rest, 5))
    return Left(step, form, what, product, low, float(p50(rest)), float(p95(rest)), "", (figure,), taken)


def _sum(own: list[Balance], parts: tuple[str, ...]) -> Floats:
    return np.asarray(sum((np.asarray(getattr(b, part)) for b in own for part in parts), np.zeros(1)))


def _figure(label: str, values: Floats) -> Figure:
    return Figure(label, float(p95(values)), "kg", p50=float(p50(values)))
