"""Ignition sources: what a text in a job or shop file means. What is not known counts as one."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Any

from safety.words import capital, say, term

#: The table of a rules pack that names them.
TABLE = "ignition-source"
#: Nobody says whether a source takes vapour apart, so it does; and the word that says it does not.
UNKNOWN, NOT = "unknown", "no"
#: Words that name nothing.
_BETWEEN = frozenset({"and", "or", "the", "of", "on", "in", "at", "by", "with", "for", "near", "next", "to", "beside"})


@dataclass(frozen=True, slots=True)
class Source:
    """Something that can light vapour."""

    text: str  # as the file has it
    name: str  # what it was taken for; the text itself where it is not in the list
    why: str
    citation: str
    grounds: tuple[Mapping[str, Any], ...] = ()  # the rows it was taken from
    decomposes: str = UNKNOWN  # by what it turns vapour with a halogen into acid gas; NOT where it does not
    called_so: bool = True  # whether the file's own words hold the name as it is said

    @property
    def described(self) -> str:
        """What it is, and what the shop calls it where that is another word: "engine (air pump)"."""
        return self.text if self.called_so else say("{name} ({text})", name=self.name, text=self.text)


def named(texts: Iterable[str], rows: Iterable[Mapping[str, Any]]) -> list[Source]:
    """The ignition sources among ``texts``; only text the table calls harmless is left out."""
    rows = tuple(rows)
    found = (_one(text, rows) for text in texts)
    return [source for source in found if source is not None]


def names(sources: Iterable[Source]) -> str:
    return ", ".join(source.name for source in sources)


def cleared(texts: Iterable[str], rows: Iterable[Mapping[str, Any]]) -> tuple[Mapping[str, Any], ...]:
    """The rows by which some of ``texts`` are no ignition sources."""
    rows = tuple(rows)
    return tuple(row for text in texts if _harmless(whole := _whole(text, rows)) for row in whole)


def decomposing(sources: Iterable[Source]) -> list[Source]:
    """Those that turn vapour with a halogen in it into acid gas, or of which nobody says that they do not."""
    return [source for source in sources if source.decomposes != NOT]


def asked_after(rows: Iterable[Mapping[str, Any]]) -> list[tuple[str, Source]]:
    """What people may have with them at any work, whether or not a file names it, each by its name on the sheet."""
    rows = tuple(rows)
    asked = [row for row in rows if row.get("asked")]
    return [(term(row["asked"]), source) for row in asked for source in named((row["name"],), rows)]


def _one(text: str, rows: tuple[Mapping[str, Any], ...]) -> Source | None:
    plain, whole = _plain(text), _whole(text, rows)
    if _harmless(whole):
        return None
    held = whole or _holding(plain, rows)
    row = held[0] if held else _like(plain, rows)
    if row is None:
        return Source(text, text, say("It is not in the list of known sources, so it counts as one"), "")
    why = term(row.get("why", ""))
    by = _decomposes(held)
    # "TIG, switched": a word that is known to be harmless says nothing of the others
    by = UNKNOWN if by == NOT and not whole and _unread(plain, held) else by
    grounds = (row, *(one for one in held if one is not row))
    name = term(row["name"])
    same = name == row["name"] and _plain(row["name"]).replace("-", " ") in plain.replace("-", " ")
    return Source(text, name, capital(why), str(row["citation"]), grounds, by, same)


def _plain(text: str) -> str:
    return " ".join(text.casefold().split())


def _whole(text: str, rows: tuple[Mapping[str, Any], ...]) -> list[Mapping[str, Any]]:
    """The rows that speak of just this text. A name is a key: what other words are in it is no matter."""
    plain = _plain(text)
    return [row for row in rows if plain == _plain(row["name"]) or (row.get("only") and plain in row["words"])]


def _harmless(whole: list[Mapping[str, Any]]) -> bool:
    return bool(whole) and all(row.get("harmless") for row in whole)


def _holding(plain: str, rows: tuple[Mapping[str, Any], ...]) -> list[Mapping[str, Any]]:
    """The rows of which the text holds a word, that with the longest first: "water heater" before "heat"."""
    held = [(len(word), row) for row in rows if not row.get("only") for word in row["words"] if word in plain]
    return [row for _, row in sorted(held, key=lambda one: -one[0])]


def _decomposes(held: list[Mapping[str, Any]]) -> str:
    """By what the first row that takes vapour apart does so. A word merely like one of the table clears nothing."""
    found = [str(row.get("decomposes", UNKNOWN)) for row in held]
    return next((by for by in found if by != NOT), NOT if found else UNKNOWN)


def _unread(plain: str, held: list[Mapping[str, Any]]) -> bool:
    """Whether a text has a word in it of which the rows that hold others say nothing."""
    rest = plain
    for word in sorted((w for row in held for w in row["words"]), key=len, reverse=True):
        rest = re.sub(rf"\w*{re.escape(word)}\w*", " ", rest)
    return any(word not in _BETWEEN for word in re.findall(r"[^\W\d_]{2,}", rest))


def _like(plain: str, rows: tuple[Mapping[str, Any], ...]) -> Mapping[str, Any] | None:
    """The row whose word is one of the text's words but for a slip of the pen: not "oven" for "open"."""
    words = {word: row for row in rows if not row.get("only") for word in row["words"]}
    for part in plain.split():
        near = get_close_matches(part, words, 1, 0.82)
        if near:
            return words[near[0]]
    return None
