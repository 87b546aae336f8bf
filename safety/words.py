"""Words shown to people: one door, so that every sentence can be said in the reader's language.

The code holds English. Another language is a gettext catalogue under ``data/words/<language>/``.
"""

from __future__ import annotations

import gettext
import unicodedata
from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from pathlib import Path

ENGLISH = "en"

# Joiners that some scripts need to be spelt right, and the soft hyphen; every other format character
# can hide or reorder text.
_HARMLESS = "\u200c\u200d\u00ad"

#: What a sheet can be printed in.
LANGUAGES = (ENGLISH, "es")

CATALOGUES = Path(__file__).with_name("data") / "words"


@dataclass(frozen=True, slots=True)
class Speech:
    """A language being spoken. What its catalogue lacks is said in English."""

    language: str
    catalogue: gettext.NullTranslations


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


def say(template: str, **fields: object) -> str:
    """Return the sentence ``template`` with its ``{fields}`` filled in, in the language being spoken.

    The template, not the filled sentence, is what a message catalogue holds, so write
    ``say("Change gloves at {time}", time=...)`` and never an f-string.
    """
    return term(template).format(**fields)


def term(text: str) -> str:
    """A word or sentence that stands as it is (no ``{fields}``), in the language being spoken.

    For words out of a table of the code (there inside ``message``) and out of the data we ship.
    """
    # gettext keeps its own notes under ""
    now = _now.get()
    return now.catalogue.gettext(text) if now is not None and text else text


def capital(text: str) -> str:
    """``text`` beginning like a sentence, where its first word is a plain one: not "pH", not "n-hexane"."""
    return text[0].upper() + text[1:] if text[1:2].islower() or text[1:2] == " " else text


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
