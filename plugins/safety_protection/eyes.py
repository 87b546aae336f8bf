"""Eyes and face: from what the products can do and how the work throws them about."""

from __future__ import annotations

from functools import partial
from typing import Any

from safety.model import Eyewear, Finding, Job, Worn, in_step
from safety.reference import Reference
from safety.reference.citing import Law, duty
from safety.reference.hazards import ProductHazards
from safety.words import capital, joined, message, say, term
from safety_protection.breathing import Breathing
from safety_protection.contact import Contact
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import beyond, listed, none

#: Statements under which a drop can cost an eye.
_BLINDING = frozenset({"H314", "H318"})
#: From the least to the most. The table is ours, built on the chart of Appendix B.
_SPECTACLES, _GOGGLES, _SHIELD = message("spectacles"), message("splash goggles"), message("face shield")


def judge(
    job: Job,
    contact: Contact,
    hazards: dict[str, ProductHazards],
    breathing: Breathing,
    stings: bool,
    reference: Reference,
) -> Finding:
    """The answer for eyes and face in one step; always one finding.

    ``breathing`` has the respirator the step wears, ``stings`` whether its vapour is over a limit and
    irritates eyes.
    """
    said, device = partial(in_step, job, contact.step), breathing.device
    covers = device is not None and device.respirator.facepiece == "full facepiece"
    # what covers the face, and whether the vapour stings, follows from the answer for breathing
    harm = (g for p in contact.products for g in hazards[p.id].by(_BLINDING | {"H319"}))
    grounds: tuple[Any, ...] = (*harm, breathing.finding)
    if not contact.splashes:
        text = joined((say("nothing here can splash. Keep eyewear at hand for a spill."), beyond()))
        return Finding(
            "note", "eyes", said(text), none(), PLUGIN, contact.step, key="eyewear", roles=(Worn("eyewear"),)
        )
    law = duty(reference, "eyes")
    codes = frozenset().union(*(hazards[p.id].careful for p in contact.products))
    unknown = [p.name for p in contact.products if not hazards[p.id].known]
    worst = bool(codes & _BLINDING) or bool(unknown)
    thrown = bool(contact.works & {"spray", "pour"})
    wanted = _wanted(contact, worst, thrown)
    why = _why(contact, codes, unknown, thrown)
    if covers and device is not None:
        text = say(
            "the full facepiece of {name} covers eyes and face. No spectacle arms through its seal.", name=device.name
        )
        short = say("Full facepiece")
        grounds = (*law.rows, *grounds)
        return Finding(
            "control",
            "eyes",
            said(text),
            short,
            PLUGIN,
            contact.step,
            (),
            law.text,
            key="eyewear",
            grounds=grounds,
            roles=(Worn("eyewear", device.respirator.id),),
        )
    return _eyewear(job, contact, wanted, why, worst, stings, law, grounds)


def _eyewear(
    job: Job,
    contact: Contact,
    wanted: tuple[str, ...],
    why: str,
    worst: bool,
    stings: bool,
    law: Law,
    grounds: tuple[Any, ...],
) -> Finding:
    """The kinds of eyewear that are wanted, out of the shop's stock."""
    said = partial(in_step, job, contact.step)
    stock = [_find(job, kind) for kind in wanted]
    worn = tuple(Worn("eyewear", item.id) for item in stock if item is not None) or (Worn("eyewear"),)
    named = listed([_name(kind, item) for kind, item in zip(wanted, stock, strict=True)])
    sting = say("The vapour may sting: a full facepiece would serve eyes and lungs.") if stings else ""
    mark = say("Goggles must bear D3 (ANSI Z87.1) or 3 (EN 166).") if _GOGGLES in wanted else ""
    contacts = say("Contact lenses out, or rinse them out first if a drop gets in.") if worst else ""
    wear = say("{why}, so wear {named}.", why=why, named=named)
    missing = [term(kind) for kind, item in zip(wanted, stock, strict=True) if item is None]
    if missing:
        lacking = say("The shop has no {missing} in stock.", missing=listed(missing))
        text = joined((wear, lacking))
        return Finding(
            "stop",
            "eyes",
            said(text),
            say("No {missing} in stock", missing=", ".join(missing)),
            PLUGIN,
            contact.step,
            (),
            law.text,
            remedy=say("Get: {missing}.", missing=", ".join(missing)),
            key="eyewear",
            grounds=(*law.rows, *grounds),
            roles=worn,
        )
    text = said(joined((wear, mark, contacts, sting)))
    short, grounds = capital(named), (*law.rows, *grounds)
    return Finding(
        "control",
        "eyes",
        text,
        short,
        PLUGIN,
        contact.step,
        (),
        law.text,
        key="eyewear",
        grounds=grounds,
        roles=worn,
    )


def _wanted(contact: Contact, worst: bool, thrown: bool) -> tuple[str, ...]:
    """Kinds of eyewear. A face shield is never worn without goggles beneath it."""
    if contact.overhead or (worst and thrown):
        return (_GOGGLES, _SHIELD)
    return (_GOGGLES,) if worst or not contact.quiet else (_SPECTACLES,)


def _why(contact: Contact, codes: frozenset[str], unknown: list[str], thrown: bool) -> str:
    if unknown:
        return say("what {products} does to eyes is not fully known", products=", ".join(unknown))
    if codes & _BLINDING:
        return say("a drop can blind ({codes})", codes=", ".join(sorted(codes & _BLINDING)))
    if contact.overhead:
        return say("work overhead drips into the face")
    if thrown:
        return say("spraying or pouring throws drops")
    if contact.still and contact.quiet:
        return say("{things} may still be wet", things=listed(contact.left))
    if "H319" in codes and contact.works != {"open"}:
        return say("it stings eyes badly (H319) and may splash")
    return say("liquid may splash")


def _find(job: Job, kind: str) -> Eyewear | None:
    """Eyewear of this kind in stock. Goggles may stand in for spectacles."""
    kinds = {_SPECTACLES: (_SPECTACLES, _GOGGLES)}.get(kind, (kind,))
    return next((e for k in kinds for e in job.shop.eyewear if e.kind == k), None)


def _name(kind: str, item: Eyewear | None) -> str:
    return (item.name or term(item.kind)) if item else term(kind)
