"""Respirators: whether a step needs one, which of the stock will do, and what would make it needless."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from safety import levels
from safety.exposure.origin import made_of
from safety.exposure.result import Exposure
from safety.model import Figure, Finding, Job, Level, Worn, in_step
from safety.reference import Reference
from safety.reference.citing import duty
from safety.reference.grouped import uncounted
from safety.reference.hazards import ProductHazards
from safety.words import joined, say
from safety_protection import behind, choice, controls, need, sensitisers, stocked
from safety_protection.devices import Device, classes, danger_devices, described
from safety_protection.mist import Mist, of_step
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.need import Need, StepNeed
from safety_protection.phrases import add_a_limit, beyond, listed, none
from safety_protection.rules import cite, threshold

LEAST = 0.01  # % of a limit; a smaller share is said as this much at most


@dataclass(frozen=True, slots=True)
class Breathing:
    """The answer for one step, and the device chosen (None: none, or none will do)."""

    finding: Finding
    device: Device | None = None


def judge(job: Job, exposure: Exposure, reference: Reference, hazards: Mapping[str, ProductHazards]) -> list[Breathing]:
    """One answer for each step of the job."""
    mists = [
        of_step(step, hazards, sensitisers.warmed(exposure, index, hazards, reference))
        for index, step in enumerate(job.steps)
    ]
    needs = need.of_steps(job, exposure, reference, classes(reference))
    masked = [
        n for n in needs if n.asks and not n.danger and not exposure.steps[n.step].unknown and not mists[n.step].poison
    ]
    stock = [stocked.in_stock(job, exposure, reference, r, masked) for r in job.shop.respirators]
    chosen = stocked.choose(job, exposure, masked, stock, reference)
    of_groups = uncounted(job, reference)
    found = []
    for own in needs:
        mist = mists[own.step]
        unknown = (*exposure.steps[own.step].unknown, *mist.poison)
        best = chosen[own.step].best if own.step in chosen else None
        droplets = "" if unknown else _droplets(job, exposure, own, mist, reference)
        doubts = _doubts(exposure, own, droplets, best.factor if best else 1.0, reference)
        carried = [one for one in of_groups if own.step >= one.step]
        doubts += [one.text for one in carried]
        doubts += sensitisers.said_to_stay(exposure, own.step, reference)
        if not unknown and exposure.shift_uncounted and need.adds_to_shift(exposure, own):
            doubts.append(say("Not all vapour of the shift is counted, so whether its limit is kept is not known"))
        if job.steps[own.step].people == "away":
            found.append(_away(job, own))
            continue
        grounds = behind.of_step(job, exposure, own, stock, hazards, reference)
        grounds += tuple(ground for one in carried for ground in one.grounds)
        allergens = [p.name for p in sensitisers.about(exposure, own.step, hazards)]
        told = [hazards[p.id] for p in sensitisers.wet(exposure, own.step)]
        if unknown:
            answer = _unknown(job, own, unknown, reference)
        elif own.danger:
            answer = _danger(job, exposure, own, reference)
        elif own.asks:
            answer = _mask(job, exposure, own, chosen[own.step], reference)
        elif doubts:
            answer = _no_all_clear(_not_told(job, exposure, own, doubts, mist, reference), allergens)
            found.append(_resting(replace(answer, finding=replace(answer.finding, close=own.endangers.close)), grounds))
            continue
        else:
            answer = _none(job, exposure, own, reference)
        answer = _not_all_told(_no_all_clear(answer, allergens), told)
        for text in doubts:
            answer = _doubted(answer, text)
        if not unknown:
            answer = replace(answer, finding=replace(answer.finding, close=own.close))
        found.append(_resting(_counted(answer) if exposure.unknowns and not unknown else answer, grounds))
    return found


def _resting(answer: Breathing, grounds: tuple[Any, ...]) -> Breathing:
    """The same answer, with what every answer for the step rests on."""
    old = answer.finding
    return replace(answer, finding=replace(old, grounds=(*old.grounds, *grounds)))


def _doubts(exposure: Exposure, own: StepNeed, mist: str, factor: float, reference: Reference) -> list[str]:
    """What a step's air holds that nothing here can hold against a limit."""
    unlimited = need.unlimited(exposure, own.step, reference)
    text = say(
        "No exposure limit is loaded for {names}: the protection that takes cannot be computed", names=listed(unlimited)
    )
    found = [text] if unlimited else []
    deadly, brief = need.not_judged(exposure, own, reference, threshold(reference, "excursion-factor").value, factor)
    if deadly:
        names = listed(sorted(deadly))
        found.append(say("From what level {names} is dangerous to life is not known here", names=names))
    if brief:
        text = say(
            "No limit for a short time is loaded for {names}, which goes far over its 8-hour limit",
            names=listed(sorted(brief)),
        )
        found.append(text)
    return [*found, *([mist] if mist else [])]


