"""Protection plugin: hands, eyes, breathing and skin for every step, and what the products can do."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from safety import hookimpl
from safety.cited import Unknown
from safety.exposure import Exposure
from safety.model import Block, Contribution, Finding, Job, Key, Names, OwnKeys, Product, Signs
from safety.reference import Reference
from safety.reference.hazards import ProductHazards, product_hazards
from safety_protection import (
    breathing,
    contact,
    eyes,
    glove_data,
    hands,
    labels,
    mixture_hazards,
    people,
    restricted,
    rules,
    sensitisers,
    sheets,
    skin,
    unborn,
)
from safety_protection.breathing import Breathing
from safety_protection.tables import TABLES

hazstep_hooks = 2


@hookimpl
def contribute() -> Contribution:
    """The rules of respirators, gloves, cartridges, mixtures and labels."""
    materials = Names("glove material", glove_data.all_names())
    settings = OwnKeys(
        "settings",
        (
            Key("cartridge_change_time", "time", needed=False),
            Key("glove_movement_factor", "number", needed=False),
            Key("glove_part_threshold", "fraction", needed=False),
        ),
    )
    return Contribution(packs=rules.packs(), tables=TABLES, names=(materials,), keys=(settings,))


@hookimpl
def assess(job: Job, exposure: Exposure, reference: Reference) -> list[Finding]:
    """One answer a step for hands, eyes, breathing and skin; one a product for what it can do."""
    hazards = _of(job.products, reference)
    # what another job left wet is met as well
    beside = (p for other in exposure.neighbours for p in other.job.products if p.id not in hazards)
    met = hazards | _of(beside, reference)
    uptakes = {
        part.cas: skin.uptake(substance, reference)
        for p in (h.product for h in met.values())
        for part in p.parts
        if part.cas and not isinstance(substance := reference.substance(part.cas), Unknown)
    }
    findings = [
        *restricted.judge(job, exposure, reference, hazards),
        *sensitisers.judge(hazards),
        *unborn.judge(hazards),
    ]
    for answer in breathing.judge(job, exposure, reference, met):
        index = answer.finding.step
        assert index is not None  # each of them is about one step
        touch = contact.of_step(job, exposure, index)
        if touch.unsaid:
            findings += [answer.finding, *contact.unsaid(job, touch)]
            continue
        touching = (
            hands.judge(job, touch, met, reference),
            eyes.judge(job, touch, met, answer, _stings(touch, met, answer), reference),
            skin.judge(job, exposure, touch, met, uptakes, reference),
        )
        dries = contact.grounds(exposure, index)
        findings += [answer.finding, *(replace(one, grounds=(*one.grounds, *dries)) for one in touching)]
    findings += people.judge(job, reference, hazards, findings, restricted.trainings(job, reference, hazards))
    return findings + [mixture_hazards.finding(h, reference) for h in hazards.values()]


def _of(products: Iterable[Product], reference: Reference) -> dict[str, ProductHazards]:
    """What each product can do, by its id."""
    return {p.id: product_hazards(p, reference) for p in products}


def _stings(touch: contact.Contact, hazards: dict[str, ProductHazards], answer: Breathing) -> bool:
    """Whether the air is over a limit with something in it that irritates eyes."""
    over = answer.finding.level != "note"
    return over and any(hazards[p.id].careful & {"H314", "H318", "H319"} for p in touch.products)


@hookimpl
def signs(statements: Mapping[str, tuple[str, ...]], reference: Reference) -> list[Signs]:
    """Symbols and signal words, wherever they are shown."""
    return [labels.signs(of, codes, reference) for of, codes in statements.items()]


@hookimpl
def sheet_blocks(
    job: Job, findings: tuple[Finding, ...], signs: tuple[Signs, ...], reference: Reference
) -> list[Block]:
    """Product hazards with their statement texts, respirator habits, first aid, spill and fire."""
    return sheets.blocks(job, findings, signs, reference)
