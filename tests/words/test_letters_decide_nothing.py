"""What a program says in letters nobody can read is what it says in English, letter by letter turned back.

Whoever cuts a text, searches it, or decides by how it begins does it to these letters too, and something else comes out:
by whatever name, in whatever module, with a method of ``str``, an f-string or a pattern. So all that can be printed is
made twice, in English and in letters of which not one is English, the space and the semicolon among them.
"""

from __future__ import annotations

import gettext
import json
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from string import Formatter
from typing import Any

import pytest

from safety import words
from safety.day import assess_day
from safety.logbook import make_log
from safety.model import Period
from safety.render import day, log_records, records
from safety.words import ENGLISH, Speech, joined, say, speaking
from safety.workplace import Workplace
from tests import demo

#: Every sign that can be typed as another, in the same order. The full stop stays: ``words.clause`` takes it off.
OTHER = {ord(" "): "\u2420"} | {code: chr(0xFEE0 + code) for code in range(0x21, 0x7F) if chr(code) != "."}
BACK = {ord(other): code for code, other in OTHER.items()}


class OtherSigns(gettext.NullTranslations):
    """Says every message in other signs; the space after a single first letter stays (``words.capital``)."""

    def gettext(self, message: str) -> str:
        said = ""
        for literal, name, form, conversion in Formatter().parse(message):
            other = literal.translate(OTHER)
            other = other[0] + " " + other[2:] if not said and literal[1:2] == " " else other
            said += other + ("{" + name + (f"!{conversion}" if conversion else "") + (f":{form}" if form else "") + "}"
                             if name is not None else "")  # fmt: skip
        return said


def _text(kind: type[words.Text], parts: tuple[str, ...], apart: str = " ") -> words.Text:
    """A text whose parts are joined in other signs."""
    made = str.__new__(kind, apart.translate(OTHER).join(parts))
    made.parts, made.apart = parts, apart
    return made


@contextmanager
def other_signs() -> Iterator[None]:
    with speaking(Speech(ENGLISH, OtherSigns())), pytest.MonkeyPatch.context() as patch:
        patch.setattr(words.Text, "__new__", _text)
        yield


def turned_back(value: Any) -> Any:
    if isinstance(value, dict):
        return {name: turned_back(inner) for name, inner in value.items()}
    if isinstance(value, (list, tuple)):
        return [turned_back(inner) for inner in value]
    return str(value).translate(BACK) if isinstance(value, str) else value


def differences(one: Any, other: Any, place: str = "") -> list[str]:
    """Where two records differ, with both texts."""
    if isinstance(one, dict) and isinstance(other, dict) and one.keys() == other.keys():
        return [found for name in one for found in differences(one[name], other[name], f"{place}.{name}")]
    if isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        return [
            found
            for i, pair in enumerate(zip(one, other, strict=True))
            for found in differences(*pair, f"{place}[{i}]")
        ]
    return [] if one == other else [f"{place}: {one!r} / {other!r}"]


def everything(shop: Path) -> Any:
    """A hard sheet, one with what nobody knows, the page of both, and a log, as records."""
    workplace = Workplace.open(shop)
    reports = assess_day(workplace, ["boot-replacement-fuel-hot", "floor-adhesive-removal"], draws=demo.DRAWS)
    assert not any(report.failures for report in reports)
    log = make_log(workplace, Period("2026-10", "2026-10"))
    made = {"sheets": [records.sheet(one) for one in reports], "day": day.record(reports), "log": log_records.log(log)}
    return json.loads(json.dumps(made))


def test_in_letters_nobody_can_read_the_same_is_said(shop: Path) -> None:
    """A limit was named "500 ppm, from 500 ppm" where the words for ppm were not those of the file."""
    english = everything(shop)
    with other_signs():
        other = everything(shop)
    assert other != english
    assert differences(english, turned_back(other)) == []


@pytest.mark.parametrize(
    "cut",
    [
        lambda text: str.partition(text, " ")[0],
        lambda text: f"{text}".split("; ")[-1],
        lambda text: re.sub(r"^Wear ", "", text),
        lambda text: "".join(sign for sign in text if sign != ","),
        lambda text: text.parts[0] if str(text.parts[0]).startswith("Wear") else text,
        lambda text: getattr(text, "".join(("re", "place")))("thick", "thin"),
    ],
    ids=["method of str", "f-string", "pattern", "sign by sign", "a part of a text", "method by a made-up name"],
)
def test_whatever_is_done_to_letters_is_seen(cut: Any) -> None:
    def told() -> str:
        return str(cut(joined((say("Wear {what}, thick ones", what="gloves"), say("and a mask")), "; ")))

    english = told()
    with other_signs():
        other = told()
    assert turned_back(other) != english
