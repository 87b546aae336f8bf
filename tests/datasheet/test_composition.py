"""Section 3 as it is really laid out: tables, cards, lists, one above the other."""

from __future__ import annotations

from pathlib import Path

import pytest

from safety.datasheet.record import Draft
from tests.datasheet.scored import read

SHEET = """SAFETY DATA SHEET
according to Regulation (EC) No 1907/2006
SECTION 1: Identification of the substance/mixture and of the company/undertaking
Product name: Alder 1
Revision date: 2025-05-05
SECTION 2: Hazards identification
{hazards}
SECTION 3: Composition/information on ingredients
3.2 Mixtures
{parts}
SECTION 4: First aid measures
Air.
SECTION 5: Firefighting measures
Foam.
SECTION 9: Physical and chemical properties
9.1 Information on basic physical and chemical properties
{physical}
SECTION 10: Stability and reactivity
Stable. (This sheet is invented. There is no such product.)
"""
PHYSICAL = "Flash point: -8 °C\nDensity: 0.72 g/cm3\nBoiling point: 78 °C\nVOC: 700 g/l"


def sheet(
    folder: Path,
    parts: str = "Toluene  108-88-3  100 %",
    physical: str = PHYSICAL,
    hazards: str = "H225 Highly flammable liquid and vapour.",
) -> Draft:
    text = SHEET.format(parts=parts, physical=physical, hazards=hazards)
    (draft,) = read(folder, text.encode(), "sheet.txt")
    return draft


TWO = [("Toluene", "108-88-3", 30, 60), ("Acetone", "67-64-1", 10, 30)]
LAYOUTS = {
    "cards": """Toluene
CAS number: 108-88-3        EC number: 203-625-9
Concentration: 30 - 60 %
Classification
Flam. Liq. 2 - H225

Acetone
CAS number: 67-64-1        EC number: 200-662-2
Concentration: 10 - < 30 %
Classification
Flam. Liq. 2 - H225""",
    "cards with the share beside the name": """Toluene                                             30-60%
CAS number: 108-88-3     EC number: 203-625-9    REACH registration number: 01-2119471310-51-XXXX
Classification
Flam. Liq. 2 - H225

Acetone                                             10-30%
CAS number: 67-64-1     EC number: 200-662-2    REACH registration number: 01-2119471330-49-XXXX
Classification
Flam. Liq. 2 - H225
The full text for all hazard statements is displayed in Section 16.""",
    "numbers one below the other": """Name                       Product identifier              %           Classification according to Regulation (EC) No. 1272/2008
Toluene                    (CAS-No.) 108-88-3              30 - 60     Flam. Liq. 2, H225
                           (EC-No.) 203-625-9                          Repr. 2, H361d
                           (EC Index-No.) 601-021-00-3
Acetone                    (CAS-No.) 67-64-1               10 - 30     Flam. Liq. 2, H225
                           (EC-No.) 200-662-2
                           (EC Index-No.) 606-001-00-8""",
    "least and most": """Chemical name        CAS No.      Min. %    Max. %
Toluene              108-88-3     30        60
Acetone              67-64-1      10        30""",
    "least and most in a head of two lines": """Component            CAS-No.      Weight %     Weight %
                                  (min)        (max)
Toluene              108-88-3     30           60
Acetone              67-64-1      10           30""",
    "lines": """Toluene (CAS 108-88-3) 30 - 60 %
Acetone (CAS 67-64-1) 10 - 30 %""",
    "a list": "Ingredients: Toluene [CAS 108-88-3] (30-60%), Acetone [CAS 67-64-1] (10-30%)",
    "numbers first": """CAS-No.       Chemical name               Weight %
108-88-3      Toluene                     30-60
67-64-1       Acetone                     10-30""",
    "R-phrases beside": """CAS-Nr.        Bezeichnung                    %         Symbol  R-Sätze
108-88-3       Toluene                        30-60     F,Xn    11-38-48/20-63-65-67
203-625-9
67-64-1        Acetone                        10-30     F,Xi    11-36-66-67""",
    "limits beside": """Ingredient     CAS No.     Wt %     OSHA PEL    ACGIH TLV
Toluene        108-88-3    30-60    200 ppm     20 ppm
Acetone        67-64-1     10-30    1000 ppm    250 ppm""",
    "words": """Component      CAS RN       Amount
Toluene        108-88-3     between 30 and 60 %
Acetone        67-64-1      10 to 30 %""",
    "specific limits below": """Name         CAS No.     % w/w      Classification
Toluene      108-88-3    30 - 60    Flam. Liq. 2 H225
Acetone      67-64-1     10 - 30    Eye Irrit. 2 H319
Specific concentration limits
Name         CAS No.     Specific concentration limits
Acetone      67-64-1     Eye Irrit. 2 H319: C >= 5 %""",
    "two cells that run together": """N.º CAS        Componente       % en peso N.º CE     Clasificación
108-88-3       Toluene          30 - 60 203-625-9    Flam. Liq. 2
67-64-1        Acetone          10 - 30 200-662-2    Flam. Liq. 2""",
    "names below their numbers": """Gefährliche Inhaltsstoffe      Einstufung                       Gew.-%
CAS: 108-88-3                  Flam. Liq. 2, H225               30 - 60
EINECS: 203-625-9              Repr. 2, H361d
Toluene
CAS: 67-64-1                   Flam. Liq. 2, H225               10 - 30
EINECS: 200-662-2
Acetone""",
    "names above their numbers": """Toluene
EINECS       CAS         CLP classification          Percent
203-625-9    108-88-3    Flam. Liq. 2: H225          30-60%
                         Repr. 2: H361d
Acetone
200-662-2    67-64-1     Flam. Liq. 2: H225          10-30%""",
}  # fmt: skip


