"""No page is half translated: nothing is printed that did not go through the catalogue."""

from __future__ import annotations

import gettext
import io
import json
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from string import Formatter
from typing import Any

import pytest
import tomli
from pypdf import PdfReader

from safety.formulas import catalogue
from safety.model import Report
from safety.render import pdf, records, text
from safety.words import ENGLISH, LANGUAGES, Speech, speaking, speech
from tests import demo
from tests.pages.words import has_words

ROOT = Path(__file__).parents[2]
OTHERS = [language for language in LANGUAGES if language != ENGLISH]

#: Every Latin letter as a Cyrillic one: what went through a catalogue has no Latin letter left.
OTHER_LETTERS = str.maketrans(
    "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ", "абцдефгхийклмнопярстужвщызАБЦДЕФГХИЙКЛМНОПЯРСТУЖВЩЫЗ"
)


class OtherLetters(gettext.NullTranslations):
    """Translates every message into the same message in other letters."""

    def gettext(self, message: str) -> str:
        said = ""
        for literal, name, spec, conversion in Formatter().parse(message):
            said += literal.translate(OTHER_LETTERS).replace("{", "{{").replace("}", "}}")
            if name is not None:
                said += "{" + name + (f"!{conversion}" if conversion else "") + (f":{spec}" if spec else "") + "}"
        return said


# ---------------------------------------------------------------- letters that came from elsewhere


