"""What a job plans to use: an estimate by step and for the whole job, with its VOC and organic HAP."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.formulas.solvent import pollutant_mass
from safety.model import Block, Figure, Finding, Grid, Job, Leftover, Range, Step, Use
from safety.reference import Reference
from safety.words import say
from safety_solvent.books import PLUGIN, Kind, kinds, mass, share, span
from safety_solvent.factors import Key, Own, estimate


@dataclass(frozen=True, slots=True)
class Amount:
    """What one use takes of its product [kg], and what the number rests on."""

    low: float
    mid: float
    high: float
    basis: str


def amount(
    job: Job, step: Step, use: Use, own: Mapping[Key, Own], exposure: Exposure | None = None
) -> Amount | Unknown:
    """How much of a product a use takes, over all its coats.

    The shop's own weighed factor comes first, then the amount in the job file. Of an open can
    only what evaporates is used.
    """
    factor = own.get((use.product.id, step.name))
    if factor and factor.enough and not isinstance(use.area, Unknown):
        text = say("estimate: the shop's own median of {jobs} weighed jobs", jobs=factor.jobs)
        return Amount(factor.least * use.area, factor.median * use.area, factor.most * use.area, text)
    if use.work == "open":
        return _evaporated(job, step, use, exposure)
    if isinstance(use.mass, Unknown):
        return use.mass
    coats = use.product.application.coats.get(job.surface, 1) if use.product.application else 1
    low, high = use.mass.low * coats, use.mass.high * coats
    text = say("estimate: the amount in the job file")
    return Amount(low, (low + high) / 2, high, text if coats == 1 else say("{text}, {n} coats", text=text, n=coats))


def _evaporated(job: Job, step: Step, use: Use, exposure: Exposure | None) -> Amount | Unknown:
    if exposure is not None:
        index = job.steps.index(step)
        for balance in exposure.balances:
            if (balance.step, balance.product) == (index, use.product.id):
                low, mid, high = (float(v) for v in np.percentile(balance.evaporated, (5, 50, 95)))
                return Amount(low, mid, high, say("estimate: what evaporates from the open vessel"))
    return Unknown(say("what evaporates from the open vessel of {product} is not known", product=use.product.name))


def left_wet(job: Job, step: Step) -> list[Leftover]:
    """What a step leaves lying wet and no use counts: scrapings of a lifted soak or gel hold what was spread."""
    spread = {u.product.id for s in job.steps for u in s.uses if u.work in ("soak", "gel")}
    return [wet for wet in step.leaves_wet if wet.product.id not in spread]


def of_leftover(wet: Leftover) -> Amount | Unknown:
    if isinstance(wet.mass, Unknown):
        return wet.mass
    low, high = wet.mass.low, wet.mass.high
    return Amount(low, (low + high) / 2, high, say("estimate: left wet in {what}", what=wet.what))


def judge(job: Job, exposure: Exposure, reference: Reference, own: Mapping[Key, Own]) -> list[Finding]:
    counted = kinds(reference)
    found = []
    figures: list[Figure] = []
    missing: list[str] = []
    for index, step in enumerate(job.steps):
        if not step.uses and not left_wet(job, step):
            continue
        finding = _step(job, index, step, exposure, reference, own, counted)
        found.append(finding)
        figures += finding.figures
        missing += [finding.unknown] if finding.unknown else []
    if not figures and not missing:
        return found
    return [*found, _whole(job, figures, missing, counted)]


def _step(
    job: Job,
    index: int,
    step: Step,
    exposure: Exposure,
    reference: Reference,
    own: Mapping[Key, Own],
    counted: tuple[Kind, ...],
) -> Finding:
    system = job.shop.print_units
    figures: list[Figure] = []
    texts, unknown = [], []
    things: list[Use | Leftover] = [*step.uses, *left_wet(job, step)]
    for thing in things:
        product = thing.product
        planned = amount(job, step, thing, own, exposure) if isinstance(thing, Use) else of_leftover(thing)
        if isinstance(planned, Unknown):
            unknown.append(_without(thing, planned, reference, system))
            continue
        figures += _figures(thing, planned, counted)
        said = say(
            "{product} {span} ({basis})",
            product=product.name,
            span=span(planned.low, planned.high, system),
            basis=planned.basis,
        )
        texts.append(_compared(said, thing, step, own, system))
        unknown += [text for kind in counted for text in share(product.parts, kind, product.name).unknown]
    totals = [
        say("{kind} at most {mass}", kind=kind.word, mass=mass(_sum(figures, kind), system))
        for kind in counted
        if texts
    ]
    statement = say("Planned use, an estimate: {products}.", products="; ".join(texts)) if texts else ""
    if totals:
        statement = say("{statement} {totals}.", statement=statement, totals=", ".join(totals))
    short = say("estimate {mass}", mass=mass(_sum(figures, None), system)) if texts else say("UNKNOWN amount")
    return Finding(
        "note",
        "solvent",
        statement or say("The planned use of this step is not known."),
        short,
        PLUGIN,
        index,
        tuple(figures),
        unknown=" ".join(dict.fromkeys(unknown)),
        key="solvent-planned",
    )


def _without(thing: Use | Leftover, planned: Unknown, reference: Reference, system: str) -> str:
    """Why an amount is not known, with the shipped estimate beside it where there is one."""
    reason = planned.reason
    row = estimate(thing.work, thing.product.role, reference) if isinstance(thing, Use) else None
    if row is None or isinstance(thing.area, Unknown):
        return say("{reason}.", reason=reason)
    low, _, high = (grams / 1000 * thing.area for grams in row["grams_per_m2"])
    return say(
        "{reason}. A shipped estimate for such work is {span}; weigh the can before and after.",
        reason=reason,
        span=span(low, high, system),
    )


def _compared(text: str, use: Use | Leftover, step: Step, own: Mapping[Key, Own], system: str) -> str:
    factor = own.get((use.product.id, step.name))
    if (
        isinstance(use, Leftover)
        or not factor
        or not factor.enough
        or isinstance(use.mass, Unknown)
        or isinstance(use.area, Unknown)
    ):
        return text
    return say("{text}; the job file says {span}", text=text, span=span(use.mass.low, use.mass.high, system))


def _figures(use: Use | Leftover, planned: Amount, counted: tuple[Kind, ...]) -> Iterator[Figure]:
    """The product's mass, and the mass of each kind in it."""
    product = use.product
    yield Figure(
        say("{product} planned", product=product.name),
        planned.high,
        "kg",
        inputs=((say("amount"), Range(planned.low, planned.high, use.written, planned.basis)),),
        p50=planned.mid,
    )
    density = product.density
    for kind in counted:
        part = share(product.parts, kind, product.name)
        known = not isinstance(density, Unknown)
        per = 1.0 if isinstance(density, Unknown) else density  # without a density the mass stands for the volume
        yield Figure(
            say("{kind} in {product} planned", kind=kind.word, product=product.name),
            float(pollutant_mass(planned.high / per, per, part.high)),
            "kg",
            formula="pollutant_mass" if known else "",
            inputs=(
                (say("volume"), Figure(say("volume"), planned.high / per, "m3"))
                if known
                else (say("mass"), planned.basis),
                *(((say("density"), Figure(say("density"), per, "kg/m3")),) if known else ()),
                (say("weight"), Range(part.low, part.high, "", say("parts of the product file"))),
            ),
            p50=float(pollutant_mass(planned.mid / per, per, part.mid)),
        )


