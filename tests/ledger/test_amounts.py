"""Amounts are whole numbers of a small unit, held against the legal definitions of the units."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from safety.files.notation import Miswritten
from safety.ledger.amounts import Amount, both, read_amount
from safety.units import UnitError


@pytest.mark.parametrize(
    ("text", "kind", "number"),
    [
        # NIST Special Publication 811 (2008), Appendix B: exact definitions
        ("1 lb", "mass", 453_592_370),
        ("1 oz", "mass", 28_349_523),  # 28.349 523 125 g
        ("16 oz", "mass", 453_592_370),
        ("1 US_gal", "volume", 3_785_411_784),
        ("4 US_qt", "volume", 3_785_411_784),
        ("128 US_fl_oz", "volume", 3_785_411_784),
        ("1 ft3", "volume", 28_316_846_592),
        # decimal multiples
        ("250 mL", "volume", 250_000_000),
        ("0.1 L", "volume", 100_000_000),
        ("1.234567891 kg", "mass", 1_234_567_891),  # every digit a balance shows
        ("3e2 g", "mass", 300_000_000),
        ("0.001 mL", "volume", 1_000),
    ],
)
def test_what_is_typed_becomes_a_whole_number(text: str, kind: str, number: int) -> None:
    assert read_amount(text) == Amount(text, kind, number)  # type: ignore[arg-type]


def test_a_decimal_comma_is_kept_as_the_figure_it_is() -> None:
    assert read_amount("1,5 l") == Amount("1.5 l", "volume", 1_500_000_000)


@pytest.mark.parametrize(
    "text", ["250", "0 mL", "-1 g", "1,500 L", "1.500,5 L", "1 m", "2 m3 L", "nan g", "1e9 kg", "0.1 mg", "a lot"]
)
def test_what_is_no_amount_is_refused(text: str) -> None:
    with pytest.raises((Miswritten, UnitError)):
        read_amount(text)


def test_both_amounts_come_from_the_density_of_the_product() -> None:
    # a gallon of MEK is 6.71 lb at 0.805 kg/L: 40 CFR 63 Subpart GG conversion, 8.34 lb/gal x specific gravity
    mass, volume = both(read_amount("1 US_gal"), 805.0)
    assert volume == 3_785_411_784
    assert mass == pytest.approx(8.34 * 0.805 * 453_592_370, rel=1e-3)  # 8.34 is itself rounded to three figures
    assert both(read_amount("1 kg"), 1000.0) == (10**9, 10**9)


def test_without_a_density_one_amount_is_unknown_and_never_zero() -> None:
    assert both(read_amount("250 mL"), None) == (None, 250_000_000)
    assert both(read_amount("250 g"), None) == (250_000_000, None)


@given(st.integers(1, 10**14), st.floats(300, 5000))
@example(99_999_999_999_999, 4300.382106161878)  # where the decimal as written and its binary neighbour differ
def test_the_converted_amount_is_the_nearest_whole_number(number: int, density: float) -> None:
    """Exactly the nearest, for the density as a person writes it in decimals."""
    mass, _ = both(Amount("", "volume", number), density)
    assert mass is not None
    assert abs(mass - number * Fraction(Decimal(str(density))) / 1000) <= Fraction(1, 2)
