"""Words shown to people: one door, so that every sentence can be said in the reader's language.

The code holds English. Another language is a gettext catalogue under ``data/words/<language>/``.
"""

from __future__ import annotations

import gettext
import unicodedata
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, field
from pathlib import Path
from string import Formatter
from types import MappingProxyType
from typing import Any

ENGLISH = "en"

# Joiners that some scripts need to be spelt right, and the soft hyphen; every other format character
# can hide or reorder text.
_HARMLESS = "\u200c\u200d\u00ad"

#: What a sheet can be printed in.
LANGUAGES = (ENGLISH, "es", "de")

CATALOGUES = Path(__file__).with_name("data") / "words"


@dataclass(frozen=True, slots=True)
class Speech:
    """A language being spoken. What its catalogue lacks is said in English."""

    language: str
    catalogue: gettext.NullTranslations
    more: dict[str, str] = field(default_factory=dict)  # of plugins, by the English sentence


#: Of whoever speaks now: a thread of its own must be begun in a copy of the context, and changes nothing here.
_now: ContextVar[Speech | None] = ContextVar("_now", default=None)


def speech(language: str) -> Speech | None:
    """What ``speaking`` takes for one of LANGUAGES. Raises FileNotFoundError where it has no catalogue."""
    return None if language == ENGLISH else Speech(language, gettext.translation("hazstep", CATALOGUES, [language]))


@contextmanager
def speaking(speech: Speech | None) -> Iterator[None]:
    """Say everything in a language, or in English (None), until the end of the ``with`` block."""
    before = _now.set(speech)
    try:
        yield
    finally:
        _now.reset(before)


def spoken() -> str:
    """The language being spoken: one of LANGUAGES."""
    now = _now.get()
    return ENGLISH if now is None else now.language


def reviewer() -> str:
    """Who works in the language being spoken, knows the trade and has read our words in it; "" while nobody has."""
    now = _now.get()
    return "" if now is None else now.catalogue.info().get("reviewed-by", "")


def learn(messages: Mapping[str, Mapping[str, str]]) -> None:
    """Have the sentences of a plugin, by language, said in the language being spoken. Our own catalogue goes before."""
    now = _now.get()
    if now is not None:
        now.more.update(messages.get(now.language, {}))


class Message(str):
    """A sentence as it was said, that still knows what it was made of: a template, and what was put into its fields.

    Whoever must know what it says reads these, never the letters.
    """

    __slots__ = ("template", "values")

    template: str
    values: Mapping[str, object]

    def __new__(cls, spoken: str, template: str, values: Mapping[str, object] = MappingProxyType({})) -> Message:
        made = super().__new__(cls, spoken)
        made.template, made.values = template, values
        return made

    def __getnewargs__(self) -> tuple[Any, ...]:
        return str(self), self.template, dict(self.values)

    def __deepcopy__(self, _: object) -> Message:
        return self  # it never changes; a record that holds one is copied for JSON


class Text(str):
    """Several sentences or few words on end, each still by itself."""

    __slots__ = ("apart", "parts")

    parts: tuple[str, ...]
    apart: str

    def __new__(cls, parts: tuple[str, ...], apart: str = " ") -> Text:
        made = super().__new__(cls, apart.join(parts))
        made.parts, made.apart = parts, apart
        return made

    def __getnewargs__(self) -> tuple[Any, ...]:
        return self.parts, self.apart


def joined(parts: Iterable[str], apart: str = " ") -> str:
    """Texts on end, parted by ``apart``: sentences by a space, few words by "; ". What is empty is left out. A Text."""
    return Text(tuple(part for one in parts if one for part in parts_of(one, apart)), apart)


def parts_of(text: str, apart: str = " ") -> tuple[str, ...]:
    """The texts that were joined by ``apart``; a text of one piece is its own only part."""
    return text.parts if isinstance(text, Text) and text.apart == apart else (text,)


def say(template: str, **fields: object) -> str:
    """Return the sentence ``template`` with its ``{fields}`` filled in, in the language being spoken: a Message.

    The template, not the filled sentence, is what a message catalogue holds, so write
    ``say("Change gloves at {time}", time=...)`` and never an f-string.
    """
    return Message(_translated(template).format(**fields), template, fields)


def term(text: str) -> str:
    """A word or sentence that stands as it is (no ``{fields}``), in the language being spoken.

    For words out of a table of the code (there inside ``message``) and out of the data we ship.
    """
    return Message(_translated(text), text) if text else ""


