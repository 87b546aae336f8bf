"""Mixture rules, fire classes, symbols and signal words against the published tables; each case names its source."""

from __future__ import annotations

from datetime import date

import pytest
from safety_protection import labels

from safety.cited import Unknown
from safety.model import Band, Classification, Part, Product, Substance
from safety.reference import Reference
from safety.reference.hazards import product_hazards

ECHA = "ECHA Helpdesk mixture exercise 2012, quoting CLP Annex I Tables 3.2.3 and 3.7.2"
TRGS_201 = "TRGS 201 no. 2.2.6 (mirrors CLP Annex I 3.8.3.4)"
CLP_26 = "CLP Annex I 2.6, Table 2.6.1, consolidated 2025-09-01"
CLP_310 = "CLP Annex I 3.10.3.3"
MEMORY = "from memory"


class _Parts:
    """The loaded rules, with substances made for the case: each part is one that has these classes."""

    def __init__(self, rules: Reference, codes: dict[str, tuple[str | Classification, ...]]):
        self._rules, self._codes = rules, codes

    def listed(self, cas: str) -> Substance | Unknown:
        classes = tuple(Classification(c) if isinstance(c, str) else c for c in self._codes[cas])
        return Substance(cas, (cas,), {}, classes=classes, hazards=tuple(c.code for c in classes))

    def __getattr__(self, name: str) -> object:
        return getattr(self._rules, name)


def _product(*parts: Part, **changes: object) -> Product:
    fields: dict[str, object] = {
        "density": 900.0,
        "flash_point": 400.0,
        "boiling_point": 450.0,
        "hazards": Unknown("not given"),
        "sds_revised": date(2026, 1, 1),
    } | changes
    return Product(id="p", name="p", role="solvent", parts=parts, **fields)  # type: ignore[arg-type]


def _computed(rules: Reference, *shares: tuple[str | Classification, float], **changes: object) -> set[str]:
    """Codes the rules give a product whose parts have these hazards at these percentages."""
    codes: dict[str, tuple[str | Classification, ...]] = {}
    parts = []
    for number, (code, percent) in enumerate(shares):
        cas = f"10{number}-00-0"
        codes[cas] = (code,) if code else ()
        parts.append(Part(cas, cas, 0.0, percent / 100))
    rest = 100 - sum(p for _, p in shares)
    codes["filler"] = ()
    parts.append(Part("filler", "filler", 0.0, rest / 100))
    found = product_hazards(_product(*parts, **changes), _Parts(rules, codes))  # type: ignore[arg-type]
    return {d.code for d in found.implied}


EUROPE = [
    # parts, what must come out of the codes in question, those codes, source
    ([("H314", 0.9), ("H315", 1.5)], set(), {"H314", "H315"}, ECHA),
    ([("H315", 6), ("H315", 4)], {"H315"}, {"H314", "H315"}, ECHA),
    ([("H315", 9.9)], set(), {"H315"}, ECHA),
    ([("H314", 5)], {"H314"}, {"H314"}, ECHA),
    ([("H314", 4.9)], {"H315"}, {"H314", "H315"}, ECHA),
    ([("H304", 60)], {"H304"}, {"H304"}, CLP_310),
    ([("H304", 9.9)], set(), {"H304"}, CLP_310),
    ([("H336", 12), ("H336", 8)], {"H336"}, {"H336"}, TRGS_201),
    ([("H336", 12), ("H336", 7.9)], set(), {"H336"}, TRGS_201),
    ([("H335", 12), ("H336", 12)], set(), {"H335", "H336"}, TRGS_201),
    ([("H370", 10)], {"H370"}, {"H370", "H371"}, TRGS_201),
    ([("H370", 9.9)], {"H371"}, {"H370", "H371"}, TRGS_201),
    ([("H371", 10)], {"H371"}, {"H371"}, TRGS_201),
    ([("H372", 10)], {"H372"}, {"H372", "H373"}, TRGS_201),
    ([("H373", 10)], {"H373"}, {"H373"}, MEMORY),
    ([("H361", 3.0)], {"H361"}, {"H361"}, ECHA),
    ([("H361", 2.9)], set(), {"H361"}, ECHA),
    ([("H360", 0.3)], {"H360"}, {"H360"}, ECHA),
    ([("H360", 0.29)], set(), {"H360"}, ECHA),
    ([("H318", 1.0)], {"H319"}, {"H318", "H319"}, MEMORY),
    ([("H318", 2.9)], {"H319"}, {"H318", "H319"}, MEMORY),
    ([("H318", 3.0)], {"H318"}, {"H318", "H319"}, MEMORY),
]


