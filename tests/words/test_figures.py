"""What must never differ between two languages: figures, codes, and the fixed words of the trade."""

from __future__ import annotations

import re
from collections import Counter
from functools import cache

import pytest

from safety.words import ENGLISH, LANGUAGES
from tests.pages import words

_CODE = re.compile(r"\{[^}]*\}")
_FIGURE = re.compile(r"(?<![\w.])(?:[A-Z]{1,3}-?)?\d+(?:\.\d+)*")

#: English word -> what must stand in the other language, and what must not: two words for one thing are two things to
#: a reader.
FIXED = {
    "es": {
        r"STOP\b": (r"ALTO\b", None),
        r"INCOMPLETE\b": (r"INCOMPLETA\b", None),
        r"NOT ASSESSED\b": (r"SIN EVALUAR\b", None),
        r"UNKNOWN\b": (r"DESCONOCID[OA]\b", None),
        r"flash point": (r"punto de inflamación", r"punto de (destello|ignición)"),
        r"lower explosive limit": (r"límite inferior de explosividad", r"límite explosivo"),
        r"breakthrough time": (r"tiempos? de paso", r"penetración|ruptura"),
        r"air changes": (r"renovaciones de aire", r"cambios de aire"),
        r"ignition source": (r"fuentes? de ignición|fuente ", r"fuentes? de encendido"),
        r"\bspills?\b": (r"derram[ea]", None),
        r"face shield": (r"careta", r"pantalla"),
        r"safety officer": (r"responsable de seguridad", r"oficial"),
        r"\bat least\b": (r"al menos|como mínimo|por lo menos|deben? ser .* como mínimo", r"como máximo"),
        r"\bcoats?\b": (r"capas?", r"\bmanos?\b de|\bmano \(capa\)"),
    },
    "de": {
        r"STOP\b": (r"STOPP\b", None),
        r"INCOMPLETE\b": (r"UNVOLLSTÄNDIG\b", None),
        r"NOT ASSESSED\b": (r"NICHT BEURTEILT\b", None),
        r"UNKNOWN\b": (r"UNBEKANNT\b", None),
        r"flash point": (r"flammpunkt", r"brennpunkt|entflammungspunkt"),
        r"lower explosive limit": (r"untere[nr]? Explosionsgrenze", r"zündgrenze"),
        r"breakthrough time": (r"durchbruchzeit", r"permeationszeit"),
        r"air changes": (r"luftwechsel", None),
        r"ignition source": (r"zündquelle|quelle", r"feuerquelle"),
        r"\bspills?\b": (r"verschütte", None),
        r"face shield": (r"gesichtsschild", r"visier"),
        r"safety officer": (r"sicherheitsfachkraft", r"sicherheitsbeauftragte|offizier"),
        r"\bat least\b": (r"mindestens|wenigstens", r"höchstens"),
    },
}
OTHERS = [language for language in LANGUAGES if language != ENGLISH]


@cache
def said(language: str) -> list[tuple[str, str]]:
    return [(str(m.id), str(m.string)) for m in words.read(language) if m.id]


@pytest.mark.parametrize("language", OTHERS)
def test_every_figure_and_code_of_the_english_stands_in_the_other(language: str) -> None:
    for english, other in said(language):
        missing = figures(english) - figures(other)
        assert not missing, (english, missing)


def figures(template: str) -> Counter[str]:
    return Counter(_FIGURE.findall(_CODE.sub(" ", template)))


@pytest.mark.parametrize("language", OTHERS)
def test_a_fixed_word_is_said_the_same_everywhere(language: str) -> None:
    wrong = [
        (word, english, other)
        for english, other in said(language)
        for word, (wanted, barred) in FIXED[language].items()
        if re.search(word, english)
        and (not re.search(wanted, other, re.IGNORECASE) or (barred and re.search(barred, other, re.IGNORECASE)))
    ]
    assert wrong == []
