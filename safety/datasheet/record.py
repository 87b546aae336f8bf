"""What was read from one data sheet: plain records, that a process hands to another as JSON."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from enum import IntEnum

from safety.words import say


class Group(IntEnum):
    """What a person is told first."""

    CONTRADICTORY = 0
    MISSING = 1
    CAREFUL = 2
    WORDS = 3  # read from words, not from figures or codes
    OTHER = 4


@dataclass(slots=True)
class Note:
    group: Group
    sentence: str


@dataclass(slots=True)
class Value:
    """A key of the product file as it will be written, and where it was read."""

    key: str
    written: str | bool | list[str]
    page: int
    quote: str
    remarks: list[str] = field(default_factory=list)
    size: float | None = None  # in the base unit, for the checks
    top: float | None = None  # the other end of a range


@dataclass(slots=True)
class Part:
    name: str
    cas: str
    low: float  # %
    high: float
    page: int
    quote: str
    remarks: list[str] = field(default_factory=list)
    ec: str = ""
    share: str = ""  # as it was printed
    codes: list[str] = field(default_factory=list)  # its own classification, as printed beside it
    stated: list[Value] = field(default_factory=list)  # what section 9 says of it alone


@dataclass(slots=True)
class Quote:
    """What the sheet says that the product file has no key for: kept as a comment."""

    what: str
    quote: str
    page: int


@dataclass(slots=True)
class Draft:
    """One product as far as its data sheet could be read."""

    name: str = ""
    language: str = "en"
    american: bool = False  # whether it speaks of the law of the United States
    values: dict[str, Value] = field(default_factory=dict)
    parts: list[Part] = field(default_factory=list)
    quotes: list[Quote] = field(default_factory=list)
    notes: list[Note] = field(default_factory=list)

    def note(self, group: Group, sentence: str) -> None:
        if all(sentence != one.sentence for one in self.notes):
            self.notes.append(Note(group, sentence))

    def contradictory(self, sentence: str) -> None:
        self.note(Group.CONTRADICTORY, sentence)

    def missing(self, sentence: str) -> None:
        self.note(Group.MISSING, sentence)

    def not_of_the_product(self, what: str, quote: str) -> None:
        self.missing(
            say(
                'The {what} is given for something else than the whole product (a component?), left out: "{quote}".',
                what=what,
                quote=quote,
            )
        )

    def careful(self, sentence: str) -> None:
        self.note(Group.CAREFUL, sentence)

    def from_words(self, sentence: str) -> None:
        self.note(Group.WORDS, sentence)

    def other(self, sentence: str) -> None:
        self.note(Group.OTHER, sentence)

    @property
    def warnings(self) -> Iterator[str]:
        for note in sorted(self.notes, key=lambda note: note.group):
            yield note.sentence
