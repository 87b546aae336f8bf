"""Mixture rules, fire classes, symbols and signal words against the published tables; each case names its source."""

from __future__ import annotations

from datetime import date

import pytest
from safety_protection import labels
from safety_protection.mixture_hazards import product_hazards

from safety.cited import Unknown
from safety.model import Part, Product, Substance
from safety.reference import Reference

ECHA = "ECHA Helpdesk mixture exercise 2012, quoting CLP Annex I Tables 3.2.3 and 3.7.2"
TRGS_201 = "TRGS 201 no. 2.2.6 (mirrors CLP Annex I 3.8.3.4)"
CLP_26 = "CLP Annex I 2.6, Table 2.6.1, consolidated 2025-09-01"
CLP_310 = "CLP Annex I 3.10.3.3"
MEMORY = "from memory"


class _Parts:
    """The loaded rules, with substances made for the case: each part is one that has one hazard."""

    def __init__(self, rules: Reference, codes: dict[str, tuple[str, ...]]):
        self._rules, self._codes = rules, codes

    def substance(self, cas: str) -> Substance | Unknown:
        return Substance(cas, (cas,), {}, hazards=self._codes[cas])

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


def _computed(rules: Reference, *shares: tuple[str, float], **changes: object) -> set[str]:
    """Codes the rules give a product whose parts have these hazards at these percentages."""
    codes, parts = {}, []
    for number, (code, percent) in enumerate(shares):
        cas = f"10{number}-00-0"
        codes[cas] = (code,) if code else ()
        parts.append(Part(cas, cas, 0.0, percent / 100))
    rest = 100 - sum(p for _, p in shares)
    codes["filler"] = ()
    parts.append(Part("filler", "filler", 0.0, rest / 100))
    found = product_hazards(_product(*parts, **changes), _Parts(rules, codes))  # type: ignore[arg-type]
    return {d.code for d in found.computed}


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


@pytest.mark.parametrize(("parts", "given", "among", "source"), EUROPE)
def test_european_cut_offs(
    eu: Reference, parts: list[tuple[str, float]], given: set[str], among: set[str], source: str
) -> None:
    assert _computed(eu, *parts) & among == given, source


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
    assert "H225" in {d.code for d in hazards.computed}
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
    ("H330", 0.99, None),  # parts under 1 % do not count
]


@pytest.mark.parametrize(("part", "percent", "code"), ACUTE)
def test_acute_toxicity_adds_up(eu: Reference, part: str, percent: float, code: str | None) -> None:
    """CLP Annex I 3.1.3.6; the converted estimates of Table 3.1.2 are from memory."""
    assert _computed(eu, (part, percent)) == ({code} if code else set())


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
