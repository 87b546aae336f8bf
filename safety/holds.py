"""Which products of a shop hold a substance, or a part with a hazard, and which jobs use them.

A product that does not say all it holds may hold anything: it is named apart, never left out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from safety.cited import Unknown
from safety.files import notation
from safety.files.notation import Miswritten
from safety.model import Job, Part, Product
from safety.problems import Problem, Problems
from safety.reference import Reference
from safety.reference.fractions import PETROLEUM, is_fraction
from safety.reference.hazards import base, part_classes, product_hazards
from safety.reference.notes import BENZENE
from safety.words import say
from safety.workplace import Workplace


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for: a substance by its CAS number, or a plain H-code ("H350" finds H350i too)."""

    cas: str = ""
    code: str = ""


@dataclass(frozen=True, slots=True)
class Held:
    """Where in a product it is, and its share by weight; None where the product as a whole has it."""

    part: str  # "" = the product itself
    low: float | None
    high: float | None
    why: str


@dataclass(frozen=True, slots=True)
class UsedIn:
    """A job that uses a product, and in which of its steps; none where it is only carried in."""

    job: str
    title: str
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Holder:
    """One product: what it holds of what is looked for, what it does not tell, and the jobs that use it."""

    product: str
    name: str
    held: tuple[Held, ...]
    untold: tuple[str, ...]  # sentences: why there may be more than ``held``
    jobs: tuple[UsedIn, ...]


def wanted(text: str) -> Wanted:
    """Read a CAS number or an H-code. Raises Problems."""
    line = text.strip()
    try:
        if line[:1].upper() in ("H", "E"):
            return Wanted(code=base(notation.hazard(line[:1].upper() + line[1:])))
        return Wanted(cas=notation.cas(line))
    except Miswritten as error:
        write = say('write a CAS number such as "108-88-3", or an H-code such as "H350"')
        raise Problems([Problem("uses", 0, "", error.wrong, write)]) from None


def holders(workplace: Workplace, what: Wanted, day: date) -> tuple[Holder, ...]:
    """Every product that holds it or may, by the lists of a day; those that do come first. Raises Problems."""
    reference = workplace.on(day).reference
    jobs = workplace.jobs()
    found = []
    for product in sorted(workplace.shop.products.values(), key=lambda one: one.id):
        held, untold = _by_number(product, what.cas, reference) if what.cas else _by_code(product, what.code, reference)
        if held or untold:
            used = tuple(one for job in jobs for one in _used(job, product))
            found.append(Holder(product.id, product.name, held, untold, used))
    return tuple(sorted(found, key=lambda one: not one.held))


def _by_number(product: Product, cas: str, reference: Reference) -> tuple[tuple[Held, ...], tuple[str, ...]]:
    there = [part for part in product.parts if part.high > 0]
    held = [Held(part.name, part.low, part.high, say("listed as a part")) for part in there if part.cas == cas]
    held += [
        Held(p.name, p.low, p.high, say("its data stand in for those of this part")) for p in there if p.lends == cas
    ]
    untold = [say("{part} has no CAS number", part=part.name) for part in there if not part.cas]
    if cas == BENZENE:
        for part in there:
            inside = part.stated.benzene
            if inside is not None and inside.high > 0:
                share = part.low * inside.low, part.high * inside.high
                held.append(Held(part.name, *share, say("inside this part, by its data sheet")))
            elif inside is None and (is_fraction(part, reference) or part.cas.startswith(PETROLEUM)):
                untold.append(say("nobody has written how much benzene {part} holds", part=part.name))
    return tuple(held), tuple(untold)


def _by_code(product: Product, code: str, reference: Reference) -> tuple[tuple[Held, ...], tuple[str, ...]]:
    hazards = product_hazards(product, reference)
    held = []
    if isinstance(hazards.declared, Unknown):
        untold = [say("nobody has written what its data sheet says of hazards"), *hazards.gaps]
    else:
        untold = [*hazards.gaps]
        said = [one for one in hazards.declared if base(one) == code]
        held += [Held("", None, None, say("{code} by its data sheet", code=one)) for one in said]
    held += [
        Held("", None, None, say("{code} by the rules for mixtures", code=one.code))
        for one in hazards.implied
        if base(one.code) == code
    ]
    for part in product.parts:
        held += [Held(part.name, part.low, part.high, why) for why in _part(part, product, code, reference)]
    return tuple(held), tuple(dict.fromkeys(untold))


def _part(part: Part, product: Product, code: str, reference: Reference) -> Iterator[str]:
    """By whose word a part has the hazard, however little of it there is."""
    if part.high <= 0:
        return
    classes, _ = part_classes(part, product, reference)
    for one in dict.fromkeys(one.code for one in classes if base(one.code) == code):
        yield say("{code} by the substance data", code=one)


def _used(job: Job, product: Product) -> Iterator[UsedIn]:
    if product.id in {one.id for one in job.products}:
        steps = [s.name for s in job.steps if product.id in {wet.product.id for wet in s.wet_things}]
        yield UsedIn(job.id, job.title, tuple(dict.fromkeys(steps)))
