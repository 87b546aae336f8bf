"""What a rule asks month by month: cleaning solvents at each operation, and the products as they were then."""

from __future__ import annotations

from collections.abc import Iterator

from safety.cited import Unknown
from safety.model import Product, Shop
from safety.reference import Reference
from safety.words import say
from safety_solvent.accounts import Books, Sum, add, months
from safety_solvent.books import may_clean
from safety_solvent.cleaning import route


def as_it_was(accounts: Books, edition: int | None) -> Product | None:
    """A product as its file described it when it was recorded; None for mixed waste."""
    return None if edition is None else accounts.editions[edition].whole


def operations(accounts: Books, reference: Reference, shop: Shop) -> Iterator[tuple[str, str, str, Sum, str, str]]:
    """The grain the rules on cleaning ask for: each solvent at each operation in each month, by volume [m3].

    Yields month, name, operation, volume, composite vapour pressure and route; nothing where no pack names such a law.
    """
    limit = reference.threshold("hand-wipe-vapour-pressure")
    if isinstance(limit, Unknown):
        return
    for month in months(accounts.period):
        alike: dict[tuple[str, ...], list[Sum]] = {}  # editions of a product that the rule sees alike
        for (edition, operation), total in accounts.volumes(month).items():
            known = as_it_was(accounts, edition)
            if known is None or not may_clean(known, reference):
                continue
            way = route(known, operation, limit, shop, reference)
            key = (known.name, operation or say("not said"), way["pressure"], way["route"])
            alike.setdefault(key, []).append(total)
        for (name, operation, pressure, by), totals in alike.items():
            yield month, name, operation, add(totals), pressure, by
