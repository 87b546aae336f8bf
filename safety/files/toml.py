"""TOML text to plain data, and where in the text a key is. The only module that imports tomli."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from itertools import chain
from operator import attrgetter
from pathlib import Path
from typing import Any

import tomli

from safety.problems import Problem, Problems
from safety.words import printable, say

#: A key's place in the data: table names, keys and 0-based list indexes.
At = tuple[str | int, ...]

LARGEST_FILE = 1_000_000  # bytes; a shop's own files are a few kB
_REFUSED = (ValueError, RecursionError)  # tomli's own error is a ValueError, as is a number of 5000 digits


@dataclass(frozen=True, slots=True)
class Document:
    """A file that was read as TOML."""

    path: Path
    shown: str  # how mistakes name the file
    text: str
    data: dict[str, Any]
    #: Characters that may still be parsed to find the lines of mistakes: a file of nothing else must not hang.
    budget: list[int] = field(default_factory=list, compare=False, repr=False)
    #: Values that somebody gave in place of the file's, by their place: the option they were given with.
    given: Mapping[At, str] = field(default_factory=dict, compare=False)


def open_document(path: Path, shown: str = "") -> Document:
    """Read one TOML file.

    Raises Problems (with one Problem) when there is no such file, it is too large, is not
    UTF-8, or is not TOML.
    """
    shown = plain(shown or path.as_posix(), 300)
    return document_of(path, shown, _text(path, shown))


def document_of(path: Path, shown: str, text: str) -> Document:
    """A file of this text, whether or not it is there yet. Raises Problems (with one Problem) when it is not TOML."""
    try:
        data = tomli.loads(text)
    except tomli.TOMLDecodeError as error:
        wrong = say("this is not TOML: {reason}, column {column}", reason=_lower(error.msg), column=error.colno)
        raise Problems([Problem(shown, error.lineno, "", wrong, say("check this line and the one above"))]) from None
    except _REFUSED:
        wrong = say("a number is too long or brackets are nested too deep")
        raise Problems([Problem(shown, 0, "", wrong, say("write it in a simpler way"))]) from None
    return Document(path, shown, text, data, [30 * len(text) + 3_000_000])


def _text(path: Path, shown: str) -> str:
    def refuse(wrong: str, write: str, line: int = 0) -> Problems:
        return Problems([Problem(shown, line, "", wrong, write)])

    try:
        if path.is_dir():
            raise refuse(say("this is a folder, not a file"), say("name one TOML file"))
        if not path.exists():
            raise refuse(say("there is no such file"), say("check the name and the folder"))
        if not path.is_file():
            raise refuse(say("this is not an ordinary file"), say("name one TOML file"))
        with path.open("rb") as stream:  # never more than the limit, however long the file says it is
            raw = stream.read(LARGEST_FILE + 1)
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or say("the name cannot be a file's name")
        raise refuse(
            say("the file cannot be read: {reason}", reason=_lower(reason)), say("check its name and its access rights")
        ) from None
    if len(raw) > LARGEST_FILE:
        raise refuse(say("the file is larger than 1 MB"), say("split it, or check that it is the right file"))
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refuse(say("the file is not UTF-8 text"), say("save it again as UTF-8"), line) from None
    return text.replace("\r\n", "\n")


def is_file(path: Path) -> bool:
    """Whether there is an ordinary file of this name, however odd the name is."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def files_in(folder: Path) -> list[Path]:
    """The TOML files of a folder by name; none where the folder is missing or closed to us."""
    try:
        return sorted(folder.glob("*.toml"), key=attrgetter("name"))
    except (OSError, ValueError):
        return []


def _lower(sentence: str) -> str:
    return sentence[:1].lower() + sentence[1:].rstrip(".")


def locate(text: str, path: At, budget: list[int] | None = None) -> int | None:
    """Return the 1-based line where the value at ``path`` begins, or None where there is no such value.

    Growing prefixes of the text are parsed and bisected, so the TOML parser is the only grammar
    used. A value inside a list or table written over several lines is found at the list's line.
    ``budget`` holds how many characters may be parsed in all; it gets lighter, and empty finds nothing.
    """
    budget = [30 * len(text) + 300_000] if budget is None else budget
    if not budget or budget[0] < len(text):
        return None
    # not splitlines(), which also splits at characters that may stand inside a string
    ends = [0, *(at for at, sign in enumerate(text) if sign == "\n"), len(text)]

    @cache
    def has(count: int) -> bool | None:
        """Whether the first ``count`` lines hold the value; None when they are not a document."""
        budget[0] -= ends[count]
        if budget[0] < 0:
            return None
        try:
            return _has(tomli.loads(text[: ends[count]]), path)
        except _REFUSED:
            return None

    if has(len(ends) - 1) is not True:
        return None
    low, high = 0, len(ends) - 1  # the first ``low`` lines lack it, the first ``high`` have it
    while high - low > 1:
        middle = (low + high) // 2
        near = chain(range(middle, high), range(middle - 1, low, -1))
        split = next((n for n in near if budget[0] < 0 or has(n) is not None), None)
        if budget[0] < 0:
            return None
        if split is None:
            break
        if has(split):
            high = split
        else:
            low = split
    return low + 1


def _has(data: Any, path: At) -> bool:
    for step in path:
        try:
            data = data[step]
        except (KeyError, IndexError, TypeError):
            return False
    return True


def problem(document: Document, path: At, wrong: str, write: str = "") -> Problem:
    """Return the mistake at ``path`` with its line; where the key is missing, the line of its table."""
    if path in document.given:
        return Problem(document.given[path], 0, "", plain(wrong, 400), plain(write, 400))
    found = (locate(document.text, path[:end], document.budget) for end in range(len(path), 0, -1))
    line = next((number for number in found if number), 0)
    return Problem(document.shown, line, where(path), plain(wrong, 400), plain(write, 400))


def where(path: At) -> str:
    """Return a path as a person reads it: ``[[step]] 2, use[1].amount``, counted from 1."""
    if not path:
        return ""
    head, rest = path[0], path[1:]
    if rest and isinstance(rest[0], int):
        table, rest = f"[[{plain(head)}]] {rest[0] + 1}", rest[1:]
    else:
        table = f"[{plain(head)}]"
    key = ""
    for step in rest:
        key += f"[{step + 1}]" if isinstance(step, int) else f".{plain(step)}"
    key = key.lstrip(".")
    return f"{table}, {key}" if table[1] == "[" and key else f"{table} {key}".rstrip()


def plain(value: object, longest: int = 60) -> str:
    """Return text from a file so that it stays on one line of a message."""
    text = printable(value)
    return text if len(text) <= longest else text[: longest - 3] + "..."


def tables(data: Any, key: str, at: At = ()) -> Iterator[tuple[At, dict[str, Any]]]:
    """Yield each table of the list ``data[key]`` with its path; whatever is not a table is passed over."""
    items = data.get(key) if isinstance(data, dict) else None
    for index, item in enumerate(items if isinstance(items, list) else []):
        if isinstance(item, dict):
            yield (*at, key, index), item
