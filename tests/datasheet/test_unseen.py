"""What sheets nobody had seen before were misread in: each case names the wrong answer it gave."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.datasheet.scored import read
from tests.datasheet.test_composition import PHYSICAL, SHEET, sheet

Row = tuple[str, str, float, float]


def parts_of(folder: Path, parts: str) -> list[Row]:
    return [(part.name, part.cas, part.low, part.high) for part in sheet(folder, parts).parts]


COMPOSITIONS: dict[str, tuple[str, list[Row]]] = {
    # xylene was lost as a second line of the heads, and its number given to ethylbenzene
    "numbers below their names, the first part right below the heads": (
        """Ingredients                Content            Classification
Xylene                     45 - 50 %          H226 H312 H332 H315
CAS 1330-20-7
Ethylbenzene               10 % - 12,5 %      H225 H332 H373 H304
CAS 100-41-4""",
        [("Xylene", "1330-20-7", 45, 50), ("Ethylbenzene", "100-41-4", 10, 12.5)],
    ),
    # water had the share of the surfactant, which was lost
    "a part without a number above one with it, no heads": (
        """Phosphoric acid     7664-38-2     not more than 30%
Nonionic surfactant mixture       1-3
Water               7732-18-5     q.s.""",
        [
            ("Phosphoric acid", "7664-38-2", 0, 30),
            ("Nonionic surfactant mixture", "", 1, 3),
            ("Water", "7732-18-5", 0, 99),
        ],
    ),
    # the share of naphtha was that of the benzene in its name
    "a percentage in the brackets of a name": (
        """n-Hexane; CAS 110-54-3; EC 203-777-6; 5 - < 10 %
Naphtha, light (benzene < 0.1 %); CAS 64742-49-0; EC 265-151-9; 50 - < 90 %""",
        [("n-Hexane", "110-54-3", 5, 10), ("Naphtha, light (benzene < 0.1 %)", "64742-49-0", 50, 90)],
    ),
    # the shares were taken by weight
    "shares by volume in running lines": (
        "Methanol 67-56-1, 35 % by volume\nWater 7732-18-5, 65 % v/v",
        [("Methanol", "67-56-1", 0, 100), ("Water", "7732-18-5", 0, 100)],
    ),
    # the share was 45 to 45 %
    "a range cut at the end of its line": (
        """Acetone                     CAS 67-64-1    EC 200-662-2    50 - 55 %
Ethyl acetate               CAS 141-78-6   EC 205-500-4    30 -
                                                           45 %""",
        [("Acetone", "67-64-1", 50, 55), ("Ethyl acetate", "141-78-6", 30, 45)],
    ),
    # the share was that of the aromatics in the name: 0 to 2 %
    "a percentage in a name, and a share with words between": (
        """Hydrocarbons, C9-C11, isoalkanes, < 2% aromatics
EC 919-857-5; CAS 64742-48-9; three quarters""",
        [("Hydrocarbons, C9-C11, isoalkanes, < 2% aromatics", "64742-48-9", 0, 100)],
    ),
    # the shares were taken by weight, the name was "Substance Butanone"
    "heads of two lines, the name in the lower": (
        """                      CAS          % by     Classification of the
Substance             number       volume   substance
Butanone              78-93-3      35-45    H225 H319 H336
Water                 7732-18-5    50-60""",
        [("Butanone", "78-93-3", 0, 100), ("Water", "7732-18-5", 0, 100)],
    ),
    # the share of propan-2-ol was 1 %
    "a share below a share, whose nobody can say": (
        """Name                  CAS          %
Butanone              78-93-3      35-45
Propan-2-ol           67-63-0      1
                                   0-20""",
        [("Butanone", "78-93-3", 35, 45), ("Propan-2-ol", "67-63-0", 0, 65), ("a part without a name", "", 0, 20)],
    ),
    # a part was lost, and the share of the other read as anything
    "cards, one with an EC number beside its CAS number": (
        """Alcohols, C9-11, ethoxylated                     <1%
CAS number: 68439-46-3
Classification: Eye Dam. 1 - H318

