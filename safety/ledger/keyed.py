"""Records whose keys belong together: what was written down in one run of a job."""

from __future__ import annotations

from safety.ledger.read import entries_where
from safety.ledger.store import Ledger, reading
from safety.ledger.tables import entry
from safety.model import Entry


def keyed(ledger: Ledger, prefix: str) -> tuple[Entry, ...]:
    """Every line whose key begins with a prefix, whatever became of it since."""
    with reading(ledger) as connection:
        return entries_where(connection, entry.c.key.startswith(prefix, autoescape=True))
