"""Skin and body: clothing, wash stations, and what goes through the skin unnoticed."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.formulas.protection import skin_permeation, skin_to_inhalation_ratio
from safety.model import Figure, Finding, Job, Limit, Substance, Threshold, Worn, in_step
from safety.reference import Reference, past
from safety.reference.citing import duty
from safety.reference.hazards import ProductHazards
from safety.words import capital, joined, say
from safety_protection.contact import Contact
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import beyond, listed
from safety_protection.rules import cite, threshold

_FIRE = frozenset({"H224", "H225", "H226"})
_CORROSIVE = frozenset({"H314", "H318"})
_POISON = frozenset({"H310", "H311", "H312"})
_IRRITANT = frozenset({"H315", "H317", "EUH066"})
_LASTING = frozenset({"H340", "H350", "H360", "H341", "H351", "H361"})
#: Everything that changes an answer.
_HARM = _FIRE | _CORROSIVE | _POISON | _IRRITANT | _LASTING | {"H334"}
_WASH = ("wash-time", "wash-reach", "eyewash-flow", "shower-flow")


@dataclass(frozen=True, slots=True)
class Uptake:
    """How much of one substance may come through the skin. ``ratio`` is Unknown where a value is missing."""

    substance: Substance
    ratio: Figure | Unknown
    flagged: bool
    notation: tuple[Limit, ...]  # lists that mark it "skin"

    @property
    def known_sign(self) -> bool:
        """Whether either way of looking says it goes through the skin."""
        return self.flagged or bool(self.notation)


def uptake(substance: Substance, reference: Reference) -> Uptake:
    """Dose through wet hands against the dose breathed at the limit (NIOSH CIB 61), and the published notation."""
    notation = tuple(x for x in reference.limits(substance.cas) if x.skin)
    ratio = _ratio(substance, reference)
    least = threshold(reference, "skin-ratio")
    flagged = isinstance(ratio, Figure) and past(ratio.value, least)
    return Uptake(substance, ratio, flagged, notation)


def _ratio(substance: Substance, reference: Reference) -> Figure | Unknown:
    values = {name: substance.best(name) for name in ("log_kow", "molar_mass", "water_solubility")}
    missing = next((v for v in values.values() if isinstance(v, Unknown)), None)
    if missing is not None:
        return missing
    limit = reference.governing(substance.cas, "twa")
    if isinstance(limit, Unknown):
        return limit
    mass = reference.limit_mass(limit)
    if isinstance(mass, Unknown):
        return mass
    permeation = Figure(
        say("passage of {name} through skin", name=substance.name),
        float(skin_permeation(values["log_kow"].value, values["molar_mass"].value)),  # type: ignore[union-attr]
        "m/s",
        "skin_permeation",
        (("log_kow", values["log_kow"]), ("molar_mass", values["molar_mass"])),
    )
    return Figure(
        say("skin dose of {name} over breathed dose", name=substance.name),
        float(skin_to_inhalation_ratio(permeation.value, values["water_solubility"].value, mass)),  # type: ignore[union-attr]
        "1",
        "skin_to_inhalation_ratio",
        (
            ("permeation", permeation),
            ("solubility", values["water_solubility"]),
            ("limit", limit),
            ("flag", threshold(reference, "skin-ratio")),
        ),
    )


def judge(
    job: Job,
    exposure: Exposure,
    contact: Contact,
    hazards: dict[str, ProductHazards],
    uptakes: dict[str, Uptake],
    reference: Reference,
) -> Finding:
    """The answer for skin and body in one step; always one finding."""
    worn = (Worn("clothing"),)
    if contact.kind == "none" or not contact.products:
        text = joined((say("nothing here wets skin or clothes."), beyond()))
        short = joined((say("Work clothes for these products"), say("the work itself may need more")), "; ")
        return Finding(
            "note", "skin", in_step(job, contact.step, text), short, PLUGIN, contact.step, key="clothing", roles=worn
        )
    codes = frozenset().union(*(hazards[p.id].careful for p in contact.products))
    unknown = [p.name for p in contact.products if not hazards[p.id].known]
    clothing = _clothing(contact, codes, bool(unknown))
    sentences = [say("wear {clothing}.", clothing=listed(clothing))]
    if contact.still:
        sentences.append(say("Still wet from before: {things}.", things=listed(contact.left)))
    sentences += _habits(codes)
    wash, wash_figures = _wash(codes, bool(unknown), reference)
    sentences.append(wash)
    through = [uptakes[part.cas] for p in contact.products for part in p.parts if part.cas in uptakes]
    sentences += _through({u.substance.cas: u for u in through}.values())
    law = duty(reference, "skin")
    figures = (*(u.ratio for u in through if isinstance(u.ratio, Figure) and u.known_sign), *wash_figures)
    level = "control" if len(clothing) > 1 or codes & (_FIRE | _CORROSIVE | _POISON | _IRRITANT) or unknown else "note"
    return Finding(
        "control" if level == "control" else "note",
        "skin",
        in_step(job, contact.step, joined(sentences)),
        capital(", ".join(clothing)),
        PLUGIN,
        contact.step,
        figures,
        law.text,
        in_step(job, contact.step, say("what {names} does to skin is not fully known", names=", ".join(unknown)))
        if unknown
        else "",
        key="clothing",
        roles=worn,
        grounds=(
            *law.rows,
            *(g for p in contact.products for g in hazards[p.id].by(_HARM)),
            *_looked_up(through, reference),
        ),
    )


def _looked_up(uptakes: Iterable[Uptake], reference: Reference) -> tuple[Figure | Limit | Threshold, ...]:
    """What says whether a vapour goes through the skin, and how eyes and skin are washed."""
    found: list[Figure | Limit | Threshold] = [threshold(reference, name) for name in _WASH]
    for one in uptakes:
        found += [*one.notation, *([one.ratio] if isinstance(one.ratio, Figure) else [])]
    return tuple(found)


def _clothing(contact: Contact, codes: frozenset[str], unknown: bool) -> list[str]:
    found = []
    if "spray" in contact.works:
        found.append(say("a hooded coverall"))
    else:
        found.append(say("long sleeves"))
    if contact.overhead:
        found.append(say("a hood or cap, cuffs turned over the glove"))
    if unknown or codes & (_CORROSIVE | {"H310", "H311"}):
        found.append(say("a chemical apron with gauntlets"))
    if codes & _FIRE:
        found.append(say("cotton or antistatic clothes, nothing that crackles"))
    return found


def _habits(codes: frozenset[str]) -> list[str]:
    """What to do and not to do, by what the products can do (P-statements named)."""
    found = []
    if codes & _FIRE:
        found.append(
            say(
                "Clothes soaked with it can catch fire: off at once, away from sparks, rinse the skin (P303+P361+P353)."
            )
        )
    if codes & _POISON:
        found.append(say("It can poison through the skin: wash off every drop at once."))
    if codes & {"H310", "H311"}:
        found.append(say("Work with a second person, and ask the safety officer first."))
    if codes & {"H315", "EUH066"}:
        found.append(say("It dries and irritates skin: never wash hands with it."))
    if "H317" in codes:
        found.append(
            say(
                "It can make the skin allergic: anyone who reacts to it stays out, "
                "and soiled clothes stay at work (P272)."
            )
        )
    if "H334" in codes:
        found.append(say("It can make the lungs allergic: anyone with signs stops and sees a doctor."))
    if codes & _LASTING:
        found.append(
            say(
                "Read the special instructions first (P201, P202); "
                "anyone who is or may be pregnant asks the safety officer."
            )
        )
    return found


def _wash(codes: frozenset[str], unknown: bool, reference: Reference) -> tuple[str, tuple[Figure, ...]]:
    """Eyewash and shower: when they are a duty, and the published numbers."""
    time, reach, eye, shower = (threshold(reference, name) for name in _WASH)
    if not codes & _CORROSIVE and not unknown:
        return say("Know where the nearest eyewash is; rinse {time}.", time=time.written), ()
    eye_volume = _volume(say("water for one eyewash"), eye, time)
    shower_volume = _volume(say("water for one shower"), shower, time)
    text = say(
        "Eyewash ({eye}) and shower ({shower}) within {reach} on a clear path, for {time}. "
        "A stand up a ladder needs one on the stand: a hand bottle does not replace it.",
        eye=eye.written,
        shower=shower.written,
        reach=reach.written,
        time=time.written,
    )
    return text, (eye_volume, shower_volume)


def _volume(name: str, flow: Threshold, time: Threshold) -> Figure:
    return Figure(name, flow.value * time.value, "m3", inputs=(("flow", flow), ("time", time)), note=cite(flow))


def _through(uptakes: Iterable[Uptake]) -> list[str]:
    found = []
    for u in uptakes:
        if not u.known_sign:
            continue
        lists = ", ".join(sorted({x.list for x in u.notation}))
        marked = say('marked "skin" by {lists}', lists=lists) if lists else say('not marked "skin" by the lists loaded')
        ratio = (
            say("computed ratio {ratio:.2g}", ratio=u.ratio.value)
            if isinstance(u.ratio, Figure)
            else say("ratio not computed: {why}", why=u.ratio.reason)
        )
        found.append(
            say(
                "{name} goes through the skin ({marked}; {ratio}): air readings miss that part.",
                name=capital(u.substance.name),
                marked=marked,
                ratio=ratio,
            )
        )
    return found
