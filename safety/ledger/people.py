"""The names in a ledger: who wrote its lines."""

from __future__ import annotations

from sqlalchemy import func, select

from safety.ledger.store import Ledger
from safety.ledger.tables import entry


def people(ledger: Ledger, most: int = 24) -> tuple[str, ...]:
    """Everybody who wrote a line, whoever wrote last first."""
    last = func.max(entry.c.id)
    query = select(entry.c.who).where(entry.c.who != "").group_by(entry.c.who).order_by(last.desc()).limit(most)
    return tuple(str(name) for name in ledger.connection.scalars(query))
