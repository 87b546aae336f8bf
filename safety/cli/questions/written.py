"""Answers as the text of a file. What is unknown or taken in its place says so beside the key."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

import tomlkit
from tomlkit.items import Item, Table

from safety.cli.questions.talk import Answer
from safety.words import printable, say


def text(data: Mapping[str, Any], schema: str = "", head: Iterable[str] = ()) -> str:
    """The file. Of ``data`` a mapping is a table, a list of mappings one table for each, an Answer a value."""
    document = tomlkit.document()
    for line in (f":schema {schema}" if schema else "", *head):
        if line:
            comment = tomlkit.comment(printable(line))
            if line.startswith(":schema "):
                comment.trivia.comment = f"#{line}"  # editors look for it without a space
            document.add(comment)
    document.add(tomlkit.nl())
    _fill(document, data)
    return tomlkit.dumps(document)


def today() -> str:
    return say("Written with hazstep new on {day}.", day=date.today().isoformat())


def _fill(table: Any, data: Mapping[str, Any]) -> None:
    inner: list[tuple[str, Any]] = []
    for key, value in data.items():
        if isinstance(value, Answer):
            if value.value is not None:
                table.add(key, _item(value))
            elif value.note:
                table.add(tomlkit.comment(printable(say("{key}: {note}", key=key, note=value.note))))
        else:
            inner.append((key, value))
    for key, value in inner:  # TOML has the keys of a table before the tables in it
        if isinstance(value, Mapping):
            one = tomlkit.table()
            _fill(one, value)
            table.add(key, one)
        elif value:
            many = tomlkit.aot()
            for each in value:
                many.append(_table(each))
            table.add(key, many)


def _table(data: Mapping[str, Any]) -> Table:
    made = tomlkit.table()
    _fill(made, data)
    return made


def _item(answer: Answer) -> Item:
    value = answer.value
    if isinstance(value, Mapping):
        made: Item = tomlkit.inline_table()
        made.update(value)  # type: ignore[attr-defined]
    else:
        made = tomlkit.item(value)
    if answer.note and value != "unknown":
        made.comment(printable(answer.note))
    return made
