"""What must never differ between two languages: figures, codes, and the fixed words of the trade."""

from __future__ import annotations

import re
from collections import Counter

import pytest

from tests.pages import words

_CODE = re.compile(r"\{[^}]*\}")
_FIGURE = re.compile(r"(?<![\w.])(?:[A-Z]{1,3}-?)?\d+(?:\.\d+)*")

#: English word -> what must stand in Spanish, and what must not: two words for one thing are two things to a reader.
FIXED = {
    r"STOP\b": (r"ALTO\b", None),
    r"INCOMPLETE\b": (r"INCOMPLETA\b", None),
    r"NOT ASSESSED\b": (r"SIN EVALUAR\b", None),
    r"UNKNOWN\b": (r"DESCONOCID[OA]\b", None),
    r"flash point": (r"punto de inflamación", r"punto de (destello|ignición)"),
    r"lower explosive limit": (r"límite inferior de explosividad", r"límite explosivo"),
    r"breakthrough time": (r"tiempos? de paso", r"penetración|ruptura"),
    r"air changes": (r"renovaciones de aire", r"cambios de aire"),
    r"ignition source": (r"fuentes? de ignición|fuente ", r"fuentes? de encendido"),
    r"\bspills?\b": (r"derrame", None),
    r"face shield": (r"careta", r"pantalla"),
    r"safety officer": (r"responsable de seguridad", r"oficial"),
    r"\bat least\b": (r"al menos|como mínimo|por lo menos|deben? ser .* como mínimo", r"como máximo"),
}


@pytest.fixture(scope="module")
def spanish() -> list[tuple[str, str]]:
    return [(str(m.id), str(m.string)) for m in words.read("es") if m.id]


def test_every_figure_and_code_of_the_english_stands_in_the_spanish(spanish: list[tuple[str, str]]) -> None:
    for english, other in spanish:
        missing = figures(english) - figures(other)
        assert not missing, (english, missing)


def figures(template: str) -> Counter[str]:
    return Counter(_FIGURE.findall(_CODE.sub(" ", template)))


def test_a_fixed_word_is_said_the_same_everywhere(spanish: list[tuple[str, str]]) -> None:
    for english, other in spanish:
        for word, (wanted, barred) in FIXED.items():
            if re.search(word, english):
                assert re.search(wanted, other, re.IGNORECASE), (word, english, other)
                assert barred is None or not re.search(barred, other, re.IGNORECASE), (word, english, other)
