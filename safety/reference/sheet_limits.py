"""Exposure limits that a product's own data sheet prints of a part: held beside those of the rules packs."""

from __future__ import annotations

from collections.abc import Iterator

from safety.cited import Unknown
from safety.model import EIGHT_HOURS, Limit, LimitKind, Part, Product
from safety.words import message, say

_AVERAGED: dict[LimitKind, float] = {"twa": EIGHT_HOURS, "short-term": 900.0, "ceiling": 0.0}  # s

UNREAD = message("as the data sheet of the product prints it; nobody has looked into the list it names")


def limits_of(part: Part, product: Product) -> Iterator[Limit]:
    """The limits of a part by the data sheet of its product, each by the name of that sheet.

    Under a name of their own they take the place of no limit of a list, however mild they are.
    """
    revised = product.sds_revised
    for one in part.stated.limits:
        yield Limit(
            cas=part.key,
            list=say("{list}, by the data sheet of {product}", list=one.list, product=product.name),
            kind=one.kind,
            value=one.value,
            unit="ppm" if one.by_volume else "mg/m3",
            written=one.written,
            averaging=_AVERAGED[one.kind],
            compare="over",
            citation=say("section 8"),
            edition=say("without a date") if isinstance(revised, Unknown) else revised.isoformat(),
            jurisdiction="",
            pack="",
            unverified=UNREAD,
        )
