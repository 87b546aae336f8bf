"""What a job plans to use: an estimate by step and for the whole job, with its VOC and organic HAP."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from safety.cited import Unknown
from safety.exposure import Exposure
from safety.formulas.solvent import pollutant_mass
from safety.model import (
    IN_A_VESSEL,
    Block,
    Figure,
    Finding,
    Grid,
    Job,
    Leftover,
    Planned,
    Product,
    Range,
    Step,
    Use,
    shares,
)
from safety.quantities import mass
from safety.reference import Reference
from safety.timeline import coats_of
from safety.words import capital, joined, say
from safety_solvent.books import PLUGIN, Kind, kinds, said_of, share, sorted_as, span
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
    if use.work in IN_A_VESSEL:
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


@dataclass(frozen=True, slots=True)
class _Unsorted:
    """A part of a product that nobody can sort into every kind."""

    name: str
    figure: Figure
    of_kinds: tuple[float | None, ...]  # kg it adds to each kind; None where nobody can say whether it counts


@dataclass(frozen=True, slots=True)
class _Planned:
    """What one use takes, in figures."""

    product: Product
    whole: Figure
    of_kinds: tuple[Figure, ...]
    unsorted: tuple[_Unsorted, ...]

    @property
    def figures(self) -> tuple[Figure, ...]:
        return (self.whole, *self.of_kinds, *(one.figure for one in self.unsorted))


def judge(job: Job, exposure: Exposure, reference: Reference, own: Mapping[Key, Own]) -> list[Finding | Block]:
    """What each step takes, what the whole job does, and a table of it."""
    counted = kinds(reference)
    found: list[Finding | Block] = []
    whole: list[_Planned] = []
    without: list[str] = []  # why what is planned for a step is not known
    grounds: list[Any] = []
    lacking, unsorted = 0, dict[str, None]()
    for index, step in enumerate(job.steps):
        things: list[Use | Leftover] = [*step.uses, *left_wet(job, step)]
        if not things:
            continue
        planned = [(t, amount(job, step, t, own, exposure) if isinstance(t, Use) else of_leftover(t)) for t in things]
        taken = [_taken(thing, of, counted) for thing, of in planned if isinstance(of, Amount)]
        finding = _step(job, index, step, planned, taken, reference, own, counted)
        found.append(finding)
        whole += taken
        lacking += len(planned) - len(taken)
        without += [finding.unknown] if len(taken) < len(planned) else []
        grounds += finding.grounds
        known = [thing.product for thing, of in planned if isinstance(of, Amount)]
        unsorted |= dict.fromkeys(t for p in known for kind in counted for t in share(p.parts, kind, p.name).unknown)
    if not whole and not lacking:
        return found
    in_all = _whole(job, whole, bool(lacking), joined(unsorted), counted)
    return [*found, replace(in_all, grounds=tuple(grounds)), _grid(job, whole, without, counted)]


def _step(
    job: Job,
    index: int,
    step: Step,
    planned: list[tuple[Use | Leftover, Amount | Unknown]],
    taken: list[_Planned],
    reference: Reference,
    own: Mapping[Key, Own],
    counted: tuple[Kind, ...],
) -> Finding:
    system = job.shop.print_units
    texts, unknown = [], []
    grounds: list[Any] = []
    for thing, of in planned:
        product = thing.product
        grounds += said_of(product.parts, counted)
        if isinstance(of, Unknown):
            row = estimate(thing.work, product, reference) if isinstance(thing, Use) else None
            unknown.append(_without(thing, of, row, system))
            grounds += [] if row is None else [row]
            continue
        said = say(
            "{product} {span} ({basis})",
            product=product.name,
            span=span(of.low, of.high, system),
            basis=of.basis,
        )
        texts.append(_compared(said, thing, step, own, system))
    totals = [
        say("{kind} at most {mass}", kind=kind.word, mass=mass(sum(one.of_kinds[at].value for one in taken), system))
        for at, kind in enumerate(counted)
        if texts
    ]
    statement = say("Planned use, an estimate: {products}.", products="; ".join(texts)) if texts else ""
    if totals:
        statement = joined((statement, say("{totals}.", totals=", ".join(totals))))
    sums = mass(sum(one.whole.value for one in taken), system)
    short = say("estimate {mass}", mass=sums) if texts else say("amount not known")
    return Finding(
        "note",
        "solvent",
        statement or say("The planned use of this step is not known."),
        short,
        PLUGIN,
        index,
        tuple(figure for one in taken for figure in one.figures),
        unknown=capital(joined(dict.fromkeys(unknown))),
        gap="books",
        key="solvent-planned",
        grounds=tuple(grounds),
        roles=tuple(Planned("solvent", t.whole.value, t.whole.p50, product=t.product.id) for t in taken),
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


def _taken(use: Use | Leftover, planned: Amount, counted: tuple[Kind, ...]) -> _Planned:
    """The product's mass, the mass of each kind in it, and the mass of each part that nobody can sort."""
    whole = Figure(
        say("{product} planned", product=use.product.name),
        planned.high,
        "kg",
        inputs=((say("amount"), Range(planned.low, planned.high, use.written, planned.basis)),),
        p50=planned.mid,
    )
    of_kinds = tuple(_of_kind(use, planned, kind) for kind in counted)
    return _Planned(use.product, whole, of_kinds, tuple(_not_sorted(use, planned, counted)))


