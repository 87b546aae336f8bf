"""The sixteen headings of a data sheet in three languages, and those of older forms.

Wording: Regulation (EC) No 1907/2006, Annex II, Part B; 29 CFR 1910.1200, Appendix D, Table D.1. Older forms: common
practice, no source.
"""

from __future__ import annotations

import re
from difflib import SequenceMatcher
from functools import lru_cache
from typing import Literal

from safety.datasheet.text import fold

Topic = Literal[
    "identity", "hazards", "composition", "first aid", "fire", "release", "handling", "exposure", "physical", "stability",
    "toxicology", "ecology", "disposal", "transport", "regulation", "other",
]  # fmt: skip
#: In the order in which the law numbers them.
TOPICS: tuple[Topic, ...] = (
    "identity", "hazards", "composition", "first aid", "fire", "release", "handling", "exposure", "physical", "stability",
    "toxicology", "ecology", "disposal", "transport", "regulation", "other",
)  # fmt: skip

_PHRASES: dict[str, dict[Topic, tuple[str, ...]]] = {
    "en": {
        "identity": (
            "identification", "identification of the substance/mixture and of the company/undertaking",
            "product identification", "product and company identification", "chemical product and company identification",
            "identification of the substance/preparation and of the company", "identity", "product information",
            "product identifier and identity for the chemical", "material identification",
            "identification of the material and supplier", "general information", "manufacturer information",
        ),
        "hazards": ("hazards identification", "hazard identification", "hazard(s) identification", "hazards"),
        "composition": (
            "composition/information on ingredients", "composition / information on ingredients", "composition",
            "composition and information on ingredients", "hazardous ingredients", "ingredients",
            "hazardous ingredients/identity information", "hazardous components", "information on ingredients",
            "composition information",
        ),
        "first aid": ("first aid measures", "first-aid measures", "first aid", "emergency and first aid procedures"),
        "fire": (
            "firefighting measures", "fire-fighting measures", "fire fighting measures", "fire and explosion hazard data",
            "fire and explosion data", "fire and explosion hazards", "fire and explosion hazard",
        ),
        "release": (
            "accidental release measures", "spill or leak procedures", "spill and leak procedures",
            "precautions for safe handling and use",
        ),
        "handling": ("handling and storage", "special precautions", "storage and handling"),
        "exposure": (
            "exposure controls/personal protection", "exposure controls / personal protection", "special protection information",
            "control measures", "exposure controls and personal protection", "exposure control/personal protection",
            "personal protection",
        ),
        "physical": (
            "physical and chemical properties", "physical data", "physical/chemical characteristics", "chemical and physical properties",
            "physical and chemical characteristics", "physical properties",
        ),
        "stability": ("stability and reactivity", "reactivity data", "reactivity"),
        "toxicology": ("toxicological information", "health hazard data", "toxicology information", "health hazards"),
        "ecology": ("ecological information", "environmental information"),
        "disposal": ("disposal considerations", "disposal", "waste disposal", "disposal information"),
        "transport": ("transport information", "transportation information", "shipping information", "transportation"),
        "regulation": ("regulatory information", "regulations"),
        "other": ("other information", "additional information"),
    },
    "es": {
        "identity": (
            "identificacion de la sustancia o la mezcla y de la sociedad o la empresa", "identificacion", "identificacion del producto",
            "identificacion de la sustancia o del preparado y de la sociedad o empresa", "identificacion del producto y de la empresa",
            "identificacion de la sustancia quimica peligrosa o mezcla y del proveedor o fabricante",
            "identificacion de la sustancia/mezcla y de la sociedad/empresa", "identificacion de la mezcla y de la empresa",
        ),
        "hazards": ("identificacion de los peligros", "identificacion de peligros", "identificacion del peligro o peligros"),
        "composition": (
            "composicion/informacion sobre los componentes", "composicion / informacion sobre los componentes", "composicion",
            "composicion e informacion sobre los componentes", "composicion/informacion de los componentes",
            "informacion sobre los componentes",
        ),
        "first aid": ("primeros auxilios",),
        "fire": ("medidas de lucha contra incendios", "medidas contra incendios", "medidas de lucha contra el fuego"),
        "release": (
            "medidas en caso de vertido accidental", "medidas que deben tomarse en caso de derrame accidental",
            "medidas en caso de derrame o fuga accidental", "medidas en caso de derrame accidental",
        ),
        "handling": ("manipulacion y almacenamiento", "manejo y almacenamiento"),
        "exposure": (
            "controles de exposicion/proteccion individual", "controles de exposicion / proteccion individual",
            "controles de exposicion/proteccion personal", "control de exposicion/proteccion individual",
        ),
        "physical": ("propiedades fisicas y quimicas",),
        "stability": ("estabilidad y reactividad",),
        "toxicology": ("informacion toxicologica",),
        "ecology": ("informacion ecologica", "informacion ecotoxicologica"),
        "disposal": (
            "consideraciones relativas a la eliminacion", "informacion relativa a la eliminacion de los productos",
            "consideraciones sobre la eliminacion", "consideraciones de disposicion", "eliminacion",
        ),
        "transport": ("informacion relativa al transporte", "informacion sobre el transporte", "informacion de transporte"),
        "regulation": ("informacion reglamentaria", "informacion sobre la reglamentacion", "informacion regulatoria"),
        "other": ("otra informacion", "otras informaciones", "otros datos", "informacion adicional"),
    },
    "de": {
        "identity": (
            "bezeichnung des stoffs beziehungsweise des gemischs und des unternehmens",
            "bezeichnung des stoffs bzw. des gemischs und des unternehmens", "stoff-/zubereitungs- und firmenbezeichnung",
            "bezeichnung des stoffes bzw. des gemisches und des unternehmens", "bezeichnung des stoffs und des unternehmens",
            "bezeichnung des stoffs/der zubereitung und des unternehmens",
        ),
        "hazards": ("mogliche gefahren",),
        "composition": (
            "zusammensetzung/angaben zu bestandteilen", "zusammensetzung / angaben zu bestandteilen",
            "zusammensetzung/angaben zu den bestandteilen", "zusammensetzung",
        ),
        "first aid": ("erste-hilfe-massnahmen", "erste hilfe massnahmen", "erste-hilfe-masnahmen", "erste hilfe"),
        "fire": ("masnahmen zur brandbekampfung", "massnahmen zur brandbekampfung"),
        "release": (
            "masnahmen bei unbeabsichtigter freisetzung", "massnahmen bei unbeabsichtigter freisetzung",
        ),
        "handling": ("handhabung und lagerung",),
        "exposure": (
            "begrenzung und uberwachung der exposition/personliche schutzausrustungen",
            "begrenzung und uberwachung der exposition / personliche schutzausrustung",
            "expositionsbegrenzung und personliche schutzausrustungen",
        ),
        "physical": ("physikalische und chemische eigenschaften",),
        "stability": ("stabilitat und reaktivitat",),
        "toxicology": ("toxikologische angaben", "angaben zur toxikologie"),
        "ecology": ("umweltbezogene angaben", "angaben zur okologie"),
        "disposal": ("hinweise zur entsorgung",),
        "transport": ("angaben zum transport",),
        "regulation": ("rechtsvorschriften", "vorschriften"),
        "other": ("sonstige angaben",),
    },
}  # fmt: skip

