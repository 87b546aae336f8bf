"""Which respirator of the stock will do in a step, and what must be said beside it."""

from __future__ import annotations

from typing import Any

from safety import levels
from safety.cited import Unknown
from safety.exposure.result import Exposure, decisive
from safety.formulas.protection import maximum_use_concentration
from safety.model import Figure, Job, Limit
from safety.reference import Reference, past, settled
from safety.words import clause, say, term
from safety_protection import cartridges, device_rules
from safety_protection.devices import CARTRIDGE_KINDS, Device, class_words, light, needs_particles
from safety_protection.need import StepNeed, limit_inputs, limit_share, unlimited
from safety_protection.phrases import listed
from safety_protection.rules import cite, threshold


def against(
    job: Job,
    exposure: Exposure,
    own: StepNeed,
    found: Device,
    life: cartridges.Life | Unknown | None,
    reference: Reference,
) -> str:
    """Why a device will not do in this step, or ""."""
    barred = device_rules.bars(job, exposure, own.step, reference).against(found)
    if barred:
        return say("{name}: {why}", name=found.name, why=clause(barred))
    if found.factor.value < own.factor:
        return say("{name}: factor {apf:g} is too low", name=found.name, apf=found.factor.value)
    if not found.purifies:
        return ""
    blank = unlimited(exposure, own.step, reference)
    if blank:
        return say(
            "{name}: no limit of {names} is loaded, so nobody can say what its cartridge must hold back",
            name=found.name,
            names=listed(blank),
        )
    holds = found.cartridge["holds"]
    if holds not in ("organic", "light organic"):
        return say("{name}: its cartridge is for {holds}", name=found.name, holds=term(holds))
    lights = _lights(exposure, own, reference)
    if lights and holds == "organic":
        return say("{name}: carbon hardly holds {names}", name=found.name, names=", ".join(lights))
    if not lights and holds == "light organic":
        return say("{name}: its filter is for vapours that boil low", name=found.name)
    sprays = any(use.work == "spray" for use in job.steps[own.step].uses)
    if sprays and not found.cartridge.get("particles") and needs_particles(reference):
        return say("{name}: spraying needs a particle filter before the cartridge", name=found.name)
    share = settled(float(decisive(exposure.ppm(exposure.steps[own.step].peak).sum(axis=1))) * 1e-6)
    cap = min(_caps(found), default=None)
    if cap is not None and share > cap:
        return say(
            "{name}: its cartridge is good to {cap:g} ppm, and {ppm} ppm may come in the highest minute",
            name=found.name,
            cap=cap * 1e6,
            ppm=levels.compared(share * 1e6, cap * 1e6),
        )
    if isinstance(life, Unknown):
        return say("{name}: {why}", name=found.name, why=life.reason)
    if isinstance(life, cartridges.Life) and life.seconds < 60:
        return say("{name}: its cartridge lasts no whole minute", name=found.name)
    return ""


def _present(exposure: Exposure, own: StepNeed) -> list[tuple[int, str]]:
    """Columns and CAS numbers of what is in this step's air at all."""
    peak = exposure.steps[own.step].peak
    return [(i, s.cas) for i, s in enumerate(exposure.substances) if (peak[:, i] > 0).any()]


def could_do(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> str:
    """The kinds of device of the lowest class that would do in this step, or ""."""
    barred = device_rules.bars(job, exposure, own.step, reference)
    cartridge = _cartridge_could(exposure, own, reference)

    def will_do(kind: str, facepiece: str) -> bool:
        return (cartridge or kind not in CARTRIDGE_KINDS) and not barred.bars_class(kind, facepiece)

    return class_words(reference, own.factor, will_do)


def _cartridge_could(exposure: Exposure, own: StepNeed, reference: Reference) -> bool:
    """Whether some cartridge the rules know could do in this air at all."""
    if unlimited(exposure, own.step, reference):
        return False
    holds = "light organic" if _lights(exposure, own, reference) else "organic"
    return any(row["holds"] == holds for row in reference.table("cartridge"))


def filter_allowed(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> bool:
    """Whether any device that filters this air, and supplies none, may be worn in it."""
    barred = device_rules.bars(job, exposure, own.step, reference)
    table = [row for row in reference.table("protection_factor") if row["kind"] in CARTRIDGE_KINDS]
    return not table or not all(barred.bars_class(row["kind"], row["facepiece"]) for row in table)


def special_words(job: Job, exposure: Exposure, own: StepNeed, reference: Reference) -> str:
    """What laws on a substance of this air say of respirators."""
    return device_rules.bars(job, exposure, own.step, reference).words


def _lights(exposure: Exposure, own: StepNeed, reference: Reference) -> list[str]:
    """Vapours that carbon hardly holds and that come to more than a small share of their limit.

    A vapour whose boiling point is not known, or that has no limit here, counts as one of them.
    """
    small = threshold(reference, "cartridge-light-share")
    found = []
    for column, _ in _present(exposure, own):
        substance = exposure.substances[column]
        is_light = light(substance, reference)
        needs = (*own.short, *((own.shift,) if own.shift else ()))
        ratios = [r for n in needs if (r := cartridges.ratio_of(n, substance)) is not None]
        if (isinstance(is_light, Unknown) or is_light) and (not ratios or past(max(ratios), small)):
            found.append(substance.name)
    return found


def oxygen(job: Job, own: StepNeed, chosen: Device, reference: Reference) -> str:
    if job.steps[own.step].place.kind != "enclosed" or not chosen.purifies:
        return ""
    least = threshold(reference, "oxygen-least")
    return say("A cartridge makes no oxygen: measure before entry; under {least} stay out.", least=least.written)


def most_used_in(exposure: Exposure, own: StepNeed, chosen: Device, reference: Reference) -> tuple[Figure, ...]:
    """Most of each substance the device may be used in: factor times limit, under the danger and cartridge limits."""
    found = []
    for each in own.leading.terms if own.leading else ():
        caps: list[tuple[str, Any, float]] = [
            (say("cartridge limit"), say("{ppm:g} ppm", ppm=cap * 1e6), cap) for cap in _caps(chosen)
        ]
        caps += [
            (say("most the law allows it for"), cite(row), share)
            for row, share in device_rules.most(each.substance, chosen, reference)
        ]
        danger = reference.governing(each.substance.cas, "idlh")
        if isinstance(danger, Limit):
            value = limit_share(danger, reference)
            if isinstance(value, float):
                caps.append((say("dangerous to life"), danger, value))
        most = float(maximum_use_concentration(chosen.factor.value, each.allowed))
        lowest = min([most, *(value for _, _, value in caps)])
        inputs = (
            ("protection factor", chosen.factor),
            *limit_inputs(exposure.job, each),
            *((name, what) for name, what, _ in caps),
        )
        formula = "maximum_use_concentration" if lowest == most else ""
        name = say("most {name} this device may be used in", name=each.substance.name)
        found.append(Figure(name, lowest * 1e6, "ppm", formula, inputs))
    return tuple(found)


def _caps(found: Device) -> list[float]:
    """Most vapour [mole fraction] the cartridge's maker and its class allow."""
    caps = [found.respirator.cartridge_limit]
    if "up_to_ppm" in found.cartridge:
        caps.append(found.cartridge["up_to_ppm"] * 1e-6)
    return [settled(cap) for cap in caps if cap is not None]
