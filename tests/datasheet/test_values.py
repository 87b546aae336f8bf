"""What is made of one printed value; where two readings are possible, nothing."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from safety.datasheet.record import Draft
from tests.datasheet.invented import PANEL, THINNER, Product, layout, pdf
from tests.datasheet.scored import read


def drafted(folder: Path, product: Product, name: str = "plain") -> Draft:
    (draft,) = read(folder, pdf(product, layout(name)))
    return draft


def with_(section: str, label: str, value: str) -> Product:
    rows = getattr(PANEL, section)
    return replace(PANEL, **{section: tuple((one, value if one.startswith(label) else old) for one, old in rows)})


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("-8 °C", "-8 degC"),
        ("− 8 °C", "-8 degC"),
        ("18 °F (-8 °C) TCC", "-8 degC"),
        ("17.6 F TCC", "-8 degC"),
        ("-8°C c.c. EN ISO 13736:2013", "-8 degC"),
        ("265.15 K", "-8 degC"),
        ("-8 °C to -2 °C", "-8 degC"),
        ("-8 °C (closed cup); 2 °C (open cup)", "-8 degC"),
        ("12 °C (open cup)", "12 degC"),
        ("18 °F (-1 °C)", None),  # the two do not agree
        ("< 23 °C", None),
        ("> 93 °C", None),  # does not go with H225
        ("-8 °C (acetone)", None),
        ("-8 °C (propellant)", None),
        ("Heavy grade: -8 °C, light grade: -12 °C", None),
        ("None", None),
        ("not applicable", None),
        ("n.d.", None),
        ("-8", None),  # no unit
        ("\u25a08 °C", None),  # a sign the font does not tell: a minus?
        ("above 100", None),
    ],
)
def test_flash_point(tmp_path: Path, printed: str, read_as: str | None) -> None:
    draft = drafted(tmp_path, with_("physical", "Flash", printed))
    value = draft.values.get("flash_point")
    assert (value.written if value else None) == read_as
    if read_as is None:
        assert any("flash point" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("172 - 210 °F (78 - 99 °C)", "78 degC"),
        ("280 °F (138 °C) - 390 °F (199 °C)", "138 degC"),
        ("ab 78 °C", "78 degC"),
        ("78 °C (1013 hPa)", "78 degC"),
        ("78 °C @ 760 mmHg", "78 degC"),
        ("78 °C (101.3 kPa)", "78 degC"),
        ("78 °C at 1 hPa", None),
        ("78 °C (isopropanol)", None),
        ("100 °C (water phase)", None),
        ("decomposes at 78 °C", None),
        ("78-99", None),
    ],
)
def test_boiling_point(tmp_path: Path, printed: str, read_as: str | None) -> None:
    value = drafted(tmp_path, with_("physical", "Boiling", printed)).values.get("boiling_point")
    assert (value.written if value else None) == read_as


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("0.716", "0.716 g/mL"),
        ("716 kg/m³", "0.716 g/mL"),
        ("1,170 kg/m³", "1.17 g/mL"),  # only the thousands can be right
        ("5.98 lb/gal", "0.7166 g/mL"),
        ("0,716 g/ml", "0.716 g/mL"),
        ("0.716 - 0.730 g/cm³", "0.73 g/mL"),
        ("0.71 (Clear), 0.93 (Amber)", None),
        ("0.75 (concentrate, without propellant)", None),
        ("1.3 (air = 1)", None),
        ("716", None),
        ("> 0.7", None),
    ],
)
def test_density(tmp_path: Path, printed: str, read_as: str | None) -> None:
    value = drafted(tmp_path, with_("physical", "Density", printed)).values.get("density")
    assert (value.written if value else None) == read_as


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("5.98 lb/gal", "716.6 g/L"),
        ("< 30 g/l", "30 g/L"),
        ("500 - 600 g/l", "600 g/L"),
        ("0 g/L (exempt)", "0 g/L"),
        ("690 g/l (material); 715 g/l (coating, less water)", "690 g/L"),
        ("EU limit value for this product (cat. B/e): 840 g/l. This product contains max. 700 g/l VOC.", "700 g/L"),
        ("700 g/L less water and exempt solvents", None),
        ("700 g/L (parts A + B mixed)", None),
        ("2.1 lb/gal solids", None),
        ("100 %", None),
        ("800 g/l", None),  # more than the density
    ],
)
def test_voc(tmp_path: Path, printed: str, read_as: str | None) -> None:
    value = drafted(tmp_path, with_("physical", "VOC", printed)).values.get("voc")
    assert (value.written if value else None) == read_as


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("14/06/2025", "2025-06-14"),
        ("06/14/2025", "2025-06-14"),
        ("5/6/2025", "2025-06-05"),  # day first: the sheet speaks of European law
        ("14.06.25", "2025-06-14"),
        ("June 14th, 2025", "2025-06-14"),
        ("14-jun-2025", "2025-06-14"),
        ("Jun-14-2025", "2025-06-14"),
        ("2025/06/14", "2025-06-14"),
        ("31/02/2025", None),
        ("2031-06-14", None),
        ("June 2025", None),
        ("Version 7", None),
    ],
)
def test_revision_date(tmp_path: Path, printed: str, read_as: str | None) -> None:
    value = drafted(tmp_path, with_("identity", "Revision", printed)).values.get("sds_revised")
    assert (value.written if value else None) == read_as


def test_two_revision_dates_are_asked_about(tmp_path: Path) -> None:
    draft = drafted(tmp_path, replace(PANEL, other=("Revision date: 2024-01-01",)))
    assert "sds_revised" not in draft.values
    assert any("2024-01-01" in sentence and "2025-06-14" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize(
    ("printed", "low", "high"),
    [
        ("25<=x<50", 25, 50),
        ("40 < 60 %", 40, 60),
        (">10 - <=20", 10, 20),
        ("50...70", 50, 70),
        ("max. 3", 0, 3),
        ("up to 5", 0, 5),
        ("bis 5", 0, 5),
        ("inferior o igual a 5 %", 0, 5),
        ("ab 50", 50, 100),
        ("< 0.1 %", 0, 0.1),
        ("1,000 ppm", 0.1, 0.1),
        ("36.0", 36, 36),
        ("> 50", 50, 100),
        ("balance", 59.5, 80),  # what the others leave
        ("trade secret", 0, 80),
        ("-", 0, 80),
        ("5O - 70", 0, 80),  # a letter: nothing is mended
        ("50 - 70 vol.-%", 0, 80),  # by volume
    ],
)
def test_share(tmp_path: Path, printed: str, low: float, high: float) -> None:
    first, *others = PANEL.parts
    draft = drafted(tmp_path, replace(PANEL, parts=(replace(first, share=printed), *others)))
    part = draft.parts[0]
    assert (part.cas, part.low, part.high) == (first.cas, low, high)
    if high == 80:
        assert any("heptane" in sentence for sentence in draft.warnings)


def test_a_wrong_check_digit_leaves_the_number_out(tmp_path: Path) -> None:
    first, *others = PANEL.parts
    draft = drafted(tmp_path, replace(PANEL, parts=(replace(first, cas="142-82-6"), *others)))
    assert (draft.parts[0].name, draft.parts[0].cas) == ("heptane, isomers", "")
    assert any("142-82-6" in sentence and "5" in sentence for sentence in draft.warnings)


def test_numbers_are_put_together_inside_their_cell(tmp_path: Path) -> None:
    first, second, third, _ = PANEL.parts
    parts = (replace(first, cas="000142-82-5"), replace(second, cas="67–63–0"), replace(third, cas="67- 64-1"))
    assert [part.cas for part in drafted(tmp_path, replace(PANEL, parts=parts)).parts] == [
        "142-82-5",
        "67-63-0",
        "67-64-1",
    ]
    broken = replace(first, cas="9016-87-9", name="polymeric MDI")
    assert drafted(tmp_path, replace(PANEL, parts=(broken,)), "narrow columns").parts[0].cas == "9016-87-9"


def test_one_substance_in_two_rows_is_added_and_asked_about(tmp_path: Path) -> None:
    first, second, *_ = PANEL.parts
    draft = drafted(tmp_path, replace(PANEL, parts=(first, second, replace(first, share="5 - 10"))))
    assert [(part.cas, part.low, part.high) for part in draft.parts] == [(first.cas, 55, 80), (second.cas, 20, 30)]
    assert any("two rows" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize("head", ["% by volume", "Vol.-%"])
def test_shares_by_volume_are_left_open(tmp_path: Path, head: str) -> None:
    columns = (*PANEL.columns[:3], head, PANEL.columns[4])
    draft = drafted(tmp_path, replace(PANEL, columns=columns))
    assert {(part.low, part.high) for part in draft.parts} == {(0, 100)}


def test_upper_ends_alone_have_no_lower_ends(tmp_path: Path) -> None:
    first, second, *_ = PANEL.parts
    columns = (*PANEL.columns[:3], "Wt % less than", PANEL.columns[4])
    draft = drafted(
        tmp_path, replace(PANEL, columns=columns, parts=(replace(first, share="70"), replace(second, share="30")))
    )
    assert [(part.low, part.high) for part in draft.parts] == [(0, 70), (0, 30)]


def test_r_phrases_are_no_hazard_codes(tmp_path: Path) -> None:
    draft = drafted(tmp_path, replace(PANEL, hazards=(("Classification", "F; R11 Xn; R65 Xi; R38 R67 N; R51/53"),)))
    assert "hazards" not in draft.values
    assert any("GHS" in sentence for sentence in draft.warnings)


def test_a_milder_signal_word_is_told(tmp_path: Path) -> None:
    draft = drafted(tmp_path, with_("hazards", "Signal", "Warning"))
    assert any("signal word" in sentence for sentence in draft.warnings)


def test_a_class_without_its_statement_is_taken(tmp_path: Path) -> None:
    """The label may leave out what a graver statement covers; leaving out more loses a hazard."""
    product = replace(
        PANEL,
        hazards=(PANEL.hazards[0], PANEL.hazards[1], ("Hazard statements", "H225 Highly flammable liquid and vapour.")),
    )
    assert drafted(tmp_path, product).values["hazards"].written == PANEL.expect["hazards"]


def test_the_law_of_the_first_sections_tells_the_order_of_a_date(tmp_path: Path) -> None:
    """An American sheet whose section 15 lists the inventories of the world was read day first."""
    product = replace(
        THINNER,
        identity=tuple((one, "04/05/2025" if one == "Revision date" else old) for one, old in THINNER.identity),
        hazards=(("Classification (29 CFR 1910.1200)", "Flammable liquids, Category 3"), *THINNER.hazards[1:]),
        other=("Inventories: TSCA, REACH, 1907/2006.",),
    )
    draft = drafted(tmp_path, product)
    assert draft.values["sds_revised"].written == "2025-04-05"
    assert any("month, day, year" in sentence for sentence in draft.warnings)
