"""Eyes and face: from what the products can do and how the work throws them about."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
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
    thrown = bool(contact.works & {"spray", "pour", "wash"})
    wanted = _wanted(contact, worst, thrown)
    why = _why(contact, codes, unknown, thrown)
    finding = partial(
        Finding,
        topic="eyes",
        plugin=PLUGIN,
        step=contact.step,
        rule=law.text,
        key="eyewear",
        grounds=(*law.rows, *grounds),
    )
    if covers and device is not None:
        text = say(
            "the full facepiece of {name} covers eyes and face. No spectacle arms through its seal.", name=device.name
        )
        mask = Worn("eyewear", device.respirator.id)
        return finding("control", statement=said(text), short=say("Full facepiece"), roles=(mask,))
    return _from_stock(job, wanted, why, _advice(wanted, worst, stings, law), finding, said)


def _from_stock(
    job: Job,
    wanted: tuple[str, ...],
    why: str,
    advice: Iterable[str],
    finding: Callable[..., Finding],
    said: Callable[[str], str],
) -> Finding:
    """The kinds of eyewear that are wanted, out of the shop's stock."""
    stock = [_find(job, kind) for kind in wanted]
    worn = tuple(Worn("eyewear", item.id) for item in stock if item is not None) or (Worn("eyewear"),)
    named = listed([_name(kind, item) for kind, item in zip(wanted, stock, strict=True)])
    wear = say("{why}, so wear {named}.", why=why, named=named)
    missing = [term(kind) for kind, item in zip(wanted, stock, strict=True) if item is None]
    if missing:
        lacking = say("The shop has no {missing} in stock.", missing=listed(missing))
        all_missing = ", ".join(missing)
        return finding(
            "stop",
            statement=said(joined((wear, lacking))),
            short=say("No {missing} in stock", missing=all_missing),
            remedy=say("Get: {missing}.", missing=all_missing),
            roles=worn,
        )
    return finding("control", statement=said(joined((wear, *advice))), short=capital(named), roles=worn)


def _advice(wanted: tuple[str, ...], worst: bool, stings: bool, law: Law) -> Iterator[str]:
    """What goes with the eyewear."""
    marks = list(dict.fromkeys(term(row["mark"]) for row in law.rows if "mark" in row))
    if _GOGGLES in wanted and marks:
        yield say("Goggles must bear {mark}.", mark=say(" or ").join(marks))
    if worst:
        yield say("Contact lenses out, or rinse them out first if a drop gets in.")
    if stings:
        yield say("The vapour may sting: a full facepiece would serve eyes and lungs.")


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
        return say("spraying, washing or pouring throws drops")
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
