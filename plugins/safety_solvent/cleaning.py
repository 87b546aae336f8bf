"""Cleaning solvents against the limit for hand-wipe cleaning, the exempt operations, and what a person must decide.

The composite vapour pressure is a figure of the rule. It says nothing about exposure or fire.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, NamedTuple

from safety import levels, units
from safety.cited import Unknown
from safety.formulas.solvent import composite_vapour_pressure
from safety.model import WATER, Answer, Figure, Finding, Job, Part, Product, Shop, Threshold
from safety.reference import Reference, past
from safety.reference.citing import cited
from safety.words import joined, say, term
from safety_solvent.books import (
    COLD,
    PLUGIN,
    Kind,
    answer_to,
    answered,
    enough,
    how_to_answer,
    kind_called,
    kind_of_work,
    may_clean,
    row_called,
    said_of,
    share,
    sorted_as,
)

HAND = ("wipe", "brush", "soak")
APPLIES = "aerospace-rule-applies"
#: From what share a carcinogen and another pollutant count.
SHARES = ("hap-counted-carcinogen", "hap-counted-other")


@dataclass(frozen=True, slots=True)
class Ratio:
    """A part as the formula takes it: bounds of the weight share, molar mass [kg/mol], pressure that counts [Pa]."""

    name: str
    low: float
    high: float
    molar_mass: float
    pressure: float
    inputs: tuple[tuple[str, Any], ...]  # what the last two are from


def judge(job: Job, reference: Reference) -> list[Finding]:
    """A finding for each cleaning solvent of each step that is worked in by hand."""
    limit = reference.threshold("hand-wipe-vapour-pressure")
    found = []
    asked: list[Finding] = []
    for index, step in enumerate(job.steps):
        for product in {u.product.id: u.product for u in step.uses if u.work in HAND}.values():
            if not may_clean(product, reference):
                continue
            kind = kind_of_work(product, reference)
            by = () if kind is None else (kind,)
            if isinstance(limit, Unknown):
                return [replace(_no_rule(job, reference), grounds=by)]
            one = _one(job, index, product, step.operation, limit, reference)
            statement = one.statement if by else joined((one.statement, _unsaid(product)))
            found.append(replace(one, statement=statement, grounds=(*one.grounds, *by)))
            if one.level == "control" or one.unknown:
                asked.append(found[-1])
    return [*found, *_applies(job.shop, reference, asked)] if asked else found


def _unsaid(product: Product) -> str:
    return say(
        "The file of {product} does not say what it is for, so it counts as a cleaner: write its purpose.",
        product=product.name,
    )


def _no_rule(job: Job, reference: Reference) -> Finding:
    text = say("No rules pack of this shop has a rule on cleaning by hand with solvent, so none is judged.")
    return Finding("note", "solvent", text, say("no cleaning rule loaded"), PLUGIN, key="hand-wipe")


def _applies(shop: Shop, reference: Reference, asked: list[Finding]) -> Iterator[Finding]:
    """Whether the rule holds at all is a person's to say; until then it is taken to hold. ``asked``: for what."""
    row = row_called("open_question", APPLIES, reference)
    if row is not None and answer_to(APPLIES, shop) is None:
        statement = joined((term(row["text"]), say("Nobody has answered yet, so the limits are taken to hold.")))
        yield Finding(
            "note",
            "solvent",
            statement,
            say("ask: does the cleaning rule hold here?"),
            PLUGIN,
            rule=cited(row),
            grounds=(row, *asked),
            remedy=how_to_answer(APPLIES),
            key=APPLIES,
        )


def _one(job: Job, index: int, product: Product, operation: str, limit: Threshold, reference: Reference) -> Finding:
    question = row_called("open_question", operation, reference) if operation else None
    free = _free(job.shop, operation, reference)
    grounds = (
        limit,
        *(row for row in (question, free and free.row) if row is not None),
        *_counted(product, reference),
    )

    def say_so(level: Any, statement: str, short: str, rule: str = cited(limit), **more: Any) -> Finding:
        return Finding(
            level,
            "solvent",
            statement,
            short,
            PLUGIN,
            index,
            rule=rule,
            key=f"hand-wipe:{product.id}",
            grounds=grounds,
            **more,
        )

    if free:
        return say_so("note", free.text, free.short, cited(free.row))
    pressure = composite(product, reference)
    small = _under_shares(product, reference)
    if small:
        return say_so("note", *small)
    if isinstance(pressure, Unknown):
        text = say("The composite vapour pressure of {product} cannot be computed.", product=product.name)
        missing = say("Hand-wipe limit for {product}: {reason}.", product=product.name, reason=pressure.reason)
        return say_so("control", text, say("hand-wipe limit not known"), unknown=missing, gap="books")
    shown = levels.shown(pressure.value, limit.value, _mmhg)
    passed = not past(pressure.value, limit)
    text = say(
        "{product} has a composite vapour pressure of at most {shown} at 20 °C by the rule's formula; the limit for "
        "hand-wipe cleaning is {limit}.",
        product=product.name,
        shown=shown,
        limit=limit.written,
    )
    given = answer_to(operation, job.shop) if question is not None else None
    if passed:
        text = joined((text, answered(given))) if given else text
        return say_so("note", text, say("hand-wipe limit met"), figures=(pressure,))
    return _over_the_limit(text, pressure, operation, question, given, say_so)


