"""Forms for the shop's files: the fields of a table from its shape, and a file in which only these keys change.

A file is somebody's own text: what nobody changed in the form stays as it was, to the letter, comments and order too.
"""

from __future__ import annotations

import difflib
import hashlib
import os
import tempfile
from collections.abc import Iterator, Mapping
from copy import deepcopy
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal, get_args, get_origin

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT

from safety.files.shape_words import table_in
from safety.files.shapes import JobFile, ProductFile, ShopFile
from safety.files.toml import At, document_of
from safety.words import printable

#: The shape of each kind of file.
SHAPES: Mapping[str, Any] = {"shop": ShopFile, "products": ProductFile, "jobs": JobFile}
#: Keys that name code, a database or a file: for whoever is at the machine itself.
AT_THE_MACHINE = frozenset({"plugins", "ledger", "rules"})
#: Keys that say that a person compared a product with its data sheet: set by doing so.
BY_COMPARING = frozenset({"draft", "confirmed"})
_NO_FIELDS: Mapping[At, frozenset[str]] = {("shop",): AT_THE_MACHINE, ("product",): BY_COMPARING}


class NotKept(Exception):
    """A change that would not leave the file as it is meant."""


@dataclass(frozen=True, slots=True)
class Field:
    """One key of a table, as it is filled in."""

    key: str
    says: str  # what it is
    example: str
    value: str  # as the file has it; "" = it has none
    needed: bool
    choices: tuple[str, ...] = ()
    long: bool = False  # over several lines


@dataclass(frozen=True, slots=True)
class Part:
    """A table of a file that has a form."""

    at: At
    name: str  # "place 1, air 2"
    title: str  # by what people know it


# ---------------------------------------------------------------- what a file has


def parts(kind: str, data: Mapping[str, Any]) -> list[Part]:
    """Every table of a file, in the order of its shape."""
    return list(_parts(SHAPES[kind], data, ()))


def _parts(shape: Any, data: Mapping[str, Any], at: At) -> Iterator[Part]:
    for key, field in shape.model_fields.items():
        own, value = table_in(field.annotation), data.get(key)
        if own is None or get_origin(field.annotation) is dict:
            continue
        if isinstance(value, dict):
            yield Part((*at, key), called((*at, key)), "")
            yield from _parts(own, value, (*at, key))
        for number, entry in enumerate(value if isinstance(value, list) else ()):
            if isinstance(entry, dict):
                here = (*at, key, number)
                yield Part(here, called(here), _title(entry))
                yield from _parts(own, entry, here)


def can_have(kind: str, data: Mapping[str, Any]) -> list[At]:
    """The lists of tables in which a further one can stand, each with the place of that one."""
    lists = (key for key, f in SHAPES[kind].model_fields.items() if get_origin(f.annotation) is list)
    return [(key, len(data.get(key, ()))) for key in lists if table_in(SHAPES[kind].model_fields[key].annotation)]


def called(at: At) -> str:
    words = [f"{step + 1}" if isinstance(step, int) else step for step in at]
    return printable(" ".join(words))


def _title(entry: Mapping[str, Any]) -> str:
    found = (entry.get(key) for key in ("name", "title", "id", "state", "product", "what", "cas", "question"))
    return printable(next((one for one in found if isinstance(one, str)), ""))


def address(at: At) -> str:
    return ".".join(map(str, at))


def place(kind: str, data: Mapping[str, Any], text: str) -> At | None:
    """The table that an address names: one that is there, or a further one of a list."""
    known = {address(one.at): one.at for one in parts(kind, data)}
    known |= {address(at): at for at in can_have(kind, data)}
    return known.get(text)


def shape_at(kind: str, at: At) -> Any:
    shape = SHAPES[kind]
    for step in at:
        if isinstance(step, str):
            shape = table_in(shape.model_fields[step].annotation)
    return shape


def fields(kind: str, text: str, at: At) -> list[Field]:
    """The keys of a table that can be filled in; tables below it have forms of their own."""
    table, shape = _at(tomlkit.parse(text), at), shape_at(kind, at)
    found = []
    for key, field in shape.model_fields.items():
        below = table_in(field.annotation) is not None and get_origin(field.annotation) is not dict
        if (below and not field.examples) or key == "x" or key in _NO_FIELDS.get(at, ()):
            continue
        value = "" if table is None or key not in table else shown(table[key])
        example = str(field.examples[0]) if field.examples else ""
        choices = _choices(field.annotation)
        needed = field.is_required()
        found.append(Field(key, str(field.description), _bare(example), value, needed, choices, "\n" in value))
    return found


def _choices(annotation: Any) -> tuple[str, ...]:
    """The words a key may have, where these are all it may have."""
    kinds = [one for one in (annotation, *get_args(annotation)) if one is not type(None)]
    if any(one is bool for one in kinds):
        return ("true", "false")
    return next((get_args(one) for one in kinds if get_origin(one) is Literal), ())


def _at(document: Any, at: At) -> Any:
    for step in at:
        try:
            document = document[step]
        except (KeyError, IndexError):
            return None
    return document


