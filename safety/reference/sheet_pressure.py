"""Vapour pressure by the data sheet of a product, for a part whose substance is known but not how it evaporates."""

from __future__ import annotations

from math import log, log10

from safety import units
from safety.cited import Cited, Source, Unknown
from safety.formulas.basis import ATMOSPHERE
from safety.model import ANTOINE, Part, Product, Substance
from safety.words import message, say

#: A printed bound says only what it is at most. Under this [Pa] a film outlasts every job, wherever the truth lies;
#: over it the film would count as gone too soon. Our judgement: at 0.1 Pa 30 g/m2 take a week.
FAINT = 0.1
#: How far its ends may lie apart otherwise, and how far from its temperature the line is laid [K]. Our judgement.
APART, AROUND = 1.5, 20.0
#: Where no boiling point is known: ln P falls by so much for each 1/K. The heat of evaporation of what boils near
#: 350 degC, 100 kJ/mol; lighter ones are less steep. Our judgement.
STEEP = 12000.0

LINE = message("a line through the vapour pressure of the data sheet and the boiling point, not measured")


def source_of(product: Product) -> Source:
    """The data sheet of a product as a source."""
    revised = product.sds_revised
    edition = say("without a date") if isinstance(revised, Unknown) else revised.isoformat()
    return Source(f"sheet-{product.id}", say("data sheet of {product}", product=product.name), edition)


def equation(part: Part, product: Product, base: Substance | Unknown) -> dict[str, Cited]:
    """The constants of the equation of a part; {} where the data have one, or the sheet says too little.

    At the upper end of what the sheet prints.
    """
    printed = part.stated.vapour_pressure
    if isinstance(base, Unknown) or base.has_equation or printed is None or printed.high <= 0:
        return {}
    if printed.high > FAINT and printed.high > APART * printed.low:
        return {}
    at, boils = part.stated.vapour_pressure_at, base.best("boiling_point")
    steep = STEEP
    if isinstance(boils, Cited) and boils.value > at + AROUND and printed.high < ATMOSPHERE:
        steep = log(ATMOSPHERE / printed.high) / (1 / at - 1 / boils.value)
    b = steep / log(10)
    values = zip(ANTOINE, (log10(printed.high) + b / at, b, 0.0), ("1", "K", "K"), strict=True)
    place, ends = say("section 9"), (("low", at - AROUND), ("high", at + AROUND))
    found = {
        name: Cited(
            value,
            unit,
            f"{value:.6g} {unit}".removesuffix(" 1"),
            source_of(product),
            place,
            LINE,
            conditions=ends if unit == "1" else (),
        )
        for name, value, unit in values
    }
    shown = units.show(printed.high, "pressure", "Pa")
    found["vapour_pressure"] = Cited(
        printed.high, "Pa", shown, source_of(product), place, "", conditions=(("temperature", at),)
    )
    return found
