"""What people copy from a data sheet is read where it can mean one thing, and asked back where it can mean two.

Before, "0,84 g/mL", "20-30 %", "> 200 degC", "balance", "50 ml" and "300 m3/hour" were all refused, and who must retype
figures mistypes them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.calc.call import call
from safety.files.notation import Miswritten
from safety.files.reading import read_shop
from safety.files.shape_kinds import AIR_TEMPERATURE, LIQUID, SHARE, STOCK, VISCOSITY, read
from safety.problems import Problems
from safety.reference import read_pack
from safety.units import UnitError
from tests.unsafe_answers.shops import write_shop

DENSITY = read("density")
FLOW = read("airflow")
VOC = read("density", between=("0 g/L", "4000 g/L"), positive=False, careful="high")
PRESSURE = read("pressure", positive=False)


@pytest.mark.parametrize(
    ("quantity", "text", "same"),
    [
        (DENSITY, "0,84 g/mL", "0.84 g/mL"),
        (DENSITY, "0,841 g/ml", "0.841 g/mL"),
        (DENSITY, "840 kg/m³", "840 kg/m3"),
        (DENSITY, "1234,567 kg/m^3", "1234.567 kg/m3"),
        (STOCK, "50 ml", "50 mL"),
        (STOCK, "1,5 l", "1.5 L"),
        (FLOW, "300 m^3/hour", "300 m3/h"),
        (FLOW, "300 m³/h", "300 m3/h"),
        (LIQUID, ">200 degC", "200 degC"),
        (LIQUID, "≥ 93,5 °C", "93.5 degC"),
        (VISCOSITY, "> 20,5 mm²/s", "20.5 mm2/s"),
        (LIQUID, "38 ºC", "38 degC"),
        (LIQUID, "\u22124 °C", "-4 degC"),
        (LIQUID, "\u2013 18 °C", "-18 degC"),
        (LIQUID, "38-43 °C", "38 degC"),  # the lowest of a range, as of a draft
        (LIQUID, "-10 bis -4 °C", "-10 degC"),
        (LIQUID, "mindestens 61 °C", "61 degC"),
        (VOC, "<830 g/L", "830 g/L"),  # the most it can be
        (VOC, "max. 30 g/l", "30 g/L"),
        (VOC, "500 a 600 g/L", "600 g/L"),
    ],
)
def test_one_value_is_what_it_says(quantity, text: str, same: str) -> None:  # type: ignore[no-untyped-def]
    assert quantity.one(text) == quantity.one(same)


@pytest.mark.parametrize(
    ("quantity", "text", "ends"),
    [
        (SHARE, "20-30 %", ["20 %", "30 %"]),
        (SHARE, "2,5 \u2013 7,5 %", ["2.5 %", "7.5 %"]),
        (SHARE, "20 % to 30 %", ["20 %", "30 %"]),
        (SHARE, "< 5 %", ["0 %", "5 %"]),
        (SHARE, "≥ 95 %", ["95 %", "100 %"]),
        (SHARE, "max. 3 %", ["0 %", "3 %"]),
        (SHARE, "up to 5 %", ["0 %", "5 %"]),
        (SHARE, "hasta 5 %", ["0 %", "5 %"]),
        (SHARE, "bis 5 %", ["0 %", "5 %"]),
        (SHARE, "unter 5 %", ["0 %", "5 %"]),
        (SHARE, "at least 60 %", ["60 %", "100 %"]),
        (SHARE, "10 - <25 %", ["10 %", "25 %"]),
        (SHARE, "≥ 10 \u2013 ≤ 25 %", ["10 %", "25 %"]),
        (SHARE, ">10-<=25 %", ["10 %", "25 %"]),
        (SHARE, "30 a 60 %", ["30 %", "60 %"]),
        (SHARE, "30 bis 60 %", ["30 %", "60 %"]),
        (SHARE, "30...60 %", ["30 %", "60 %"]),
        (SHARE, "between 30 and 60 %", ["30 %", "60 %"]),
        (STOCK, "0,5 \u2013 1 l", ["0.5 L", "1 L"]),
        (STOCK, "100-150 ml", ["100 mL", "150 mL"]),
        (PRESSURE, "< 1 kPa", ["0 Pa", "1 kPa"]),
    ],
)
def test_a_range_in_one_text_is_the_range(quantity, text: str, ends: list[str]) -> None:  # type: ignore[no-untyped-def]
    read, meant = quantity.span(text), quantity.span(ends)
    assert read.low == meant.low
    assert read.high == pytest.approx(meant.high, rel=1e-12)  # "< 5 %" is a hair under 5 %


@pytest.mark.parametrize(
    ("quantity", "text", "wrong"),
    [
        (STOCK, "1,234 g", 'can be read in two ways; write "1.2340 g" or "1234 g"'),
        (
            STOCK,
            "1.000 ml",
            'can be read in two ways; write "1.0000 ml" or "1000 ml"',
        ),  # was one millilitre, whoever wrote
        (SHARE, "1,234-2 %", "can be read in two ways"),
        (STOCK, "1,234,567 g", "has a comma in the number"),
        (STOCK, "1.234,5 g", "has a comma in the number"),
        (LIQUID, "< 23 degC", "may be any lower, which is more dangerous"),
        (LIQUID, "max. 23 degC", "may be any lower, which is more dangerous"),
        (VOC, "> 500 g/L", "may be any higher, which is more dangerous"),
        (VOC, "mindestens 500 g/L", "may be any higher, which is more dangerous"),
        (DENSITY, "0.82-0.84 g/mL", 'is a range, and one value belongs here; write "0.82 g/mL" or "0.84 g/mL"'),
        (SHARE, "ca. 12 %", "says only about how much; write the least and the most it can be"),
        (SHARE, "~12 %", "says only about how much"),
        (DENSITY, "etwa 0,8 g/mL", "says only about how much"),
        (SHARE, "resto", "is not one quantity"),
        (DENSITY, "> 0.8 g/mL", "does not begin with a plain number"),
        (PRESSURE, "> 1 kPa", "does not begin with a plain number"),
        (STOCK, "< 5 mL", "has no unit of|does not begin with a plain number"),
        (SHARE, "30-20 %", "runs from"),
        (SHARE, "balance", "is not one quantity"),
        (STOCK, "5 gal", "gal"),
        (STOCK, "5 ML", "ML"),
        (DENSITY, "20-30 g/mL", "is a range, and one value belongs here"),
    ],
)
def test_what_can_mean_two_things_is_asked_back(quantity, text: str, wrong: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises((Miswritten, UnitError), match=wrong):
        quantity.span(text) if quantity not in (LIQUID, DENSITY, VOC) else quantity.number(text)


SHOP = """
[shop]
name = "Boat shed (invented)"
altitude = "0 m"
print_units = "si"
[[place]]
id = "shed"
kind = "outdoor"
temperature = "18 degC"
[[place.air]]
state = "open"
air_speed = "0.3 m/s"
basis = "estimated"
"""
PRODUCT = """
[product]
id = "wash"
name = "Wash (invented)"
role = "cleaner"
purpose = "cleaner"
part = [{{ cas = "108-88-3", weight = "20-30 %" }}, {{ cas = "67-64-1", weight = "{share}" }}]
"""


@pytest.mark.parametrize("word", ["balance", "resto"])
def test_the_balance_is_what_the_others_leave(tmp_path: Path, word: str) -> None:
    shop = read_shop(write_shop(tmp_path / "shed", SHOP, {"wash": PRODUCT.format(share=word)}, {}))
    (first, rest) = shop.products["wash"].parts
    assert (first.low, first.high) == pytest.approx((0.2, 0.3))
    assert (rest.low, rest.high) == pytest.approx((0.7, 0.8))


def test_calc_reads_a_comma_as_the_files_do() -> None:
    """It said '",5 m^3" is not a unit of volume'."""
    rest = {"airflow": "500 cfm", "start": "1,5 g/m3", "target": "10 mg/m3"}
    point = {"volume": "60.5 m^3", "airflow": "500 cfm", "start": "1.5 g/m3", "target": "10 mg/m3"}
    assert call("purge_time", {"volume": "60,5 m^3", **rest}).value == call("purge_time", point).value
    many = call("purge_time", {**rest, "volume": "60,5 m^3, 7,25 m^3"}).value
    assert many == call("purge_time", {**point, "volume": "60.5 m^3, 7.25 m^3"}).value


@pytest.mark.parametrize(
    ("volume", "line"),
    [
        ("1,500 m^3", '"1,500 m^3" can be read in two ways; write "1.500 m^3" or "1500 m^3"'),
        (
            "1.500,5 m^3",
            '"1.500,5 m^3" has a comma in the number; write a point before decimals and nothing between thousands',
        ),
        (
            "1,500,000 m^3",
            '"1,500,000 m^3" has a comma in the number; write a point before decimals and nothing between thousands',
        ),
    ],
)
def test_calc_asks_back_what_may_part_thousands(volume: str, line: str) -> None:
    with pytest.raises(Problems) as refused:
        call("purge_time", {"volume": volume, "airflow": "500 cfm", "start": "1 g/m3", "target": "10 mg/m3"})
    assert str(refused.value) == f"calc purge_time: volume: {line}"


def test_a_name_with_a_comma_stays_a_name() -> None:
    spelt = call("mixture_flash_point", {"parts": "1,3-dioxolane:0,125, toluene:0,875"})
    numbered = call("mixture_flash_point", {"parts": "646-06-0:0.125, 108-88-3:0.875"})
    assert spelt.value == numbered.value


def test_data_files_of_a_shop_read_a_comma_too(tmp_path: Path) -> None:
    """A limit of "1,5 mg/m3" was refused as '",5 mg/m3" is not a unit'."""
    text = (
        '[pack]\nid = "own"\ntitle = "Own"\njurisdiction = "the shop"\nedition = "2026"\n'
        'reference_temperature = "25 degC"\n[[limit]]\ncas = "108-88-3"\nlist = "own"\nkind = "twa"\n'
        'value = "1,5 mg/m3"\naveraging = "8 h"\ncompare = "over"\ncitation = "house rule 1"\nedition = "2026"\n'
    )
    (tmp_path / "own.toml").write_text(text, encoding="utf-8")
    (limit,) = read_pack(tmp_path / "own.toml").limits
    assert limit.value == pytest.approx(1.5e-6)
    (tmp_path / "own.toml").write_text(text.replace("1,5 mg/m3", "1,500 mg/m3"), encoding="utf-8")
    with pytest.raises(Problems, match="can be read in two ways"):
        read_pack(tmp_path / "own.toml")


@pytest.mark.parametrize(
    ("text", "under"), [("< 0,1 %", True), ("<0.1 %", True), ("<= 0.1 %", False), ("≤ 0,1 %", False)]
)
def test_under_a_figure_is_not_the_figure(text: str, under: bool) -> None:
    """ "< 0,1 %" of benzene counted as 0.1 %, so what every maker prints of a naphtha kept it a cause of cancer."""
    span = SHARE.span(text)
    assert span.low == 0
    assert span.high == pytest.approx(0.001)
    assert (span.high < 0.001) is under


COATED = """
[product]
id = "primer"
name = "Primer (invented)"
role = "primer"
purpose = "primer"
part = [{ cas = "108-88-3", weight = "100 %" }]
[product.application]
coats = { any = 1 }
coverage = "100 ml/m2"
"""


def test_a_coverage_by_volume_without_density_is_asked_for_however_its_unit_is_spelt(tmp_path: Path) -> None:
    """The rule looked for a capital L: 100 ml/m2 of unknown density counted as 0.1 g/m2, a thousandth of the vapour."""
    with pytest.raises(Problems, match="a coverage by volume needs the product's density"):
        read_shop(write_shop(tmp_path / "shed", SHOP, {"primer": COATED}, {}))


@pytest.mark.parametrize("text", ["-5 to 10 degC", "-5 degC to 10 degC", "-5-10 °C"])
def test_a_range_may_begin_below_zero(text: str) -> None:
    read, meant = AIR_TEMPERATURE.span(text), AIR_TEMPERATURE.span(["-5 degC", "10 degC"])
    assert (read.low, read.high) == (meant.low, meant.high)
