"""The part of a product that its data sheet gives as the balance: what the other parts leave of 100 %."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from safety.files.notation import Miswritten, Quantity
from safety.files.toml import Document
from safety.units import UnitError

_SHARE = Quantity(("fraction",))
_WORDS = frozenset({"balance", "rest", "remainder", "resto"})


def balanced(document: Document) -> Document:
    """The file with the share in figures; as it is where more than one part is the balance or a share is unreadable."""
    product = document.data.get("product")
    if not isinstance(product, dict):
        return document
    parts = product.get("part")
    if not isinstance(parts, list) or not all(isinstance(part, dict) for part in parts):
        return document
    rest = [index for index, part in enumerate(parts) if _is_rest(part.get("weight"))]
    if len(rest) != 1 or len(parts) == 1:
        return document
    try:
        others = [_SHARE.span(part.get("weight")) for index, part in enumerate(parts) if index != rest[0]]
    except (Miswritten, UnitError):
        return document
    low, high = (max(0.0, 1.0 - sum(one)) for one in ([o.high for o in others], [o.low for o in others]))
    if high <= 0:
        return document
    weight = [f"{100 * end:.6g} %" for end in (low, high)]
    made: list[dict[str, Any]] = [{**part, "weight": weight} if n == rest[0] else part for n, part in enumerate(parts)]
    return replace(document, data={**document.data, "product": {**product, "part": made}})


def _is_rest(weight: object) -> bool:
    return isinstance(weight, str) and weight.strip().casefold() in _WORDS