Propan-2-ol                                       1-5%
CAS number: 67-63-0       EC number: 200-661-7
Classification: Flam. Liq. 2 - H225""",
        [("Alcohols, C9-11, ethoxylated", "68439-46-3", 0, 1), ("Propan-2-ol", "67-63-0", 1, 5)],
    ),
    # both parts were lost
    "a list in one line that ends in words": (
        "Acetone (CAS 67-64-1) 60-80%; Methanol (CAS 67-56-1) 5-10%; the balance is not hazardous.",
        [("Acetone", "67-64-1", 60, 80), ("Methanol", "67-56-1", 5, 10)],
    ),
    # "2 % aromatics" was a part, the introduction a name
    "numbers before names, no heads, a percentage in a name": (
        """Description: Mixture of the substances below with harmless additions.
CAS: 64742-48-9              Hydrocarbons, C9-C11, n-alkanes, cyclics, <        50-100%
EC number: 919-857-5         2 % aromatics

CAS: 34590-94-8              (2-methoxymethylethoxy)propanol                    10-<25%""",
        [
            ("Hydrocarbons, C9-C11, n-alkanes, cyclics, < 2 % aromatics", "64742-48-9", 50, 100),
            ("(2-methoxymethylethoxy)propanol", "34590-94-8", 10, 25),
        ],
    ),
    # the upper ends were 100 %
    "least and most under heads in brackets": (
        """Chemical name         CAS-No.      Min. [%]    Max. [%]
Xylene                1330-20-7    10          20
Ethylbenzene          100-41-4     2.5         5""",
        [("Xylene", "1330-20-7", 10, 20), ("Ethylbenzene", "100-41-4", 2.5, 5)],
    ),
    # the shares were 0 to 80 %: withheld
    "a range that is called a trade secret": (
        """Ingredient        C.A.S. No.     % by Wt
Acetone           67-64-1        20 -  30 Trade Secret *
Toluene           108-88-3        5 -  15 Trade Secret *""",
        [("Acetone", "67-64-1", 20, 30), ("Toluene", "108-88-3", 5, 15)],
    ),
    # no part was read
    "a list of lines, numbers first": (
        """64742-88-7 Solvent naphtha, medium aliphatic; 85-95 wt%
95-63-6 1,2,4-trimethylbenzene; 0.5-1.5 wt%""",
        [
            ("Solvent naphtha, medium aliphatic", "64742-88-7", 85, 95),
            ("1,2,4-trimethylbenzene", "95-63-6", 0.5, 1.5),
        ],
    ),
    # the share was 0 to 30 %
    "a trace in ppm in running lines": (
        """Methanol, CAS-No. 67-56-1, 20 - < 30 %
Ethanol, CAS-No. 64-17-5, >= 50 %
Denatonium benzoate, CAS-No. 3734-33-6, <= 10 ppm""",
        [
            ("Methanol", "67-56-1", 20, 30),
            ("Ethanol", "64-17-5", 50, 100),
            ("Denatonium benzoate", "3734-33-6", 0, 0.001),
        ],
    ),
    # the shares were not read, so they were 0 to what the others leave
    "ends in words, and a footnote stuck to a share": (
        """Sustancia             Nº CAS        Contenido
Nafta                 64742-88-7    de 60 a menos de 80 %
Cera de carnauba      8015-86-9     menos del 10 %
Trementina            8006-64-2     ab 5 bis unter 10 %
Xileno                1330-20-7     1 - 2 %4""",
        [
            ("Nafta", "64742-88-7", 60, 80),
            ("Cera de carnauba", "8015-86-9", 0, 10),
            ("Trementina", "8006-64-2", 5, 10),
            ("Xileno", "1330-20-7", 1, 2),
        ],
    ),
    # the footnote was a part
    "a footnote that says withheld": (
        """Chemical Name                        CAS No.              Weight-%         Trade Secret
Xylenes                              1330-20-7            30 - 60          *
2-Butanone                           78-93-3              30 - 60          *
* The exact percentage of composition has been withheld as a trade secret.""",
        [("Xylenes", "1330-20-7", 30, 60), ("2-Butanone", "78-93-3", 30, 60)],
    ),
    # no part had a name
    "names and registration numbers under one head": (
        """Bezeichnung                CAS-Nr.      Gehalt
