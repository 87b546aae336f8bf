"""What touches the worker in a step, how, and for how long."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from safety.exposure import Exposure
from safety.exposure.lying import Lying, lying, stays, still_wet
from safety.exposure.origin import data_of
from safety.model import IN_A_VESSEL, Finding, Job, Leftover, Product, Step, Topic, Use, Wear, Worn, in_step
from safety.words import say
from safety_protection.mixture_hazards import PLUGIN

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
    "wash": "immersion",
}
#: What lies there from before wets whoever works beside it: thick layers as they do when put on, others by accident.
_STILL_LYING = ("soak", "gel")


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
    still: tuple[Lying, ...] = ()  # wet from before: of earlier steps and of other jobs
    only_near: bool = False  # nothing is put on, lifted or taken away here, and the step says of no liquid on hands

    @property
    def unsaid(self) -> bool:
        """Whether liquid is said to meet the hands, and nobody says which."""
        return self.kind != "none" and not self.products

    @property
    def splashes(self) -> bool:
        """Whether any liquid is about that can fly: a coat that is only pressed on cannot."""
        return self.kind != "none" and len(self.products) > len(self.tacky)

    @property
    def wets(self) -> bool:
        """Whether the glove is wetted as a matter of course, and not by accident."""
        return self.kind in ("wet cloth", "immersion")

    @property
    def quiet(self) -> bool:
        """Whether what is wet only stands or lies there."""
        return not self.wets and (self.works == {"open"} or self.only_near)

    @property
    def left(self) -> tuple[str, ...]:
        """What is wet from before, and from where, in words."""
        return tuple(dict.fromkeys(_told(one) for one in self.still))


def _told(one: Lying) -> str:
    where = one.job.title if one.beside else one.step.name
    if isinstance(one.thing, Leftover):
        return say("{what} with {product} (from “{where}”)", what=one.thing.what, product=one.product.name, where=where)
    return say("{product} (from “{where}”)", product=one.product.name, where=where)


def unsaid(job: Job, contact: Contact) -> list[Finding]:
    """The answers for hands, eyes and skin where nobody says what meets the hands."""
    text = in_step(
        job,
        contact.step,
        say("the job says that liquid meets the hands, and nothing says which liquid that is."),
    )
    remedy = say("Name the product in the step, or what lies there wet.")
    short = say("Liquid on the hands: not known which")
    keys: tuple[tuple[Topic, Wear], ...] = (("hands", "gloves"), ("eyes", "eyewear"), ("skin", "clothing"))
    return [
        Finding(
            "stop", topic, text, short, PLUGIN, contact.step, unknown=text, remedy=remedy, key=what, roles=(Worn(what),)
        )
        for topic, what in keys
    ]


def of_step(job: Job, exposure: Exposure, index: int) -> Contact:
    """What is in hand in step ``index``: what it puts on, leaves wet, lifts or takes away, and what is still wet."""
    step = job.steps[index]
    lifted = [use for s in job.steps for use in s.uses if use.lifted_by == step.name]
    taken = [left for s in job.steps for left in s.leaves_wet if left.taken_away == step.name]
    things: tuple[Use | Leftover, ...] = (*step.uses, *step.leaves_wet, *lifted, *taken)
    products = {thing.product.id: thing.product for thing in things}
    works = frozenset(use.work for use in step.uses)
    tacky = {p.id: p for p in _tacky(exposure, index) if p.id not in products}
    lies = _still(job, exposure, index)
    still = tuple(one for one in lies if one.product.id not in (*products, *tacky))
    near = {one.product.id: one.product for one in still}
    wet = [s for s in exposure.timeline.of_step(index) if s.kind in ("work", "coat")]
    # the clock of a glove does not stop in a pause, so waits between coats count
    start, end = (wet[0].start, wet[-1].end) if wet else exposure.timeline.span(index)
    # nor where the work is slow
    on = exposure.timeline.on
    end = max(end, *(start + on(end, clock) - on(start, clock) for clock in exposure.timeline.ends))
    return Contact(
        step=index,
        kind=_kind(step, works, bool(lifted or taken or step.leaves_wet), bool(tacky), lies),
        products=(*products.values(), *tacky.values(), *near.values()),
        works=works,
        overhead=step.overhead,
        start=start,
        end=end,
        tacky=tuple(tacky.values()),
        still=still,
        only_near=not products and step.contact in ("", "none"),
    )


def grounds(exposure: Exposure, index: int) -> tuple[Any, ...]:
    """What says whether a thing of an earlier step is still wet: the data of what dries out of it."""
    before = exposure.job.steps[:index]
    held = {part.cas for step in before for thing in step.wet_things for part in thing.product.parts}
    return tuple(one for s in exposure.substances if s.cas in held for _, one in data_of(exposure, s.cas))


def _tacky(exposure: Exposure, index: int) -> list[Product]:
    """Products of coats this step joins, unless the slow estimate says the film is dry by then."""
    job, timeline = exposure.job, exposure.timeline
    return [
        window.product
        for window in timeline.windows
        if window.joins == index
        and any(
            still_wet(job, timeline, exposure.balances, window.step, use, index)
            for use in job.steps[window.step].uses
            if use.work not in IN_A_VESSEL and use.product.id == window.product.id
        )
    ]


def _still(job: Job, exposure: Exposure, index: int) -> list[Lying]:
    """What is wet from before within the worker's reach.

    Where the step itself says that liquid meets the hands and nothing is wet by the estimate, the person
    is believed: it is what was put there before, dry or not.
    """
    step = job.steps[index]
    speaks = step.contact not in ("", "none")
    if step.people == "away" or (step.people == "far" and not speaks):
        return []
    found = [one for one in lying(exposure, index) if not one.own and (speaks or _in_reach(job, one))]
    if speaks and not found and not step.wet_things:
        return list(stays(exposure, index))
    return found


def _in_reach(job: Job, one: Lying) -> bool:
    """Whether a thing may lie where the worker's hands are. What another job works on may be the very same."""
    if isinstance(one.thing, Leftover) and not one.thing.near:
        return False
    return not (one.beside and job.unit and one.job.unit and job.unit != one.job.unit)


def _kind(step: Step, works: frozenset[str], handles_wet: bool, tacky: bool, still: list[Lying]) -> str:
    """How liquid meets the hands: as the step says, else by the work. Beside something wet it is never nothing."""
    wet = bool(works or handles_wet or tacky or still)
    if step.contact:
        return "splash" if step.contact == "none" and wet else step.contact
    kinds = [_BY_WORK[work] for work in works]
    if handles_wet:
        kinds.append("wet cloth")
    if tacky:
        kinds.append("splash")
    for one in still:
        thick = isinstance(one.thing, Use) and one.thing.work in _STILL_LYING
        kinds.append("wet cloth" if thick else "splash")
    return max(kinds, key=KINDS.index, default="none")