#: CLP Annex I 3.4 to 3.9: one ingredient at or above its limit, never a sum. Table 3.6.2 read; the others as EUROPE.
ALONE = "CLP Annex I 3.4.3.3.1, 3.5.3.1.1, 3.6.3.1.1, 3.7.3.1.1, 3.8.3.4.1, 3.9.3.4.1: at least one ingredient"
EUROPE += [
    ([("H361", 2), ("H361", 2)], set(), {"H361"}, ALONE),
    ([("H360", 0.2), ("H360", 0.2)], set(), {"H360"}, ALONE),
    ([("H350", 0.06), ("H350", 0.06)], set(), {"H350"}, ALONE),
    ([("H350", 0.1)], {"H350"}, {"H350"}, "CLP Annex I Table 3.6.2"),
    ([("H351", 0.9)], set(), {"H351"}, "CLP Annex I Table 3.6.2"),
    ([("H351", 1.0)], {"H351"}, {"H351"}, "CLP Annex I Table 3.6.2"),
    ([("H341", 0.6), ("H341", 0.6)], set(), {"H341"}, ALONE),
    ([("H373", 6), ("H373", 6)], set(), {"H373"}, ALONE),
    ([("H370", 6), ("H370", 6)], {"H371"}, {"H370", "H371"}, ALONE),
    ([("H372", 6), ("H372", 6)], {"H373"}, {"H372", "H373"}, ALONE),
]


@pytest.mark.parametrize(("parts", "given", "among", "source"), EUROPE)
def test_european_cut_offs(
    eu: Reference, parts: list[tuple[str, float]], given: set[str], among: set[str], source: str
) -> None:
    assert _computed(eu, *parts) & among == given, source


def _sens(code: str, category: str, *limits: Band) -> Classification:
    return Classification(code, "Resp. Sens." if code == "H334" else "Skin Sens.", category, limits)


def _own(code: str, hazard_class: str, category: str, *bands: tuple[str, float]) -> Classification:
    limits = tuple(Band(given, "any", "1", share) for given, share in bands)
    return Classification(code, hazard_class, category, limits)


