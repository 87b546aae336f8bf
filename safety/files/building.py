"""A table of a file becomes a record: what the two call the same goes over as it stands."""

from __future__ import annotations

from dataclasses import fields
from types import MappingProxyType
from typing import Any, TypeVar

from safety.files.shape_kinds import Table

Record = TypeVar("Record")


def made(record: type[Record], table: Table, **given: Any) -> Record:
    """The record of a table. ``given`` is what it holds in another way, or under another name."""
    own = {one.name for one in fields(record) if one.init} - given.keys()  # type: ignore[arg-type]
    return record(**{name: _fixed(getattr(table, name)) for name in type(table).model_fields if name in own}, **given)


def _fixed(value: Any) -> Any:
    """A record cannot be changed: what it holds neither."""
    if isinstance(value, dict):
        return MappingProxyType(dict(value))
    return tuple(value) if isinstance(value, list) else value
