"""One product, drawn in many layouts, is read the same in each."""

from __future__ import annotations

from dataclasses import replace
from io import BytesIO
from pathlib import Path
from random import Random

import pytest
from reportlab.lib.pagesizes import A4
from reportlab.pdfgen.canvas import Canvas

from tests.datasheet.invented import (
    EN,
    LAYOUTS,
    PANEL,
    PRODUCTS,
    THINNER,
    Layout,
    Product,
    any_layout,
    layout,
    pdf,
    pdf_of,
)
from tests.datasheet.scored import read, score


@pytest.mark.parametrize("product", PRODUCTS, ids=lambda product: product.name)
@pytest.mark.parametrize("drawn", LAYOUTS, ids=lambda drawn: drawn.name)
def test_every_field_is_read_in_every_layout(tmp_path: Path, drawn: Layout, product: Product) -> None:
    found = score(tmp_path, product, drawn)
    assert {kind: found[kind] for kind in ("wrong", "missed", "invented", "unsafe")} == dict.fromkeys(
        ("wrong", "missed", "invented", "unsafe"), 0
    )
    assert found["right"] == 1 + len(product.expect) + len(product.parts)


@pytest.mark.parametrize("seed", range(24))
def test_every_field_is_read_in_any_layout(tmp_path: Path, seed: int) -> None:
    """A digit of a CAS number by itself on a line was dropped as the number of a page."""
    draw = Random(seed)
    product = draw.choice(PRODUCTS)
    found = score(tmp_path, product, any_layout(draw))
    assert found["right"] == 1 + len(product.expect) + len(product.parts), found


def test_a_kit_in_one_file_is_two_drafts(tmp_path: Path) -> None:
    first = replace(
        PANEL, name="Dunlin Base Part A", identity=(("Product name", "Dunlin Base Part A"), *PANEL.identity[1:])
    )
    second = replace(
        THINNER,
        name="Dunlin Hardener Part B",
        identity=(("Product name", "Dunlin Hardener Part B"), *THINNER.identity[1:]),
    )
    one, other = read(tmp_path, pdf_of([first, second], layout("plain")))
    assert (one.name, other.name) == ("Dunlin Base Part A", "Dunlin Hardener Part B")
    assert one.values["flash_point"].written == "-8 degC"
    assert other.values["flash_point"].written == "29 degC"
    assert {part.cas for part in one.parts} & {part.cas for part in other.parts} == set()


def test_the_same_sheet_in_two_languages_is_one_draft(tmp_path: Path) -> None:
    spanish = replace(
        PANEL,
        language="es",
        headings=(
            "Identificación",
            "Identificación de los peligros",
            "Composición",
            "Primeros auxilios",
            "Medidas de lucha contra incendios",
            *("Otra información",) * 3,
            "Propiedades físicas y químicas",
        ),
        identity=(("Nombre comercial", PANEL.name),),
        physical=(("Punto de inflamación", "-11 ºC"), ("Densidad", "0,716 g/cm³")),
    )
    (draft,) = read(tmp_path, pdf_of([PANEL, spanish], layout("plain")))
    assert "flash_point" not in draft.values  # -8 or -11: a person asks
    assert draft.values["density"].written == "0.716 g/mL"
    assert any("two languages" in sentence for sentence in draft.warnings)


def test_codes_below_a_missing_heading_are_the_parts_own(tmp_path: Path) -> None:
    """Without the heading of section 3 its table stood under section 2, and H361f of a part became the product's."""
    headings = list(EN)
    headings[2] = "Notes of the maker"
    (draft,) = read(tmp_path, pdf(replace(PANEL, headings=tuple(headings)), layout("plain", numbers="{title}")))
    assert draft.values["hazards"].written == PANEL.expect["hazards"]
    assert draft.parts == []
    assert any("composition" in sentence for sentence in draft.warnings)


def test_turned_pages_are_read(tmp_path: Path) -> None:
    from io import BytesIO

    from pypdf import PdfWriter

    writer = PdfWriter(clone_from=BytesIO(pdf(PANEL, layout("plain"))))
    for page in writer.pages:
        page.rotate(90)
    turned = BytesIO()
    writer.write(turned)
    (draft,) = read(tmp_path, turned.getvalue())
    assert draft.values["flash_point"].written == "-8 degC"
    assert len(draft.parts) == len(PANEL.parts)


def test_two_parts_on_a_page_each_keep_what_stands_at_one_place_in_both(tmp_path: Path) -> None:
    """Section 1, the H-codes and the flash point counted as the heads and feet of the pages: with their figures taken
    out the lines of the two are the same, and the file was refused.
    """
    sheets = (
        ("A", "H315, H317, H319, H411", "25068-38-6", "60 - 80", "79", "2"),
        ("B", "H302, H314, H317, H412", "2855-13-2", "20 - 30", "101", "3"),
    )
    out = BytesIO()
    pen = Canvas(out, pagesize=A4)
    for part, codes, cas, share, flash, day in sheets:
        lines = (
            "Safety Data Sheet", f"Revised: 2025-09-0{day}", "SECTION 1: Identification",
            f"Product identifier: Linnet Filler Part {part}", "SECTION 2: Hazards identification",
            f"Hazard statements: {codes}", "SECTION 3: Composition/information on ingredients",
            f"Component {part}   {cas}   {share} %", "SECTION 8: Exposure controls/personal protection",
            "Gloves: nitrile", "SECTION 9: Physical and chemical properties", "Boiling point: 210 °C",
            f"Flash point: {flash} °C",
        )  # fmt: skip
        for number, line in enumerate(lines):
            pen.drawString(50, 800 - 13 * number, line)
        pen.showPage()
    pen.save()
    drafts = read(tmp_path, out.getvalue())
    assert [one.values["flash_point"].written for one in drafts] == ["79 degC", "101 degC"]
    assert [one.values["boiling_point"].written for one in drafts] == ["210 degC"] * 2
    assert [one.name for one in drafts] == ["Linnet Filler Part A", "Linnet Filler Part B"]