ROW_615 = (
    "CLP Annex VI Table 3, row 615-011-00-1 (HDI): Resp. Sens. 1; H334: C >= 0.5 %, Skin Sens. 1; H317: C >= 0.5 %"
)
ROW_603 = "CLP Annex VI Table 3, row 603-001-00-X (methanol): H370: C >= 10 %, H371: 3 % <= C < 10 %"
ROW_606 = "CLP Annex VI Table 3, row 606-021-00-7 (NMP): STOT SE 3; H335: C >= 10 %"
ACID = "CLP Annex VI Table 3, a diluted acid: H314: C >= 25 %, H315 and H319: 10 % <= C < 25 %"
TABLE_345 = "CLP Annex I Table 3.4.5"
TABLE_346 = "CLP Annex I Table 3.4.6 and note 1, as Annex II 2.10 repeats them"
GUIDANCE = "Guidance on the application of the CLP criteria, part 1, 1.6.3.3.3: sum of C over each limit"
HDI = (_own("H334", "Resp. Sens.", "1", ("H334", 0.005)), _own("H317", "Skin Sens.", "1", ("H317", 0.005)))
METHANOL = _own("H370", "STOT SE", "1", ("H370", 0.1), ("H371", 0.03))
NMP = _own("H335", "STOT SE", "3", ("H335", 0.1))
ACETIC = _own("H314", "Skin Corr.", "1A", ("H314", 0.25), ("H315", 0.1), ("H319", 0.1))
#: parts, what must come out among these codes, source
OWN_LIMITS = [
    ([(HDI[0], 0.8)], {"H334"}, {"H334", "EUH208"}, ROW_615),
    ([(HDI[0], 0.49)], {"EUH208"}, {"H334", "EUH208"}, TABLE_346),
    ([(HDI[0], 0.09)], set(), {"H334", "EUH208"}, TABLE_346),
    ([(HDI[1], 0.5)], {"H317"}, {"H317"}, ROW_615),
    ([(_sens("H317", "1"), 0.9)], {"EUH208"}, {"H317", "EUH208"}, TABLE_345),
    ([(_sens("H317", "1B"), 0.9)], {"EUH208"}, {"H317", "EUH208"}, TABLE_345),
    ([(_sens("H317", "1A"), 0.1)], {"H317"}, {"H317"}, TABLE_345),
    ([(_sens("H334", "1A"), 0.05)], {"EUH208"}, {"H334", "EUH208"}, TABLE_346),
    ([(_sens("H317", "1"), 0.6), (_sens("H317", "1"), 0.6)], {"EUH208"}, {"H317", "EUH208"}, ALONE),
    # an isothiazolinone: specific limit 0.0015 %, so whoever is allergic already must know from 0.00015 %
    ([(_own("H317", "Skin Sens.", "1A", ("H317", 0.000015)), 0.0002)], {"EUH208"}, {"H317", "EUH208"}, TABLE_346),
    ([(METHANOL, 2.9)], set(), {"H370", "H371"}, ROW_603),
    ([(METHANOL, 3.0)], {"H371"}, {"H370", "H371"}, ROW_603),
    ([(METHANOL, 10.0)], {"H370"}, {"H370", "H371"}, ROW_603),
    ([(NMP, 9.9)], set(), {"H335"}, ROW_606),
    ([(NMP, 10.0)], {"H335"}, {"H335"}, ROW_606),
    ([(NMP, 6.0), ("H335", 8.0)], {"H335"}, {"H335"}, GUIDANCE),  # 6/10 + 8/20 = 1
    ([(NMP, 5.9), ("H335", 8.0)], set(), {"H335"}, GUIDANCE),
    ([(ACETIC, 9.9)], set(), {"H314", "H315", "H318", "H319"}, ACID),
    ([(ACETIC, 10.0)], {"H315", "H319"}, {"H314", "H315", "H318", "H319"}, ACID),
    ([(ACETIC, 25.0)], {"H314"}, {"H314", "H315", "H318", "H319"}, ACID),
    ([(ACETIC, 5.0), ("H315", 5.0)], {"H315"}, {"H314", "H315"}, GUIDANCE),  # 5/10 + 5/10 = 1
    (
        [(_own("H319", "Eye Irrit.", "2", ("H319", 0.25)), 24)],
        set(),
        {"H319"},
        "row 603-025-00-0 (THF): H319 from 25 %",
    ),
    ([("EUH204", 0.01)], {"EUH204"}, {"EUH204"}, "CLP Annex II 2.4, from memory: any isocyanate"),
]


@pytest.mark.parametrize(("parts", "given", "among", "source"), OWN_LIMITS)
def test_a_limit_of_the_substance_stands_before_the_generic_one(
    eu: Reference, parts: list[tuple[str | Classification, float]], given: set[str], among: set[str], source: str
) -> None:
    assert _computed(eu, *parts) & among == given, source


def test_the_united_states_take_a_limit_of_the_substance_only_where_it_is_lower(us: Reference) -> None:
    """29 CFR 1910.1200 Appendix A, A.0.4.3 (from memory): the cut-offs hold, and less where the hazard shows below."""
    assert "H335" in _computed(us, (NMP, 10.0))
    assert "H370" in _computed(us, (METHANOL, 1.0))
    assert "H319" in _computed(us, (_own("H319", "Eye Irrit.", "2", ("H319", 0.25)), 20.0))
    assert "H334" in _computed(us, (HDI[0], 0.1))
    assert "H317" not in _computed(us, (_sens("H317", "1B"), 0.9))
    assert "H317" in _computed(us, ("H317", 0.1))  # a category that is not known counts as the worst


