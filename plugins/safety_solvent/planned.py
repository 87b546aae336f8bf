"""What a job plans to use: an estimate by step and for the whole job, with its VOC and organic HAP."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.formulas.solvent import pollutant_mass
from safety.model import Block, Figure, Finding, Grid, Job, Leftover, Range, Step, Use, shares
from safety.reference import Reference
from safety.timeline import coats_of
from safety.words import capital, joined, say
from safety_solvent.books import PLUGIN, Kind, kinds, mass, said_of, share, sorted_as, span
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
    coats = coats_of(use, job.surface) or 1
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
    grounds: list[Any] = []
    lacking, unsorted = 0, dict[str, None]()
    for index, step in enumerate(job.steps):
        things: list[Use | Leftover] = [*step.uses, *left_wet(job, step)]
        if not things:
            continue
        planned = [(t, amount(job, step, t, own, exposure) if isinstance(t, Use) else of_leftover(t)) for t in things]
        finding = _step(job, index, step, planned, reference, own, counted)
        found.append(finding)
        figures += finding.figures
        grounds += finding.grounds
        lacking += sum(isinstance(of, Unknown) for _, of in planned)
        known = [thing.product for thing, of in planned if isinstance(of, Amount)]
        unsorted |= dict.fromkeys(t for p in known for kind in counted for t in share(p.parts, kind, p.name).unknown)
    if not figures and not lacking:
        return found
    whole = _whole(job, figures, bool(lacking), joined(unsorted), counted)
    return [*found, replace(whole, grounds=tuple(grounds))]


def _step(
    job: Job,
    index: int,
    step: Step,
    planned: list[tuple[Use | Leftover, Amount | Unknown]],
    reference: Reference,
    own: Mapping[Key, Own],
    counted: tuple[Kind, ...],
) -> Finding:
    system = job.shop.print_units
    figures: list[Figure] = []
    texts, unknown = [], []
    grounds: list[Any] = []
    for thing, of in planned:
        product = thing.product
        grounds += said_of(product.parts, counted)
        if isinstance(of, Unknown):
            row = estimate(thing.work, product.role, reference) if isinstance(thing, Use) else None
            unknown.append(_without(thing, of, row, system))
            grounds += [] if row is None else [row]
            continue
        figures += _figures(thing, of, counted)
        said = say(
            "{product} {span} ({basis})",
            product=product.name,
            span=span(of.low, of.high, system),
            basis=of.basis,
        )
        texts.append(_compared(said, thing, step, own, system))
    totals = [
        say("{kind} at most {mass}", kind=kind.word, mass=mass(_sum(figures, kind), system))
        for kind in counted
        if texts
    ]
    statement = say("Planned use, an estimate: {products}.", products="; ".join(texts)) if texts else ""
    if totals:
        statement = joined((statement, say("{totals}.", totals=", ".join(totals))))
    short = say("estimate {mass}", mass=mass(_sum(figures, None), system)) if texts else say("amount not known")
    return Finding(
        "note",
        "solvent",
        statement or say("The planned use of this step is not known."),
        short,
        PLUGIN,
        index,
        tuple(figures),
        unknown=capital(joined(dict.fromkeys(unknown))),
        gap="books",
        key="solvent-planned",
        grounds=tuple(grounds),
    )


def _without(thing: Use | Leftover, planned: Unknown, row: Mapping[str, Any] | None, system: str) -> str:
    """Why an amount is not known, with the shipped estimate ``row`` beside it where there is one."""
    reason = planned.reason
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
    """The product's mass, the mass of each kind in it, and the mass of each part that nobody can sort."""
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
    for of, low, mid, high in shares(product.parts):
        answers = [(kind, sorted_as(of, kind)) for kind in counted]
        if not any(answer is None for _, answer in answers):
            continue
        most = planned.high * high
        yield Figure(
            say("{part} in {product} planned", part=of.name, product=product.name),
            most,
            "kg",
            inputs=(
                (say("part"), Range(low, high, "", say("parts of the product file"))),
                *((kind.word, _sorted(kind, answer, most)) for kind, answer in answers),
            ),
            p50=planned.mid * mid,
        )


def _sorted(kind: Kind, answer: bool | None, most: float) -> Figure | str:
    """What a part adds to a kind [kg]; text where nobody can say whether it counts."""
    if answer is None:
        return say("not known whether it counts as {kind}", kind=kind.word)
    return Figure(kind.word, most if answer else 0.0, "kg")


def _sum(figures: list[Figure], kind: Kind | None) -> float:
    """The careful values of one kind, or of the products themselves, added up."""
    return sum(f.value for f in figures if _is(f, kind))


def _is(figure: Figure, kind: Kind | None) -> bool:
    if kind is None:
        return _has(figure, say("amount"))
    return _has(figure, say("weight")) and figure.name.startswith(say("{kind} in ", kind=kind.word))


