"""Which respirator of the stock will do in a step, and what must be said beside it."""

from __future__ import annotations

from typing import Any

from safety import levels
from safety.cited import Unknown
from safety.exposure.result import Exposure, p95
from safety.formulas.protection import maximum_use_concentration
from safety.model import Figure, Job, Limit
from safety.reference import Reference, past, settled
from safety.words import say, term
from safety_protection import cartridges
from safety_protection.devices import Device, light, own_table, word_on
from safety_protection.need import StepNeed, limit_inputs, limit_share, unlimited
from safety_protection.phrases import listed
from safety_protection.rules import cite, rows, threshold


def against(
    job: Job,
    exposure: Exposure,
    own: StepNeed,
    found: Device,
    life: cartridges.Life | Unknown | None,
    reference: Reference,
) -> str:
    """Why a device will not do in this step, or ""."""
    if found.factor.value < own.factor:
        return say("{name}: factor {apf:g} is too low", name=found.name, apf=found.factor.value)
    if not found.purifies:
        return ""
    barred = barred_by(exposure, own, reference)
    if barred:
        return say("{name}: {why}", name=found.name, why=barred.rstrip("."))
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
    if sprays and not found.cartridge.get("particles") and rows(reference, "spray_needs_particles"):
        return say("{name}: spraying needs a particle filter before the cartridge", name=found.name)
    share = settled(float(p95(exposure.ppm(exposure.steps[own.step].peak).sum(axis=1))) * 1e-6)
    cap = min(_caps(found), default=None)
    if cap is not None and share > cap:
        return say(
            "{name}: its cartridge is good to {cap:g} ppm, and {ppm} ppm may come",
            name=found.name,
            cap=cap * 1e6,
            ppm=levels.beside(share * 1e6, cap * 1e6),
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


def barred_by(exposure: Exposure, own: StepNeed, reference: Reference) -> str:
    """The rule that bars every cartridge in this air, or ""."""
    words = [word_on(cas, reference) for _, cas in _present(exposure, own)]
    return next((term(w["text"]) for w in words if w and w["barred"]), "")


def cartridge_could(exposure: Exposure, own: StepNeed, reference: Reference) -> bool:
    """Whether some cartridge the rules know could do in this air at all."""
    if barred_by(exposure, own, reference) or unlimited(exposure, own.step, reference):
        return False
    holds = "light organic" if _lights(exposure, own, reference) else "organic"
    return any(row["holds"] == holds for row in rows(reference, "cartridge"))


def special_words(exposure: Exposure, own: StepNeed, reference: Reference) -> str:
    """What the rules say of cartridges against a substance of this air, and its own table of devices."""
    found = []
    for column, cas in _present(exposure, own):
        word = word_on(cas, reference)
        if word is not None:
            share = float(p95(exposure.ppm(exposure.steps[own.step].peak)[:, column])) * 1e-6
            least = own_table(cas, share, reference)
            found.append(say("{text} ({citation})", text=term(word["text"]), citation=cite(word)))
            if least:
                found.append(say("At this level the rule asks at least for: {least}.", least=least))
    return " ".join(found)


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
    return say("A cartridge makes no oxygen: measure before entry; under {least} stay out. ", least=least.written)


def most_used_in(exposure: Exposure, own: StepNeed, chosen: Device, reference: Reference) -> tuple[Figure, ...]:
    """Most of each substance the device may be used in: factor times limit, under the danger and cartridge limits."""
    found = []
    for each in own.leading.terms if own.leading else ():
        caps: list[tuple[str, Any, float]] = [
            (say("cartridge limit"), say("{ppm:g} ppm", ppm=cap * 1e6), cap) for cap in _caps(chosen)
        ]
        danger = reference.governing(each.substance.cas, "idlh")
        if isinstance(danger, Limit):
            value = limit_share(danger, each.substance)
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
