"""A part whose substance is known, but not how it evaporates: MDI, whose data sheet prints next to nothing.

Before only a petroleum fraction could take the vapour pressure of its data sheet: every sheet with an isocyanate glue
was STOP for vapour that nobody knows, and no key of the file could mend it.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from safety.cited import Unknown
from safety.files.reading import read_shop
from safety.model import Figure, Substance
from safety.reference import Reference, fractions, load
from tests.unsafe_answers.shops import write_shop
from tests.unsafe_answers.test_defaults import SHOP
from tests.unsafe_answers.test_taken_as import PRODUCT

MDI, TOLUENE = "101-68-8", "108-88-3"


def _known(folder: Path, cas: str, pressure: str, at: str = "25 degC") -> Reference:
    part = f'cas = "{cas}"\nvapour_pressure = {pressure}\nvapour_pressure_at = "{at}"'
    shop = read_shop(write_shop(folder, SHOP, {"wash": PRODUCT.format(identity=part)}, {}) / "shop.toml")
    return fractions.known(shop.products.values(), load(["us-federal"], folder, date(2026, 3, 2)))


def test_the_line_goes_through_the_upper_end_and_the_boiling_point(tmp_path: Path) -> None:
    """Of MDI: 0.01 Pa at 25 degC, and 101325 Pa at 335.85 degC (the boiling point of its file)."""
    data = _known(tmp_path, MDI, '"< 0.01 Pa"')
    cold, hot = data.vapour_pressure(MDI, 298.15), data.vapour_pressure(MDI, 609.0)
    assert isinstance(cold, Figure)
    assert isinstance(hot, Figure)
    assert (cold.value, hot.value) == (pytest.approx(0.01), pytest.approx(101325))
    substance = data.substance(MDI)
    assert isinstance(substance, Substance)
    assert "H334" in substance.hazards
    assert all(not isinstance(one, Unknown) and one.unverified for one in substance.equation)


@pytest.mark.parametrize(("pressure", "serves"), [('"< 1 kPa"', False), ('["1 Pa", "1.4 Pa"]', True), ('"2 Pa"', True)])
def test_a_bound_that_says_little_makes_no_film_dry_sooner(tmp_path: Path, pressure: str, serves: bool) -> None:
    data = _known(tmp_path, MDI, pressure)
    assert isinstance(data.vapour_pressure(MDI, 298.15), Figure) is serves


def test_what_the_data_know_is_not_made_milder(tmp_path: Path) -> None:
    data = _known(tmp_path, TOLUENE, '"0.01 Pa"')
    found = data.vapour_pressure(TOLUENE, 298.15)
    assert isinstance(found, Figure)
    assert found.value > 3000