REACH-Nr.                  EG-Nr.       Gew.-%
Aceton                     67-64-1      30 - < 50
01-2119471330-49-XXXX      200-662-2

Toluol                     108-88-3     20 - < 25""",
        [("Aceton", "67-64-1", 30, 50), ("Toluol", "108-88-3", 20, 25)],
    ),
    # the names were "No aplicable" and nothing
    "identifiers beside names and classes": (
        """Identificación             Nombre químico/clasificación               Concentración
CAS: 64742-95-6            Hidrocarburos, C9, aromáticos              2,5 - <10 %
CE: 918-668-5              Asp. Tox. 1: H304; Flam. Liq. 3: H226
Index: No aplicable

CAS: 13463-67-7            Dióxido de titanio                         2,5 - <10 %
CE: 236-675-5              Carc. 2: H351""",
        [("Hidrocarburos, C9, aromáticos", "64742-95-6", 2.5, 10), ("Dióxido de titanio", "13463-67-7", 2.5, 10)],
    ),
    # the first share was that of "2 % Aromaten", the second part had no name, the third was 5 to 5 %
    "shares called so in lines of their own, a range that goes over a column's edge": (
        """EG-Nr. 919-857-5   CAS -   Kohlenwasserstoffe, C9-C11, <2% Aromaten
   REACH-Nr. 01-0000000001-33   Gehalt: 60 - 80 %
   Flam. Liq. 3, H226; Asp. Tox. 1, H304
EG-Nr. 203-539-1   CAS 107-98-2   1-Methoxy-2-propanol
   Gehalt: 15 - < 20 %
   Flam. Liq. 3, H226; STOT SE 3, H336
EG-Nr. 202-436-9   CAS 95-63-6   1,2,4-Trimethylbenzol
   Gehalt: 2,5 - < 5 %
   Flam. Liq. 3, H226""",
        [
            ("Kohlenwasserstoffe, C9-C11, <2% Aromaten", "", 60, 80),
            ("1-Methoxy-2-propanol", "107-98-2", 15, 20),
            ("1,2,4-Trimethylbenzol", "95-63-6", 2.5, 5),
        ],
    ),
    # the share was not read
    "a share and how far it may be off": (
        """Chemical name         CAS-No.      % (w/w)
Isobutyl acetate      110-19-0     20 (±2)
Acetone               67-64-1      70 - 80""",
        [("Isobutyl acetate", "110-19-0", 18, 22), ("Acetone", "67-64-1", 70, 80)],
    ),
    # no share was read: the heads of the ends stood under a head that stands above the others
    "least and most under one head of two lines": (
        """                                                     Weight %
Substance                              CAS RN
                                                     min     max
Cyclohexanone                          108-94-1      30      40
2-Butoxyethanol                        111-76-2      10      20""",
        [("Cyclohexanone", "108-94-1", 30, 40), ("2-Butoxyethanol", "111-76-2", 10, 20)],
    ),
    # "5 % n-Hexan" was a part, and no share of two lines was read
    "a narrow column of shares, a name that ends in the sign of a figure, heads in the middle": (
        """       Bezeichnung                      CAS-Nr.       Gew.-%         Einstufung
Ethylacetat                             141-78-6      25 bis     H225 H319 H336
                                        205-500-4     30
Kohlenwasserstoffe, C6, <               64742-49-0    25 bis     H225 H304 H315
5 % n-Hexan                             931-254-9     30         H411
Kolophonium                             8050-09-7     1 bis      H317
                                        232-475-7     2,5""",
        [
            ("Ethylacetat", "141-78-6", 25, 30),
            ("Kohlenwasserstoffe, C6, < 5 % n-Hexan", "64742-49-0", 25, 30),
            ("Kolophonium", "8050-09-7", 1, 2.5),
        ],
    ),
    # no name and no share was read
    "cells parted by upright strokes": (
        """Sustancia | No. CAS | No. CE | % (p/p) | Clasificacion