def _droplets(job: Job, exposure: Exposure, own: StepNeed, mist: Mist, reference: Reference) -> str:
    """That plain droplets are in none of the figures, and what holds them back where this air allows a filter."""
    if not mist.plain:
        return ""
    text = say("The sprayed mist of {names} is not computed", names=listed(mist.plain))
    if choice.filter_allowed(job, exposure, own, reference):
        return say("{text}: wear at least a particle filter", text=text)
    return text


def _answer(
    job: Job,
    own: StepNeed,
    level: Level,
    short: str,
    text: str,
    *,
    figures: tuple[Figure, ...] = (),
    rule: str = "",
    unknown: str = "",
    remedy: str = "",
    grounds: tuple[Any, ...] = (),
    worn: Worn | None = None,
) -> Finding:
    roles, rest = (worn or Worn("respirator"),), (figures, rule, unknown, remedy, "respirator", grounds)
    return Finding(level, "breathing", in_step(job, own.step, text), short, PLUGIN, own.step, *rest, roles=roles)


def _doubted(answer: Breathing, text: str) -> Breathing:
    """The same answer, with what could not be judged said beside it."""
    old = answer.finding
    new = replace(
        old,
        statement=joined((old.statement, say("{text}.", text=text))),
        unknown=say("{first}. {second}.", first=old.unknown, second=text) if old.unknown else text,
        short=old.short if old.unknown else say("{short} (not all known)", short=old.short),
    )
    return replace(answer, finding=new)


def _counted(answer: Breathing) -> Breathing:
    """The same answer in a job with other steps whose vapour nobody can estimate: they are part of the shift."""
    said = say("Vapour that could not be counted is not in the 8-hour average.")
    return replace(answer, finding=replace(answer.finding, statement=joined((answer.finding.statement, said))))


def _no_mask() -> str:
    return say("These figures ask for no mask")


def _no_all_clear(answer: Breathing, names: Sequence[str]) -> Breathing:
    """What is in hand and can make lungs allergic is said with every answer, and none of them is a flat "no"."""
    if not names:
        return answer
    old = answer.finding
    text = joined(
        (
            old.statement,
            say(
                "{names} can make lungs allergic, and mist, dust and hot vapour of it are in no figure.",
                names=listed(names),
            ),
            say("Do not spray, heat or sand it before the safety officer has said with what."),
        )
    )
    if old.level != "note":
        return replace(answer, finding=replace(old, statement=text))
    short = joined((_no_mask(), say("asthma risk: do not spray, heat or sand")), "; ")
    remedy = say("Use a product that makes nobody allergic.")
    return replace(answer, finding=replace(old, level="control", statement=text, short=short, remedy=remedy))


def _not_all_told(answer: Breathing, told: Sequence[ProductHazards]) -> Breathing:
    """What nobody says of a product is no "none": figures of vapour say nothing of what it does to lungs."""
    old, names = answer.finding, [one.product.name for one in told if not one.known or one.unchecked]
    if not names or old.level != "note":
        return answer
    said = say(
        "Not all that {names} can do is known: ask the supplier, and do not spray, heat or sand it before.",
        names=listed(names),
    )
    text = joined((old.statement, said))
    level: Level = "note" if all(one.known for one in told) else "control"
    short = joined((_no_mask(), say("not all is known of {names}", names=listed(names))), "; ")
    return replace(answer, finding=replace(old, level=level, statement=text, short=short))


# ---------------------------------------------------------------- nobody, unknown, dangerous


def _away(job: Job, own: StepNeed) -> Breathing:
    text = say("nobody is in this air. Stay out until the step is over.")
    return Breathing(_answer(job, own, "note", say("Nobody in this air"), text))