def _has(figure: Figure, label: str) -> bool:
    return any(name == label for name, _ in figure.inputs)


def _unsorted(figures: list[Figure], counted: tuple[Kind, ...]) -> str:
    """The kinds of which nobody can say how much is in the products."""
    parts = [f.inputs[1:] for f in figures if _has(f, say("part"))]
    return ", ".join(kind.word for i, kind in enumerate(counted) if any(isinstance(p[i][1], str) for p in parts))


def _whole(job: Job, figures: list[Figure], lacking: bool, unsorted: str, counted: tuple[Kind, ...]) -> Finding:
    """The sums. ``lacking``: some use has no amount; ``unsorted``: what nobody can say about the parts of the rest."""
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
    if lacking and sums[0].value > 0:
        statement = say("An estimate of what can be counted: {texts}. The rest is not known.", texts="; ".join(texts))
        short = say("estimate at least {mass} in all", mass=mass(sums[0].value, system))
    elif lacking:
        statement = say("How much solvent the job takes is not known.")
        short = say("amount not known")
    if not counted:
        statement = joined(
            (statement, say("No loaded rules pack says what counts as VOC or HAP, so nothing is judged."))
        )
    not_sorted = _unsorted(figures, counted)
    if not_sorted:
        short = joined((short, say("how much of it is {kinds} is not known", kinds=not_sorted)), "; ")
    unknown = say("Not all of the planned solvent is counted.") if lacking else ""
    unknown = joined((unknown, unsorted))
    return Finding(
        "note",
        "solvent",
        statement,
        short,
        PLUGIN,
        None,
        tuple(sums),
        unknown=unknown,
        key="solvent-planned",
        gap="books",
    )


def _lacks(job: Job, finding: Finding) -> bool:
    """Whether something in the step of a finding has no amount."""
    step = job.steps[finding.step or 0]
    return sum(_is(f, None) for f in finding.figures) < len(step.uses) + len(left_wet(job, step))


def _cells(part: Figure) -> list[tuple[float, bool]]:
    """The masses of a part in the columns of the table [kg], and whether each is known or an upper bound."""
    kinds_of = [(v.value, True) if isinstance(v, Figure) else (part.value, False) for _, v in part.inputs[1:]]
    return [(part.p50 or 0.0, True), (part.value, True), *kinds_of]


def blocks(job: Job, findings: tuple[Finding, ...]) -> list[Block]:
    """One small table: an estimate of what the job takes, product by product, and what nobody can sort."""
    system = job.shop.print_units
    own = [f for f in findings if f.plugin == PLUGIN and f.key == "solvent-planned"]
    whole = next((f for f in own if f.step is None), None)
    if whole is None:
        return []
    wide = len(whole.figures)
    sums: dict[str, list[float]] = {}
    parts: dict[str, list[list[tuple[float, bool]]]] = {}
    for finding in (f for f in own if f is not whole):
        amounts = [f for f in finding.figures if not _has(f, say("part"))]
        for i in range(0, len(amounts), wide):
            first, *others = amounts[i : i + wide]
            values = [first.p50 or 0.0, first.value, *(f.value for f in others)]
            name = first.name.removesuffix(say(" planned"))
            sums[name] = [a + b for a, b in zip(sums.get(name, [0.0] * len(values)), values, strict=True)]
        for figure in (f for f in finding.figures if _has(f, say("part"))):
            parts.setdefault(figure.name.removesuffix(say(" planned")), []).append(_cells(figure))
    if len(sums) > 1:
        sums[say("Whole job")] = [sum(column) for column in zip(*sums.values(), strict=True)]
    lacking = [f for f in own if f is not whole and _lacks(job, f)]
    more = say(" + UNKNOWN") if lacking else ""  # what has no amount comes on top of any sum
    rows = [(name, *(mass(value, system) for value in values)) for name, values in sums.items()]
    if len(sums) > 1:
        rows[-1] = (rows[-1][0], *(say("{sum}{more}", sum=cell, more=more) for cell in rows[-1][1:]))
    for name, several in parts.items():
        columns_of = [(sum(value for value, _ in cells), cells[0][1]) for cells in zip(*several, strict=True)]
        rows.append(
            (
                say("of which {part}", part=name),
                *(
                    mass(value, system) if known else say("UNKNOWN, at most {mass}", mass=mass(value, system))
                    for value, known in columns_of
                ),
            )
        )
    reasons = dict.fromkeys(f.unknown for f in lacking)
    rows += [(reason, *[say("UNKNOWN")] * (wide + 1)) for reason in reasons]
    heads = [f.name.removesuffix(say(" planned for the job")) for f in whole.figures[1:]]
    columns = (
        say("Product"),
        say("Middle"),
        say("At most"),
        *(capital(say("{kind} at most", kind=head)) for head in heads),
    )
    return [Grid(say("Solvent this job plans to use (estimate)"), columns, tuple(rows), key="solvent-planned")]