Tolueno | 108-88-3 | 203-625-9 | 35 - 45 | Flam. Liq. 2 H225, Repr. 2 H361d
Xileno (mezcla de isomeros) | 1330-20-7 | 215-535-7 | 20 - 25 | Flam. Liq. 3 H226""",
        [("Tolueno", "108-88-3", 35, 45), ("Xileno (mezcla de isomeros)", "1330-20-7", 20, 25)],
    ),
    # every name but the first was lost
    "names under no head, classes below": (
        """                                     CAS         EC           Conc.
 Ethyl acetate                       141-78-6    205-500-4    55 - 65 %
   Flam. Liq. 2; H225, Eye Irrit. 2; H319, EUH066
 Hexamethylene diisocyanate,         28182-81-2  931-274-8    30 - 40 %
   oligomers
   Acute Tox. 4; H332, Skin Sens. 1; H317
 Hexamethylene-di-isocyanate         822-06-0    212-485-8    < 0.2 %
   Acute Tox. 1; H330""",
        [
            ("Ethyl acetate", "141-78-6", 55, 65),
            ("Hexamethylene diisocyanate, oligomers", "28182-81-2", 30, 40),
            ("Hexamethylene-di-isocyanate", "822-06-0", 0, 0.2),
        ],
    ),
}


@pytest.mark.parametrize(("parts", "read_as"), COMPOSITIONS.values(), ids=COMPOSITIONS)
def test_composition(tmp_path: Path, parts: str, read_as: list[Row]) -> None:
    assert parts_of(tmp_path, parts) == read_as


@pytest.mark.parametrize(
    ("voc", "read_as"),
    [
        ("VOC: 420 g/l (limit: IIA(j) 500 g/l)", "420 g/L"),  # was the limit, so none
        ("VOC: 700 g/litre", "700 g/L"),  # were units nobody knew
        ("VOC: 700 g·l⁻¹", "700 g/L"),
        ("VOC: limit 500 g/l (content: max. 420 g/l)", "420 g/L"),
    ],
)
def test_voc(tmp_path: Path, voc: str, read_as: str) -> None:
    draft = sheet(tmp_path, physical=PHYSICAL.replace("VOC: 700 g/l", voc))
    assert draft.values["voc"].written == read_as


def test_a_pressure_with_parted_thousands_is_that_of_the_air(tmp_path: Path) -> None:
    """The boiling point was left out, as one at 13 hPa."""
    draft = sheet(tmp_path, physical=PHYSICAL.replace("78 °C", "78.4 °C at 1 013 hPa"))
    assert draft.values["boiling_point"].written == "78.4 degC"


def test_the_name_of_a_class_is_no_statement(tmp_path: Path) -> None:
    """ "Flammable aerosols" gave H223 beside H222."""
    draft = sheet(tmp_path, hazards="Flammable aerosols: Category 1\nH222 Extremely flammable aerosol. H229 May burst.")
    assert draft.values["hazards"].written == ["H222", "H229"]


@pytest.mark.parametrize("hazards", ["H-Sätze: 225-319-336", "H statements: 225, 319, 336", "Frases H: 225/319/336"])
def test_a_label_says_once_for_all_that_numbers_are_codes(tmp_path: Path, hazards: str) -> None:
    """The hazards were unknown."""
    assert sheet(tmp_path, hazards=hazards).values["hazards"].written == ["H225", "H319", "H336"]


def test_the_name_may_stand_over_the_first_section(tmp_path: Path) -> None:
    """The name was not read."""
    text = SHEET.format(parts="Toluene  108-88-3  100 %", physical=PHYSICAL, hazards="H225")
    text = text.replace("Product name: Alder 1\n", "").replace("SECTION 1", "PRODUCT NAME: ALDER 1\nSECTION 1")
    (draft,) = read(tmp_path, text.encode(), "sheet.txt")
    assert draft.name == "ALDER 1"


def test_what_replaces_another_issue_is_not_of_its_day(tmp_path: Path) -> None:
    """Two dates were said to contradict each other."""
    text = SHEET.format(parts="Toluene  108-88-3  100 %", physical=PHYSICAL, hazards="H225")
    text = text.replace("Revision date: 2025-05-05", "Ausgabedatum 03.06.2025 - ersetzt Ausgabe vom 01.02.2022")
    (draft,) = read(tmp_path, text.encode(), "sheet.txt")
    assert draft.values["sds_revised"].written == "2025-06-03"


def test_a_class_in_two_cells_heads_no_parts(tmp_path: Path) -> None:
    """Section 2 ended at "Gewässergefährdend", which holds "Gew." of a share: H336 and H411 were lost."""
    rows = """Entzündbare Flüssigkeiten         Kategorie 2, H225
