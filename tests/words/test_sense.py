"""Sentences stay sentences whatever is put into their blanks, and one thing has one name."""

from __future__ import annotations

import re

import pytest

from tests.pages import words

SPANISH, GERMAN = ([(str(m.id), str(m.string)) for m in words.read(language) if m.id] for language in ("es", "de"))

#: English word -> what stands for it in the other language, everywhere. Trade words of Mexico and of Germany; common
#: practice, no source.
ONE_NAME = {
    "es": {
        "flash point": "punto de inflamación",
        "explosive limit": "límite (inferior |superior )?de explosividad",
        "data sheet": "hoja de datos de seguridad|intervalos de la hoja",
        "ledger": "libro de registro",
        "cartridge": "cartucho",
        "goggles": "goggles",
        "face shield": "careta",
        "safety officer": "responsable de seguridad",
        "breakthrough time": "tiempo de paso",
        "hand-wipe": "a mano con paño",
        "shift": r"turno|reducido \(",  # beside the line of a chart there is room for the hours alone
        "rags": "trapos?",
        "maker": "fabricante",
        "near field|far field|rest of the place": "resto del lugar|otra parte del lugar",
        "coats?": "capas?",
    },
    "de": {
        "flash point": "flammpunkt",
        "explosive limit": "explosionsgrenze",
        "data sheet": "sicherheitsdatenbl[aä]tt|bereiche des Blatts",
        "ledger": "mengenbuch",
        "cartridge": "filter",
        "goggles": "korbbrille",
        "face shield": "gesichtsschild",
        "safety officer": "sicherheitsfachkraft",
        "breakthrough time": "durchbruchzeit",
        "hand-wipe": "von hand",
        # in full: "Schicht" alone is a coat
        "shift": "arbeitsschicht",
        "rags": "lappen",
        "maker": "hersteller",
        "near field|far field|rest of the place": "übrige[nrs]? Raum",
    },
}


@pytest.mark.parametrize(("language", "english"), [(one, word) for one, names in ONE_NAME.items() for word in names])
def test_one_thing_has_one_name(language: str, english: str) -> None:
    said = {"es": SPANISH, "de": GERMAN}[language]
    asked = [(e, s) for e, s in said if re.search(rf"\b({english})\b", re.sub(r"\{.*?\}", "", e), re.IGNORECASE)]
    assert asked
    wrong = [(e, s) for e, s in asked if not re.search(ONE_NAME[language][english], s, re.IGNORECASE)]
    assert wrong == []


def test_the_reader_of_german_is_told_what_to_do_and_not_addressed() -> None:
    """ "Handschuhe wechseln", not "Wechseln Sie": short, and the same for everybody."""
    addressed = re.compile(r"\b(du|dich|dir|dein\w*|Ihre[mnrs]?|Ihnen)\b|\w+en Sie\b|\bSie (müssen|können|dürfen)\b")
    assert [s for _, s in GERMAN if addressed.search(s)] == []


def test_no_article_stands_before_a_share() -> None:
    """The blank may say "just under 10" or "less than 0.01": "al menos de 0.01 %" would read "at least"."""
    wrong = [s for _, s in SPANISH if re.search(r"\b(al|el|del|un) \{\w+(:[^}]*)?\} %", s, re.IGNORECASE)]
    assert wrong == []


def test_no_name_is_put_behind_a_word_that_would_melt_with_its_article() -> None:
    """ "de" and "el" become "del": what goes into a blank after "de" or "a" must not begin with "el"."""
    fragments = [s for e, s in SPANISH if e.startswith("the rest ")]
    assert fragments
    assert not [s for s in fragments if s.startswith("el ")]


def test_a_count_of_one_reads_well() -> None:
    """A blank that may hold 1 does not stand before a plural: "1 of 1 results"."""
    wrong = [
        e for e, _ in SPANISH if re.search(r"\{count\} results|there are \{count\}\.", e) and "All {count}" not in e
    ]
    assert [e for e in wrong if "Not all" not in e] == []


def test_the_reader_is_spoken_to_with_usted() -> None:
    familiar = re.compile(
        r"\b(tu|tus|tú|ponte|quítate|lávate|debes|puedes|usa tu|vosotros|vuestr[oa]s?)\b", re.IGNORECASE
    )
    assert [s for _, s in SPANISH if familiar.search(s)] == []
