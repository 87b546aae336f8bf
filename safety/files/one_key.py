"""One key of a table, read by what reads the files, for who asks a person instead of a file."""

from __future__ import annotations

import json
from typing import Any

from pydantic import BaseModel, ValidationError

from safety.files.notation import Miswritten
from safety.files.shape_words import words
from safety.words import say


def read_key(table: type[BaseModel], key: str, value: Any) -> None:
    """Raise Miswritten where a file could not have this value there. What else the table needs is not looked at.

    Its ``write`` is "" where the key's own example says what to write.
    """
    try:
        table.model_validate({key: value})
    except ValidationError as error:
        for detail in error.errors(include_url=False):
            if detail["loc"][:1] != (key,):
                continue
            wrong, write = words(table, tuple(step for step in detail["loc"] if step != "[key]"), detail)
            raise Miswritten(
                wrong, detail["ctx"]["error"].write if detail["type"] == "value_error" else write
            ) from None


def example_of(table: type[BaseModel], key: str) -> str:
    """The example of a key as a person says it: without the quotes and brackets of a file."""
    written = str((table.model_fields[key].examples or [""])[0])
    try:
        found = json.loads(written)
    except ValueError:
        return written  # a date
    if not isinstance(found, list):
        return str(found)
    if len(found) == 2 and all(isinstance(one, str) and one[:1].isdigit() for one in found):
        return say("{low} to {high}", low=found[0], high=found[1])
    return ", ".join(map(str, found))
