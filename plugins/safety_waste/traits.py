"""What a product brings into a container, for what the rules say may not be mixed."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from safety.cited import Unknown
from safety.model import WATER, Part, Product, Reactivity
from safety.reference import Reference, past
from safety.reference.hazards import product_hazards, sensitisers
from safety.words import say
from safety_waste.rules import threshold

#: What a waste may be, for what it may not meet.
ALL: frozenset[str] = frozenset(get_args(Reactivity))
#: What a part may be of which the data say nothing. Whether it burns, and oxidises, is asked of the product.
UNSEEN = frozenset({"isocyanate", "chromate", "acid", "alkali"})
#: Of what eats skin or metal nobody says whether it is an acid or an alkali, so it counts as both.
CORROSIVE = frozenset({"H290", "H314"})


def hidden(product: Product) -> tuple[str, ...]:
    """The parts of a product that its maker does not disclose."""
    return tuple(part.name for part in product.parts if not part.disclosed)


def secret(product: Product) -> str:
    """What its maker keeps to himself, in words; "" where all parts are disclosed."""
    parts = ", ".join(hidden(product))
    return (
        say("the maker of {product} does not say what {parts} is", product=product.name, parts=parts) if parts else ""
    )


def of_product(product: Product, reference: Reference) -> frozenset[str]:
    """The traits of a product. What is not known to be harmless has the trait, whatever it is called."""
    found: set[str] = set(product.reactivity or ())
    parts = [part for part in product.parts if part.high > 0 and part.cas != WATER]
    found |= {trait for part in parts for trait in _of_part(part, reference)}
    if product.reactivity is None:
        found |= {trait for part in parts for trait in _unsettled(part, reference)}
    hazards = product_hazards(product, reference).careful
    water = sum(part.low for part in product.parts if part.cas == WATER)
    if water >= 0.5:
        found.add("aqueous")
    if _may_burn(product, hazards, reference):
        found.add("flammable")
    if {"H270", "H271", "H272"} & hazards:
        found.add("oxidiser")
    return frozenset(found)


def rows_behind(product: Product, reference: Reference) -> tuple[Mapping[str, Any], ...]:
    """The rows by which parts of a product are called acids or alkalis."""
    return tuple(row for part in product.parts if part.high > 0 for row in _acid_or_alkali(part, reference))


def _acid_or_alkali(part: Part, reference: Reference) -> list[Mapping[str, Any]]:
    return [row for row in reference.table("acid_or_alkali") if row["cas"] == part.cas]


def _may_burn(product: Product, hazards: frozenset[str], reference: Reference) -> bool:
    if {"H224", "H225", "H226", "H228"} & hazards:
        return True
    if product.no_flash_point:
        return False
    limit = threshold("ignitable-flash-point", reference) or threshold("hp3-flash-point", reference)
    if isinstance(product.flash_point, Unknown) or limit is None:
        return any(part.volatile and part.cas != WATER for part in product.parts)
    return past(product.flash_point, limit)


def _of_part(part: Part, reference: Reference) -> Iterable[str]:
    """What is known of a part."""
    codes = {c for row in reference.table("spent_solvent") if row["cas"] == part.cas for c in row["codes"]}
    # a pigment or resin holds chlorine too, and is no solvent with it; a listed solvent is one by its number
    if {"F001", "F002"} & codes or (part.volatile and _halogens(part, reference)):
        yield "halogenated"
    if "NCO" in _groups(part, reference) or any("EUH204" in row["always"] for row in sensitisers(part, reference)):
        yield "isocyanate"
    if "Cr" in _groups(part, reference) or any(row["cas"] == part.cas for row in reference.table("toxicity_source")):
        yield "chromate"
    # whatever the data say or leave out on what it does to skin
    yield from (str(row["is"]) for row in _acid_or_alkali(part, reference))


def _unsettled(part: Part, reference: Reference) -> Iterable[str]:
    """What a part may be as well, as long as its product's file does not say what its waste is."""
    substance = reference.substance(part.cas) if part.cas else Unknown("")
    if isinstance(substance, Unknown):
        yield from UNSEEN | ({"halogenated"} if part.volatile else set())
        return
    if part.volatile and isinstance(substance.composition, Unknown):
        yield "halogenated"
    if isinstance(substance.hazards, Unknown) or CORROSIVE & set(substance.hazards):
        yield from ("acid", "alkali")


def _groups(part: Part, reference: Reference) -> set[str]:
    """The groups of atoms a part carries, by its product's file or by the data."""
    substance = reference.substance(part.cas) if part.cas else Unknown("")
    return {*part.groups, *(() if isinstance(substance, Unknown) else substance.groups)}


def _halogens(part: Part, reference: Reference) -> bool:
    """Whether the data say that a part has a halogen in it, whatever it is called."""
    substance = reference.substance(part.cas) if part.cas else Unknown("")
    if isinstance(substance, Unknown) or isinstance(substance.composition, Unknown):
        return False
    return bool(substance.composition.halogens)


def clash(one: Iterable[str], other: Iterable[str], reference: Reference) -> Mapping[str, Any] | None:
    """The rule by which two wastes may not meet, or None."""
    a, b = set(one), set(other)
    for row in reference.table("incompatible"):
        if (row["one"] in a and row["other"] in b) or (row["one"] in b and row["other"] in a):
            return row
    return None
