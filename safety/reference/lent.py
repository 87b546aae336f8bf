"""What a substance that stands in lends to a part whose own CAS number is not known well enough.

An officer of the shop decided that it is no milder. It fills gaps and takes nothing away: what is known of the number
itself goes before, and what it can do and its limits stay beside those of the stand-in.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from types import MappingProxyType

from safety.cited import Cited, Unknown
from safety.model import ANTOINE, Limit, Part, Substance
from safety.reference.loaded import Reference
from safety.words import message, say

LENT = message("of the substance it is taken as, by a decision of the shop")


def with_what_is_lent(part: Part, base: Substance | Unknown, reference: Reference) -> Substance | Unknown:
    """What is known of a part, with the values of what stands in for it where its own number has none."""
    other = reference.listed(part.lends) if part.lends else Unknown("")
    if isinstance(other, Unknown):
        return base
    properties = {name: tuple(map(_marked, values)) for name, values in other.properties.items()}
    if isinstance(base, Unknown):
        return replace(other, cas=part.cas, names=(part.name,), properties=MappingProxyType(properties))
    # what boils where it does, weighs what it does: the equation and the molar mass are of one substance
    one_liquid = () if base.has_equation else (*ANTOINE, "molar_mass")
    kept = {name: values for name, values in base.properties.items() if name not in one_liquid}
    classes = tuple(dict.fromkeys((*base.classes, *other.classes)))
    found = replace(
        base,
        properties=MappingProxyType({**properties, **kept}),
        groups=MappingProxyType({**other.groups, **base.groups}),
        composition=other.composition if isinstance(base.composition, Unknown) else base.composition,
    )
    return found.classified(classes) if classes else found


def _marked(value: Cited) -> Cited:
    return value if value.unverified else replace(value, unverified=LENT)


def limits_of(part: Part, reference: Reference) -> Iterator[Limit]:
    """The limits of what stands in for a part, beside those of its own number."""
    for one in reference.limits(part.lends) if part.lends else ():
        name = say("{list} of CAS {cas}", list=one.list, cas=part.lends)
        yield replace(one, cas=part.cas, list=name)