def strings(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for inner in value.values():
            yield from strings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from strings(inner)
    elif isinstance(value, str):
        yield value


#: Keys of the shipped data whose text stands as it was published or as a rule wants it.
AS_PUBLISHED = {"at", "citation", "edition", "link", "list", "mark", "name", "publisher", "terms", "written", "letter"}
#: Files that are nothing else.
WHOLE = ("sources", *(f"statements-{language}" for language in OTHERS))
SYMBOLS = ("ppm", "kg", "lb", "gal", "oz", "mL", "min", "mg", "mol", "inch", "cfm", "Pa", "mmHg", "degC", "degF", "nD")


def as_written() -> list[str]:
    """What a sheet may say in any language: the shop's own words, citations, statements of the law in other languages."""
    found: set[str] = set(SYMBOLS)
    for path in demo.SHOP.rglob("*.toml"):
        found |= set(strings(tomli.loads(path.read_text(encoding="utf-8"))))
    shipped = [*(ROOT / "safety" / "data").rglob("*.toml"), *(ROOT / "plugins").glob("*/*/*.toml")]
    for path in shipped:
        if "demo" not in path.parts:
            found |= set(_published(tomli.loads(path.read_text(encoding="utf-8")), path.stem in WHOLE))
    found |= {formula.source for formula in catalogue().values()}
    return sorted((text.casefold() for text in found if len(text) > 1), key=len, reverse=True)


def _published(value: Any, everything: bool, key: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for name, inner in value.items():
            # a source is a table of its own: its title is the title of a published work
            yield from _published(inner, everything or name == "source", name)
            if key == "" and isinstance(inner, dict) and "publisher" in inner:
                yield from strings(inner)
    elif isinstance(value, list):
        for inner in value:
            yield from _published(inner, everything, key)
    elif isinstance(value, str) and (everything or key in AS_PUBLISHED):
        yield re.sub(r"\s*<[^>]*>", "", value)
        yield value


RULE_CODES = re.compile(
    r"\b(CFR|OSHA|NIOSH|EPA|REL|PEL|IDLH|GHS\d+|EN|ISO|ANSI|ISEA|VSQG|SQG|LQG|UN\d+|OV|NFPA|TRGS|[HFDPU]\d{3}\w*)\b"
)


def left_over(line: str, known: list[str]) -> list[str]:
    """Latin words of a line that are neither the shop's nor a citation's."""
    rest = re.sub(r"\b[\w-]{1,60}\.toml\b", "~", re.sub(r"([-= ])\1+", " ", line.casefold()))
    if not re.search(r"[a-z]{4,}", rest):
        return []
    for phrase in known:
        if phrase in rest:
            rest = rest.replace(phrase, "~")
    return re.findall(r"[a-z]{4,}", RULE_CODES.sub("~", rest))


@pytest.mark.parametrize("job", demo.JOBS)
def test_every_word_of_a_sheet_goes_through_the_catalogue(job: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(text, "WIDTH", 10**4)  # a phrase in one piece
    known = as_written()
    with speaking(Speech("es", OtherLetters())):
        page = text.sheet(demo.assessed(job), full=True)
    rule = "Rule: {rule}".translate(OTHER_LETTERS)[:5]  # citations follow
    plugin = "From: {plugin}".translate(OTHER_LETTERS)[:5]  # names of plugins follow
    found = {
        word: line
        for line in set(page.splitlines())
        if not line.strip().startswith((rule, plugin))
        for word in left_over(line, known)
    }
    assert found == {}


# ---------------------------------------------------------------- the same sheet in another language


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("job", demo.JOBS)
def test_the_language_changes_no_decision(job: str, language: str) -> None:
    english, (report, _) = records.sheet(demo.report(job)), said_in(language, job)
    with speaking(speech(language)):
        other = records.sheet(report)
    assert (english["language"], other["language"]) == ("en", language)
    assert decisions(other) == decisions(english)


def decisions(sheet: dict[str, Any]) -> str:
    """Everything a sheet decides and computes, without its sentences."""
    found = [
        [f["level"], f["topic"], f["step_number"], f["plugin"], f["key"], bool(f["unknown"]), bool(f["remedy"])]
        + [[figure["value"], figure["p50"], figure["unit"]] for figure in f["figures"]]
        for f in sheet["findings"]
    ]
    steps = [[s["number"], s["start"], s["end"]] for s in sheet["steps"]]
    return json.dumps([sorted(found, key=json.dumps), sheet["complete"], len(sheet["reasons"]), steps])


class Remembering(gettext.NullTranslations):
    """A catalogue that notes what it was asked for and does not hold."""

    def __init__(self, of: gettext.NullTranslations) -> None:
        super().__init__()
        self.of, self.lacking = of, set[str]()

    def gettext(self, message: str) -> str:
        said = self.of.gettext(message)
        if said is message and has_words(message):
            self.lacking.add(message)
        return said


@cache
def said_in(language: str, job: str) -> tuple[Report, Remembering]:
    """A sheet of the demo in a language, and the catalogue it was said with."""
    other = speech(language)
    assert other is not None
    asked = Remembering(other.catalogue)
    with speaking(Speech(language, asked)):
        return demo.assessed(job), asked


@pytest.mark.parametrize("language", OTHERS)
@pytest.mark.parametrize("job", demo.JOBS)
def test_nothing_on_the_sheet_lacks_a_translation(job: str, language: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Reading the files says much that is never printed; what is printed must be in the catalogue or the shop's own."""
    monkeypatch.setattr(text, "WIDTH", 10**4)
    own = " ".join(strings_of(demo.SHOP))
    report, asked = said_in(language, job)
    with speaking(Speech(language, asked)):
        page = text.sheet(report, full=True)
    assert [message for message in asked.lacking if message not in own and printed(message, page)] == []


def strings_of(shop: Path) -> Iterator[str]:
    for path in shop.rglob("*.toml"):
        yield from strings(tomli.loads(path.read_text(encoding="utf-8")))


def printed(message: str, page: str) -> bool:
    longest = max((literal for literal, *_ in Formatter().parse(message)), key=len)
    return longest.strip() in page


@pytest.mark.parametrize(("language", "stop"), [("es", "ALTO"), ("de", "STOPP")])
def test_the_pdf_carries_the_marks_in_its_language(language: str, stop: str) -> None:
    report, _ = said_in(language, "boot-replacement-fuel-hot")
    with speaking(speech(language)):
        made = pdf.sheet(report)
    said = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(made)).pages)
    assert stop in said
    assert re.findall(r"\b(STOP|UNKNOWN|NOT ASSESSED|Hands|Breathing|Whole job)\b", said) == []
