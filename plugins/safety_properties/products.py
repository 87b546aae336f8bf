"""Products: how old and how full their data sheets are."""

from __future__ import annotations

from datetime import date

from safety.cited import Unknown
from safety.model import Finding, Job, Product, Threshold
from safety.reference import Reference, fractions, past, settled
from safety.words import capital, joined, say
from safety_properties.substances import PLUGIN

AGE, WIDE = "data-sheet-age", "wide-composition-range"


def judge(job: Job, reference: Reference) -> list[Finding]:
    """Remarks on every product of the job. What stops a figure is stamped by whoever needs the figure."""
    found = []
    for product in job.products:
        texts = [*_confirmed(product), *_age(product, job.start.date(), reference), *_parts(product, reference)]
        wrong = [text for part in product.parts for text in fractions.contradictions(part, product, reference)]
        if wrong:
            texts += [*wrong, say("The careful one of them is used. Ask the supplier.")]
        rules = tuple(one for name in (AGE, WIDE) if isinstance(one := reference.threshold(name), Threshold))
        if texts:
            short = say("{product}: see its data", product=product.name)
            key = f"data-product:{product.id}"
            text = joined(capital(t) for t in texts)
            found.append(Finding("note", "data", text, short, PLUGIN, key=key, grounds=rules))
    return found


def _confirmed(product: Product) -> list[str]:
    if not product.confirmed:
        return []
    return [
        say(
            "The program read the file of {product} from its data sheet; confirmed by {who}.",
            product=product.name,
            who=product.confirmed,
        )
    ]


def _age(product: Product, day: date, reference: Reference) -> list[str]:
    if isinstance(product.sds_revised, Unknown):
        return [say("The data sheet of {product} has no revision date in the file.", product=product.name)]
    seconds = (day - product.sds_revised).days * 86400.0
    if not past(seconds, reference.threshold(AGE)):
        return []
    return [
        say(
            "The data sheet of {product} is from {day}. Ask for a newer one.",
            product=product.name,
            day=product.sds_revised.isoformat(),
        )
    ]


def _parts(product: Product, reference: Reference) -> list[str]:
    texts = []
    limit = reference.threshold(WIDE)
    wide = [p for p in product.parts if past(p.high - p.low, limit)]
    if wide:
        listed = ", ".join(
            say("{part} {low} to {high} %", part=p.name, low=_percent(p.low), high=_percent(p.high)) for p in wide
        )
        texts.append(
            say(
                "{product} gives wide ranges: {parts}. "
                "The air is computed over the whole range, fire with the highest.",
                product=product.name,
                parts=listed,
            )
        )
    hidden = [p.name for p in product.parts if not p.disclosed]
    if hidden:
        texts.append(say("{product} does not say what {parts} is.", product=product.name, parts=", ".join(hidden)))
    highest = sum(p.high for p in product.parts)
    if settled(highest) < 1:
        texts.append(
            say(
                "The named parts of {product} reach {percent} % at most. The rest is not known.",
                product=product.name,
                percent=_percent(highest),
            )
        )
    return texts


def _percent(share: float) -> str:
    return say("{share:.3g}", share=share * 100)
