"""What this plugin puts on the sheet beside its findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from safety.cited import Unknown
from safety.model import Block, Finding, Grid, Job, Lines, Signs, Worn, with_role
from safety.reference import Reference
from safety.reference.citing import duty
from safety.reference.hazards import ProductHazards, product_hazards
from safety.words import message, say, term
from safety_protection import emergency
from safety_protection.labels import said
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed
from safety_protection.statements import precautions, shown

CREDIT = message("Statement texts: (c) European Union, https://eur-lex.europa.eu, CC BY 4.0.")


def blocks(job: Job, findings: Iterable[Finding], signs: Iterable[Signs], reference: Reference) -> list[Block]:
    """What the products can do, what a respirator takes, and the first aid, spill and fire lines."""
    own = [f for f in findings if f.plugin == PLUGIN]
    products = [product_hazards(product, reference) for product in job.products]
    careful = frozenset(code for one in products for code in one.careful)
    unsaid = [one.product.name for one in products if not one.known]
    careful |= emergency.WORST if unsaid else frozenset()
    doubt = emergency.not_known(unsaid)
    makers = emergency.makers(job.products)
    aid = (*doubt, *emergency.first_aid(careful), *makers)
    spill = (*doubt, *emergency.spill(careful), *makers)
    fire = (*doubt, *emergency.fire(careful, duty(reference, "extinguisher")))
    return [
        *_grid(products, {one.of: one for one in signs}),
        *_respirators(own, reference),
        Lines(say("First aid"), (*aid, *emergency.first_aid_rest(careful)), "first-aid", at_work=aid),
        Lines(say("Spill"), (*spill, *emergency.spill_rest()), "spill", at_work=spill),
        Lines(say("Fire"), (*fire, *emergency.fire_rest()), "fire", at_work=fire),
    ]


def _grid(products: list[ProductHazards], signs: Mapping[str, Signs]) -> list[Block]:
    if not products:
        return []
    rows = []
    for one in products:
        declared = not isinstance(one.declared, Unknown)
        beside = [implied.code for implied in one.more] if declared else []
        origin = "" if declared else say(" (computed from its parts)")
        carries = signs.get(one.product.id)  # nothing where nobody says it
        plain = say("No signal word") if carries and one.known else say("UNKNOWN")
        signal = (carries and said(carries.signal)) or plain
        lines = [
            say("{line} (from its parts, not on its data sheet)", line=_line(code)) if code in beside else _line(code)
            for code in one.codes
        ]
        if not one.known:
            lines.append(say("UNKNOWN: what else it can do") if lines else say("UNKNOWN: what it can do"))
        rows.append(
            (
                one.product.name,
                say("{signal}{origin}", signal=signal, origin=origin),
                " ".join(carries.symbols) if carries else say("UNKNOWN"),
                "\n".join(lines) or say("No hazard statement"),
            )
        )
    columns = (say("Product"), say("Signal word"), say("Symbols"), say("What it can do"))
    return [
        Grid(say("What the products can do"), columns, tuple(rows), "product-hazards"),
        Lines(say("What to do, by the label"), _label(products), "precautions"),
    ]


def _label(products: list[ProductHazards]) -> tuple[str, ...]:
    """The labels' statements, after a line for each reason why a product adds none or not all of them."""
    silent: dict[str, list[str]] = {}
    for one in products:
        if not one.known:
            why = message("UNKNOWN for {names}: what it can do is not all known, so its label may say more. Read it.")
        elif precautions(one.codes):
            continue
        elif not isinstance(one.declared, Unknown):
            why = message("No statement for {names}: its data sheet gives no hazard that calls for one.")
        else:
            why = message(
                "No statement for {names}: its parts give no hazard that calls for one. Its label may: read it."
            )
        silent.setdefault(why, []).append(one.product.name)
    lines = [say(why, names=listed(given)) for why, given in silent.items()]
    lines += [_line(code) for code in sorted({code for one in products for code in precautions(one.codes)})]
    # the hazard statements beside the products are the same authority's words
    return (*lines, term(CREDIT)) if any(one.codes for one in products) else tuple(lines)


def _line(code: str) -> str:
    return say("{code} {text}", code=code, text=shown(code) or say("(no text loaded)"))


def _respirators(own: list[Finding], reference: Reference) -> list[Block]:
    masks = [f for f, role in with_role(own, Worn) if role.what == "respirator"]
    if not any(f.level == "control" for f in masks):
        return []
    people = say("Only people with a medical clearance and a fit test of this facepiece, within a written program")
    clock = say("Smell is no sign to change a cartridge: go by the clock")
    last = say("A respirator comes last: less solvent, a hood or more air comes first")
    beard = say("No beard under the seal. Check the fit each time it goes on.")
    dizzy = say("Dizzy, or it smells or tastes inside: leave at once.")
    bin = say("Cartridges go in the bin at the end of the job: vapour moves on in the carbon overnight.")
    lines = (
        _by_law(people, "respirator program", reference),
        beard,
        dizzy,
        _by_law(clock, "cartridge by the clock", reference),
        bin,
        _by_law(last, "respirator last", reference),
    )
    at_work = (dizzy, beard, say("{text}.", text=clock), bin, say("{text}.", text=people))
    return [Lines(say("Before you put on the respirator"), lines, "respirator-use", at_work=at_work)]


def _by_law(text: str, id: str, reference: Reference) -> str:
    law = duty(reference, id).text
    return say("{text} ({law}).", text=text, law=law) if law else say("{text}.", text=text)
