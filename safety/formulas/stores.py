"""How liquids that burn are classed where they are stored."""

from __future__ import annotations

from safety.formulas import formula
from safety.formulas.basis import above_zero


@formula(
    gives="text",
    source="NFPA 30 (2003), 1.7.3, definition and classification of liquids",
    unverified="the code was read as a university's page quotes it; later editions call these liquids ignitible",
    flash_point="temperature",
    boiling_point="temperature",
)
def liquid_class(flash_point: float, boiling_point: float) -> str:
    """Class of a flammable or combustible liquid in stores and cabinets.

    IA: flash under 73 degF and boiling under 100 degF; IB: flash under 73 degF and boiling at or over 100 degF;
    IC: flash 73 to under 100 degF; II: 100 to under 140 degF; IIIA: 140 to under 200 degF; IIIB: from 200 degF

    flash_point [K], closed cup; boiling_point [K], initial. One value each, no arrays. Returns "Class IA" to
    "Class IIIB". Raises ValueError for a value of zero. It is another list than that of flammable_category.

    >>> print(liquid_class(277.55, 383.75))  # toluene
    Class IB
    """
    above_zero(flash_point=flash_point, boiling_point=boiling_point)
    flash = _fahrenheit(flash_point)
    if flash < 73:
        return "Class IA" if _fahrenheit(boiling_point) < 100 else "Class IB"
    bounds = ((100, "Class IC"), (140, "Class II"), (200, "Class IIIA"))
    return next((name for bound, name in bounds if flash < bound), "Class IIIB")


def _fahrenheit(temperature: float) -> float:
    """The same in degF, without the dust of the way through kelvin."""
    return round(temperature * 9 / 5 - 459.67, 6)