#: M-factors: CLP Annex I Tables 4.1.1 and 4.1.2 (from memory): M x C in place of C.
AQUATIC = [
    ([(Classification("H400", "Aquatic Acute", "1", m_factor=10), 2.5)], {"H400"}),
    ([(Classification("H400", "Aquatic Acute", "1", m_factor=10), 2.4)], set()),
    ([(Classification("H410", "Aquatic Chronic", "1", m_factor=10), 2.5)], {"H410"}),
    ([(Classification("H410", "Aquatic Chronic", "1", m_factor=10), 0.25)], {"H411"}),
    ([(Classification("H410", "Aquatic Chronic", "1", m_factor=10), 0.025)], {"H412"}),
    ([("H411", 2.5)], {"H412"}),
    ([("H412", 25.0)], {"H412"}),
    ([("H412", 20.0), ("H413", 5.0)], {"H413"}),
]


@pytest.mark.parametrize(("parts", "given"), AQUATIC)
def test_very_toxic_parts_count_by_their_factor(
    eu: Reference, parts: list[tuple[str | Classification, float]], given: set[str]
) -> None:
    assert _computed(eu, *parts) == given


def test_note_p_goes_where_the_product_file_shows_the_benzene(eu: Reference) -> None:
    """CLP Annex VI 1.1.3.1, note P: not a carcinogen where the substance holds less than 0.1 % benzene."""
    naphtha = Classification("H350", "Carc.", "1B", unless=("71-43-2", 0.001))
    codes: dict[str, tuple[str | Classification, ...]] = {"n": (naphtha,), "71-43-2": ("H350",), "filler": ()}

    def given(*parts: Part) -> set[str]:
        found = product_hazards(_product(*parts), _Parts(eu, codes))  # type: ignore[arg-type]
        return {one.code for one in found.implied}

    spirit, filler = Part("spirit", "n", 0.8, 0.9), Part("filler", "filler", 0.1, 0.2)
    assert given(spirit, filler) == {"H350"}  # nobody has shown it
    assert given(spirit, Part("benzene", "71-43-2", 0.0, 0.0007), filler) == set()
    assert given(spirit, Part("benzene", "71-43-2", 0.0, 0.0009), filler) == {"H350"}  # 0.11 % of the spirit


def test_the_united_states_cut_lower_for_birth_defects(us: Reference) -> None:
    """2.9 % of a category 2 part: nothing in Europe (ECHA), H361 in the United States from 0.1 % (from memory)."""
    assert "H361" in _computed(us, ("H361", 2.9))
    assert "H361" not in _computed(us, ("H361", 0.09))


#: name, flash and boiling point [degC], European code, signal word. Source: CLP_26.
LIQUIDS = [
    ("diethyl ether", -45.0, 34.5, "H224", "Danger"),
    ("toluene", 4.0, 110.6, "H225", "Danger"),
    ("m-xylene", 25.0, 139.1, "H226", "Warning"),
    ("2-butoxyethanol", 61.0, 171.0, None, ""),
    ("under 23", 22.9, 100.0, "H225", "Danger"),
    ("at 23", 23.0, 100.0, "H226", "Warning"),
    ("at 60", 60.0, 100.0, "H226", "Warning"),
    ("over 60", 60.1, 100.0, None, ""),
]


@pytest.mark.parametrize(("name", "flash", "boiling", "code", "word"), LIQUIDS)
def test_fire_class(eu: Reference, name: str, flash: float, boiling: float, code: str | None, word: str) -> None:
    """CLP_26."""
    found = _computed(eu, ("", 100.0), flash_point=flash + 273.15, boiling_point=boiling + 273.15)
    assert found == ({code} if code else set())
    assert labels.signal_word(found) == word