def _sum(figures: list[Figure], kind: Kind | None) -> float:
    """The careful values of one kind, or of the products themselves, added up."""
    return sum(f.value for f in figures if _is(f, kind))


def _is(figure: Figure, kind: Kind | None) -> bool:
    if kind is None:
        return not any(label == say("weight") for label, _ in figure.inputs)
    return figure.name.startswith(say("{kind} in ", kind=kind.word))


def _whole(job: Job, figures: list[Figure], missing: list[str], counted: tuple[Kind, ...]) -> Finding:
    system = job.shop.print_units
    sums = []
    for kind in (None, *counted):
        own = [f for f in figures if _is(f, kind)]
        name = say("{what} planned for the job", what=say("product") if kind is None else kind.word)
        parts = tuple((f.name, f) for f in own)
        sums.append(Figure(name, sum(f.value for f in own), "kg", inputs=parts, p50=sum(f.p50 or 0.0 for f in own)))
    texts = [say("{name} {mass}", name=f.name, mass=mass(f.value, system)) for f in sums]
    statement = say("An estimate, at most: {texts}.", texts="; ".join(texts))
    short = say("estimate {mass} in all", mass=mass(sums[0].value, system))
    if missing and sums[0].value > 0:
        statement = say("An estimate of what can be counted: {texts}. The rest is not known.", texts="; ".join(texts))
        short = say("estimate at least {mass} in all", mass=mass(sums[0].value, system))
    elif missing:
        statement = say("How much solvent the job takes is not known.")
        short = say("amount not known")
    if not counted:
        statement = say(
            "{statement} No loaded rules pack says what counts as VOC or HAP, so nothing is judged.",
            statement=statement,
        )
    unknown = say("Not all of the planned solvent is counted.") if missing else ""
    return Finding(
        "note", "solvent", statement, short, PLUGIN, None, tuple(sums), unknown=unknown, key="solvent-planned"
    )


def blocks(job: Job, findings: tuple[Finding, ...]) -> list[Block]:
    """One small table: an estimate of what the job takes, product by product."""
    system = job.shop.print_units
    own = [f for f in findings if f.plugin == PLUGIN and f.key == "solvent-planned"]
    whole = next((f for f in own if f.step is None), None)
    if whole is None:
        return []
    wide = len(whole.figures)
    sums: dict[str, list[float]] = {}
    for finding in (f for f in own if f is not whole):
        for i in range(0, len(finding.figures), wide):
            first, *others = finding.figures[i : i + wide]
            values = [first.p50 or 0.0, first.value, *(f.value for f in others)]
            name = first.name.removesuffix(say(" planned"))
            sums[name] = [a + b for a, b in zip(sums.get(name, [0.0] * len(values)), values, strict=True)]
    if len(sums) > 1:
        sums[say("Whole job")] = [sum(column) for column in zip(*sums.values(), strict=True)]
    things = sum(len(step.uses) + len(left_wet(job, step)) for step in job.steps)
    weighed = sum(len(f.figures) // wide for f in own if f is not whole)
    more = say(" + UNKNOWN") if weighed < things else ""  # what has no amount comes on top of any sum
    rows = [(name, *(mass(value, system) for value in values)) for name, values in sums.items()]
    if len(sums) > 1:
        rows[-1] = (rows[-1][0], *(say("{sum}{more}", sum=cell, more=more) for cell in rows[-1][1:]))
    reasons = dict.fromkeys(f.unknown for f in own if f is not whole and f.unknown)
    rows += [(reason, *[say("UNKNOWN")] * (wide + 1)) for reason in reasons]
    heads = [f.name.removesuffix(say(" planned for the job")) for f in whole.figures[1:]]
    columns = (say("Product"), say("Middle"), say("At most"), *(say("{kind} at most", kind=head) for head in heads))
    return [Grid(say("Solvent this job plans to use (estimate)"), columns, tuple(rows), key="solvent-planned")]
