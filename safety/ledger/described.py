"""Products and containers as text, the same for the same content, and back: what a record meant when it was made.

A value that is the default is left out, so a field that a later program adds changes no older text.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, datetime
from typing import Any, TypeVar

from safety.cited import Unknown
from safety.model import Application, Container, Part, Product, Range, Stated, StatedLimit, TakenAs
from safety.words import Message, say, term

_KINDS = {kind.__name__: kind for kind in (Application, Container, Part, Product, Range, Stated, StatedLimit, TakenAs)}
#: What is no part of the thing itself: where it was read, and keys that a plugin of today gives their meaning.
_NOT_KEPT = {"file", "x"}

Thing = TypeVar("Thing", Product, Container)


def as_text(thing: Product | Container) -> str:
    """A product or a container as it is described now."""
    return json.dumps(_plain(thing), ensure_ascii=False, sort_keys=True, separators=(",", ":"))


def hash_of(text: str) -> str:
    """The hash by which a text is found again."""
    return hashlib.sha256(text.encode("utf-8", errors="surrogateescape")).hexdigest()


def read(text: str, kind: type[Thing]) -> Thing:
    """What :func:`as_text` gave. Raises ValueError for anything else."""
    found = _made(json.loads(text))
    if not isinstance(found, kind):
        raise ValueError(text[:80])
    return found


def _plain(value: Any) -> Any:
    if isinstance(value, Unknown):
        return {"": "Unknown"}  # the reason is no part of it
    if isinstance(value, datetime):
        return {"": "datetime", "at": value.isoformat()}
    if isinstance(value, date):
        return {"": "date", "at": value.isoformat()}
    if is_dataclass(value) and not isinstance(value, type):
        kept = {one.name: getattr(value, one.name) for one in fields(value) if one.name not in _NOT_KEPT}
        if isinstance(value, Part):
            kept["name"] = "" if value.written else _unspoken(value.name)
        usual = {one.name: _usual(one) for one in fields(value)}
        found = {name: _plain(one) for name, one in kept.items() if not _same(one, usual[name])}
        return {"": type(value).__name__, **found}
    if isinstance(value, Mapping):
        return {"": "dict", "in": {str(key): _plain(one) for key, one in value.items()}}
    if isinstance(value, (tuple, list)):
        return [_plain(one) for one in value]
    return str(value) if isinstance(value, str) else value


def _same(value: Any, usual: Any) -> bool:
    """Whether a value is what its field has unsaid."""
    if isinstance(value, Unknown) or isinstance(usual, Unknown):
        return isinstance(value, Unknown) and isinstance(usual, Unknown)
    return type(value) is type(usual) and bool(value == usual)


def _usual(one: Field[Any]) -> Any:
    if one.default is not MISSING:
        return one.default
    return one.default_factory() if one.default_factory is not MISSING else MISSING


def _unspoken(name: str) -> str:
    """A name in the language of the code: which one is spoken is no part of a product."""
    return name.template if isinstance(name, Message) else name


def _made(value: Any) -> Any:
    if isinstance(value, list):
        return tuple(map(_made, value))
    if not isinstance(value, dict):
        return value
    kind = value.get("")
    if kind == "Unknown":
        return Unknown(say("its file did not say then"))
    if kind == "date":
        return date.fromisoformat(value["at"])
    if kind == "datetime":
        return datetime.fromisoformat(value["at"])
    if kind == "dict":
        return {key: _made(one) for key, one in value["in"].items()}
    if kind not in _KINDS:
        raise ValueError(f"{kind!r} is no part of a product")
    known = {one.name for one in fields(_KINDS[kind])}
    found = {name: _made(one) for name, one in value.items() if name in known}
    if kind == "Part":
        found["name"] = term(found.get("written") or found.get("name") or found.get("cas") or "")
    return _KINDS[kind](**found)
