"""How a table of a rules pack is declared: its keys, and the one rule by which rows of several packs go together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

#: Every row takes a duty away (``TableSchema.loosens``).
EVERY_ROW = "every row"


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table.

    ``kind`` is a word of ``safety.reference.row_shapes.KINDS`` ("text", "texts", "cas", "percent",
    "yes" ...) or a kind of quantity of ``safety.units.KINDS`` ("density"), which is written with its unit, in quotes.
    """

    name: str
    kind: str = "text"
    needed: bool = True
    one_of: tuple[str, ...] = ()  # what it, or each of "words", may be; the tightest first, where a Way says "first"
    says: str = ""  # what it is, for the page about the files


@dataclass(frozen=True, slots=True)
class Way:
    """A key by which one of two rows on the same thing is the tighter.

    "lower" and "higher": the number that is tighter (of a list, its largest); "yes" and "no": the answer that is;
    "first": the word that stands first in the key's ``one_of``. A row without the key counts as the loosest.
    """

    key: str
    tighter: Literal["lower", "higher", "yes", "no", "first"]
    sign: str = ""  # the key with the comparison sign, which decides between equal numbers
    without: bool = False  # a row without the key is the tightest, not the loosest


@dataclass(frozen=True, slots=True)
class Earlier:
    """What packs of an earlier version say in words, and the key that is read now: a mistake tells what to write."""

    table: str  # what the table was called then
    key: str  # the key of it that held words
    now: str  # the key of the table that is read now
    words: tuple[tuple[str, str], ...]  # a word there, and the word here; what is not among them a person must choose


@dataclass(frozen=True, slots=True)
class TableSchema:
    """A table that rules packs may hold. Whoever reads it declares it.

    Rows of all packs add up. Two rows of different packs speak of the same thing where the keys ``same`` agree; a
    list of texts among them is several things, each by itself. Of two such rows the one that is as tight in every
    way, and tighter in one, holds, if it covers what the other does: all that stands in its lists ``covers``, and the
    same in the other keys named there. The other is not used and is named beside it (``Beside``). Where neither is
    the tighter both hold, so a reader must be ready for more than one row on a thing, and takes the careful one.
    """

    name: str
    says: str  # one sentence, for the page about the files
    keys: tuple[Key, ...]
    same: tuple[str, ...] = ()
    ways: tuple[Way, ...] = ()
    covers: tuple[str, ...] = ()
    either: tuple[tuple[str, ...], ...] = ()  # keys of which a row must have at least one
    loosens: str = ""  # EVERY_ROW, or the key whose "true" takes a duty away: then a pack must say that it replaces
    used: bool = True  # False: kept for people, no rule looks at it, so a row of a shop's own would do nothing
    instead: str = ""  # where none does: what to write in place of a row, with its keys in braces; made with message()
    earlier: tuple[Earlier, ...] = ()


@dataclass(frozen=True, slots=True)
class OwnKeys:
    """Keys that a plugin asks a shop for, of each step, product or place: the table ``[step.x.PLUGIN]``.

    What a file says there stands in ``x`` of the record, by the plugin's name, each value of its key's kind.
    Of ``"settings"`` they are what it reads in ``[settings]``; YYYY and MM in a name stand for a year and a month.
    """

    of: Literal["step", "product", "place", "settings"]
    keys: tuple[Key, ...]


@dataclass(frozen=True, slots=True)
class Names:
    """The names a plugin goes by in a key of a shop's files. Another text is no mistake, for the plugin takes the
    careful side of it; ``check`` offers the nearest name. Two names are one where they are ``compared`` alike.
    """

    of: Literal["ignition source", "glove material"]
    known: tuple[str, ...] = ()
    table: str = ""  # of rules packs: each "name" in it is one more, and each of "words"


def compared(name: str) -> str:
    """A name as names are compared, whole: capitals, hyphens and spaces apart."""
    return " ".join(name.casefold().replace("-", " ").split())


@dataclass(frozen=True, slots=True)
class Beside:
    """What another pack says on the thing a merged row is about: the key "beside" of the row holds these."""

    pack: str
    row: Mapping[str, Any]
    says: str  # its figures, in words
    how: Literal["looser", "the same", "as well", "replaced"]