_ROMAN = {
    n: i
    for i, n in enumerate(
        ["i", "ii", "iii", "iv", "v", "vi", "vii", "viii", "ix", "x", "xi", "xii", "xiii", "xiv", "xv", "xvi"], 1
    )
}
_PREFIX = re.compile(
    r"[\s*•·=_#-]*(?P<word>section|seccion|apartado|abschnitt|kapitel|chapter|sec\.?)?\s*"
    r"(?:n[.°o]*\s*)?(?P<number>\d{1,2}|[ivx]{1,5})?(?:\.0(?!\d))?(?!\.\d)(?:\s*[.:)]|\s+[–—-]+|\s*[–—]+|\s+|$)\s*[-–—:.]*\s*",
)


@lru_cache(4096)
def heading(text: str) -> tuple[Topic, str, int] | None:
    """The topic a line heads, its language ("" where only the number tells) and its number (0 where it has none)."""
    low = fold(text).strip().replace("&", "and")
    if len(low) > 140:
        return None
    found = _PREFIX.match(low)
    number, rest, word = 0, low, False
    if found and (found["word"] or found["number"]):
        number = _number(found["number"])
        rest, word = low[found.end() :], bool(found["word"])
    rest = rest.strip(" .:-–—_=*#")
    best = _best(rest, 0.74 if word and number else 0.82 if number else 0.93)
    if best:
        return (*best, number)
    if word and 1 <= number <= 16 and len(rest) < 60:
        return TOPICS[number - 1], "", number
    return None


_INNER: tuple[tuple[Topic, str], ...] = (
    ("hazards", r"2\.1\.?\s+(?:classif|clasif|einstufung)"),
    ("composition", r"3\.[12]\.?\s+(?:substances?|mixtures?|sustancias?|mezclas?|stoffe?|gemische?)\b"),
    ("exposure", r"8\.1\.?\s+(?:control|parametros|zu uberwachende)"),
    ("physical", r"9\.1\.?\s+(?:information|informacion|angaben)"),
    ("stability", r"10\.1\.?\s+(?:reactiv|reaktiv)"),
)


def inner(text: str) -> Topic | None:
    """The topic whose first sub-section a line heads: for a sheet that lacks the heading above it."""
    low = fold(text).strip(" •·*#")
    return next((topic for topic, pattern in _INNER if re.match(pattern, low)), None)


def _number(text: str | None) -> int:
    if not text:
        return 0
    return int(text) if text.isdigit() else _ROMAN.get(text, 0)


def _best(rest: str, least: float) -> tuple[Topic, str] | None:
    best: tuple[float, int, Topic, str] | None = None
    for language, topics in _PHRASES.items():
        for topic, phrases in topics.items():
            for phrase in phrases:
                score = _alike(rest, phrase, least)
                if score >= least and (best is None or (score, len(phrase)) > best[:2]):
                    best = (score, len(phrase), topic, language)
    return (best[2], best[3]) if best else None


def _alike(rest: str, phrase: str, least: float) -> float:
    if rest == phrase:
        return 1.0
    if len(phrase) >= 12 and rest.startswith(phrase) and len(rest) - len(phrase) <= 24:
        return 0.95 if not re.search(r"[.,;]\s*\w", rest[len(phrase) :]) else 0.0
    if abs(len(rest) - len(phrase)) > 0.4 * len(phrase):
        return 0.0
    if rest[:1] != phrase[:1] and rest[-4:] != phrase[-4:]:
        return 0.0
    if 2 * min(len(rest), len(phrase)) < least * (len(rest) + len(phrase)):
        return 0.0  # of such lengths no two are so alike
    matcher = SequenceMatcher(None, rest, phrase)
    return matcher.ratio() if matcher.quick_ratio() >= least else 0.0
