"""Substances whose use itself stands under a law: what it asks, and whether a level it sets is held."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from safety import levels
from safety.exposure.result import Exposure
from safety.model import Answer, Figure, Finding, Job, KeptOut, Part, Product
from safety.reference import Reference, crossed, settled
from safety.reference.hazards import ProductHazards
from safety.words import joined, message, say, term
from safety_protection import action_levels, need
from safety_protection.mixture_hazards import PLUGIN, carried
from safety_protection.need import Need
from safety_protection.phrases import listed
from safety_protection.rules import cite

Row = Mapping[str, Any]

#: What a law asks -> the few words for it where it stops the job, and where it does not.
_SHORT = {
    "ban": (message("{names}: use under a ban"), message("{names}: under a law, ask the officer")),
    "authorisation": (message("{names}: only with an authorisation"), message("{names}: use allowed by the officer")),
    "level": (message("{names}: over the level of {list}"), message("{names}: under a law, ask the officer")),
    "training": (message("{names}: trained people only"), message("{names}: trained people only")),
    "duties": (message("{names}: under a law, ask the officer"), message("{names}: under a law, ask the officer")),
}


def judge(job: Job, exposure: Exposure, reference: Reference, hazards: Mapping[str, ProductHazards]) -> list[Finding]:
    """One finding for each law that concerns a product of the job: a person who answers for the law decides."""
    table = reference.table("restricted")
    found = []
    for row in table:
        if _ended(row, reference.day):
            continue
        held = [(p, parts) for p in job.products if (parts := _concerned(row, p, hazards[p.id])) is not None]
        if held:
            found.append(_finding(job, exposure, reference, row, held, hazards))
    return [*found, *_undisclosed(job, hazards, reference)] if table else found


def trainings(job: Job, reference: Reference, hazards: Mapping[str, ProductHazards]) -> list[Row]:
    """The laws in force that a product of the job stands under and that ask for a training."""
    rows = [row for row in reference.table("restricted") if row.get("asks") == "training"]
    return [
        row
        for row in rows
        if _begun(row, reference.day)
        and not _ended(row, reference.day)
        and any(_concerned(row, p, hazards[p.id]) is not None for p in job.products)
    ]


def _begun(row: Row, day: date) -> bool:
    begins: date | None = row.get("valid_from")
    return begins is None or begins <= day


def _ended(row: Row, day: date) -> bool:
    ends: date | None = row.get("valid_until")
    return ends is not None and ends < day


def _concerned(row: Row, product: Product, hazards: ProductHazards) -> list[Part] | None:
    """The parts of a product that a row is about (none where it is about the product's codes); None: it is not."""
    if "codes" in row:
        return [] if hazards.careful & set(row["codes"]) else None
    parts = [part for part in product.parts if part.cas in row.get("cas", ())]
    shares = [part.high for part in parts]
    share = min(sum(shares), 1.0) if row.get("summed") else max(shares, default=0.0)
    return (
        parts
        if parts and crossed(settled(share * 100), row.get("percent", 0.0), row.get("compare", "at or over"))
        else None
    )


def _finding(
    job: Job,
    exposure: Exposure,
    reference: Reference,
    row: Row,
    held: list[tuple[Product, list[Part]]],
    hazards: Mapping[str, ProductHazards],
) -> Finding:
    asks = row.get("asks", "ban")
    names = listed(list(dict.fromkeys(part.name for _, parts in held for part in parts)))
    products = listed([product.name for product, _ in held])
    sentences = [say("{products}: {text}", products=products, text=term(row["text"]))]
    stop, unknown = row["level"] == "stop", ""
    figures: tuple[Figure, ...] = ()
    begins: date | None = row.get("valid_from")
    later = not _begun(row, reference.day)
    if asks == "level" and not later:
        terms = _against(job, exposure, reference, row)
        passed = [n for n in terms if n.passed]
        sentences += [_level(n) for n in terms]
        figures = tuple(f for n in terms for f in need.figures(exposure, len(job.steps) - 1, n, n.ratio))
        unseen = _unseen(job, exposure, row, held)
        if unseen and not passed:
            sentences.append(unseen)
            unknown = unseen if _in_the_air(job, held) else ""
        stop = stop and bool(passed)
    acts = action_levels.judge(row, job, exposure, held) if not later else action_levels.NOTHING
    sentences += acts.sentences
    through_skin = _skin_dose(row)
    sentences += through_skin
    answer = _answer(row, job)
    if not later and answer is None and _touched(job, held):
        unknown = unknown or joined(through_skin)
    if later:
        sentences.insert(1, say("From {day}.", day=begins))
    elif answer is not None:
        sentences.append(
            say("Allowed by {name} on {date} ({reason}).", name=answer.name, date=answer.date, reason=answer.reason)
        )
        if answer.number:
            sentences.append(say("Authorisation {number}.", number=answer.number))
    else:
        sentences.append(say("Ask the officer who answers for this law."))
    stop = stop and not later and answer is None
    return Finding(
        "stop" if stop else "note" if later else "control",
        "data",
        joined(sentences),
        acts.short or say(_SHORT[asks][0 if stop else 1], names=names or products, list=row.get("limit_list", "")),
        PLUGIN,
        None,
        (*figures, *acts.figures),
        cite(row),
        unknown or acts.unknown,
        _remedy(row, asks) if stop else "",
        f"restricted-{row['id']}",
        (row, *(g for product, parts in held if not parts for g in hazards[product.id].by(row.get("codes", ())))),
        close=acts.close,
        roles=(KeptOut("untrained"),) if asks == "training" else (),
    )


def _touched(job: Job, held: list[tuple[Product, list[Part]]]) -> bool:
    """Whether any step works with one of the products and does not say that no hand meets it."""
    ids = {product.id for product, _ in held}
    return any(step.contact != "none" and ids & {wet.product.id for wet in step.wet_things} for step in job.steps)


def _skin_dose(row: Row) -> list[str]:
    """What a law lets in through the skin."""
    if "skin_dose" not in row:
        return []
    text = say(
        "Through the skin at most {dose:g} mg for each kg of body weight a day. That is not computed: "
        "let none of it touch the skin.",
        dose=row["skin_dose"],
    )
    return [text]


def _answer(row: Row, job: Job) -> Answer | None:
    """That a person of the shop has decided that this use is allowed; where the law asks for its number, with that."""
    numbered = row.get("asks") == "authorisation"
    found = (a for a in job.shop.answers if a.question == row["id"] and a.answer == "yes")
    return next((a for a in found if a.number or not numbered), None)


def _remedy(row: Row, asks: str) -> str:
    first = (
        say("Bring the vapour down: less of it, a hood, more air, or another product.")
        if asks == "level"
        else say("Use another product, or get the compliance officer's written word.")
    )
    if asks == "authorisation":
        return say(
            '{first} Where an authorisation covers this use, write in shop.toml: [[answer]] question = "{id}", '
            'answer = "yes", number = "REACH/...", name, date and reason.',
            first=first,
            id=row["id"],
        )
    return say(
        '{first} Where the officer allows it, write in shop.toml: [[answer]] question = "{id}", answer = "yes", '
        "name, date and reason.",
        first=first,
        id=row["id"],
    )


# ---------------------------------------------------------------- a level to hold


def _against(job: Job, exposure: Exposure, reference: Reference, row: Row) -> list[Need]:
    """What people breathe without a mask against the level a law sets: the shift, and the worst quarter of an hour."""
    air, cas = exposure.worker, set(row["cas"])
    lists = frozenset({row["limit_list"]})
    shift = need.against(("twa",), exposure, reference, air.shift_average, air.shift_average, job, lists)
    brief = need.against(("short-term",), exposure, reference, air.worst_15min, air.peak, None, lists)
    found = []
    for whole in (shift, brief):
        terms = tuple(t for t in whole.terms if t.substance.cas in cas)
        if terms:
            # each substance has a level of its own: the one that is used up most decides
            found.append(Need(whole.kinds, (max(terms, key=lambda t: t.value),), whole.cut))
    return found


def _level(one: Need) -> str:
    worst = one.worst
    return say(
        "{name} reaches {percent} % of the {kind} ({limit}, {list}).",
        name=worst.substance.name,
        percent=levels.compared(worst.value * 100, 100.0, digits=2),
        kind=one.words,
        limit=worst.limit.written,
        list=worst.limit.list,
    )


def _unseen(job: Job, exposure: Exposure, row: Row, held: list[tuple[Product, list[Part]]]) -> str:
    """That nobody computed what of it is in the air, or ""."""
    names = {p.name for _, parts in held for p in parts if exposure.column(p.cas) is None or exposure.unknowns}
    if not names:
        return ""
    return say(
        "How much of {names} is breathed is not all computed, so the level cannot be judged. Do not spray, heat or "
        "sand it before it is measured.",
        names=listed(sorted(names)),
    )


def _in_the_air(job: Job, held: list[tuple[Product, list[Part]]]) -> bool:
    """Whether it gets into the air at all as the job is planned: as vapour, or in a spray."""
    if any(part.volatile for _, parts in held for part in parts):
        return True
    products = {product.id for product, _ in held}
    return any(use.work == "spray" and use.product.id in products for step in job.steps for use in step.uses)


# ---------------------------------------------------------------- what nobody names


#: Statements that put a substance under a law of its own.
_GRAVE = frozenset({"H334", "H340", "H350", "H360", "EUH204"})


def _undisclosed(job: Job, hazards: Mapping[str, ProductHazards], reference: Reference) -> list[Finding]:
    """What nobody names may be one of these substances; so may a resin or pigment, where the product is marked so."""
    found = []
    for product in job.products:
        grave = (hazards[product.id].careful & _GRAVE) - carried((p for p in product.parts if p.cas), reference)
        parts = [part.name for part in product.parts if not part.disclosed or (grave and not part.cas)]
        if parts:
            text = say(
                "{product}: its maker does not say what {parts} is, so whether a law restricts its use is not known.",
                product=product.name,
                parts=listed(parts),
            )
            found.append(
                Finding(
                    "control",
                    "data",
                    text,
                    say("{product}: not known if its use is restricted", product=product.name),
                    PLUGIN,
                    unknown=text,
                    remedy=say("Ask the maker, in writing, whether it holds a substance whose use is restricted."),
                    key=f"restricted-unknown-{product.id}",
                    grounds=hazards[product.id].by(_GRAVE),
                )
            )
    return found
