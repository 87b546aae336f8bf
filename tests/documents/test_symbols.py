"""The drawings: hazard symbols, and signs of what to wear."""

from __future__ import annotations

import io
from dataclasses import replace

import numpy as np
import pypdfium2
import pytest
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from safety.model import Report
from safety.render import mandatory_signs, signs
from safety.render.arrange import arrange
from safety.render.symbols import CODES, words
from safety.words import LANGUAGES, speaking, speech

from .conftest import finding


def test_every_symbol_can_be_drawn_inside_its_frame() -> None:
    buffer = io.BytesIO()
    canvas = Canvas(buffer, invariant=1)
    for code in CODES:
        signs.draw(canvas, code, 100, 100, 30)
    canvas.save()
    assert len(PdfReader(buffer).pages) == 1
    for language in LANGUAGES:
        with speaking(speech(language)):
            assert [code for code in CODES if len(words(code).split()) != 2] == []


@pytest.mark.parametrize("topic", mandatory_signs.SIGNS)
def test_a_sign_of_what_to_wear_is_a_dark_disc_with_a_light_figure_without_colour(topic: str) -> None:
    """ISO 7010 and ISO 3864-1: mandatory signs are a white symbol on a blue disc; blue covers half of it or more."""
    buffer = io.BytesIO()
    canvas = Canvas(buffer, pagesize=(60, 60), invariant=1)
    mandatory_signs.draw(canvas, topic, 30, 30, 60)
    canvas.save()
    grey = pypdfium2.PdfDocument(buffer.getvalue())[0].render(scale=4, grayscale=True).to_numpy()
    ink = np.asarray(grey) < 128
    across, down = np.meshgrid(np.linspace(-1, 1, ink.shape[1]), np.linspace(-1, 1, ink.shape[0]))
    far = np.hypot(across, down)
    assert 0.5 <= ink[far < 0.95].mean() < 0.9
    assert ink[(far > 0.88) & (far < 0.95)].mean() > 0.95  # the figure stays inside
    assert ink[far > 1.0].mean() < 0.02


def test_signs_show_what_is_worn_and_none_where_the_step_may_not_start(demo: dict[str, Report]) -> None:
    cards = arrange(demo["boot-replacement"]).cards
    for card in cards:
        controls = {box.topic for box in card.boxes if any(said.mark == "Control" for said in box.said)}
        stops = any(said.mark == "STOP" for box in card.boxes for said in box.said)
        assert set(card.wear) == (set() if stops else controls & mandatory_signs.SIGNS.keys())
    assert {"hands", "breathing", "eyes", "skin"} <= {topic for card in cards for topic in card.wear}
    stopped = arrange(demo["boot-replacement-fuel-hot"]).cards
    assert [card.wear for card in stopped if "STOP" in card.states] == [()] * len(stopped)


@pytest.mark.parametrize("topic", mandatory_signs.SIGNS)
@pytest.mark.parametrize("state", ["UNKNOWN", "NOT ASSESSED"])
def test_signs_show_all_that_is_worn_or_none_where_a_part_of_it_is_not_known(
    report: Report, topic: str, state: str
) -> None:
    """Signs are read as the whole list: goggles drawn alone would say that no gloves are needed."""
    assert arrange(report).cards[1].wear == ("hands", "breathing", "eyes", "skin")
    kept = [f for f in report.findings if (f.step, f.topic) != (1, topic)]
    if state == "UNKNOWN":
        kept.append(finding("control", topic, 1, "Not known", unknown="Nobody knows what is needed."))
    card = arrange(replace(report, findings=tuple(kept))).cards[1]
    assert state in {said.mark for box in card.boxes if box.topic == topic for said in box.said}
    assert card.wear == ()
