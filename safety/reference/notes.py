"""The notes of the list of classes that a product's own file can answer: whether a class of a part holds in it."""

from __future__ import annotations

from safety.model import Classification, Part, Product

BENZENE = "71-43-2"


def shown_absent(one: Classification, part: Part, product: Product) -> bool:
    """Whether the product's file itself shows that a part holds too little of what its class is about (note P)."""
    if one.unless is None:
        return False
    cas, under = one.unless
    beside = [other.high for other in product.parts if other.cas == cas]
    own = part.stated.benzene if cas == BENZENE else None
    if own is not None and own.high >= under:
        return False
    return (own is not None and not beside) or (bool(beside) and sum(beside) < under * part.low)
