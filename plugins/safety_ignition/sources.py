"""Ignition sources: what a text in a job or shop file means. What is not known counts as one."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from safety.model import compared
from safety.words import capital, say, term

#: The table of a rules pack that names them.
TABLE = "ignition-source"
#: Nobody says whether a source takes vapour apart, so it does; and the word that says it does not.
UNKNOWN, NOT = "unknown", "no"


@dataclass(frozen=True, slots=True)
class Source:
    """Something that can light vapour."""

    text: str  # as the file has it
    name: str  # what it was taken for; the text itself where it is not in the list
    why: str
    citation: str
    grounds: tuple[Mapping[str, Any], ...] = ()  # the rows it was taken from
    decomposes: str = UNKNOWN  # by what it turns vapour with a halogen into acid gas; NOT where it does not
    called_so: bool = True  # whether the file calls it by the name itself

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
    return tuple(row for text in texts if _harmless(meant := _meant(text, rows)) for row in meant)


def decomposing(sources: Iterable[Source]) -> list[Source]:
    """Those that turn vapour with a halogen in it into acid gas, or of which nobody says that they do not."""
    return [source for source in sources if source.decomposes != NOT]


def asked_after(rows: Iterable[Mapping[str, Any]]) -> list[tuple[str, Source]]:
    """What people may have with them at any work, whether or not a file names it, each by its name on the sheet."""
    rows = tuple(rows)
    asked = [row for row in rows if row.get("asked")]
    return [(term(row["asked"]), source) for row in asked for source in named((row["name"],), rows)]


def _one(text: str, rows: tuple[Mapping[str, Any], ...]) -> Source | None:
    meant = _meant(text, rows)
    if _harmless(meant):
        return None
    if not meant:
        return Source(text, text, say("It is not in the list of known sources, so it counts as one"), "")
    row = next(row for row in meant if not row.get("harmless"))
    same = compared(text) == compared(row["name"])
    why, by = term(row.get("why", "")), _decomposes(meant)
    return Source(text, term(row["name"]), capital(why), str(row["citation"]), tuple(meant), by, same)


def _meant(text: str, rows: tuple[Mapping[str, Any], ...]) -> list[Mapping[str, Any]]:
    """The rows of which a text is a name, whole: in "engine cover" or "open window" no source is named."""
    plain = compared(text)
    return [row for row in rows if plain in map(compared, (row["name"], *row["words"]))]


def _harmless(meant: list[Mapping[str, Any]]) -> bool:
    return bool(meant) and all(row.get("harmless") for row in meant)


def _decomposes(meant: list[Mapping[str, Any]]) -> str:
    """By what the first row that takes vapour apart does so."""
    found = [str(row.get("decomposes", UNKNOWN)) for row in meant]
    return next((by for by in found if by != NOT), NOT)
