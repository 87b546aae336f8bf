"""Files of reference data: read key by key, all mistakes at once; and the list of sources every value points into."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar

from safety import units
from safety.cited import Source
from safety.files.notation import Miswritten, nearest, with_points
from safety.files.toml import At, open_document, problem, tables
from safety.problems import Problems
from safety.reference.data_shapes import SOURCE, names
from safety.words import say

T = TypeVar("T")

DATA = Path(__file__).parents[1] / "data"
SOURCES = "sources.toml"
SOURCE_KEYS = names(SOURCE)


class DataFile:
    """One file and the mistakes found in it so far, so that all of them are raised together."""

    def __init__(self, path: Path, shown: str):
        self.document = open_document(path, shown)
        self.data = self.document.data
        self._found: list[tuple[At, str, str]] = []

    def wrong(self, at: At, wrong: str, write: str = "") -> None:
        self._found.append((at, wrong, write))

    def finish(self) -> None:
        """Raise Problems if anything was wrong."""
        if self._found:
            raise Problems(problem(self.document, at, wrong, write) for at, wrong, write in self._found)

    def keys(self, table: Mapping[str, Any], known: Iterable[str], at: At) -> None:
        known = tuple(known)
        for key in table:
            if key not in known:
                self.wrong((*at, key), say('unknown key "{key}"', key=key), nearest(key, known))

    def tables(self, key: str) -> list[tuple[At, dict[str, Any]]]:
        """Each table of the array ``key`` with its place; anything else there is a mistake."""
        found = list(tables(self.data, key))
        whole = self.data.get(key, [])
        if not isinstance(whole, list) or len(found) != len(whole):
            self.wrong((key,), say("this must be one table or more"), say("write [[{key}]] above each", key=key))
        return found

    def read(self, table: Mapping[str, Any], key: str, at: At, reader: Callable[[Any], T]) -> T | None:
        """What ``reader`` makes of an optional key; None where it is absent or wrong (which is noted)."""
        if key not in table:
            return None
        try:
            return reader(table[key])
        except Miswritten as error:
            self.wrong((*at, key), error.wrong, error.write)
        except units.UnitError as error:
            self.wrong((*at, key), error.wrong, error.write)
        return None

    def need(self, table: Mapping[str, Any], key: str, at: At, reader: Callable[[Any], T]) -> T | None:
        """As :meth:`read`, and an absent key is a mistake."""
        if key not in table:
            self.wrong(at, say('"{key}" is missing', key=key), _how(key, reader))
        return self.read(table, key, at, reader)

    def words(self, table: Mapping[str, Any], keys: Iterable[str], at: At) -> dict[str, str]:
        """Needed texts."""
        return {key: self.need(table, key, at, sentence) or "" for key in keys}

    def spare(self, table: Mapping[str, Any], keys: Iterable[str], at: At) -> dict[str, str]:
        """Optional texts; "" where absent."""
        return {key: self.read(table, key, at, sentence) or "" for key in keys}


def _how(key: str, reader: Callable[[Any], object]) -> str:
    """What to write where a key is missing: what its reader says of a mere question mark."""
    try:
        reader("?")
    except (Miswritten, units.UnitError) as error:
        return error.write
    return say("write for example {key} = {example}", key=key, example='"..."')


def sentence(value: object) -> str:
    """A text on one line, of any length."""
    if not isinstance(value, str) or not value.strip() or not value.isprintable():
        raise Miswritten(say("this is not a text on one line"), say("write it in quotes"))
    return value


def quantity(kind: str) -> Callable[[Any], float]:
    """A reader of quantities of one kind, to SI."""

    def read(value: object) -> float:
        if not isinstance(value, str):
            raise Miswritten(say("this is not a quantity"), say("write the number and its unit, in quotes"))
        if kind != "kelvin":
            return units.read(with_points(value), kind)
        # The constants B and C of the Antoine equation are no temperatures: they may be below zero, or thousands.
        number, space, unit = value.rpartition(" ")
        if not space or unit != "K":
            raise Miswritten(
                say('"{value}" is not a number of kelvin', value=value), say('write for example "-53.7 K"')
            )
        return units.read(with_points(number), "number")

    return read


def read_sources(path: Path, shown: str = "") -> dict[str, Source]:
    """Read a list of sources: key -> Source. Raises Problems."""
    file = DataFile(path, shown)
    found = {}
    for key, table in file.data.items():
        if not isinstance(table, dict):
            file.wrong((key,), say("this must be a table"), say("write [{key}]", key=key))
            continue
        file.keys(table, SOURCE_KEYS, (key,))
        text = file.words(table, SOURCE_KEYS[:2], (key,)) | file.spare(table, SOURCE_KEYS[2:], (key,))
        found[key] = Source(key=key, **text)
    file.finish()
    return found


@cache
def shipped_sources() -> Mapping[str, Source]:
    """The sources of the data that come with the program."""
    return MappingProxyType(read_sources(DATA / SOURCES, f"data/{SOURCES}"))


def sources_for(path: Path) -> dict[str, Source]:
    """Shipped sources, and those of a sources.toml beside the substance file or one folder up."""
    found = dict(shipped_sources())
    for folder in (path.parent.parent, path.parent):
        own = folder / SOURCES
        if folder != DATA and own.is_file():
            found |= read_sources(own)
    return found


def yes(value: object) -> bool:
    """True or false."""
    if isinstance(value, bool):
        return value
    raise Miswritten(say("this must be true or false"), say("write it without quotes"))
