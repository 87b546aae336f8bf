"""safety/data/schemas/*.json: the shapes of the files as JSON Schema, for editors that complete and mark TOML.

A schema is never stricter than reading: what it marks, ``hazstep check`` refuses. Check finds more. In a rules pack a table
of another name is not marked: a plugin of the shop may declare it.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterable
from types import UnionType
from typing import Any, Literal, Union, get_args, get_origin

from safety import units
from safety.files import notation
from safety.files.shapes import JobFile, ProductFile, ShopFile
from safety.hosting import host
from safety.model import Compare, Key
from safety.reference import data_shapes, declared_tables
from safety.reference.substance_files import PROPERTIES
from tests.pages.plugins import SHIPPED

_NUMBER = r"([+\u2212-]|\u2013\s?)?(\d+([.,]\d*)?|\.\d+)([eE][+-]?\d{1,3})?"
_CAS = {"type": "string", "pattern": r"^\s*[1-9]\d{1,6}-\d\d-\d\s*$"}
_DAY = {"type": "string", "pattern": r"^\s*\d{4}-\d\d-\d\d\s*$"}
_MOMENT = {"type": "string", "pattern": r"^\s*\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?\s*$"}
_UNKNOWN = {"const": "unknown"}
_TEXT = {"type": "string", "minLength": 1}
_CODE = {"type": "string", "pattern": r"^\s*(EUH|H)\d{3}[A-Za-z]{0,2}\s*$"}
_BY_READER: dict[Callable[..., Any], dict[str, Any]] = {
    notation.text: _TEXT,
    notation.address: _TEXT,
    notation.telephone: {"type": "string", "pattern": r"(\d[^\d]*){3}"},
    notation.names: {"anyOf": [_TEXT, {"type": "array", "items": _TEXT, "minItems": 1}]},
    notation.identifier: {"type": "string", "pattern": r"^\s*[a-z0-9]+(-[a-z0-9]+)*\s*$"},
    notation.cas: _CAS,
    notation.hazards: {"anyOf": [_UNKNOWN, {"type": "array", "items": _CODE, "minItems": 1}]},
    notation.day: _DAY,
    notation.day_or_none: {"anyOf": [_UNKNOWN, _DAY]},
    notation.day_or_moment: {"anyOf": [_DAY, _MOMENT]},
    notation.moment: _MOMENT,
    notation.setting: {"type": ["number", "string"]},
    notation.atoms: {"type": "array", "items": {"type": "integer", "minimum": 1, "maximum": 60}, "minItems": 2, "maxItems": 2},
}  # fmt: skip


_TEXTS = {"type": "array", "items": _TEXT}
_SOME_TEXTS = {**_TEXTS, "minItems": 1}
#: What may stand before an end of a range, and between two: signs, or a few words that reading knows.
_WORDS = "[A-Za-z\u00c0-\u00ff]"
_END = rf"([<>≤≥]=?|=[<>]|{_WORDS}[A-Za-z\u00c0-\u00ff.: ]{{1,24}}?)\s*"
_TO = rf"([-\u2013\u2014\u2026]|\.\.\.?|{_WORDS}{{1,5}})"
_NUMBER_OF = {"type": "object", "additionalProperties": {"type": "number"}, "minProperties": 1}
#: The kinds of keys of rules packs and substance files, but for the kinds of quantity.
_BY_KIND: dict[str, dict[str, Any]] = {
    "text": _TEXT,
    "text or nothing": {"type": "string"},
    "texts": _SOME_TEXTS,
    "texts or none": _TEXTS,
    "word": _TEXT,
    "sign": {"enum": [*get_args(Compare)]},
    "yes": {"type": "boolean"},
    "number": {"type": "number"},
    "percent": {"type": "number", "minimum": 0, "maximum": 100},
    "whole": {"type": "integer"},
    "numbers": {"type": "array", "items": {"type": "number"}},
    "wholes": {"type": "array", "items": {"type": "integer"}},
    "weights": _NUMBER_OF,
    "cas": _CAS,
    "substances": {"type": "array", "items": _CAS, "minItems": 1},
    "day": _DAY,
    "hazard": _CODE,
    "hazards": {"type": "array", "items": _CODE},
    "class": {"type": "string", "pattern": r"^[A-Z][A-Za-z. ]*?( \d[A-H]?)?$"},
    "factor": {"type": "number", "minimum": 1},
    "atoms": {"type": "object", "additionalProperties": {"type": "integer", "minimum": 1}},
    "notes": {"type": "object", "additionalProperties": _TEXT},
    "formula": _TEXT,
    "written number": {"type": "string", "pattern": rf"^\s*{_NUMBER}\s*$"},
    "kelvin": {"type": "string", "pattern": rf"^\s*{_NUMBER} K$"},
}
#: Kinds that are one of several quantities.
_SEVERAL = {
    "limit": ("air_share", "concentration"),
    "dose or vapour": ("dose", "concentration"),
    "any quantity": (*units.KINDS,),
}


def _page(shape: Any, title: str) -> Callable[[], str]:
    return _schema(title, lambda: _table(shape))


def _schema(title: str, make: Callable[[], dict[str, Any]]) -> Callable[[], str]:
    def page() -> str:
        schema = {"$schema": "http://json-schema.org/draft-07/schema#", "title": title, **make()}
        return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"

    return page


# ---------------------------------------------------------------- rules packs and substance files


def _pack() -> dict[str, Any]:
    """Every table that the program and our plugins declare, and the three that every pack may have."""
    ours = [one for one in host.load().ask("contribute") if one[0] in SHIPPED]
    tables = {
        "limit": _rows("What air may hold of a substance.", data_shapes.LIMIT, (("cas", "as_group"),)),
        "threshold": _rows("A number of a rule that a plugin asks for by its name.", data_shapes.THRESHOLD),
    }
    for name, schema in sorted(declared_tables(ours).items()):
        own = {key.name for key in schema.keys}
        spare = (key for key in _ORIGIN if key.name not in own)
        tables[name] = _rows(schema.says, (*schema.keys, *spare), schema.either)
    others = {"type": "array", "items": {"type": "object"}}
    pack = {"description": "The pack itself. Written once.", **_of_keys(data_shapes.PACK)}
    return {
        "type": "object",
        "properties": {"pack": pack, **tables},
        "required": ["pack"],
        "additionalProperties": others,
    }


_OF_EVERY_ROW = ("citation", "edition", "unverified", "remark", "valid_from", "valid_until")
#: Keys of every row, as those of a limit.
_ORIGIN = tuple(key for key in data_shapes.LIMIT if key.name in _OF_EVERY_ROW)


def _substance() -> dict[str, Any]:
    properties = {
        name: _rows(f"Its {name.replace('_', ' ')}, the value to use first.", _of_property(kind))
        for name, kind in PROPERTIES.items()
    }
    shape = _of_keys(data_shapes.SUBSTANCE)
    shape["properties"] |= {
        "hazards": {"description": shape["properties"]["hazards"]["description"], **_of_keys(data_shapes.HAZARDS)},
        "composition": {"description": "What it is made of.", **_of_keys(data_shapes.COMPOSITION)},
        "classification": _rows("A statement of a list, with its class. One table for each.", data_shapes.CLASS),
        **properties,
    }
    return shape


def _of_property(kind: str) -> tuple[Key, ...]:
    written = "written number" if kind == "number" else kind  # a value is text, whatever it measures
    return tuple(Key(key.name, key.kind or written, key.needed, key.one_of, key.says) for key in data_shapes.VALUE)


def _sources() -> dict[str, Any]:
    return {"type": "object", "additionalProperties": {"description": "A source.", **_of_keys(data_shapes.SOURCE)}}


def _rows(says: str, keys: Iterable[Key], either: Iterable[tuple[str, ...]] = ()) -> dict[str, Any]:
    row = _of_keys(keys)
    one_of_each = [{"anyOf": [{"required": [name]} for name in names]} for names in either]
    return {"description": says, "type": "array", "items": row | ({"allOf": one_of_each} if one_of_each else {})}


def _of_keys(keys: Iterable[Key]) -> dict[str, Any]:
    keys = tuple(keys)
    needed = [key.name for key in keys if key.needed]
    found = {
        key.name: {"description": key.says or f"The {key.name.replace('_', ' ')}.", **_by_kind(key)} for key in keys
    }
    made = {"type": "object", "additionalProperties": False, "properties": found}
    return made | ({"required": needed} if needed else {})


def _by_kind(key: Key) -> dict[str, Any]:
    if key.one_of:
        return {"enum": [*key.one_of]}
    if key.kind == "bands":
        return {"type": "array", "items": _of_keys(data_shapes.BAND)}
    if key.kind == "unless":
        return _of_keys(data_shapes.UNLESS)
    if key.kind in _BY_KIND:
        return _BY_KIND[key.kind]
    kinds = _SEVERAL.get(key.kind, (key.kind,))
    pure = any(units.KINDS[kind].base == "1" for kind in kinds)  # such a number may stand without a unit
    text = "|".join(dict.fromkeys(_spelt(unit) for kind in kinds for unit in units.KINDS[kind].units if unit != "1"))
    unit = f"({text}){'?' if pure else ''}" if text else ""
    return {"type": "string", "pattern": rf"^\s*{_NUMBER}\s*{unit}\s*$", "examples": [units.KINDS[kinds[0]].example]}


SCHEMAS: dict[str, Callable[[], str]] = {
    "safety/data/schemas/shop.json": _page(ShopFile, "hazstep: shop.toml"),
    "safety/data/schemas/product.json": _page(ProductFile, "hazstep: products/*.toml"),
    "safety/data/schemas/job.json": _page(JobFile, "hazstep: jobs/*.toml"),
    "safety/data/schemas/rules.json": _schema("hazstep: rules/*.toml", _pack),
    "safety/data/schemas/substance.json": _schema("hazstep: substances/<cas>.toml", _substance),
    "safety/data/schemas/sources.json": _schema("hazstep: substances/sources.toml", _sources),
}

# ---------------------------------------------------------------- shops, products and jobs


def _table(shape: Any) -> dict[str, Any]:
    keys = {name: _key(field) for name, field in shape.model_fields.items()}
    needed = [name for name, field in shape.model_fields.items() if field.is_required()]
    found = {"type": "object", "additionalProperties": False, "properties": keys}
    return found | ({"required": needed} if needed else {})


def _key(field: Any) -> dict[str, Any]:
    """A key: what may be written, its sentence, and its example as TOML."""
    says = field.description or ""
    if field.examples:
        says += f" Example: {field.examples[0]}"
    return {
        "description": says,
        **(_by_reader(field.metadata) or _of_type(field.annotation)),
        **_bounds(field.metadata),
    }


def _by_reader(marks: Iterable[Any]) -> dict[str, Any]:
    for mark in marks:
        reader = getattr(mark, "func", None)
        owner = getattr(reader, "__self__", None)
        if isinstance(owner, notation.Quantity):
            return _quantity(owner, getattr(reader, "__name__", ""))
        if reader in _BY_READER:
            return _BY_READER[reader]
    return {}


def _quantity(quantity: notation.Quantity, reader: str) -> dict[str, Any]:
    names = dict.fromkeys(unit for kind in quantity.kinds for unit in units.KINDS[kind].units if unit != "1")
    unit = f"({'|'.join(dict.fromkeys(map(_spelt, names)))})"
    text = rf"^\s*{f'({_END})?' if quantity.careful else ''}{_NUMBER}\s*{unit}\s*$"
    one = {"type": "string", "pattern": text, "examples": [units.KINDS[kind].example for kind in quantity.kinds]}
    two = {"type": "string", "pattern": rf"^\s*({_END})?{_NUMBER}\s*{unit}?\s*{_TO}\s*({_END})?{_NUMBER}\s*{unit}\s*$"}
    ways: list[dict[str, Any]] = [one, *([two] if quantity.careful else [])]
    if reader in ("span", "span_or_unknown", "amount", "amount_or_unknown", "ends"):
        ways += [] if quantity.careful else [two]
        if quantity.kinds in (("fraction",), ("pressure",)):
            ways.append({"type": "string", "pattern": rf"^\s*{_END}{_NUMBER}\s*{unit}\s*$"})
        if quantity.kinds == ("fraction",):
            ways.append({"type": "string", "pattern": r"^\s*([Bb]alance|[Rr]est|[Rr]emainder|[Rr]esto)\s*$"})
        ways.append({"type": "array", "items": one, "minItems": 2, "maxItems": 2})
    if reader in ("number_or_none", "number_or_absent", "span_or_unknown", "amount_or_unknown"):
        ways.append(_UNKNOWN)
    if reader == "number_or_absent":
        ways.append({"const": "none"})
    return one if len(ways) == 1 else {"anyOf": ways}


def _spelt(unit: str) -> str:
    """A unit as a pattern, in every spelling that reading takes."""
    words: dict[str, list[str]] = {}
    for other, ours in units.SPELT.items():
        words.setdefault(ours, []).append(other)
    text = ""
    for piece in re.findall(r"[^\W\d_]+|.", units.plainly(unit)):
        spelt = [piece, *words.get(piece, [])]
        powers = {"2": r"(\^?2|²)", "3": r"(\^?3|³)"}
        text += powers.get(piece, re.escape(piece) if len(spelt) == 1 else f"({'|'.join(spelt)})")
    return text


def _of_type(kind: Any) -> dict[str, Any]:
    origin, arguments = get_origin(kind), [a for a in get_args(kind) if a is not type(None)]
    if hasattr(kind, "__metadata__"):
        return _by_reader(kind.__metadata__) or {**_of_type(arguments[0]), **_bounds(kind.__metadata__)}
    if isinstance(kind, type) and hasattr(kind, "model_fields"):
        return _table(kind)
    if origin is Literal:
        return {"enum": list(arguments)}
    if origin in (Union, UnionType):
        return _of_type(arguments[0]) if len(arguments) == 1 else {"anyOf": [*map(_of_type, arguments)]}
    if origin is list:
        return {"type": "array", "items": _of_type(arguments[0])}
    if origin is dict:
        return {"type": "object", "additionalProperties": _of_type(arguments[1])}
    if kind is Any:  # a plugin says what
        return {}
    return {"type": {bool: "boolean", int: "integer", str: "string"}[kind]}


def _bounds(marks: Iterable[Any]) -> dict[str, Any]:
    """Least and most of a whole number, and of a list's length."""
    words = {"ge": "minimum", "le": "maximum", "min_length": "minItems", "max_length": "maxItems"}
    return {words[name]: getattr(mark, name) for mark in marks for name in words if hasattr(mark, name)}
