"""Amounts as whole numbers of a small unit: micrograms and nanolitres.

Sums of whole numbers are exact and do not hang on their order. A pound (453 592 370 ug) and a US
gallon (3 785 411 784 nL) are whole numbers of these units, one microlitre of water is one
milligram, and 64 bits hold nine million tonnes.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from safety import units
from safety.files.notation import Miswritten, Quantity, with_points
from safety.words import say

MICROGRAMS = 10**9  # in a kg
NANOLITRES = 10**12  # in a m3
_SMALL = {"mass": MICROGRAMS, "volume": NANOLITRES}
_AMOUNT = Quantity(("mass", "volume"), between=(("1 mg", "100000 kg"), ("0.001 mL", "100 m3")), positive=True)

_NOTHING = Quantity(("mass", "volume"), positive=False)
_NONE = re.compile(r"0+(\.0*)?(?![\d.,])", re.ASCII)


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as it was typed: ``number`` whole micrograms (mass) or nanolitres (volume)."""

    typed: str
    kind: Literal["mass", "volume"]
    number: int


def read_amount(text: str, *, none: bool = False) -> Amount:
    """Read ``"250 mL"`` or ``"1.2 lb"``; with ``none`` also nothing at all. Raises Miswritten or UnitError."""
    line = with_points(" ".join(text.split()))
    if none and _NONE.match(line):
        _, kind = _NOTHING.one("0 kg" if line.replace(".", "").isdigit() else line)
        return Amount(line, "mass" if kind == "mass" else "volume", 0)
    if line.startswith("-"):
        raise Miswritten(
            say('"{text}" is less than zero', text=line),
            say(
                "an amount is always more than zero; to mend or take back a record: hazstep record correct KEY; for "
                "what went back to the shelf: hazstep record return"
            ),
        )
    _, kind = _AMOUNT.one(line)
    unit = units.written_unit(line)
    # the number as written times what one unit is worth, in fractions: no binary digit is lost on the way
    number = Fraction(Decimal(line.removesuffix(unit).strip()))
    one = Fraction(repr(units.read(f"1 {unit}", kind)))
    return Amount(line, "mass" if kind == "mass" else "volume", round(number * one * _SMALL[kind]))


def both(amount: Amount, density: float | None) -> tuple[int | None, int | None]:
    """Return micrograms and nanolitres; the one that needs an unknown ``density`` [kg/m3] is None."""
    if not amount.number:
        return 0, 0
    ratio = _micrograms_in_a_nanolitre(density) if density else None
    if amount.kind == "mass":
        return amount.number, round(amount.number / ratio) if ratio else None
    return round(amount.number * ratio) if ratio else None, amount.number


@lru_cache(256)
def _micrograms_in_a_nanolitre(density: float) -> Fraction:
    return Fraction(repr(density)) / 1000  # 1 kg/m3 is 1 ug/uL


def kilograms(micrograms: float) -> float:
    """Return a mass [kg]."""
    return micrograms / MICROGRAMS


def cubic_metres(nanolitres: int) -> float:
    """Return a volume [m3]."""
    return nanolitres / NANOLITRES