Gewässergefährdend (chronisch)    Kategorie 2, H411
Gewässergefährdend                Gefahr
Gefahrenhinweise: H225, H336, H411"""
    assert sheet(tmp_path, hazards=rows).values["hazards"].written == ["H225", "H336", "H411"]


def test_a_footnote_may_stick_to_a_label(tmp_path: Path) -> None:
    """No flash point was found."""
    draft = sheet(tmp_path, physical=PHYSICAL.replace("Flash point: ", "Flash point5    "))
    assert draft.values["flash_point"].written == "-8 degC"


@pytest.mark.parametrize(
    ("line", "read_as"),
    [
        ("Flash point: - 4 °C", "-4 degC"),  # was 4 degC: the dash behind the colon passed for a mark
        ("Flash point: \u20144 °C", "-4 degC"),  # was 4 degC: an em dash
        ("Flash point:   \u2212 4 °C", "-4 degC"),
        ("Flash point - 4 °C", None),  # was 4 degC: minus or mark
        ("Flash point: (\u2013) 4 °C", None),  # was 4 degC
        ("Flash point: -4/-2 °C", None),  # was -2 degC
        ("Flash point: 2 4 °C", None),  # was 4 degC: digits printed apart
        ("Flash point: 24 °C ± 2", "22 degC"),  # was 24 degC
        ("Flash point: minus 4 °C", None),
        ("Flash point: 75 °F / 24 °C", "24 degC"),
        ("Flash point: ASTM D56 24 °C", "24 degC"),
    ],
)
def test_a_lost_minus_is_the_worst_misreading_of_a_flash_point(tmp_path: Path, line: str, read_as: str | None) -> None:
    draft = sheet(tmp_path, physical=PHYSICAL.replace("Flash point: -8 °C", line), hazards="H336")
    value = draft.values.get("flash_point")
    assert (value.written if value else None) == read_as
    if read_as is None:
        assert any("flash point" in sentence for sentence in draft.warnings)


@pytest.mark.parametrize(
    ("printed", "read_as"),
    [
        ("0.72 - 0.74", "0.74 g/mL"),  # was 0.72, and of "0.72 - 0.74 g/mL" 0.74
        ("1.16        1.02", None),  # was the first: two products side by side
        ("7.2 lb/gal (UK)", None),  # was read by the gallon of the United States
        ("7.2 lb/gal (0.863 g/mL)", "0.8628 g/mL"),
    ],
)
def test_density(tmp_path: Path, printed: str, read_as: str | None) -> None:
    value = sheet(tmp_path, physical=PHYSICAL.replace("0.72 g/cm3", printed)).values.get("density")
    assert (value.written if value else None) == read_as


def test_a_percentage_takes_no_unit_from_its_label(tmp_path: Path) -> None:
    """ "41.2 % by weight" was 41.2 g/L, as the label of the next line had run into its own."""
    physical = f"{PHYSICAL}VOC (as supplied):                       41.2 % by weight\nVOC content at 20 °C: 375.87 kg/m3 (375.87 g/L)\n"
    value = sheet(tmp_path, physical=physical).values.get("voc")
    assert value is None or value.size == pytest.approx(375.87, rel=0.01)


def test_where_something_decomposes_it_does_not_boil(tmp_path: Path) -> None:
    draft = sheet(tmp_path, physical=PHYSICAL.replace("78 °C", "78 °C (decomposition)"))
    assert "boiling_point" not in draft.values


@pytest.mark.parametrize(
    ("hazards", "read_as"),
    [
        ("H225, 319, 336", ["H225", "H319", "H336"]),  # was H225 alone
        ("H225H319", ["H225", "H319"]),  # was H225 alone
        ("H319; Flam Liq 2; Asp Tox 1", ["H225", "H304", "H319"]),  # was H319 alone
        ("H225; Acute Tox. 3 (oral, dermal)", ["H225", "H301", "H311"]),  # was H225 alone
        ("H225; Acute toxicity, Category 4, inhalation", ["H225", "H332"]),
        ("H225, 200-661-7; H302, 500 mg/kg; H319, 300 mg", ["H225", "H302", "H319"]),  # no codes: a number, doses
    ],
)
def test_no_statement_is_lost_by_how_it_is_written(tmp_path: Path, hazards: str, read_as: list[str]) -> None:
    assert sheet(tmp_path, hazards=hazards).values["hazards"].written == read_as


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (  # was H225 alone
            "Highly flammable liquid and vapor. May cause damage to the nervous system through prolonged or repeated exposure.",
            ["H225", "H373"],
        ),
        # was H336 alone
        ("Causes skin and serious eye irritation. May cause drowsiness or dizziness.", ["H315", "H319", "H336"]),
        ("Verursacht Haut- und schwere Augenreizung.", ["H315", "H319"]),  # was nothing
        ("Provoca irritación cutánea y ocular grave.", ["H315", "H319"]),  # was H315 alone
    ],
)
def test_two_statements_in_one_sentence_are_both_read(tmp_path: Path, words: str, codes: list[str]) -> None:
    assert sheet(tmp_path, hazards=words).values["hazards"].written == codes


def test_a_sentence_that_nobody_can_read_is_said_to_be_there(tmp_path: Path) -> None:
    """Nothing was said: the sheet looked as if H225 were all."""
    draft = sheet(tmp_path, hazards="Highly flammable liquid and vapour. May cause a loss of hearing.")
    assert draft.values["hazards"].written == ["H225"]
    assert any("may cause a loss of hearing" in sentence for sentence in draft.warnings)


def test_what_goes_on_in_a_statement_is_said_to_be_there(tmp_path: Path) -> None:
    """Nothing was said: the sheet looked as if H319 were all."""
    draft = sheet(tmp_path, hazards="Causes serious eye irritation, skin irritation, and respiratory irritation.")
    assert any("skin irritation, and respiratory irritation" in sentence for sentence in draft.warnings)


def test_an_abbreviated_class_that_leaves_a_choice_is_told(tmp_path: Path) -> None:
    """Nothing was said: the sheet looked as if H225 were all."""
    draft = sheet(tmp_path, hazards="Flam. Liq. 2, H225; Acute Tox. 3")
    assert any("acute tox. 3" in sentence for sentence in draft.warnings)


def test_the_heads_of_the_parts_may_stand_beside_the_heading(tmp_path: Path) -> None:
    """The section was not found, and what the product is made of was unknown."""
    text = """MATERIAL SAFETY DATA SHEET
