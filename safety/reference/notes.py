"""The notes of the list of classes that a product's own file can answer: whether a class of a part holds in it.

Note P: no cause of cancer where the substance is shown to hold less than 0.1 % of benzene by weight. Note L: none where
it is shown to hold less than 3 % of DMSO extract by IP 346. Regulation (EC) No 1272/2008, Annex VI, 1.1.3.1. What is
not shown is not so.
"""

from __future__ import annotations

from safety.model import Classification, Part, Product
from safety.model.classes import EXTRACT

BENZENE = "71-43-2"


def shown_absent(one: Classification, part: Part, product: Product) -> bool:
    """Whether the product's file itself shows that a part holds too little of what its class is about."""
    if one.unless is None:
        return False
    cas, under = one.unless
    if cas == EXTRACT:
        shown = part.stated.dmso_extract
        return shown is not None and shown.high < under
    beside = [other.high for other in product.parts if other.cas == cas]
    own = part.stated.benzene if cas == BENZENE else None
    if own is not None and own.high >= under:
        return False
    return (own is not None and not beside) or (bool(beside) and sum(beside) < under * part.low)
