"""What a shop has recorded, for those who look at it along the way.

The database library takes longer to load than a sheet takes to judge, so it is loaded only where there may be a
ledger to open.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import TYPE_CHECKING

from safety.ledger.address import surely_none
from safety.model import Shop

if TYPE_CHECKING:
    from safety.ledger.view import View


@contextmanager
def recorded(shop: Shop, until: datetime | None = None) -> Iterator[View | None]:
    """See what a shop has recorded; None where it keeps no ledger yet. Raises Problems for one that cannot be read."""
    if surely_none(shop):
        yield None
        return
    from safety.ledger.store import has_ledger, open_ledger
    from safety.ledger.view import view

    if not has_ledger(shop):
        yield None
        return
    with open_ledger(shop) as ledger, view(ledger, shop, until) as seen:
        yield seen
