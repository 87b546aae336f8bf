"""Walks the shapes of the files: the sentence for each mistake, and the tables for the docs.

The only table from the checking library's names of mistakes to our words. It works on any class
that lists its ``model_fields`` and so imports no library.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, get_args, get_origin

from safety.files.notation import nearest
from safety.files.toml import At, plain
from safety.words import say

Table = Any  # a class with ``model_fields``
Mistake = tuple[At, str, str]  # path, what is wrong, what to write


def _holds_many(annotation: Any) -> bool:
    return any(getattr(a, "__origin__", None) in (list, dict) for a in (annotation, *get_args(annotation)))


def table_in(annotation: Any) -> Table | None:
    """The table a field holds, singly or in a list."""
    if isinstance(annotation, type) and hasattr(annotation, "model_fields"):
        return annotation
    return next((t for a in get_args(annotation) if (t := table_in(a))), None)


def _owner(shape: Table, path: At) -> Table:
    table = shape
    for step in path[:-1]:
        field = table.model_fields.get(str(step))
        table = (field and table_in(field.annotation)) or table
    return table


def words(shape: Table, path: At, detail: Any) -> tuple[str, str]:
    kind, context, value = detail["type"], detail.get("ctx", {}), detail["input"]
    key = path[-1]
    field = _owner(shape, path).model_fields.get(str(key))
    if field is None and len(path) > 1:  # a key of a table whose keys the shop chooses
        key = path[-2]
        field = _owner(shape, path[:-1]).model_fields.get(str(key))
    example = str(field.examples[0]) if field and field.examples else ""
    say_example = say("write for example {key} = {example}", key=key, example=example) if example else ""
    if kind == "value_error":
        return context["error"].wrong, context["error"].write or say_example
    if kind == "missing":
        name = ".".join(str(step) for step in path if isinstance(step, str))
        many = field is not None and _holds_many(field.annotation)
        table = say("add a table {table}", table=f"[[{name}]]" if many else f"[{name}]")
        return say('"{key}" is missing', key=path[-1]), say_example or table
    if kind == "extra_forbidden":
        known = nearest(path[-1], _owner(shape, path).model_fields)
        return say('unknown key "{key}"', key=plain(path[-1])), known
    if kind == "literal_error":
        words = [w for w in context["expected"].replace(" or ", ", ").replace("'", "").split(", ") if w]
        return say('"{value}" is not a word for this key', value=plain(value)), nearest(value, words)
    if kind in _SENTENCES:
        wrong, write = _SENTENCES[kind]
        return say(wrong, **context), say(write, key=path[-1]) if write else say_example
    return say("this value does not fit here"), say_example


#: pydantic's name of a mistake -> what is wrong, what to write ("" = the key's own example).
_SENTENCES = {
    "int_type": ("this must be a whole number", ""),
    "int_from_float": ("this must be a whole number", ""),
    "float_type": ("this must be a number", ""),
    "string_type": ("this must be text in quotes", ""),
    "bool_type": ("this must be true or false", "write it without quotes"),
    "list_type": ("this must be a list", "write a list in square brackets, or each table as [[{key}]]"),
    "dict_type": ("this must be a table", ""),
    "model_type": ("this must be one table", "write it once, in single brackets"),
    "model_attributes_type": ("this must be one table", "write it once, in single brackets"),
    "too_short": ("there is nothing in it", "add at least one [[{key}]]"),
    "too_long": ("there are more than {max_length}", "split the job in two"),
    "greater_than_equal": ("this must be {ge} or more", "write a larger whole number"),
    "less_than_equal": ("this must be {le} or less", "write a smaller whole number"),
}


def tables_of(shape: Table, name: str = "") -> Iterator[tuple[str, str, list[tuple[str, Any]]]]:
    """Yield each table of a file: its heading, its sentence and its keys with pydantic's field records."""
    for key, field in shape.model_fields.items():
        table = table_in(field.annotation)
        dotted = f"{name}.{key}" if name else key
        if table is None:
            if not name:  # a table whose keys the plugins choose
                yield f"[{dotted}]", str(field.description), []
            continue
        many = get_origin(field.annotation) is list
        keys = [(k, f) for k, f in table.model_fields.items() if table_in(f.annotation) is None or f.examples]
        heading = f"[[{dotted}]]" if many else f"[{dotted}]"
        if get_origin(field.annotation) is dict:
            heading = f"{dotted} = {{...}}"
        yield heading, str(field.description), keys
        yield from tables_of(table, dotted)