def _over_the_limit(
    text: str,
    pressure: Figure,
    operation: str,
    question: Mapping[str, Any] | None,
    given: Answer | None,
    say_so: Callable[..., Finding],
) -> Finding:
    """A cleaner over the limit: what stands of the operation decides whether it is one of hand-wiping."""
    remedy = say("Use a cleaner that meets the limit, or name the exempt operation in the step.")
    if question is not None and given is None:
        statement = joined((text, term(question["text"])))
        return say_so(
            "control",
            statement,
            say("ask: is this hand-wipe cleaning?"),
            cited(question),
            figures=(pressure,),
            remedy=how_to_answer(operation),
        )
    if given is not None and given.answer == "no":
        statement = joined((text, say("This step is not hand-wipe cleaning: {who}", who=answered(given))))
        assert question is not None
        return say_so("note", statement, say("decided: no hand-wipe cleaning"), cited(question), figures=(pressure,))
    if given is not None:
        text = joined((text, answered(given)))
    elif not operation:
        text = joined((text, say("The step does not say which operation it is, so the limit is taken to hold.")))
    else:
        text = joined((text, say('The operation "{name}" is in no list of exempt ones.', name=operation)))
    return say_so("control", text, say("over the hand-wipe limit"), figures=(pressure,), remedy=remedy)


class _Free(NamedTuple):
    """Why the limit does not hold: statement, short words, and the rule."""

    text: str
    short: str
    row: Mapping[str, Any]


def _free(shop: Shop, operation: str, reference: Reference) -> _Free | None:
    """Why the limit does not hold for an operation, or None."""
    held = answer_to(APPLIES, shop)
    if held is not None and held.answer == "no":
        row = row_called("open_question", APPLIES, reference) or {"citation": "", "edition": "", "pack": ""}
        return _Free(answered(held), say("cleaning rule does not hold here"), row)
    outside = row_called("outside_operation", operation, reference)
    if outside is not None:
        text = say("The cleaning rule does not hold: {text}.", text=term(outside["text"]))
        return _Free(text, say("outside the rule"), outside)
    exempt = row_called("exempt_operation", operation, reference)
    if exempt is not None:
        text = say(
            "Exempt from the limit for hand-wipe cleaning, number {number}: {text}. Closed containers and the monthly "
            "record by operation are still needed.",
            number=exempt["number"],
            text=term(exempt["text"]),
        )
        return _Free(text, say("exempt operation ({number})", number=exempt["number"]), exempt)
    return None


def _counted(product: Product, reference: Reference) -> tuple[Any, ...]:
    """By what its parts count as VOC or HAP, and from what share."""
    found = [kind for kind in (kind_called("VOC", reference), kind_called("HAP", reference)) if kind is not None]
    shares = (reference.threshold(name) for name in SHARES)
    carcinogens = (row for row in reference.table("hap_carcinogen") if row["cas"] in {p.cas for p in product.parts})
    return (*said_of(product.parts, found), *(one for one in shares if isinstance(one, Threshold)), *carcinogens)


def _under_shares(product: Product, reference: Reference) -> tuple[str, str, str] | None:
    """A cleaner with next to no HAP and VOC is exempt as a product, as neat acetone is."""
    other = reference.threshold(SHARES[1])
    reaches = enough(reference, *SHARES)
    haps, vocs = kind_called("HAP", reference), kind_called("VOC", reference)
    if isinstance(other, Unknown) or haps is None or vocs is None:
        return None
    if past(share(product.parts, vocs, product.name).high, other):
        return None
    for part in product.parts:
        if sorted_as(part, haps) is not False and reaches(part):
            return None
    text = say(
        "{product} holds less than {share} of VOC and of HAP, so the cleaning rule does not hold for it.",
        product=product.name,
        share=other.written,
    )
    return text, say("hardly any VOC or HAP"), cited(other)


