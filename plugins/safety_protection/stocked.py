"""The respirators of the stock: what each is, how long its cartridges last, and which is the best for a step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from safety import levels
from safety.cited import Cited, Unknown
from safety.exposure.result import Exposure
from safety.model import Figure, Job, Respirator, Threshold
from safety.reference import Reference, past
from safety.words import joined, say
from safety_protection import cartridges, choice
from safety_protection.devices import Device, class_rows, device
from safety_protection.need import StepNeed
from safety_protection.rules import threshold


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

    @property
    def name(self) -> str:
        return "" if isinstance(self.device, str) else self.device.name

    @property
    def lasts(self) -> float | None:
        """How long its cartridges may be used, in whole minutes as a sheet says it [s]; None where nothing sets it."""
        return cartridges.whole(self.life.seconds) if isinstance(self.life, cartridges.Life) else None

    @property
    def single_use(self) -> bool:
        """Whether a filter that was taken off must not be put on again."""
        return isinstance(self.device, Device) and bool(self.device.cartridge.get("single_use"))

    @property
    def on_a_bottle(self) -> bool:
        return isinstance(self.device, Device) and self.device.respirator.kind == "self-contained"


def in_stock(
    job: Job, exposure: Exposure, reference: Reference, respirator: Respirator, masked: Sequence[StepNeed]
) -> Stock:
    found = device(respirator, reference)
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
    worn: tuple[StepNeed, ...] = ()  # the steps in which the best is the best
    passed_over: str = ""  # sentence: what would do with less of a factor, but for its many cartridges


def choose(
    job: Job, exposure: Exposure, masked: Sequence[StepNeed], stock: Sequence[Stock], reference: Reference
) -> dict[int, Choice]:
    """What to wear in each of these steps: the lowest factor that will do, and that people can keep up.

    A respirator whose cartridges would have to be changed oftener than people do it makes way for one that needs no
    such changes, where the stock has one; not for one on a bottle, which lasts no longer than a cartridge.
    """
    reasons = {n.step: _against(job, exposure, n, stock, reference) for n in masked}
    tiresome: dict[int, int] = {}  # place in the stock -> changes it would take
    while True:
        best = {step: _best(stock, why, tiresome) for step, why in reasons.items()}
        worn = {at: tuple(n for n in masked if best[n.step] == at) for at in best.values() if at is not None}
        more = {
            at: count for at, steps in worn.items() if (count := _tiresome(job, exposure, stock[at], steps, reference))
        }
        if more.keys() <= tiresome.keys():
            break
        tiresome = {**more, **tiresome}
    found = {}
    for step, at in best.items():
        lighter = _best(stock, reasons[step], {})
        passed = ""
        if lighter is not None and at != lighter:
            passed = say(
                "Not {name}: it would take {count} changes of cartridges in this job, more than people keep up.",
                name=stock[lighter].name,
                count=tiresome[lighter],
            )
        found[step] = Choice(
            None if at is None else stock[at], reasons[step], stock, () if at is None else worn[at], passed
        )
    return found


def grounds(
    exposure: Exposure, own: StepNeed, stock: Sequence[Stock], reference: Reference
) -> tuple[Threshold | Cited | Mapping[str, Any], ...]:
    """What the choice for a step rests on: factors and cartridges of the stock, which vapour boils low, how often."""
    devices = [s.device for s in stock if isinstance(s.device, Device)]
    found: list[Threshold | Cited | Mapping[str, Any]] = [d.factor for d in devices]
    found += class_rows(reference, own.factor)
    if any(d.purifies for d in devices):
        found += [row for d in devices for row in d.rules]
        found += reference.table("spray_needs_particles")
        found += [threshold(reference, name) for name in (*cartridges.RULES, "oxygen-least")]
        peak = exposure.steps[own.step].peak
        present = (s for column, s in enumerate(exposure.substances) if (peak[:, column] > 0).any())
        found += [value for s in present if isinstance(value := s.best("boiling_point"), Cited)]
    return tuple(found)


def _against(
    job: Job, exposure: Exposure, own: StepNeed, stock: Sequence[Stock], reference: Reference
) -> tuple[str, ...]:
    return tuple(
        s.device if isinstance(s.device, str) else choice.against(job, exposure, own, s.device, s.life, reference)
        for s in stock
    )


def _best(stock: Sequence[Stock], reasons: Sequence[str], tiresome: Mapping[int, int]) -> int | None:
    """Place in the stock of the one to wear, or None."""
    able = [at for at, why in enumerate(reasons) if not why]
    lightest = min(able, key=lambda at: stock[at].factor, default=None)
    if lightest not in tiresome:
        return lightest
    easier = [at for at in able if at not in tiresome and not stock[at].on_a_bottle]
    return min(easier, key=lambda at: stock[at].factor, default=lightest)


def _tiresome(job: Job, exposure: Exposure, one: Stock, worn: Sequence[StepNeed], reference: Reference) -> int:
    """How many changes of cartridges these steps take, where that is more than people keep up; else 0."""
    if not isinstance(one.life, cartridges.Life):
        return 0
    most = cartridges.changes_a_shift(job, exposure, one.life.seconds, worn)
    kept_up = not past(most, threshold(reference, "cartridge-changes-most"))
    return 0 if kept_up else len(cartridges.changes(exposure, one.life.seconds, worn))


def change_of(
    job: Job, exposure: Exposure, own: StepNeed, one: Choice, reference: Reference
) -> tuple[str, str, tuple[Figure, ...]]:
    """When to change cartridges, and that they are not judged by the plume: sentence, short form, figures; empty for a
    device without.

    A change that falls due between two steps that wear it, or as one begins, is made at the start of the next one.
    """
    if one.best is None or not isinstance(one.best.life, cartridges.Life):
        return "", "", ()
    life = one.best.life
    start, (first, end) = exposure.timeline.span(own.step)[0], exposure.timeline.possible(own.step)
    moments = cartridges.changes(exposure, life.seconds, one.worn)
    last = max((exposure.timeline.span(n.step)[1] for n in one.worn if n.step < own.step), default=None)
    within = [m for m in moments if first < m < end]
    again = last is not None and last < start and one.best.single_use  # taken off in between: not to be put on again
    new = last is None or again or any(last <= m <= start for m in moments)
    fresh = say("New cartridges at the start.") if new else ""
    if not within:
        no_change = say("No change in this step; bin them after the job ({words}).", words=life.words)
        return joined((fresh, no_change, levels.plume())), say("new cartridges at start") if new else "", life.figures
    times = cartridges.times(job, within)
    change = say("Change them at {times}, and bin them after the job ({words}).", times=times, words=life.words)
    sentence = joined((fresh, change, say("Changes in the whole job: {count}.", count=len(moments)), levels.plume()))
    short = say("new cartridges {times}", times=times)
    if _tiresome(job, exposure, one.best, one.worn, reference):
        tiresome = say(
            "That is more than people keep up, and nothing else in stock will do: get a respirator that "
            "supplies air, or make less vapour."
        )
        sentence = joined((sentence, tiresome))
        short = say(
            "new cartridges every {minutes:.0f} min, {count} times: too often",
            minutes=life.seconds // 60,
            count=len(moments),
        )
    return sentence, short, life.figures
