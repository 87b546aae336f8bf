"""safety/data/schemas/*.json: the shapes of the files as JSON Schema, for editors that complete and mark TOML.

A schema is never stricter than reading: what it marks, ``hazstep check`` refuses. Check finds more.
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

_NUMBER = r"[+-]?(\d+([.,]\d*)?|\.\d+)([eE][+-]?\d{1,3})?"
_CAS = {"type": "string", "pattern": r"^\s*[1-9]\d{1,6}-\d\d-\d\s*$"}
_DAY = {"type": "string", "pattern": r"^\s*\d{4}-\d\d-\d\d\s*$"}
_MOMENT = {"type": "string", "pattern": r"^\s*\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d(\.\d+)?)?\s*$"}
_UNKNOWN = {"const": "unknown"}
_TEXT = {"type": "string", "minLength": 1}
_CODE = {"type": "string", "pattern": r"^\s*(EUH|H)\d{3}[A-Za-z]{0,2}\s*$"}
_BY_READER: dict[Callable[..., Any], dict[str, Any]] = {
    notation.text: _TEXT,
    notation.address: _TEXT,
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


def _page(shape: Any, title: str) -> Callable[[], str]:
    def page() -> str:
        schema = {"$schema": "http://json-schema.org/draft-07/schema#", "title": title, **_table(shape)}
        return json.dumps(schema, indent=1, ensure_ascii=False) + "\n"

    return page


SCHEMAS: dict[str, Callable[[], str]] = {
    "safety/data/schemas/shop.json": _page(ShopFile, "hazstep: shop.toml"),
    "safety/data/schemas/product.json": _page(ProductFile, "hazstep: products/*.toml"),
    "safety/data/schemas/job.json": _page(JobFile, "hazstep: jobs/*.toml"),
}


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
    bound = r"([<>≤≥]=?\s*)?" if quantity.low_is_careful else ""
    text = rf"^\s*{bound}{_NUMBER}\s*{unit}\s*$"
    one = {"type": "string", "pattern": text, "examples": [units.KINDS[kind].example for kind in quantity.kinds]}
    ways: list[dict[str, Any]] = [one]
    if reader in ("span", "amount", "amount_or_unknown"):
        ways.append(
            {"type": "string", "pattern": rf"^\s*{_NUMBER}\s*{unit}?\s*([-\u2013]|to)\s*{_NUMBER}\s*{unit}\s*$"}
        )
        if quantity.kinds in (("fraction",), ("pressure",)):
            ways.append({"type": "string", "pattern": rf"^\s*[<>≤≥]=?\s*{_NUMBER}\s*{unit}\s*$"})
        if quantity.kinds == ("fraction",):
            ways.append({"type": "string", "pattern": r"^\s*([Bb]alance|[Rr]est|[Rr]emainder)\s*$"})
        ways.append({"type": "array", "items": one, "minItems": 2, "maxItems": 2})
    if reader in ("number_or_none", "amount_or_unknown"):
        ways.append(_UNKNOWN)
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
