"""A screen says what the paper says: the same marks and words, step by step."""

from __future__ import annotations

import json

import pytest

from safety.render.arrange import arrange
from safety.render.screen import screen
from safety.render.svg import ghs_sign, mandatory_sign
from tests import demo


@pytest.mark.parametrize("job", demo.JOBS)
def test_a_screen_has_every_word_of_the_boxes_of_the_paper(job: str) -> None:
    report = demo.report(job)
    page, told = arrange(report), json.loads(json.dumps(screen(report)))
    assert told["result"] == list(page.result)
    assert told["missing"] == list(page.missing)
    for card, shown in zip(page.cards, told["cards"], strict=True):
        said = {(box.topic, one.mark, part) for box in card.boxes for one in box.said for part in [one.text]}
        texts = {(box["topic"], e["mark"]): e["text"] for box in shown["boxes"] for e in box["entries"]}
        assert all(text in texts[topic, mark] for topic, mark, text in said)
        assert shown["wear"] == list(card.wear)
    assert {block["key"] for block in told["help"]} == {"first-aid", "spill", "fire"}


def test_every_sign_is_drawn_for_a_screen() -> None:
    """Own drawings of the paper, on another canvas: a method it lacks would end the page."""
    for topic in ("hands", "breathing", "eyes", "skin"):
        assert mandatory_sign(topic).count("<g") == mandatory_sign(topic).count("</g>")
    for number in range(1, 10):
        drawn = ghs_sign(f"GHS0{number}")
        assert drawn.count("<g") == drawn.count("</g>") > 1
    assert mandatory_sign("air") == ""
