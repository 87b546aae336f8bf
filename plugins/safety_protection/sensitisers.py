"""What can make lungs or skin allergic: who must not do this work, whatever the air figures say.

An allergy asks for no level: a trace is enough for who has it. So nothing that lowers a figure takes this away, not
``volatile = false``, not a data sheet that is silent.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.exposure.lying import lying
from safety.model import Finding, KeptOut, Part, Product, Threshold
from safety.reference import Reference, crossed
from safety.reference.hazards import ProductHazards, sensitisers, unproven
from safety.words import joined, say
from safety_protection.mixture_hazards import PLUGIN
from safety_protection.phrases import listed
from safety_protection.rules import threshold

#: Statements of what can make lungs allergic; EUH204 stands for isocyanate groups, bound to a resin or not.
LUNGS = frozenset({"H334", "EUH204"})
#: The same of skin: chromium(VI) and epoxy resins have a statement of their own.
SKIN = frozenset({"H317", "EUH203", "EUH205"})
#: Too little to make anybody allergic, enough for who is.
TRACE = frozenset({"EUH208"})


def judge(hazards: Mapping[str, ProductHazards]) -> list[Finding]:
    """One finding for each product that can make allergic: who stays away from it, and whom to ask."""
    return [found for one in hazards.values() if (found := _finding(one)) is not None]


def _finding(hazards: ProductHazards) -> Finding | None:
    codes, name = hazards.careful, hazards.product.name
    lungs, skin, trace = codes & LUNGS, codes & SKIN, codes & TRACE
    doubt = "" if lungs else _doubt(hazards)
    if not (lungs or skin or trace or doubt):
        return None
    sentences = []
    if lungs:
        sentences.append(
            say(
                "{product} can make lungs allergic for life ({codes}). Nobody with asthma, or who ever coughed or "
                "wheezed from it, does this job or stays near it. Cough or wheeze, even hours later: stop and see a "
                "doctor.",
                product=name,
                codes=listed(sorted(lungs)),
            )
        )
    if skin:
        sentences.append(
            say(
                "{product} can make skin allergic ({codes}). Nobody whose skin ever reacted to it touches it.",
                product=name,
                codes=listed(sorted(skin)),
            )
        )
    if trace and not (lungs or skin):
        sentences.append(
            say("{product} holds enough to harm people who are allergic to it already (EUH208).", product=name)
        )
    if doubt:
        sentences.append(doubt)
    if lungs or skin or trace:
        sentences.append(say("Ask the doctor of the works before the first time."))
    short = say("{product}: not for people allergic to it", product=name)
    if lungs:
        short = say("{product}: not for people with asthma, or allergic to it", product=name)
    elif doubt and not (skin or trace):
        short = say("{product}: whether it makes allergic is not known", product=name)
    told = [one for one in hazards.implied if one.code in LUNGS | SKIN | TRACE]
    return Finding(
        "control",
        "breathing" if lungs or doubt else "skin",
        joined(sentences),
        short,
        PLUGIN,
        figures=tuple(one.figure for one in told),
        rule=joined(dict.fromkeys(one.rule for one in told), "; ")
        or say("data sheet of {product}, section 2", product=name),
        unknown="" if hazards.known and not _secret(hazards.product) else doubt,
        remedy=say("Ask the supplier of {product} what is in it.", product=name) if doubt else "",
        key=f"allergy-{hazards.product.id}",
        roles=(KeptOut("asthma"), KeptOut("allergic")) if lungs else (KeptOut("allergic"),),
    )


def _secret(product: Product) -> list[str]:
    return [part.name for part in product.parts if not part.disclosed and part.high > 0]


def _doubt(hazards: ProductHazards) -> str:
    """Why nobody here can say that a product makes no lungs allergic; "" where its data sheet and its parts do."""
    name, secret = hazards.product.name, _secret(hazards.product)
    if secret:
        return say(
            "Its maker does not say what {parts} in {product} is. It may make lungs or skin allergic.",
            product=name,
            parts=listed(secret),
        )
    if isinstance(hazards.declared, Unknown):
        return say("Nobody says what {product} can do. It may make lungs or skin allergic.", product=name)
    return ""


# ---------------------------------------------------------------- in the air of a step


def about(exposure: Exposure, index: int, hazards: Mapping[str, ProductHazards]) -> list[Product]:
    """The products wet in a step that can make lungs allergic, whatever is computed of their vapour."""
    return [product for product in wet(exposure, index) if hazards[product.id].careful & LUNGS]


def wet(exposure: Exposure, index: int) -> list[Product]:
    """What a step puts on, and what is still wet in its place from before or from another job."""
    things = exposure.job.steps[index].wet_things
    products = (*(t.product for t in things), *(one.product for one in lying(exposure, index)))
    return list({product.id: product for product in products}.values())


def warmed(
    exposure: Exposure, index: int, hazards: Mapping[str, ProductHazards], reference: Reference
) -> tuple[str, ...]:
    """Sentences: what of it goes into the air because it is warmed, and nothing here computes.

    A part whose vapour is computed needs none; one that the file says to stay evaporates all the same when it is hot.
    """
    bound = threshold(reference, "sensitiser-warm")
    if not _hot(exposure, index, bound):
        return ()
    return tuple(
        say(
            "{product} is warmed to {bound} or more: what of it goes into the air is not computed, and it can make "
            "lungs allergic.",
            product=product.name,
            bound=bound.written,
        )
        for product in about(exposure, index, hazards)
        if any(not part.volatile for part in product.parts)
    )


def said_to_stay(exposure: Exposure, index: int, reference: Reference) -> Iterator[str]:
    """What only a product's file says to stay, with no data to tell by: what it gives off is not known.

    Of what can make lungs allergic a trace is enough; of the rest it counts where it is warmed.
    """
    bound = threshold(reference, "sensitiser-warm")
    warm = _hot(exposure, index, bound)
    for product in wet(exposure, index):
        parts = unproven(product, reference)
        allergens = [part.name for part in parts if _by_number(part, reference) & LUNGS]
        if allergens:
            yield say(
                "No data on {parts} in {product} are loaded: how much of it gets into the air is not known",
                parts=listed(allergens),
                product=product.name,
            )
        names = [part.name for part in parts if part.name not in allergens]
        if names and warm:
            yield say(
                "{product} is warmed to {bound} or more, and no data on {parts} are loaded: what it gives off is not "
                "known",
                product=product.name,
                bound=bound.written,
                parts=listed(names),
            )


def _by_number(part: Part, reference: Reference) -> set[str]:
    """What a part is listed for by its number, or by a group that it carries."""
    return {code for row in sensitisers(part, reference) for code in (*row["always"], *row["gives"])}


def _hot(exposure: Exposure, index: int, bound: Threshold) -> bool:
    step = exposure.job.steps[index]
    hottest = max(step.place.temperature.high, step.surface_temperature.high if step.surface_temperature else 0.0)
    return bool(crossed(hottest, bound.value, bound.compare))