def test_the_united_states_have_a_fourth_fire_class(us: Reference) -> None:
    """29 CFR 1910.1200 Appendix B.6: 2-butoxyethanol, flash point 61 degC; no symbol, "Warning"."""
    found = _computed(us, ("", 100.0), flash_point=334.15, boiling_point=444.15)
    assert found == {"H227"}
    assert labels.signal_word(found) == "Warning"
    assert labels.symbols(found, us) == ()


def test_an_unknown_flash_point_takes_the_worst_part_and_says_so(us: Reference) -> None:
    parts = (Part("a", "100-00-0", 0.1, 0.2), Part("b", "101-00-0", 0.8, 0.9))
    solvent = _product(*parts, flash_point=Unknown("not given"))
    hazards = product_hazards(solvent, _Parts(us, {"100-00-0": ("H225",), "101-00-0": ("H226",)}))  # type: ignore[arg-type]
    assert "H225" in {d.code for d in hazards.implied}
    assert not hazards.known
    assert "flash point is not known" in hazards.gaps[0]


#: code of the part, percent, code of the mixture. GHS 3.1.3.6: 100/ATE = sum(C/ATE); limits 2000 mg/kg, 20 mg/L.
ACUTE = [
    ("H312", 55.0, "H312"),  # 100/(55/1100) = 2000, still category 4
    ("H312", 54.9, None),
    ("H311", 30.0, "H311"),  # 100/(30/300) = 1000
    ("H311", 29.0, "H312"),
    ("H332", 55.0, "H332"),  # 100/(55/11) = 20
    ("H332", 54.9, None),
    ("H331", 30.0, "H331"),  # 100/(30/3) = 10
    ("H330", 1.0, "H331"),  # 100/(1/0.05) = 5
    ("H330", 0.3, "H332"),  # 100/(0.3/0.05) = 16.7: the toxic ones count from 0.1 %, Table 1.1
    ("H330", 0.09, None),
    ("H302", 0.99, None),  # category 4 counts from 1 %
    (Classification("H330", "Acute Tox.", "2"), 9.9, "H331"),  # 100/(9.9/0.5) = 5.05
    (Classification("H300", "Acute Tox.", "1"), 10.0, "H300"),  # 100/(10/0.5) = 5
    (Classification("H302", "Acute Tox.", "4", ate=1200e-6), 60.0, "H302"),  # 100/(60/1200) = 2000
    (Classification("H302", "Acute Tox.", "4", ate=1200e-6), 59.0, None),
    (Classification("H332", "Acute Tox.", "4", ate=0.011), 55.0, "H332"),  # 100/(55/11) = 20
]


@pytest.mark.parametrize(("part", "percent", "code"), ACUTE)
def test_acute_toxicity_adds_up(eu: Reference, part: str | Classification, percent: float, code: str | None) -> None:
    """CLP Annex I 3.1.3.6; converted estimates as SOR/2015-17 s. 8.1.7 prints the same table; Table 1.1 from memory."""
    assert _computed(eu, (part, percent)) == ({code} if code else set())


def test_what_is_not_volatile_is_breathed_as_mist(eu: Reference) -> None:
    """CLP Annex I Table 3.1.1: mist to 5 mg/L, vapour to 20 mg/L. Converted points 1.5 and 11."""
    codes: dict[str, tuple[str | Classification, ...]] = {"a": ("H332",), "filler": ()}
    for volatile, given in ((True, set()), (False, {"H332"})):
        parts = (Part("a", "a", 0.0, 0.3, volatile), Part("filler", "filler", 0.0, 0.7))
        found = product_hazards(_product(*parts), _Parts(eu, codes))  # type: ignore[arg-type]
        assert {one.code for one in found.implied} == given


# ---------------------------------------------------------------- labels


@pytest.mark.parametrize(
    ("codes", "word"), [(("H225", "H319"), "Danger"), (("H226", "H319"), "Warning"), (("H412",), ""), (("EUH066",), "")]
)
def test_danger_takes_warning_away(codes: tuple[str, ...], word: str) -> None:
    """29 CFR 1910.1200 Appendix C, C.2.1; H412 and EUH statements have no word (CLP Annex I Table 4.1.4)."""
    assert labels.signal_word(codes) == word


