"""The log in another language: the whole of it or none."""

from __future__ import annotations

import re
from string import Formatter
from typing import Any

import pytest

from safety.render import log_pdf, log_text
from safety.render.fixed import translation
from safety.words import Speech, speaking, speech
from tests.words.test_pages import OTHERS, Remembering

BUTANONE = "78-93-3"


@pytest.fixture
def filled(yard: Any) -> Any:
    yard.shop(units="us")
    yard.product("wash", (BUTANONE, "90 %", "100 %"), ("", "0 %", "10 %"))
    yard.product("odd", (BUTANONE, "100 %", "100 %"), density="unknown")
    yard.use("2026-11-02", "wash", "75 kg", key="slip", job="wing-7")
    yard.correct("slip", amount="7.5 kg")
    yard.use("2026-11-03", "odd", "3 L", key="odd-one")
    return yard


def longest(message: str) -> str:
    """The longest stretch of a message that is the same whatever is put into it."""
    return max((literal for literal, *_ in Formatter().parse(message)), key=len).strip()


@pytest.mark.parametrize("language", OTHERS)
def test_nothing_on_a_log_lacks_a_translation(filled: Any, language: str) -> None:
    """Before: a log was English, whatever the office spoke."""
    other = speech(language)
    assert other is not None
    asked = Remembering(other.catalogue)
    with speaking(Speech(language, asked)):
        report = filled.log("2026-11")
        page = " ".join(log_text.log(report).split())
        table = log_text.table(report)
        made = log_pdf.log(report)
        answers = translation()
    assert answers in page
    as_they_are = {"kg", "lb", "L", "US gal", "kg/L", "CAS", "resin"}  # the last is the shop's own word
    lacking = {one for one in asked.lacking if re.search(rf"\b{re.escape(longest(one))}\b", page)}
    assert lacking <= as_they_are
    assert log_text.is_table(table)  # so that it is written over by the next one, in any language
    assert f"/Lang ({language})".encode() in made
    for word in ("UNKNOWN", "INCOMPLETE", "Corrections", "weighed", "Products as recorded"):
        assert word not in page


def test_what_is_filed_is_english(filled: Any) -> None:
    """One that says otherwise in every word would differ from the next one in every word."""
    refused = filled.run("log", "--month", "2026-11", "--language", "es", "--freeze")
    assert refused.exit_code == 2
    assert "a log is filed in English" in refused.output