def _unknown(job: Job, own: StepNeed, reasons: Sequence[str], reference: Reference) -> Breathing:
    """Air that cannot be estimated counts as immediately dangerous: 29 CFR 1910.134(d)(1)(iii)."""
    only, rule = danger_devices(reference)
    law = duty(reference, "air not known")
    text = say(
        "the vapour cannot be estimated. {why} Air that is not known counts as dangerous to life. Only: {only}.",
        why=joined(reasons),
        only=only or say("ask the safety officer"),
    )
    finding = _answer(
        job,
        own,
        "stop",
        say("Vapour unknown"),
        text,
        rule=joined(filter(None, (law.text, rule)), "; "),
        grounds=(*law.rows, *reference.table("danger_device")),
        unknown=in_step(job, own.step, say("the vapour cannot be estimated")),
        remedy=say(
            "Have what is missing put into the shop's files, or have the air measured. "
            "For a substance without data, ask the product's maker."
        ),
    )
    return Breathing(finding)


def _danger(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> Breathing:
    only, rule = danger_devices(reference)
    worst = max(own.danger, key=lambda d: d.ratio)
    figures = tuple(
        Figure(
            say("{name} in the breathed air", name=d.substance.name),
            d.share * 1e6,
            "ppm",
            inputs=((say("dangerous to life from"), d.limit), *made_of(exposure, d.substance.cas, own.step)),
        )
        for d in own.danger
    )
    text = say(
        "{name} may reach {ppm} ppm. From {limit} it is immediately dangerous to life or health. Only: {only}.",
        name=worst.substance.name,
        ppm=levels.compared(worst.share * 1e6, worst.share * 1e6 / worst.ratio),
        limit=worst.limit.written,
        only=only or say("ask the safety officer"),
    )
    remedy, extra = controls.remedy(job, exposure, own, reference)
    short, text = say("Air dangerous to life"), joined((text, levels.plume()))
    grounds = reference.table("danger_device")
    figures = (*figures, *extra)
    return Breathing(_answer(job, own, "stop", short, text, figures=figures, rule=rule, remedy=remedy, grounds=grounds))


# ---------------------------------------------------------------- none, or which


def _none(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> Breathing:
    needs, elsewhere = _compared(own)
    if not needs:
        text = say("no vapour of these products to protect from.")
        if elsewhere:
            text = say(
                "no respirator here because of these products. The masks of the other steps keep the 8-hour average."
            )
        return Breathing(_answer(job, own, "note", none(), joined((text, beyond()))))
    most = max(needs, key=lambda n: n.ratio)
    text = say(
        "no respirator because of these products. The breathed air is at most at {percent} % of the {kind}.",
        percent=levels.compared(max(most.ratio * 100, LEAST), 100.0, digits=2),
        kind=most.words,
    )
    words = choice.special_words(job, exposure, own, reference)
    if words:
        text = joined((text, words))
    if elsewhere:
        text = joined((text, say("The masks of the other steps keep the 8-hour average.")))
    return Breathing(
        _answer(
            job,
            own,
            "note",
            none(),
            joined((text, beyond())),
            figures=need.figures(exposure, own.step, most, most.ratio),
            rule=cite(most.worst.limit),
        )
    )


def _compared(own: StepNeed) -> tuple[list[Need], bool]:
    """What this step answers for, and whether other steps carry the mask that brings the shift's average down."""
    needs = own.needs
    elsewhere = own.shift is not None and own.shift.passed
    return [n for n in needs if not (elsewhere and n is own.shift)], elsewhere


def _not_told(
    job: Job, exposure: Exposure, own: StepNeed, doubts: Sequence[str], mist: Mist, reference: Reference
) -> Breathing:
    """Under every limit that is loaded, with something in the air that none is loaded for: no all-clear."""
    needs, _ = _compared(own)
    text = say("whether a respirator is needed is not known.")
    figures: tuple[Figure, ...] = ()
    if needs:
        most = max(needs, key=lambda n: n.ratio)
        figures = need.figures(exposure, own.step, most, most.ratio)
        text = joined(
            (
                text,
                say(
                    "What can be compared is at most at {percent} % of the {kind}.",
                    percent=levels.compared(max(most.ratio * 100, LEAST), 100.0, digits=2),
                    kind=most.words,
                ),
            )
        )
    law = duty(reference, "air not known")
    told = [say("{doubt}.", doubt=doubt) for doubt in doubts]
    text = joined((text, *told, choice.special_words(job, exposure, own, reference)))
    finding = _answer(
        job,
        own,
        "control",
        joined((say("At least a particle filter"), say("the rest is not known")), "; ")
        if mist.plain and choice.filter_allowed(job, exposure, own, reference)
        else say("Respirator: not known if needed"),
        text,
        figures=figures,
        rule=law.text,
        grounds=law.rows,
        unknown="; ".join(doubts),
        remedy=add_a_limit(),
    )
    return Breathing(finding)


def _mask(job: Job, exposure: Exposure, own: StepNeed, one: stocked.Choice, reference: Reference) -> Breathing:
    leading = own.leading
    assert leading is not None  # a step that asks has a need that leads
    remedy, extra = controls.remedy(job, exposure, own, reference)
    figures = (*need.figures(exposure, own.step, leading, own.factor), *extra)
    rule = cite(leading.worst.limit)
    asked = _asked(leading, own, one.stock)
    words = choice.special_words(job, exposure, own, reference)
    if one.best is None or isinstance(one.best.device, str):
        text = joined((asked, _lack(job, exposure, own, one.reasons, reference), words))
        short = say("No respirator in stock will do")
        return Breathing(_answer(job, own, "stop", short, text, figures=figures, rule=rule, remedy=remedy))
    chosen = one.best.device
    change, change_short, life_figures = stocked.change_of(job, exposure, own, one, reference)
    not_worn = [
        say("Not {reason}.", reason=why)
        for s, why in zip(one.stock, one.reasons, strict=True)
        if why and isinstance(s.device, Device) and own.factor <= s.device.factor.value < chosen.factor.value
    ]
    wear = say(
        "Wear {name} ({what}, assigned factor {apf:g}), fit-tested, by cleared and trained people.",
        name=chosen.name,
        what=described(chosen),
        apf=chosen.factor.value,
    )
    oxygen = choice.oxygen(job, own, chosen, reference)
    text = joined((asked, wear, change, oxygen, *not_worn, one.passed_over, words))
    letters = say(", {letters}", letters=chosen.letters) if chosen.letters else ""
    finding = _answer(
        job,
        own,
        "control",
        joined((say("{name}{letters}", name=chosen.name, letters=letters), change_short), "; "),
        text,
        figures=(*figures, *choice.most_used_in(exposure, own, chosen, reference), *life_figures),
        rule=joined((rule, cite(chosen.factor)), "; "),
        remedy=remedy,
        worn=Worn("respirator", chosen.respirator.id, chosen.factor.value, one.best.lasts),
    )
    return Breathing(finding, chosen)


def _asked(leading: Need, own: StepNeed, stock: Sequence[stocked.Stock]) -> str:
    # a device whose factor is too low must not read as if it had the factor that is needed
    factors = [s.factor for s in stock if s.factor > 0]
    worst = leading.worst
    over = say(
        "the breathed air may reach {ratio} times the {kind} ({limit}, {list}, {name}{more})",
        ratio=levels.compared(leading.ratio, 1.0, *factors),
        kind=leading.words,
        limit=say("{ppm}, from {written}", ppm=_ppm(worst.allowed), written=worst.limit.written)
        if leading.cut
        else worst.limit.written,
        list=worst.limit.list,
        name=worst.substance.name,
        more=say("; all vapours added up") if len(leading.terms) > 1 else "",
    )
    if math.isinf(own.factor):
        return say("{over}. What is breathed outside the masked steps alone keeps it over.", over=over)
    factor = levels.compared(own.factor, 1.0, *factors)
    return say("{over}, so a factor of {factor} is needed.", over=over, factor=factor)


def _ppm(share: float) -> str:
    return say("{value:g} ppm", value=float(levels.printed(share * 1e6)))


def _lack(job: Job, exposure: Exposure, own: StepNeed, reasons: Sequence[str], reference: Reference) -> str:
    """Why nothing in stock will do, and what would."""
    why = " ".join(say("{reason}.", reason=r) for r in reasons if r) or say("The stock list has no respirator.")
    wanted = choice.could_do(job, exposure, own, reference)
    if not wanted:
        return say("Nothing in stock will do. {why} No class of device gives that factor.", why=why)
    return say("Nothing in stock will do. {why} It takes: {wanted}.", why=why, wanted=wanted)