def test_a_toluene_like_set(eu: Reference) -> None:
    """H225 H304 H315 H336 H361d H373 of toluene, CLP Annex VI Table 3: flame, exclamation mark, health hazard."""
    codes = ("H225", "H304", "H315", "H336", "H361d", "H373")
    assert labels.symbols(codes, eu) == ("GHS02", "GHS07", "GHS08")
    assert labels.signal_word(codes) == "Danger"


def test_the_skull_takes_the_exclamation_mark_by_country(us: Reference, eu: Reference) -> None:
    """US (C.2.1): only where it stands for acute toxicity. UN 1.4.10.5.3.1(a) and the EU: entirely."""
    codes = ("H301", "H312", "H336")
    assert labels.symbols(codes, us) == ("GHS06", "GHS07")
    assert labels.symbols(codes, eu) == ("GHS06",)
    assert labels.symbols(("H301", "H312"), us) == ("GHS06",)


@pytest.mark.parametrize(
    ("codes", "left"),
    [
        (("H314", "H315", "H319"), ("GHS05",)),
        (("H318", "H336"), ("GHS05", "GHS07")),
        (("H334", "H317", "H315"), ("GHS08",)),
        (("H304", "H317"), ("GHS07", "GHS08")),
    ],
)
def test_precedence_by_reason(us: Reference, codes: tuple[str, ...], left: tuple[str, ...]) -> None:
    """29 CFR 1910.1200 Appendix C, C.2.1; only the health hazard of a breathing allergy takes skin signs away."""
    assert labels.symbols(codes, us) == left


def test_the_bomb_makes_the_flame_needless_in_europe_only(us: Reference, eu: Reference) -> None:
    """UN GHS 1.4.10.5.3.1; CLP Article 26(1)."""
    assert labels.symbols(("H201", "H225"), eu) == ("GHS01",)
    assert labels.symbols(("H201", "H225"), us) == ("GHS01", "GHS02")


# 29 CFR 1910.1200 appendix C (C.4) and Regulation (EC) No 1272/2008 annex V
@pytest.mark.parametrize(
    ("codes", "expected"),
    [
        # one line of annex V each
        (("H225",), ("GHS02",)),
        (("H226",), ("GHS02",)),
        (("H271",), ("GHS03",)),
        (("H280",), ("GHS04",)),
        (("H314",), ("GHS05",)),
        (("H290",), ("GHS05",)),
        (("H331",), ("GHS06",)),
        (("H336",), ("GHS07",)),
        (("H304",), ("GHS08",)),
        (("H361d",), ("GHS08",)),
        (("H350i",), ("GHS08",)),
        (("H411",), ("GHS09",)),
        (("H241",), ("GHS01", "GHS02")),
        # no symbol is assigned to these: appendix C, C.4.19 (flammable category 4); annex V (chronic 3 and 4)
        (("H227",), ()),
        (("H412", "H413"), ()),
        # combined statement: acute toxicity by two routes
        (("H301+H311",), ("GHS06",)),
        # appendix C, C.2.1: corrosion takes the exclamation mark for skin or eye irritation away
        (("H314", "H319"), ("GHS05",)),
        (("H318", "H315", "H335"), ("GHS05", "GHS07")),
        # ... the skull takes it away for acute toxicity only
        (("H301", "H332"), ("GHS06",)),
        (("H301", "H319"), ("GHS06", "GHS07")),
        # ... and the health hazard sign for a breathing sensitiser, for skin sensitisation and irritation
        (("H334", "H317", "H315"), ("GHS08",)),
        (("H351", "H317"), ("GHS07", "GHS08")),
    ],
)
def test_symbols_of_annex_v(codes: tuple[str, ...], expected: tuple[str, ...], us: Reference) -> None:
    assert labels.symbols(codes, us) == expected
