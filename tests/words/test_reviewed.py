"""A sheet says on its front that nobody who knows the trade has read its language, until somebody's name stands there."""

from __future__ import annotations

import io
from gettext import GNUTranslations
from pathlib import Path

import pytest

from safety.render import text
from safety.words import ENGLISH, LANGUAGES, Speech, speaking, speech
from tests import demo
from tests.pages import words

JOB = demo.JOBS[0]
NAME = "R. Vale, painter, 2026-12-01"


def front(language: str, speaker: Speech | None) -> str:
    """The head of a sheet: what stands above its first finding."""
    with speaking(speaker):
        return text.sheet(demo.report(JOB)).split("\n\n")[0]


@pytest.mark.parametrize(
    ("language", "unread"),
    [("es", "todavía no la ha leído nadie"), ("de", "noch von niemandem gelesen")],
)
def test_a_language_nobody_has_read_says_so_on_the_front(language: str, unread: str) -> None:
    assert words.reviewed(language) == ""
    assert unread in " ".join(front(language, speech(language)).split())


def test_the_english_sheet_is_no_translation() -> None:
    assert "Translation" not in front(ENGLISH, None)


@pytest.mark.parametrize("language", [one for one in LANGUAGES if one != ENGLISH])
def test_the_name_in_the_head_of_the_catalogue_is_kept_and_printed(
    language: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    source = words.path_of(language).read_text(encoding="utf-8")
    named = source.replace(f'"Language: {language}\\n"\n', f'"Language: {language}\\n"\n"Reviewed-By: {NAME}\\n"\n')
    monkeypatch.setattr(words, "CATALOGUES", tmp_path)
    path = words.path_of(language)
    path.parent.mkdir(parents=True)
    path.write_text(named, encoding="utf-8")
    kept = words.brought_up_to_date(language)  # as python -m tests.pages does
    assert f'"Reviewed-By: {NAME}\\n"' in words.source(kept).decode()
    head = front(language, Speech(language, GNUTranslations(io.BytesIO(words.compiled(kept)))))
    assert NAME in head
