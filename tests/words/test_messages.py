"""A text keeps what it was made of: whoever must know what it says reads that, never its letters."""

from __future__ import annotations

import copy
import pickle
from datetime import datetime

import pytest

from safety.clock import ClockTime, clock
from safety.words import Message, Text, capital, joined, mould, parts_of, say, speaking, speech, with_values

START = datetime(2026, 3, 2, 7, 45)


def _until(seconds: float, name: str = "Mix 7") -> str:
    return joined((say("{what}: wait until {time}.", what=name, time=clock(START, seconds)), say("Then wash.")))


def test_a_sentence_knows_its_template_and_what_was_put_in() -> None:
    text = say("Step {number}", number=3)
    assert isinstance(text, Message)
    assert (str(text), text.template, dict(text.values)) == ("Step 3", "Step {number}", {"number": 3})


def test_texts_with_one_mould_differ_in_times_only() -> None:
    assert mould(_until(0), ClockTime) == mould(_until(3600), ClockTime)
    assert mould(_until(0), ClockTime) != mould(_until(0, "Mix 8"), ClockTime)
    # letters that look like a time are none
    assert mould(say("{what} left", what="07:45"), ClockTime) != mould(say("{what} left", what="08:45"), ClockTime)


def test_a_value_is_put_anew_in_the_language_being_spoken() -> None:
    assert with_values(_until(0), ClockTime, lambda _: "(time)") == "Mix 7: wait until (time). Then wash."
    with speaking(speech("es")):
        numbered = with_values(say("step {number}", number=joined((clock(START, 0),))), ClockTime, lambda _: "(hora)")
    assert numbered == "paso (hora)"


def test_few_words_are_parted_where_they_were_joined_and_nowhere_else() -> None:
    joint = joined(("gloves; thick", "", joined(("mask", "hood"), "; ")), "; ")
    assert parts_of(joint, "; ") == ("gloves; thick", "mask", "hood")
    assert parts_of("gloves; thick", "; ") == ("gloves; thick",)


@pytest.mark.parametrize("text", [_until(0), clock(START, 90000), capital(say("drying of {what}", what="n-hexane"))])
def test_a_copy_of_a_text_is_as_good(text: str) -> None:
    for other in (copy.deepcopy(text), pickle.loads(pickle.dumps(text))):
        assert type(other) is type(text)
        assert other == text
        assert mould(other, ClockTime) == mould(text, ClockTime)
    assert isinstance(text, (Message, Text))