def test_a_long_name_that_pushes_its_row_aside(tmp_path: Path) -> None:
    parts = """Name              CAS No.      EC No.       % w/w      Classification
2,2,4-Trimethyl-1,3-pentanediol monoisobutyrate   25265-77-4   246-771-9    1 - 2      not classified
Toluene           108-88-3     203-625-9    30 - 60    Flam. Liq. 2 H225"""
    found = sheet(tmp_path, parts).parts
    assert [(part.cas, part.low, part.high) for part in found] == [("25265-77-4", 1, 2), ("108-88-3", 30, 60)]


HEAD = ("Chemical name", "CAS No.", "Concentration")
LIMONENE = ("d-Limonene", "5989-27-5", "60 - 80 %")
WITHHELD = ("Trade secret surfactant", "proprietary", "5-10%")
ETHANOL = ("Ethanol", "64-17-5", "10 - <15 %")
READ = {
    LIMONENE[0]: ("d-Limonene", "5989-27-5", 60, 80),
    WITHHELD[0]: ("Trade secret surfactant", "", 5, 10),
    ETHANOL[0]: ("Ethanol", "64-17-5", 10, 15),
}
GAPS = pytest.mark.parametrize("gap", ["  ", "   ", "    ", "\t"], ids=["2", "3", "4", "tab"])


def table(gap: str, *rows: tuple[str, ...]) -> str:
    """Cells by their order only: no column stands under its head."""
    return "\n".join(gap.join(row) for row in rows)


def found_in(draft: Draft) -> list[tuple[str, str, float, float]]:
    return [(part.name, part.cas, part.low, part.high) for part in draft.parts]


@GAPS
@pytest.mark.parametrize(
    "rows",
    [(LIMONENE, WITHHELD, ETHANOL), (WITHHELD, LIMONENE, ETHANOL), (LIMONENE, ETHANOL, WITHHELD)],
    ids=["between", "first", "last"],
)
def test_a_withheld_part_keeps_its_row(tmp_path: Path, gap: str, rows: tuple[tuple[str, ...], ...]) -> None:
    """It was one part with the next: "Trade secret surfactant Ethanol", 64-17-5, 0 to 40 %."""
    draft = sheet(tmp_path, table(gap, HEAD, *rows))
    assert found_in(draft) == [READ[row[0]] for row in rows]
    assert any("withheld" in sentence and "Trade secret surfactant" in sentence for sentence in draft.warnings)


@GAPS
@pytest.mark.parametrize(
    ("head", "row"),
    [
        (("Bezeichnung", "CAS-Nr.", "Gehalt"), ("Nichtionisches Tensid", "Betriebsgeheimnis", "5 - 10 %")),
        (("Nombre químico", "N.º CAS", "Concentración"), ("Tensioactivo no iónico", "secreto comercial", "5 - 10 %")),
        (HEAD, ("Soap", "proprietary", "5-10 %")),
        (HEAD, ("Trade secret surfactant", "5-10%")),
    ],
    ids=["German", "Spanish", "short name", "no word"],
)
def test_a_word_for_the_number_in_every_language(
    tmp_path: Path, gap: str, head: tuple[str, ...], row: tuple[str, ...]
) -> None:
    found = found_in(sheet(tmp_path, table(gap, head, LIMONENE, row, ETHANOL)))
    assert found == [READ["d-Limonene"], (row[0], "", 5, 10), READ["Ethanol"]]


