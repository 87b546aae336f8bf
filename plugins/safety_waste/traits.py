"""What a product brings into a container: the words by which the rules say what may not be mixed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Any

from safety.cited import Unknown
from safety.model import WATER, Part, Product, Substance
from safety.reference import Reference, past
from safety.reference.hazards import product_hazards, sensitisers
from safety.words import say
from safety_waste.rules import threshold

_HALOGEN = re.compile(r"chlor|brom|fluor|iodo", re.IGNORECASE)
#: Words in the name of a stream -> what the container takes.
STREAM_WORDS = {
    "halogen": "halogenated",
    "chlorinated": "halogenated",
    "chromate": "chromate",
    "isocyanate": "isocyanate",
    "oxidi": "oxidiser",
    "aqueous": "aqueous",
    "water": "aqueous",
    "acid": "acid",
    "alkali": "alkali",
    "caustic": "alkali",
    "flammable": "flammable",
}


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
    """The traits of a product. What is not known to be harmless has the trait."""
    found = {trait for part in product.parts for trait in _of_part(part, reference)}
    hazards = product_hazards(product, reference).careful
    water = sum(part.low for part in product.parts if part.cas == WATER)
    if water >= 0.5:
        found.add("aqueous")
    if _may_burn(product, hazards, reference):
        found.add("flammable")
    if {"H270", "H271", "H272"} & hazards:
        found.add("oxidiser")
    return frozenset(found)


def _may_burn(product: Product, hazards: frozenset[str], reference: Reference) -> bool:
    if {"H224", "H225", "H226", "H228"} & hazards:
        return True
    limit = threshold("ignitable-flash-point", reference) or threshold("hp3-flash-point", reference)
    if isinstance(product.flash_point, Unknown) or limit is None:
        return any(part.volatile and part.cas != WATER for part in product.parts)
    return past(product.flash_point, limit)


def _named(part: Part, reference: Reference) -> str:
    """What the data and the file call a part, whatever language is spoken."""
    known = reference.substance(part.cas) if part.cas else Unknown("")
    names = known.names[:1] if isinstance(known, Substance) else ()
    return " ".join((part.written or part.name, *names)).casefold()


def _of_part(part: Part, reference: Reference) -> Iterable[str]:
    # a word of the name only ever adds a trait: what is typed says it first, and no name takes it away
    name = _named(part, reference)
    codes = [c for row in reference.table("spent_solvent") if row["cas"] == part.cas for c in row["codes"]]
    # a pigment or resin is called after chlorine too, and is none; a listed solvent is one by its number
    listed = {"F001", "F002"} & set(codes)
    if listed or (part.volatile and (_HALOGEN.search(name) or _halogens(part, reference))):
        yield "halogenated"
    if "isocyanate" in name or any("EUH204" in row["always"] for row in sensitisers(part, reference)):
        yield "isocyanate"
    if (
        "Cr" in _groups(part, reference)
        or "chromate" in name
        or any(row["cas"] == part.cas for row in reference.table("toxicity_source"))
    ):
        yield "chromate"
    if re.search(r"\bacid\b", name) and part.cas != WATER:
        yield "acid"
    if re.search(r"hydroxide|ammonia\b", name):
        yield "alkali"


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


def of_stream(stream: str) -> frozenset[str]:
    """The traits a container has by its name."""
    plain = stream.casefold()
    return frozenset(
        trait
        for word, trait in STREAM_WORDS.items()
        if re.search(rf"\b(?:non-?)?{word}", plain) and not re.search(rf"\bnon-?{word}", plain)
    )


def clash(one: Iterable[str], other: Iterable[str], reference: Reference) -> Mapping[str, Any] | None:
    """The rule by which two wastes may not meet, or None."""
    a, b = set(one), set(other)
    for row in reference.table("incompatible"):
        if (row["one"] in a and row["other"] in b) or (row["one"] in b and row["other"] in a):
            return row
    return None
