"""Every sentence of a sheet is said in every language, with the same blanks in it."""

from __future__ import annotations

import gettext
from collections import Counter
from string import Formatter

import pytest

from safety.words import CATALOGUES, ENGLISH, LANGUAGES, say, speaking, speech, spoken
from tests.pages import words

OTHERS = [language for language in LANGUAGES if language != ENGLISH]

AGAIN = "run: python -m tests.pages, and put the empty sentences of the catalogue into words"


@pytest.mark.parametrize("language", OTHERS)
def test_the_catalogue_holds_what_a_sheet_can_say_and_nothing_else(language: str) -> None:
    held = {str(m.id) for m in words.read(language) if m.id}
    assert held == words.messages().keys(), AGAIN


@pytest.mark.parametrize("language", OTHERS)
def test_every_sentence_is_translated(language: str) -> None:
    missing = [m.id for m in words.read(language) if m.id and (not m.string or m.fuzzy)]
    assert missing == [], AGAIN


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_has_the_same_blanks(language: str) -> None:
    for message in words.read(language):
        if message.string:
            assert blanks(str(message.id)) == blanks(str(message.string)), message.id


def blanks(template: str) -> Counter[str]:
    """``{name!r:>5}`` -> "name!r:>5", with how often it stands there."""
    return Counter(
        f"{name}!{conversion}:{spec}" for _, name, spec, conversion in Formatter().parse(template) if name is not None
    )


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_keeps_its_ends(language: str) -> None:
    """Fragments are joined: a blank lost at an end would run two words together."""
    for message in words.read(language):
        if not message.id:
            continue  # the catalogue's own notes
        english, other = str(message.id), str(message.string)
        assert (english[:1].isspace(), english[-1:].isspace()) == (other[:1].isspace(), other[-1:].isspace()), english


@pytest.mark.parametrize("language", OTHERS)
def test_the_compiled_catalogue_says_what_its_source_says(language: str) -> None:
    compiled = gettext.translation("hazstep", CATALOGUES, [language])
    for message in words.read(language):
        if message.id:
            assert compiled.gettext(str(message.id)) == message.string, AGAIN


def test_a_language_is_spoken_for_as_long_as_it_is_asked_for() -> None:
    with speaking(speech("es")):
        assert (spoken(), say("STOP")) == ("es", "ALTO")
        with speaking(None):
            assert say("STOP") == "STOP"
        assert say("STOP") == "ALTO"
    assert (spoken(), say("STOP")) == ("en", "STOP")


def test_what_a_catalogue_lacks_is_said_in_english() -> None:
    with speaking(speech("es")):
        assert say("A stranger's plugin says {n}", n=3) == "A stranger's plugin says 3"
        assert say("") == ""