# ---------------------------------------------------------------- text to value and back


def shown(item: Any) -> str:
    """A value as it stands in a field: text without its quotation marks, where it would be read as text again."""
    if isinstance(item, bool):
        return "true" if item else "false"
    written = str(item.as_string()) if hasattr(item, "as_string") else str(item)
    if isinstance(item, str):
        return str(item) if "\n" not in item and _read(str(item)) == str(item) else written
    return written.strip()


def _bare(example: str) -> str:
    return shown(_read(example)) if example else ""


def _read(text: str) -> Any:
    """What is typed, as TOML has it; what is not TOML is text."""
    try:
        found = tomlkit.parse(f"value = {text}")
    except (TOMLKitError, ValueError, RecursionError):
        return text
    return found["value"] if len(found) == 1 else text


# ---------------------------------------------------------------- changing


def typed(text: str) -> str:
    return text.replace("\r\n", "\n").strip()


def changed(kind: str, text: str, at: At, given: Mapping[str, str]) -> str:
    """The text of a file with what was filled in differently. Raises NotKept.

    ``given`` holds the fields that were shown, by their keys.
    """
    differ = {
        one.key: typed(given[one.key])
        for one in fields(kind, text, at)
        if one.key in given and typed(given[one.key]) != typed(one.value)
    }
    if not differ:
        return text
    document = tomlkit.parse(text)
    meant = document_of(Path("before"), "", text).data
    table, plain = _at(document, at), _at(meant, at)
    if table is None:
        table, plain = _further(document, meant, at)
    for key, line in differ.items():
        if line:
            table[key] = _read(line)
            plain[key] = document_of(Path("typed"), "", tomlkit.dumps({"value": table[key]})).data["value"]
        else:
            table.pop(key, None)
            plain.pop(key, None)
    return _sound(_kept(text, tomlkit.dumps(document)), meant)


def _further(document: Any, meant: Any, at: At) -> tuple[Any, Any]:
    """A table more at the end of a list."""
    key, fresh = at[0], tomlkit.table()
    if key not in document:
        document.append(key, AoT([]))
    document[key].append(fresh)
    plain: dict[str, Any] = {}
    meant.setdefault(key, []).append(plain)
    return document[key][-1], plain


def without(text: str, at: At) -> str:
    """The text of a file without one table of a list. Raises NotKept."""
    document, meant = tomlkit.parse(text), deepcopy(document_of(Path("before"), "", text).data)
    for whole in (document, meant):
        del _at(whole, at[:-1])[at[-1]]
    first = str(at[0])
    if not meant.get(first, True):
        del document[first], meant[first]
    return _sound(_kept(text, tomlkit.dumps(document)), meant)


def _kept(before: str, after: str) -> str:
    """The new text, each line that differs in blanks alone as it was: the writer drops the one behind a date."""
    was, new = before.splitlines(keepends=True), after.splitlines(keepends=True)
    first, second = (["".join(line.split()) for line in lines] for lines in (was, new))
    alike = difflib.SequenceMatcher(None, first, second, autojunk=False)
    for old, at, size in alike.get_matching_blocks():
        new[at : at + size] = was[old : old + size]
    return "".join(new)


def _sound(after: str, meant: Mapping[str, Any]) -> str:
    """The text, where it is read as what is meant. Another reader than the writer says so."""
    if document_of(Path("after"), "", after).data != meant:
        raise NotKept
    return after


def difference(before: str, after: str) -> list[tuple[str, str]]:
    """The lines that differ: "-" or "+", and the line."""
    lines = difflib.unified_diff(before.splitlines(), after.splitlines(), lineterm="", n=0)
    return [(line[0], line[1:]) for line in lines if line[:1] in "+-" and line[:3] not in ("+++", "---")]


# ---------------------------------------------------------------- on the disk


def read(path: Path) -> str:
    """The text of a file as it is, line ends and all; a byte order mark says nothing and is left out."""
    return path.read_bytes().decode("utf-8-sig")


def hashed(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def write(path: Path, before: str, after: str) -> bool:
    """Put a text in the place of another; False where that is no more what the file holds. It is whole or it is not."""
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    beside = Path(name)
    try:
        with os.fdopen(handle, "wb") as stream:
            stream.write(after.encode())
            stream.flush()
            os.fsync(stream.fileno())
        beside.chmod(path.stat().st_mode & 0o777)
        if read(path) != before:
            return False
        os.replace(beside, path)
        return True
    finally:
        beside.unlink(missing_ok=True)


def make(path: Path, text: str) -> bool:
    """A new file; False where there is one of that name. Never over anything."""
    try:
        with path.open("x", encoding="utf-8", newline="") as stream:
            stream.write(text)
    except FileExistsError:
        return False
    return True


def copied(text: str, id: str, title: str) -> str:
    """The text of a job's file under another id and title. Raises NotKept."""
    document, meant = tomlkit.parse(text), document_of(Path("before"), "", text).data
    for whole in (document, meant):
        whole["job"] |= {"id": id, "title": title}
    return _sound(_kept(text, tomlkit.dumps(document)), meant)
