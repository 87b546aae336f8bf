"""Substance files and the list of sources: TOML to records, every value with the place it was read at."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import Any

from safety import units
from safety.cited import Cited, Source, Unknown
from safety.files import notation
from safety.files.notation import Miswritten, nearest
from safety.files.toml import At, files_in
from safety.formulas.exposure import GROUPS
from safety.model import ANTOINE, Band, Classification, Composition, Substance
from safety.model.classes import EXTRACT
from safety.model.data import unclassified
from safety.reference import elements
from safety.reference.data_files import (
    SOURCES,
    DataFile,
    quantity,
    sentence,
    sources_for,
    yes,
)
from safety.reference.data_shapes import BAND, CLASS, COMPOSITION, HAZARDS, SUBSTANCE, UNLESS, VALUE, names
from safety.words import say

#: A hazard class with its category, in the abbreviations of CLP Annex VI: "Skin Sens. 1A", "Lact.".
_CLASS = re.compile(r"([A-Z][A-Za-z. ]*?)(?: (\d[A-H]?))?")

#: Property of a substance -> kind of quantity, in the order of the files. "kelvin" is an Antoine constant.
PROPERTIES: Mapping[str, str] = {
    "molar_mass": "molar_mass",
    "density": "density",
    "boiling_point": "temperature",
    "boiling_end": "temperature",
    **dict(zip(ANTOINE, ("number", "kelvin", "kelvin"), strict=True)),
    "vapour_pressure": "pressure",
    "heat_of_vaporisation": "molar_energy",
    "flash_point": "temperature",
    "lower_explosive_limit": "air_share",
    "upper_explosive_limit": "air_share",
    "autoignition": "temperature",
    "heat_of_combustion": "molar_energy",
    "conductivity": "conductivity",
    "log_kow": "number",
    "water_solubility": "solubility",
    "refractive_index": "number",
}
#: Further numbers a value may carry, and the properties that mean nothing without them.
CONDITIONS = ("temperature", "low", "high")
NEEDED = {"vapour_pressure": ("temperature",), ANTOINE[0]: ("low", "high")}
VALUE_KEYS, COMPOSITION_KEYS, HAZARD_KEYS, CLASS_KEYS, BAND_KEYS, UNLESS_KEYS = map(
    names, (VALUE, COMPOSITION, HAZARDS, CLASS, BAND, UNLESS)
)
SUBSTANCE_KEYS = (*names(SUBSTANCE), "composition", "classification", *PROPERTIES)


def cas_is_valid(cas: str) -> bool:
    """Whether ``cas`` is written like a CAS number and its check digit is right."""
    try:
        return notation.cas(cas) == cas
    except Miswritten:
        return False


def substance_files(folder: Path) -> list[Path]:
    """The files of a shop's own substances, by name; the list of sources beside them is none."""
    return [path for path in files_in(folder / "substances") if path.name != SOURCES]


def read_names(path: Path) -> tuple[str, ...]:
    """The names of a substance where they stand on a line of their own, as in every shipped file; else nothing.

    A look-up by name has to know those of all files, and to read them whole takes a second for a thousand.
    """
    try:
        with path.open(encoding="utf-8") as file:
            line = next((line for line in file if line.startswith("names = [")), "")
        found = json.loads(line.removeprefix("names = "))
    except (OSError, ValueError):
        return ()
    return tuple(found) if isinstance(found, list) and all(isinstance(name, str) for name in found) else ()


def read_substance(path: Path, shown: str = "") -> Substance:
    """Read one substance file. Raises Problems.

    The file is called ``<cas>.toml``. A source is a key of the shipped list or of a
    ``sources.toml`` beside the file or one folder up. ``shown`` is how mistakes name the file.
    """
    file = DataFile(path, shown)
    file.keys(file.data, SUBSTANCE_KEYS, ())
    sources = sources_for(path)
    cas = file.need(file.data, "cas", (), notation.cas) or ""
    if cas and path.stem != cas:
        file.wrong(
            ("cas",), say('"{cas}" is not the name of the file', cas=cas), say("call the file {cas}.toml", cas=cas)
        )
    names = file.need(file.data, "names", (), _names) or (cas,)
    notes = file.read(file.data, "notes", (), _notes) or {}
    groups = file.read(file.data, "groups", (), _groups) or {}
    properties = {}
    for name in PROPERTIES:
        values = [_value(file, name, at, table, sources) for at, table in file.tables(name)]
        if values:
            properties[name] = tuple(v for v in values if v is not None)
    if len({len(properties.get(name, ())) for name in ANTOINE}) > 1:
        file.wrong(ANTOINE[:1], say("{keys} must come in sets of three", keys=", ".join(ANTOINE)))
    classes = tuple(c for at, table in file.tables("classification") if (c := _class(file, at, table, sources)))
    hazards = _hazards(file, sources, classes)
    composition = _composition(file, sources)
    file.finish()
    shown = file.document.shown
    made = Substance(cas, names, MappingProxyType(properties), hazards, MappingProxyType(notes), shown, classes)
    return replace(made, groups=MappingProxyType(groups), composition=composition)


