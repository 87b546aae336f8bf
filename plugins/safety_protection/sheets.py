"""What this plugin puts on the sheet beside its findings."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from safety.model import Block, Finding, Grid, Job, Lines, Signs
from safety.reference import Reference
from safety.reference.citing import duty
from safety.words import message, say, term
from safety_protection import emergency
from safety_protection.labels import said
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed
from safety_protection.statements import shown

CREDIT = message("Statement texts: (c) European Union, https://eur-lex.europa.eu, CC BY 4.0.")


def blocks(job: Job, findings: Iterable[Finding], signs: Iterable[Signs], reference: Reference) -> list[Block]:
    """What the products can do, what a respirator takes, and the first aid, spill and fire lines."""
    own = [f for f in findings if f.plugin == PLUGIN]
    products = [dict(f.figures[0].inputs) for f in own if f.key.startswith("product-hazards-")]
    careful = frozenset(code for p in products for code in str(p["careful"]).split())
    names = {p.id: p.name for p in job.products}
    unsaid = [names.get(str(p["product"]), str(p["product"])) for p in products if p["known"] == "no"]
    careful |= emergency.WORST if unsaid else frozenset()
    doubt = emergency.not_known(unsaid)
    fire = emergency.fire(careful, "US" if "us-federal" in job.shop.rules else "EU")
    return [
        *_grid(job, products, {one.of: one for one in signs}),
        *_respirators(own, reference),
        Lines(say("First aid"), (*doubt, *emergency.first_aid(careful)), "first-aid"),
        Lines(say("Spill"), (*doubt, *emergency.spill(careful)), "spill"),
        Lines(say("Fire"), (*doubt, *fire), "fire"),
    ]


def _grid(job: Job, products: list[dict[str, object]], signs: Mapping[str, Signs]) -> list[Block]:
    if not products:
        return []
    names = {p.id: p.name for p in job.products}
    rows = []
    for one in products:
        codes, beside = str(one["codes"]).split(), str(one["beside the sheet"]).split()
        origin = "" if one["from"] == "sheet" else say(" (computed from its parts)")
        known = one["known"] == "yes"
        carries = signs.get(str(one["product"]))  # nothing where this plugin failed to say it
        signal = (carries and said(carries.signal)) or (say("No signal word") if carries and known else say("UNKNOWN"))
        lines = [
            say("{line} (from its parts, not on its data sheet)", line=_line(code)) if code in beside else _line(code)
            for code in codes
        ]
        if not known:
            lines.append(say("UNKNOWN: what else it can do") if lines else say("UNKNOWN: what it can do"))
        rows.append(
            (
                names.get(str(one["product"]), str(one["product"])),
                say("{signal}{origin}", signal=signal, origin=origin),
                " ".join(carries.symbols) if carries else say("UNKNOWN"),
                "\n".join(lines) or say("No hazard statement"),
            )
        )
    columns = (say("Product"), say("Signal word"), say("Symbols"), say("What it can do"))
    return [
        Grid(say("What the products can do"), columns, tuple(rows), "product-hazards"),
        Lines(say("What to do, by the label"), _label(products, names), "precautions"),
    ]


def _label(products: list[dict[str, object]], names: Mapping[str, str]) -> tuple[str, ...]:
    """The labels' statements, after a line for each reason why a product adds none or not all of them."""
    silent: dict[str, list[str]] = {}
    for one in products:
        if one["known"] != "yes":
            why = message("UNKNOWN for {names}: what it can do is not all known, so its label may say more. Read it.")
        elif one["precautions"]:
            continue
        elif one["from"] == "sheet":
            why = message("No statement for {names}: its data sheet gives no hazard that calls for one.")
        else:
            why = message(
                "No statement for {names}: its parts give no hazard that calls for one. Its label may: read it."
            )
        silent.setdefault(why, []).append(names.get(str(one["product"]), str(one["product"])))
    lines = [say(why, names=listed(given)) for why, given in silent.items()]
    lines += [_line(code) for code in sorted({code for one in products for code in str(one["precautions"]).split()})]
    # the hazard statements beside the products are the same authority's words
    return (*lines, term(CREDIT)) if any(one["codes"] for one in products) else tuple(lines)


def _line(code: str) -> str:
    return say("{code} {text}", code=code, text=shown(code) or say("(no text loaded)"))


def _respirators(own: list[Finding], reference: Reference) -> list[Block]:
    if not any(f.key == "respirator" and f.level == "control" for f in own):
        return []
    lines = (
        _by_law(
            say("A respirator comes last: less solvent, a hood or more air comes first"), "respirator last", reference
        ),
        _by_law(
            say("Only people with a medical clearance and a fit test of this facepiece, within a written program"),
            "respirator program",
            reference,
        ),
        say("No beard under the seal. Check the fit each time it goes on."),
        _by_law(say("Smell is no sign to change a cartridge: go by the clock"), "cartridge by the clock", reference),
        say("Cartridges go in the bin at the end of the job: vapour moves on in the carbon overnight."),
        say("Dizzy, or it smells or tastes inside: leave at once."),
    )
    return [Lines(say("Before you put on the respirator"), lines, "respirator-use")]


def _by_law(text: str, id: str, reference: Reference) -> str:
    law = duty(reference, id).text
    return say("{text} ({law}).", text=text, law=law) if law else say("{text}.", text=text)