def composite(product: Product, reference: Reference) -> Figure | Unknown:
    """The highest composite vapour pressure the data sheet allows [Pa], or why it is not known.

    A resin counts as nothing, which can only raise the figure. A HAP that is no VOC counts in
    both sums: the careful reading of 40 CFR 63.750(b).
    """
    vocs, haps = kind_called("VOC", reference), kind_called("HAP", reference)
    if vocs is None or haps is None:
        return Unknown(say("no loaded pack says what is VOC"))
    parts = []
    for part in product.parts:
        if not part.volatile:
            continue
        read = _ratio(part, vocs, haps, reference)
        if isinstance(read, Unknown):
            return read
        parts.append(read)
    if not parts:
        return Unknown(say("{product} has no volatile part", product=product.name))
    shares = _worst(parts, sum(p.low for p in product.parts if not p.volatile))
    rows = [(s, p.molar_mass, p.pressure) for s, p in zip(shares, parts, strict=True)]
    inputs = tuple((p.name, Figure(p.name, s, "1", inputs=p.inputs)) for s, p in zip(shares, parts, strict=True))
    return Figure(
        say("composite vapour pressure of {product} at 20 °C", product=product.name),
        float(composite_vapour_pressure(rows)),
        "Pa",
        formula="composite_vapour_pressure",
        inputs=inputs,
        note=say("a figure of the rule, never to be used for exposure or fire"),
    )


def _ratio(part: Part, vocs: Kind, haps: Kind, reference: Reference) -> Ratio | Unknown:
    if not part.cas:
        return Unknown(say("the maker does not say what {part} is", part=part.name))
    substance = reference.substance(part.cas)
    if isinstance(substance, Unknown):
        return substance
    molar_mass = substance.best("molar_mass")
    if isinstance(molar_mass, Unknown):
        return molar_mass
    pressure = 0.0
    inputs: tuple[tuple[str, Any], ...] = (("molar mass", molar_mass), ("vapour pressure", pressure))
    if part.cas != WATER and (vocs.counts(part.cas) or haps.counts(part.cas) is not False):
        found = reference.vapour_pressure(part.cas, COLD)
        if isinstance(found, Unknown):
            return found
        pressure = found.value
        inputs = (("molar mass", molar_mass), ("vapour pressure", found))
    return Ratio(part.name, part.low, part.high, molar_mass.value, pressure, inputs)


def _worst(parts: list[Ratio], solids: float) -> list[float]:
    """The weight shares, within their bounds, that give the highest pressure.

    A ratio of two sums is over p just where sum(share * (pressure - p) / molar mass) is over zero:
    halve the interval of p, and fill up to the whole in the order of what each part adds.
    """

    def filled(p: float) -> list[float]:
        shares = [one.low for one in parts]
        left = max(1.0 - solids - sum(shares), 0.0)
        for i in sorted(range(len(parts)), key=lambda i: -(parts[i].pressure - p) / parts[i].molar_mass):
            more = min(parts[i].high - parts[i].low, left)
            shares[i] += more
            left -= more
        return shares

    low, high = 0.0, max(one.pressure for one in parts)
    for _ in range(60):
        middle = (low + high) / 2
        over = sum(s * (o.pressure - middle) / o.molar_mass for s, o in zip(filled(middle), parts, strict=True))
        low, high = (middle, high) if over >= 0 else (low, middle)
    return filled(low)


def _mmhg(pressure: float) -> str:
    return units.show(pressure, "pressure", "mmHg")


def route(product: Product, operation: str, limit: Threshold, shop: Shop, reference: Reference) -> Mapping[str, str]:
    """How a cleaning solvent stands to the rule, for the log: its figure and the route it goes by."""
    free = _free(shop, operation, reference) or _under_shares(product, reference)
    pressure = composite(product, reference)
    shown = say("UNKNOWN") if isinstance(pressure, Unknown) else levels.shown(pressure.value, limit.value, _mmhg)
    if free:
        return {"pressure": shown, "route": free.short if isinstance(free, _Free) else free[1]}
    given = answer_to(operation, shop)
    if given is not None and given.answer == "no" and row_called("open_question", operation, reference) is not None:
        return {"pressure": shown, "route": answered(given)}
    if isinstance(pressure, Unknown):
        return {"pressure": shown, "route": say("UNKNOWN")}
    over = past(pressure.value, limit)
    return {
        "pressure": shown,
        "route": say("over {limit}", limit=limit.written) if over else say("within {limit}", limit=limit.written),
    }