def _names(value: object) -> tuple[str, ...]:
    if not isinstance(value, list) or not value:
        raise Miswritten(say("this must be a list of at least one name"), say('write for example names = ["toluene"]'))
    return tuple(notation.text(name) for name in value)


def _groups(value: object) -> dict[str, int]:
    if not isinstance(value, dict) or not all(type(n) is int and n > 0 for n in value.values()):
        raise Miswritten(say("this must be a table of whole numbers"), say("write for example groups = {{ NCO = 2 }}"))
    for name in value:
        if name not in GROUPS:
            raise Miswritten(say('"{name}" is no group a limit counts', name=name), nearest(name, GROUPS))
    return value


def _notes(value: object) -> dict[str, str]:
    if not isinstance(value, dict):
        raise Miswritten(say("this must be a table of texts"), say("write [notes] above them"))
    return {key: sentence(text) for key, text in value.items()}


def _value(file: DataFile, name: str, at: At, table: dict[str, Any], sources: Mapping[str, Source]) -> Cited | None:
    file.keys(table, VALUE_KEYS, at)
    kind = PROPERTIES[name]
    value = file.need(table, "value", at, quantity(kind))
    source = sources.get(_source(file, table, at, sources))
    place = file.words(table, ("at",), at)["at"]
    for key in NEEDED.get(name, ()):
        if key not in table:
            write = say("write for example {key} = {example}", key=key, example='"20 degC"')
            file.wrong(at, say('"{key}" is missing: the value means nothing without it', key=key), write)
    conditions = tuple(
        (k, v) for k in CONDITIONS if (v := file.read(table, k, at, quantity("temperature"))) is not None
    )
    spare = file.spare(table, ("unverified", "remark"), at)
    if value is None or source is None:
        return None
    unit = "K" if kind == "kelvin" else units.KINDS[kind].base
    return Cited(value, unit, table["value"], source, place, conditions=conditions, **spare)


def _source(file: DataFile, table: Mapping[str, Any], at: At, sources: Mapping[str, Source]) -> str:
    key = file.words(table, ("source",), at)["source"]
    if key and key not in sources:
        file.wrong((*at, "source"), say('no source is called "{key}"', key=key), nearest(key, sources))
    return key


def _composition(file: DataFile, sources: Mapping[str, Source]) -> Composition | Unknown:
    unknown, at = Unknown(say("no formula is loaded")), ("composition",)
    if (table := file.data.get("composition")) is None:
        return unknown
    if not isinstance(table, dict):
        file.wrong(at, say("this must be a table"), say("write [composition] above its keys"))
        return unknown
    file.keys(table, COMPOSITION_KEYS, at)
    if ("formula" in table) == ("elements" in table):
        write = say('write formula = "C2Cl4", or for a mixture of many elements = ["C", "H"]')
        file.wrong(at, say("there must be a formula or a list of elements, one of the two"), write)
    symbols = file.read(table, "formula", at, elements.formula) or file.read(table, "elements", at, elements.symbols)
    source = sources.get(_source(file, table, at, sources))
    place = file.words(table, ("at",), at) | file.spare(table, ("unverified",), at)
    if symbols is None or source is None:
        return unknown
    return Composition(symbols, str(table.get("formula", ", ".join(symbols))), source, **place)


def _hazards(
    file: DataFile, sources: Mapping[str, Source], classes: tuple[Classification, ...]
) -> tuple[str, ...] | Unknown:
    """Bare codes, as section 3 of a data sheet has them; [] where somebody looked and found none."""
    if "hazards" not in file.data:
        return tuple(dict.fromkeys(c.code for c in classes)) or unclassified()
    if classes:
        file.wrong(("hazards",), say("the file has [[classification]] tables too"), say("keep one of the two"))
    table = file.data["hazards"]
    if not isinstance(table, dict):
        file.wrong(
            ("hazards",),
            say("this must be a table"),
            say('write hazards = {{codes = ["H225"], source = "...", at = "..."}}'),
        )
        return unclassified()
    file.keys(table, HAZARD_KEYS, ("hazards",))
    _source(file, table, ("hazards",), sources)
    file.words(table, ("at",), ("hazards",))
    file.spare(table, ("unverified",), ("hazards",))
    codes = file.need(table, "codes", ("hazards",), _codes)
    return unclassified() if codes is None else codes


