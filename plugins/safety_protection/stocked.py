"""The respirators of the stock: what each is, how long its cartridges last, and which is the best for a step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from safety.cited import Unknown
from safety.exposure.result import Exposure
from safety.model import Figure, Job
from safety.reference import Reference
from safety.words import say
from safety_protection import cartridges, choice
from safety_protection.devices import Device
from safety_protection.need import StepNeed


@dataclass(frozen=True, slots=True)
class Stock:
    """One respirator of the stock: a device or why it is none, and the life of its cartridges where it has any.

    The life is that in the worst of the steps it is strong enough for.
    """

    device: Device | str
    life: cartridges.Life | Unknown | None

    @property
    def factor(self) -> float:
        return 0.0 if isinstance(self.device, str) else self.device.factor.value


def in_stock(
    job: Job, exposure: Exposure, reference: Reference, found: Device | str, masked: Sequence[StepNeed]
) -> Stock:
    if isinstance(found, str):
        return Stock(found, None)
    wearing = tuple(n for n in masked if n.factor <= found.factor.value)
    if not found.purifies or not wearing:
        return Stock(found, None)
    return Stock(found, cartridges.life(job, exposure, reference, found.respirator, wearing))


@dataclass(frozen=True, slots=True)
class Choice:
    """What of the stock will do in a step: the best of it, or None, and what speaks against each."""

    best: Stock | None
    reasons: tuple[str, ...]  # one for each respirator of the stock; "" where nothing does
    stock: Sequence[Stock]


def choose(job: Job, exposure: Exposure, own: StepNeed, stock: Sequence[Stock], reference: Reference) -> Choice:
    reasons = tuple(
        s.device if isinstance(s.device, str) else choice.against(job, exposure, own, s.device, s.life, reference)
        for s in stock
    )
    able = [s for s, why in zip(stock, reasons, strict=True) if not why]
    return Choice(min(able, key=lambda s: s.factor, default=None), reasons, stock)


def change_of(
    job: Job, exposure: Exposure, own: StepNeed, stock: Stock, worn: Sequence[StepNeed]
) -> tuple[str, str, tuple[Figure, ...]]:
    """When to change cartridges: sentence, short form, figures; empty for a device without.

    A change that falls due between two steps that wear it, or as one begins, is made at the start of the next one.
    """
    if not isinstance(stock.life, cartridges.Life):
        return "", "", ()
    life = stock.life
    start, end = exposure.timeline.span(own.step)
    moments = cartridges.changes(exposure, life.seconds, worn)
    last = max((exposure.timeline.span(n.step)[1] for n in worn if n.step < own.step), default=None)
    times = cartridges.times(job, [m for m in moments if start < m < end])
    new = last is None or any(last <= m <= start for m in moments)
    fresh = say("New cartridges at the start. ") if new else ""
    if times:
        sentence = say(
            "{fresh}Change them at {times}, and bin them after the job ({words}). ",
            fresh=fresh,
            times=times,
            words=life.words,
        )
        return sentence, say("; new cartridges {times}", times=times), life.figures
    sentence = say("{fresh}No change in this step; bin them after the job ({words}). ", fresh=fresh, words=life.words)
    return sentence, say("; new cartridges at start") if new else "", life.figures