def _of_kind(use: Use | Leftover, planned: Amount, kind: Kind) -> Figure:
    product, density = use.product, use.product.density
    part = share(product.parts, kind, product.name)
    known = not isinstance(density, Unknown)
    per = 1.0 if isinstance(density, Unknown) else density  # without a density the mass stands for the volume
    return Figure(
        say("{kind} in {product} planned", kind=kind.word, product=product.name),
        float(pollutant_mass(planned.high / per, per, part.high)),
        "kg",
        formula="pollutant_mass" if known else "",
        inputs=(
            (say("volume"), Figure(say("volume"), planned.high / per, "m3")) if known else (say("mass"), planned.basis),
            *(((say("density"), Figure(say("density"), per, "kg/m3")),) if known else ()),
            (say("weight"), Range(part.low, part.high, "", say("parts of the product file"))),
        ),
        p50=float(pollutant_mass(planned.mid / per, per, part.mid)),
    )


def _not_sorted(use: Use | Leftover, planned: Amount, counted: tuple[Kind, ...]) -> Iterator[_Unsorted]:
    product = use.product
    for of, low, mid, high in shares(product.parts):
        answers = [sorted_as(of, kind) for kind in counted]
        if all(answer is not None for answer in answers):
            continue
        most = planned.high * high
        adds = tuple(None if answer is None else most if answer else 0.0 for answer in answers)
        figure = Figure(
            say("{part} in {product} planned", part=of.name, product=product.name),
            most,
            "kg",
            inputs=(
                (say("part"), Range(low, high, "", say("parts of the product file"))),
                *((kind.word, _sorted(kind, much)) for kind, much in zip(counted, adds, strict=True)),
            ),
            p50=planned.mid * mid,
        )
        yield _Unsorted(say("{part} in {product}", part=of.name, product=product.name), figure, adds)


def _sorted(kind: Kind, adds: float | None) -> Figure | str:
    """What a part adds to a kind [kg]; text where nobody can say whether it counts."""
    if adds is None:
        return say("not known whether it counts as {kind}", kind=kind.word)
    return Figure(kind.word, adds, "kg")


def _whole(job: Job, taken: list[_Planned], lacking: bool, unsorted: str, counted: tuple[Kind, ...]) -> Finding:
    """The sums. ``lacking``: some use has no amount; ``unsorted``: what nobody can say about the parts of the rest."""
    system = job.shop.print_units
    sums = []
    of_kinds = [(kind.word, [one.of_kinds[at] for one in taken]) for at, kind in enumerate(counted)]
    for what, own in ((say("product"), [one.whole for one in taken]), *of_kinds):
        name = say("{what} planned for the job", what=what)
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
    parts_of = [part for one in taken for part in one.unsorted]
    not_sorted = ", ".join(
        kind.word for at, kind in enumerate(counted) if any(part.of_kinds[at] is None for part in parts_of)
    )
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
        roles=tuple(
            Planned("solvent", f.value, f.p50, kind)
            for f, kind in zip(sums, ("", *(k.key for k in counted)), strict=True)
        ),
    )


_Cell = tuple[float, bool]  # kg, and whether it is known or an upper bound


def _grid(job: Job, taken: list[_Planned], without: list[str], counted: tuple[Kind, ...]) -> Grid:
    """One small table: an estimate of what the job takes, product by product, and what nobody can sort.

    ``without``: for each step in which something has no amount, why.
    """
    system = job.shop.print_units
    sums: dict[str, list[float]] = {}
    parts: dict[str, list[list[_Cell]]] = {}
    for one in taken:
        values = [one.whole.p50 or 0.0, one.whole.value, *(figure.value for figure in one.of_kinds)]
        name = one.product.name
        sums[name] = [a + b for a, b in zip(sums.get(name, [0.0] * len(values)), values, strict=True)]
        for part in one.unsorted:
            parts.setdefault(part.name, []).append(_cells(part))
    if len(sums) > 1:
        sums[say("Whole job")] = [sum(column) for column in zip(*sums.values(), strict=True)]
    more = say(" + UNKNOWN") if without else ""  # what has no amount comes on top of any sum
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
    rows += [(reason, *[say("UNKNOWN")] * (len(counted) + 2)) for reason in dict.fromkeys(without)]
    columns = (
        say("Product"),
        say("Middle"),
        say("At most"),
        *(capital(say("{kind} at most", kind=kind.word)) for kind in counted),
    )
    return Grid(say("Solvent this job plans to use (estimate)"), columns, tuple(rows), key="solvent-planned")


def _cells(part: _Unsorted) -> list[_Cell]:
    """The masses of a part in the columns of the table."""
    most = part.figure.value
    adds = ((most, False) if one is None else (one, True) for one in part.of_kinds)
    return [(part.figure.p50 or 0.0, True), (most, True), *adds]