@GAPS
@pytest.mark.parametrize("row", [WITHHELD[:2], ("Soap", "proprietary"), WITHHELD[:1]], ids=["long", "short", "name"])
def test_a_withheld_part_without_a_share_may_be_anything(tmp_path: Path, gap: str, row: tuple[str, ...]) -> None:
    draft = sheet(tmp_path, table(gap, HEAD, LIMONENE, row, ETHANOL))
    assert found_in(draft) == [READ["d-Limonene"], (row[0], "", 0, 30), READ["Ethanol"]]
    assert any(sentence.startswith(f"{row[0]}: ") and "share" in sentence for sentence in draft.warnings)


@GAPS
def test_a_missing_share_does_not_take_the_next_ones(tmp_path: Path, gap: str) -> None:
    draft = sheet(tmp_path, table(gap, HEAD, LIMONENE, ETHANOL[:2], WITHHELD))
    assert found_in(draft) == [READ["d-Limonene"], ("Ethanol", "64-17-5", 0, 35), READ["Trade secret surfactant"]]
    assert any(sentence.startswith("Ethanol: no share") for sentence in draft.warnings)


@pytest.mark.parametrize("first", ["Ethanol", "Surfactant"])
def test_a_number_and_a_share_of_two_rows_are_two_parts(tmp_path: Path, first: str) -> None:
    """The share of the part without a number became that of its neighbour without a share."""
    rows = {
        "Ethanol": "Ethanol                   64-17-5",
        "Surfactant": "Surfactant                              5 - 10 %",
    }
    head = "Chemical name             CAS No.       Concentration"
    limonene = "d-Limonene                5989-27-5     60 - 80 %"
    order = sorted(rows, key=lambda name: name != first)
    found = found_in(sheet(tmp_path, "\n".join([head, limonene, *map(rows.__getitem__, order)])))
    read_as = {"Ethanol": ("Ethanol", "64-17-5", 0, 35), "Surfactant": ("Surfactant", "", 5, 10)}
    assert found[1:] == [read_as[name] for name in order]


@GAPS
def test_figures_in_the_place_of_a_share_that_nobody_can_read_are_said(tmp_path: Path, gap: str) -> None:
    draft = sheet(tmp_path, table(gap, HEAD, LIMONENE, ("Trade secret surfactant", "", "5-1O%"), ETHANOL))
    assert found_in(draft) == [READ["d-Limonene"], ("Trade secret surfactant", "", 0, 30), READ["Ethanol"]]
    assert any('"5-1O%"' in sentence for sentence in draft.warnings)


def test_figures_beside_a_share_that_nobody_can_read_are_said(tmp_path: Path) -> None:
    parts = """Chemical name             CAS No.       Concentration
d-Limonene                5989-27-5     60 - 80 %
Ethanol                   64-17-5       5 - 10 %
                                        or 2O %"""
    draft = sheet(tmp_path, parts)
    assert found_in(draft)[1] == ("Ethanol", "64-17-5", 0, 40)
    assert any('"5 - 10 % or 2O %"' in sentence for sentence in draft.warnings)


@GAPS
def test_a_name_of_two_lines_stays_with_its_withheld_part(tmp_path: Path, gap: str) -> None:
    found = found_in(sheet(tmp_path, table(gap, HEAD, LIMONENE, WITHHELD, ("and defoamer",), ETHANOL)))
    assert found == [READ["d-Limonene"], ("Trade secret surfactant and defoamer", "", 5, 10), READ["Ethanol"]]


WIDER = {
    "class": [
        ("Name", "CAS No.", "EC No.", "% w/w", "Classification"),
        ("Toluene", "108-88-3", "203-625-9", "30 - 60", "Flam. Liq. 2 H225"),
        ("Nonionic surfactant, ethoxylated", "proprietary", "-", "5 - 10", "Eye Dam. 1 H318"),
        ("Acetone", "67-64-1", "200-662-2", "10 - 30", "Flam. Liq. 2 H225"),
    ],
    "least and most": [
        ("Name", "CAS No.", "Min. %", "Max. %"),
        ("Toluene", "108-88-3", "30", "60"),
        ("Nonionic surfactant, ethoxylated", "proprietary", "5", "10"),
        ("Acetone", "67-64-1", "10", "30"),
    ],
}


