"""Answers as the keys of a file take them."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection
from typing import TYPE_CHECKING, Any

from safety.files.notation import Miswritten, identifier
from safety.files.one_key import read_key
from safety.words import say

if TYPE_CHECKING:
    from pydantic import BaseModel

#: What people write where there is nothing of the kind.
NOTHING = frozenset({"none", "nothing", "-", "ninguno", "ninguna", "nada", "keine", "keiner", "keins",
                     "nichts"})  # fmt: skip
_BETWEEN = re.compile(r"[,;\s]+")


def as_it_is(table: type[BaseModel], key: str) -> Callable[[str], str]:
    """Text that stands in the file as it was typed."""

    def read(line: str) -> str:
        read_key(table, key, line)
        return line

    return read


def made(table: type[BaseModel], key: str, make: Callable[[str], Any]) -> Callable[[str], Any]:
    """What ``make`` makes of the text."""

    def read(line: str) -> Any:
        value = make(line)
        read_key(table, key, value)
        return value

    return read


def whole_number(line: str) -> int | str:
    return int(line) if line.isascii() and line.isdigit() and len(line) < 6 else line


def whole_numbers(line: str) -> list[int | str]:
    """ "C9-C11" as [9, 11]."""
    return [whole_number(one) for one in re.findall(r"\d+", line)]


def names(line: str) -> list[str]:
    """Several things, parted by commas."""
    return [one.strip() for one in line.split(",") if one.strip()]


def or_nothing(read: Callable[[str], Any]) -> Callable[[str], Any]:
    """The same, and None where the answer is that there is none."""
    return lambda line: None if line.casefold() in NOTHING else read(line)


def codes(line: str) -> list[str]:
    """H-codes, however they are parted."""
    return [one for one in _BETWEEN.split(line) if one]


def free_id(name: str, taken: Collection[str]) -> str:
    """An id for something of this name that nothing of its kind has yet."""
    from safety.datasheet.draft_file import identifier as made_of

    first = made_of(name)
    number, found = 2, first
    while found in taken:
        found, number = f"{first}-{number}", number + 1
    return identifier(found)


def new_name(taken: Collection[str], read: Callable[[str], str]) -> Callable[[str], str]:
    """A name that nothing of its kind has yet."""

    def checked(line: str) -> str:
        name = read(line)
        if name.casefold() in {one.casefold() for one in taken}:
            raise Miswritten(say('"{name}" is there already', name=name), say("write another name"))
        return name

    return checked