def _class(file: DataFile, at: At, table: dict[str, Any], sources: Mapping[str, Source]) -> Classification | None:
    """One dated statement of a list."""
    file.keys(table, CLASS_KEYS, at)
    code = file.need(table, "code", at, notation.hazard) or ""
    supplemental = code.startswith("EUH")
    hazard_class, category = (file.read if supplemental else file.need)(table, "class", at, _named) or ("", "")
    begins, ends = (file.read(table, key, at, notation.day) for key in ("valid_from", "valid_until"))
    if (begins or date.min) > (ends or date.max):
        file.wrong((*at, "valid_until"), say("the statement ends before it begins"))
    kind = "concentration" if code.startswith("H33") else "dose"
    source = sources.get(_source(file, table, at, sources))
    place = file.words(table, ("at",), at)["at"]
    if source is None:
        return None
    return Classification(
        code=code,
        hazard_class=hazard_class,
        category=category,
        limits=_bands(file, at, table),
        m_factor=file.read(table, "m_factor", at, _factor),
        ate=file.read(table, "ate", at, quantity(kind)),
        minimum=file.read(table, "minimum", at, yes) or False,
        unless=_unless(file, at, table),
        source=source,
        at=place,
        valid_from=begins,
        valid_until=ends,
        **file.spare(table, ("unverified", "remark"), at),
    )


def _bands(file: DataFile, at: At, table: dict[str, Any]) -> tuple[Band, ...]:
    found = []
    for number, row in enumerate(
        _rows(file, at, table, "limits", '[{{code = "H371", class = "STOT SE 2", from = "3 %"}}]')
    ):
        place = (*at, "limits", number)
        file.keys(row, BAND_KEYS, place)
        code = file.need(row, "code", place, notation.hazard)
        named = file.need(row, "class", place, _named)
        low = file.need(row, "from", place, quantity("fraction"))
        high = file.read(row, "under", place, quantity("fraction"))
        if low is not None and high is not None and high <= low:
            file.wrong((*place, "under"), say("the range ends before it begins"))
        if code is not None and named is not None and low is not None:
            found.append(Band(code, *named, low, high))
    return tuple(found)


def _rows(file: DataFile, at: At, table: dict[str, Any], key: str, example: str) -> list[dict[str, Any]]:
    rows = table.get(key, [])
    if isinstance(rows, list) and all(isinstance(row, dict) for row in rows):
        return rows
    file.wrong((*at, key), say("this must be a list of tables"), say("write for example") + f" {key} = {example}")
    return []


def _unless(file: DataFile, at: At, table: dict[str, Any]) -> tuple[str, float] | None:
    if "unless" not in table:
        return None
    given, place = table["unless"], (*at, "unless")
    if not isinstance(given, dict):
        file.wrong(place, say("this must be a table"), say('write unless = {{cas = "71-43-2", under = "0.1 %"}}'))
        return None
    file.keys(given, UNLESS_KEYS, place)
    if "extract" in given:
        of = file.read(given, "extract", place, _extract)
    else:
        of = file.need(given, "cas", place, notation.cas)
    under = file.need(given, "under", place, quantity("fraction"))
    return None if of is None or under is None else (of, under)


def _extract(value: object) -> str:
    if value != "DMSO":
        raise Miswritten(say("only one extract is known"), say('write extract = "DMSO"'))
    return EXTRACT


def _named(value: object) -> tuple[str, str]:
    """Hazard class and category: "STOT RE" and "2" of "STOT RE 2"."""
    text = sentence(value)
    match = _CLASS.fullmatch(text)
    if not match:
        raise Miswritten(say('"{text}" is not a hazard class', text=text), say('write for example "Skin Sens. 1A"'))
    return match[1], match[2] or ""


def _factor(value: object) -> float:
    if isinstance(value, bool) or not isinstance(value, (int, float)) or not 1 <= value <= 1e9:
        raise Miswritten(say("this is not a factor of 1 or more"), say("write for example 10"))
    return float(value)


def _codes(value: object) -> tuple[str, ...]:
    if not isinstance(value, list):
        raise Miswritten(say("this must be a list of hazard codes"), say('write for example codes = ["H225"]'))
    return tuple(notation.hazard(code) for code in value)