@GAPS
@pytest.mark.parametrize("name", WIDER)
def test_full_rows_that_stand_nowhere_under_their_heads(tmp_path: Path, gap: str, name: str) -> None:
    """ "10 - 30" cut before its dash was 10 %, and an EC number stood in the place of the share."""
    found = found_in(sheet(tmp_path, table(gap, *WIDER[name])))
    assert found == [TWO[0], ("Nonionic surfactant, ethoxylated", "", 5, 10), TWO[1]]


@pytest.mark.parametrize("name", LAYOUTS)
def test_two_parts_in_every_layout(tmp_path: Path, name: str) -> None:
    found = sheet(tmp_path, LAYOUTS[name]).parts
    assert [(part.name, part.cas, part.low, part.high) for part in found] == TWO


def test_a_part_without_a_number_is_kept(tmp_path: Path) -> None:
    """It was dropped, and the rest of the can looked like all of it."""
    found = sheet(tmp_path, LAYOUTS["lines"] + "\nProprietary additives < 5 %").parts
    assert [(part.name, part.cas, part.high) for part in found][2:] == [("Proprietary additives", "", 5)]


def test_a_substance_named_in_a_footnote_is_no_part_and_is_told(tmp_path: Path) -> None:
    parts = "Name         CAS No.     % w/w\nNaphtha      64742-49-0  60 - 80\nToluene      108-88-3    20 - 40\nNote P: contains less than 0.1 % w/w benzene (CAS 71-43-2)."
    draft = sheet(tmp_path, parts)
    assert [part.cas for part in draft.parts] == ["64742-49-0", "108-88-3"]
    assert any("71-43-2" in sentence for sentence in draft.warnings)


def test_a_substance_by_itself(tmp_path: Path) -> None:
    draft = sheet(tmp_path, "Substance name:   Toluene\nCAS number:       108-88-3\nPurity:           >= 99.5 %")
    assert [(part.name, part.cas, part.low, part.high) for part in draft.parts] == [("Toluene", "108-88-3", 99.5, 100)]


def test_a_specific_limit_is_no_share(tmp_path: Path) -> None:
    """ "C >= 20 %" beside a class was read as 20 to 100 % where the table had no heads."""
    draft = sheet(tmp_path, "Acetone      67-64-1     < 10      Eye Irrit. 2 H319 (C >= 20 %)")
    assert [(part.low, part.high) for part in draft.parts] == [(0, 10)]


PROPERTIES = {
    "remarks beside": """Property                     Values             Remarks / Method
pH                           No data available  None known
Boiling point / range        78  °C / 172  °F   None known
Flash point                  -8  °C / 18  °F    CC (closed cup)
Relative density             0.72
VOC Content (%)              100
VOC (g/L)                    700""",
    "values below": """Flash point
-8 °C (closed cup)
Boiling point
78 °C
Relative density
0.72
VOC
700 g/l""",
    "values below in columns": """Flash point             Boiling point           Relative density
-8 °C                   78 °C                   0.72
VOC
700 g/l""",
    "units in a column": """Parameter             Value        Unit       Method
Flash point           -8           °C         ISO 13736
Initial boiling point 78           °C
Density (20 °C)       0,72         g/cm3      DIN 51757
VOC                   700          g/l""",
    "units in the label": """Flash Point, °C: -8        Boiling Range, °C: 78 - 99
Relative Density: 0.72      VOC, Actual g/L: 700""",
}  # fmt: skip


@pytest.mark.parametrize("name", PROPERTIES)
def test_properties_in_every_layout(tmp_path: Path, name: str) -> None:
    values = sheet(tmp_path, physical=PROPERTIES[name]).values
    assert {key: values[key].written for key in ("flash_point", "boiling_point", "density", "voc")} == {
        "flash_point": "-8 degC",
        "boiling_point": "78 degC",
        "density": "0.72 g/mL",
        "voc": "700 g/L",
    }


def test_codes_however_they_are_strung_together(tmp_path: Path) -> None:
    hazards = "Flammable liquids (Category 2), H225\nH315 + H319, H336, H361d; EUH 066\nH304-373"
    assert sheet(tmp_path, hazards=hazards).values["hazards"].written == [
        "H225",
        "H304",
        "H315",
        "H319",
        "H336",
        "H361d",
        "H373",
        "EUH066",
    ]


