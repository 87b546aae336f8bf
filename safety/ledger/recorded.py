"""What a shop has recorded, for those who look at it along the way.

The database library takes longer to load than a sheet takes to judge, so it is loaded only where there may be a
ledger to open.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from safety.model import Shop

if TYPE_CHECKING:
    from safety.ledger.view import View

#: Where the ledger of a shop is that names no other place.
FILE = "ledger.db"
DEFAULT = f"sqlite:///{FILE}"


@contextmanager
def recorded(shop: Shop, until: datetime | None = None) -> Iterator[View | None]:
    """See what a shop has recorded; None where it keeps no ledger yet. Raises Problems for one that cannot be read."""
    if (shop.ledger or DEFAULT) == DEFAULT and not (Path(shop.file).parent / FILE).exists():
        yield None
        return
    from safety.ledger.store import has_ledger, open_ledger
    from safety.ledger.view import view

    if not has_ledger(shop):
        yield None
        return
    with open_ledger(shop) as ledger, view(ledger, shop, until) as seen:
        yield seen
