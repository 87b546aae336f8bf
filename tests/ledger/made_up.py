"""An invented shop, and sound drafts for it."""

from __future__ import annotations

from datetime import date, datetime, timezone
from typing import Any

from safety.cited import Unknown
from safety.ledger.drafts import Draft, read_draft
from safety.model import Container, Part, Product, Shop

NOW = datetime(2026, 11, 25, 12, 0, tzinfo=timezone.utc)


def product(name: str, parts: tuple[Part, ...], density: float | Unknown = 870.0, **more: Any) -> Product:
    none = Unknown("not given")
    return Product(name, name.capitalize(), "cleaner", parts, density, none, none, none, date(2026, 1, 1), **more)


WASH = product("wash", (Part("toluene", "108-88-3", 0.7, 1.0), Part("heptane", "142-82-5", 0.0, 0.3)))
ACETONE = product("acetone", (Part("acetone", "67-64-1", 1.0, 1.0),), 790.0)
STRIPPER = product(
    "stripper", (Part("toluene", "108-88-3", 0.1, 0.3), Part("a solvent blend", "", 0.7, 0.9)), Unknown("none")
)
SHOP = Shop(
    "North yard",
    "si",
    {},
    {p.id: p for p in (WASH, ACETONE, STRIPPER)},
    containers=(Container("drum-7", "spent solvent", 0.2, "central"),),
    file="shop.toml",
)


def draft(kind: str, product: str = "wash", amount: str = "", shop: Shop = SHOP, **texts: str) -> Draft:
    """A sound draft; what a kind needs and the test does not care about is filled in."""
    fill = {
        "receive": {"lot": "L1", "expires": "none"},
        "open": {"lot": "L1"},
        "use": {"lot": "L1", "basis": "measured"},
        "return": {"lot": "L1", "basis": "measured"},
        "waste": {"container": "drum-7", "basis": "weighed"},
        "ship": {"container": "drum-7", "basis": "weighed", "receiver": "Carrier"},
        "weigh": {"lot": "L1"},
    }[kind]
    given = {"product": product, "amount": amount, "who": "Pat", **fill, **texts}
    read = read_draft(kind, given, shop, NOW)
    assert isinstance(read, Draft), read
    return read
