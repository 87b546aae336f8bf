"""The flash point of an alcohol in water, over the range the model was held against measurements.

A product of ethanol and water alone. For methanol and 2-propanol no published measurements over the range were read, so
theirs stays unknown, as does what holds anything else.
"""

from __future__ import annotations

from safety.cited import Cited, Unknown
from safety.formulas.ignition import FLASH_LOW, ethanol_water_flash_point
from safety.model import WATER, Figure, Part, Product
from safety.words import say
from safety_ignition.task import FireTask

ETHANOL = "64-17-5"
#: Under this share by weight the model was held against nothing.
LEAST = 0.05
#: Statements of a liquid that flashes under 23 degC.
EASILY = frozenset({"H224", "H225"})


def flash_point(task: FireTask, product: Product) -> Figure | None:
    """Computed for as much ethanol as its data sheet allows; None where the model does not hold, or is gainsaid."""
    share = _ethanol(product)
    if share is None or share < LEAST:
        return None
    alone = task.lowest(ETHANOL, "flash_point")
    substance = task.reference.substance(ETHANOL)
    if isinstance(alone, Unknown) or isinstance(substance, Unknown):
        return None
    constants = [value for value in substance.equation if isinstance(value, Cited)]
    if len(constants) < len(substance.equation):
        return None
    found = float(ethanol_water_flash_point(share, alone.value, *(v.value for v in constants)))
    stated = () if isinstance(product.hazards, Unknown) else product.hazards
    if found >= FLASH_LOW and EASILY & set(stated):
        return None
    return Figure(
        say("computed flash point of {product}", product=product.name),
        found,
        "K",
        "ethanol_water_flash_point",
        (
            ("ethanol", Figure(say("most ethanol it may hold, by weight"), share, "1")),
            ("flash_point", alone),
            *zip("abc", constants, strict=True),
        ),
    )


def _ethanol(product: Product) -> float | None:
    """The most ethanol a product may hold by weight; None where it may hold anything but ethanol and water."""
    parts: dict[str, Part] = {part.cas: part for part in product.parts if part.high > 0}
    count = sum(part.high > 0 for part in product.parts)
    if set(parts) != {ETHANOL, WATER} or count != len(parts) or sum(part.high for part in parts.values()) < 1 - 1e-9:
        return None
    return min(parts[ETHANOL].high, 1.0 - parts[WATER].low)
