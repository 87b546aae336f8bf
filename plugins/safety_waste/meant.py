"""What a record meant when it was made: its product and its container as they were described then, not as they are now.

A file that changes or goes, and a container that is taken out of shop.toml, leave every month gone by as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from safety.model import Container, Edition, Entry, LedgerView, Product, Shop


@dataclass(frozen=True, slots=True)
class Meant:
    """Products and containers of the records of a shop."""

    editions: Mapping[int, Edition]
    containers: Mapping[int, Container]
    shop: Shop

    def product(self, entry: Entry) -> Product | None:
        """The product of a line; None for mixed waste."""
        made = None if entry.edition is None else self.editions.get(entry.edition)
        return self.shop.products.get(entry.product) if made is None else made.whole

    def container(self, entry: Entry) -> Container | None:
        """The container of a line. Of a line from before that was kept, today's; None where there is none any more."""
        then = None if entry.container_edition is None else self.containers.get(entry.container_edition)
        return then or next((c for c in self.shop.containers if c.id == entry.container), None)

    def ours(self, name: str) -> Container | None:
        """The container of the shop that a name is of, the last that bore it; None for a receiver off the site."""
        known = [*self.containers.values(), *self.shop.containers]
        return next((c for c in reversed(known) if c.id == name), None)


def meant(ledger: LedgerView, shop: Shop) -> Meant:
    """What the records of a ledger meant."""
    return Meant(ledger.editions(), ledger.containers(), shop)