PRODUCT NAME: NUMBER 4 DEGREASER          REVISED: 12-01-2019

SECTION I  HAZARDOUS INGREDIENTS                       WT %       OSHA PEL      ACGIH TLV
ALIPHATIC PETROLEUM DISTILLATES (CAS 64742-47-8)       85-95      500 PPM       NOT EST.
D-LIMONENE (CAS 5989-27-5)                             5-15       N.E.          N.E.

SECTION II PHYSICAL DATA
SPECIFIC GRAVITY (H2O=1): .80
SECTION III FIRE AND EXPLOSION HAZARD DATA
FLASH POINT: 142 F TCC
SECTION IV HEALTH HAZARD DATA
CAUSES SKIN IRRITATION.
SECTION V REACTIVITY DATA
STABLE
SECTION VI SPILL OR LEAK PROCEDURES
ABSORB.
SECTION VII SPECIAL PROTECTION INFORMATION
GLOVES: NITRILE
SECTION VIII SPECIAL PRECAUTIONS
KEEP AWAY FROM FLAME.
"""
    (draft,) = read(tmp_path, text.encode(), "old.txt")
    assert [(part.name, part.cas, part.low, part.high) for part in draft.parts] == [
        ("ALIPHATIC PETROLEUM DISTILLATES", "64742-47-8", 85, 95),
        ("D-LIMONENE", "5989-27-5", 5, 15),
    ]