def test_classes_in_a_table_without_statements(tmp_path: Path) -> None:
    """ "Not classified" of the last lines made the whole product harmless, and "Disposal" ended the section."""
    hazards = """Physical hazards          Flammable liquids                                     Category 2
Health hazards            Skin corrosion/irritation                              Category 2
                          Serious eye damage/eye irritation                      Category 2A
                          Reproductive toxicity (the unborn child)               Category 2
                          Specific target organ toxicity, single exposure        Category 3 narcotic effects
                          Specific target organ toxicity following repeated exposure   Category 2
                          Aspiration hazard                                      Category 1
Environmental hazards     Not classified.
OSHA defined hazards      Not classified.
Disposal
Dispose of contents.
Supplemental information  EUH066"""
    found = sheet(tmp_path, hazards=hazards).values
    assert found["hazards"].written == ["H225", "H304", "H315", "H319", "H336", "H361", "H373", "EUH066"]
    assert "not_classified" not in found


@pytest.mark.parametrize(
    "hazards",
    [
        "Physical hazards: Not classified. Signal word: Danger. Words that nobody here reads.",
        "Flammable liquids, Category 9: not classified.",
        "Skin corrosion/irritation: Not classified\nWords in a language that nobody here reads.",
        "Acute toxicity (oral): Not classified\nSkin irritation: Not classified",
    ],
)
def test_a_class_that_is_denied_does_not_clear_the_product(tmp_path: Path, hazards: str) -> None:
    found = sheet(tmp_path, hazards=hazards, physical="Flash point: not applicable").values
    assert "not_classified" not in found
    assert "hazards" not in found


@pytest.mark.parametrize(
    "words",
    [
        "Not classified",
        "GHS classification: not classified",
        "Classification of the substance or mixture Not hazardous.",
    ],
)
def test_the_product_itself_may_be_denied_in_few_words(tmp_path: Path, words: str) -> None:
    found = sheet(tmp_path, "Water  7732-18-5  100 %", "Flash point: not applicable", words).values
    assert found["not_classified"].written is True


@pytest.mark.parametrize(
    ("hazards", "told"),
    [
        (
            "Flammable liquids, Category 2\nSpecific target organ toxicity (single exposure), Category 3",
            "single exposure",
        ),
        ("Flammable liquids, Category 2\nAcute toxicity, Category 3", "acute toxicity, category 3"),
        ("Flammable liquids, Category 2\nKorrosiv gegenüber Metallen, Kategorie 1", "metallen, kategorie 1"),
    ],
)
def test_a_class_that_was_not_read_is_said(tmp_path: Path, hazards: str, told: str) -> None:
    """Beside a class that was read it was left out without a word: the product had H225 and nothing else."""
    draft = sheet(tmp_path, hazards=hazards)
    assert draft.values["hazards"].written == ["H225"]
    assert [told in sentence for sentence in draft.warnings if "could not be told" in sentence] == [True]


def test_a_class_whose_statement_stands_beside_it_is_read(tmp_path: Path) -> None:
    hazards = "Flammable liquids, Category 2\nAcute toxicity, Category 3\nH225\nH301"
    draft = sheet(tmp_path, hazards=hazards)
    assert draft.values["hazards"].written == ["H225", "H301"]
    assert not any("could not be told" in sentence for sentence in draft.warnings)


def test_not_classified_does_not_go_with_a_low_flash_point(tmp_path: Path) -> None:
    draft = sheet(tmp_path, hazards="This mixture is not classified as hazardous.")
    assert "not_classified" not in draft.values
    assert any("flash point" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("Open cup: 40 °C. Closed cup: 30 °C", "30 degC"),
        ("30 °C (CC), 40 °C (OC)", "30 degC"),
        ("Closed cup: 27°C (80.6°F) [Setaflash]", "27 degC"),
        ("27°C/80°F", "27 degC"),
    ],
)
def test_the_method_belongs_to_its_own_figure(tmp_path: Path, printed: str, read_as: str) -> None:
    """ "Open cup: 40 °C. Closed cup: 30 °C" was read as 40 °C in a closed cup: the word behind the figure was the next one's."""
    assert sheet(tmp_path, physical=f"Flash point: {printed}", hazards="H226").values["flash_point"].written == read_as


def test_not_classified_is_said_and_lists_no_hazard(tmp_path: Path) -> None:
    draft = sheet(
        tmp_path,
        "Water  7732-18-5  100 %",
        "Flash point: not applicable",
        "This mixture is not classified as hazardous according to Regulation (EC) 1272/2008.",
    )
    assert draft.values["not_classified"].written is True
    assert "hazards" not in draft.values
    assert any("not classified" in sentence for sentence in draft.warnings)
