"""Where the ledger of a shop is: its name in the shop's folder, or the address the shop gives."""

from __future__ import annotations

from pathlib import Path

from safety.model import Shop

#: Where the ledger of a shop is that names no other place.
FILE = "ledger.db"
DEFAULT = f"sqlite:///{FILE}"


def address_of(shop: Shop) -> str:
    """The database URL of a shop's ledger; the path of an SQLite file is seen from the shop's folder."""
    return shop.ledger or DEFAULT


def surely_none(shop: Shop) -> bool:
    """Whether a look at the folder tells that a shop keeps no ledger yet; of another address it tells nothing."""
    return address_of(shop) == DEFAULT and not (Path(shop.file).parent / FILE).exists()