def _translated(text: str) -> str:
    # gettext keeps its own notes under ""
    now = _now.get()
    if now is None or not text:
        return text
    said = now.catalogue.gettext(text)
    return now.more.get(text, text) if said == text else said


def with_values(text: str, kind: type[Message], put: Callable[[Message], str]) -> str:
    """The same text, said with ``put(value)`` where a value of ``kind`` was put into it."""
    return _said_again(text, lambda one: put(one) if isinstance(one, kind) else None)


def with_plain(text: str, put: Callable[[str], str]) -> str:
    """The same text, with ``put(part)`` for each plain part of it: what a file gives, and no word of ours."""
    return _said_again(text, lambda one: None if isinstance(one, (Message, Text)) else put(one))


def _said_again(text: str, change: Callable[[str], str | None]) -> str:
    """A text with ``change(one)`` in place of each one it is made of; of None, with what that is made of changed."""
    changed = change(text)
    if changed is not None:
        return changed
    if isinstance(text, Text):
        return Text(tuple(_said_again(part, change) for part in text.parts), text.apart)
    if not isinstance(text, Message):
        return text
    values = {name: _said_again(v, change) if isinstance(v, str) else v for name, v in text.values.items()}
    if all(values[name] is v for name, v in text.values.items()):
        return text
    return type(text)(_translated(text.template).format(**values), text.template, values)


def values_in(text: object, kind: type[Message]) -> tuple[Message, ...]:
    """Every value of ``kind`` that was put into a text, in the order of the template's fields."""
    if isinstance(text, kind):
        return (text,)
    if isinstance(text, Text):
        return tuple(one for part in text.parts for one in values_in(part, kind))
    if not isinstance(text, Message):
        return ()
    names = dict.fromkeys(name for _, name, _, _ in Formatter().parse(text.template) if name)
    return tuple(one for name in names for one in values_in(text.values.get(name), kind))


def runs(text: str, kind: type[Message]) -> Iterator[tuple[str, bool]]:
    """A text in runs of letters, each with whether it is a value of ``kind``."""
    if isinstance(text, kind):
        yield str(text), True
    elif isinstance(text, Text):
        for number, part in enumerate(text.parts):
            yield from [(text.apart, False)] if number else []
            yield from runs(part, kind)
    elif isinstance(text, Message) and values_in(text, kind):
        for literal, name, form, _ in Formatter().parse(_translated(text.template)):
            yield literal, False
            value = text.values[name] if name else ""
            yield from runs(value, kind) if isinstance(value, (Message, Text)) else [(format(value, form or ""), False)]
    else:
        yield str(text), False


def mould(text: object, kind: type[Message]) -> Hashable:
    """What a text is but for the values of ``kind`` in it: two texts with the same mould differ in these only."""
    if isinstance(text, kind):
        return kind
    if isinstance(text, Text):
        return text.apart, tuple(mould(part, kind) for part in text.parts)
    if isinstance(text, Message) and text.values:
        return text.template, tuple((name, mould(value, kind)) for name, value in text.values.items())
    return str(text)


def capital(text: str) -> str:
    """``text`` beginning like a sentence, where its first word is a plain one: not "pH", not "n-hexane"."""
    if isinstance(text, Text):
        return Text((capital(text.parts[0]), *text.parts[1:]), text.apart) if text.parts else text
    plain = str(text)
    if not (plain[1:2].islower() or plain[1:2] == " "):
        return text
    return _in_letters(text, plain[0].upper() + plain[1:])


def clause(text: str) -> str:
    """A sentence as a part of another: without its full stop."""
    return _in_letters(text, str(text).rstrip("."))


def _in_letters(text: str, letters: str) -> str:
    """A text in other letters, made of the same."""
    return type(text)(letters, text.template, text.values) if isinstance(text, Message) else letters


def message(text: str) -> str:
    """Put ``text`` into the message catalogue, to be said later by ``term`` or ``say``."""
    return text


def printable(text: object) -> str:
    """``text`` on one line, with a question mark for whatever could break the line or steer a terminal."""
    said = str(text)
    return said if said.isprintable() else "".join(c if c.isprintable() else "?" for c in said)


def steers(text: str, but: str = "") -> bool:
    """Whether text holds a character that steers a terminal, or hides or reorders what is printed.

    The characters of ``but`` are let pass.
    """
    if text.isprintable():
        return False
    return any(unicodedata.category(c) in ("Cc", "Cf", "Zl", "Zp") and c not in _HARMLESS + but for c in text)
