"""Today: which jobs there are, and whether each may start."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Card, Desk
from safety.serve.screens.news import told
from safety.serve.screens.shown import shown
from safety.serve.screens.states import states, worst
from safety.words import say

_REASONS = 3


@dataclass(frozen=True, slots=True)
class Shown:
    """A job's card."""

    card: Card
    page: dict[str, Any] | None  # what its sheet says, where it is worked out
    failed: bool = False  # no answer could be had

    @property
    def states(self) -> tuple[str, ...]:
        return states(self.page) if self.page else ()

    @property
    def reasons(self) -> list[str]:
        return [one["short"] for one in self.page["stops"][:_REASONS]] if self.page else []

    @property
    def more(self) -> int:
        return max(0, len(self.page["stops"]) - _REASONS) if self.page else 0


def cards(desk: Desk) -> list[Shown]:
    """Every job's card: those that must not start first, then what is not known."""
    found = [_shown(desk, desk.card(id)) for id in desk.ids()]
    return sorted(found, key=lambda one: (worst(one.states), one.card.id))


def _shown(desk: Desk, card: Card) -> Shown:
    if card.job is None:
        return Shown(card, None)
    question = {"ask": "sheet", "job": card.id}
    answer = desk.answer(question)
    return Shown(card, answer["page"] if answer else None, answer is None and desk.failed(question))


def version(desk: Desk) -> str:
    """What changes when a card does."""
    said = [(one.card.id, one.card.mistakes, one.states, one.reasons, one.failed) for one in cards(desk)]
    return hashlib.sha256(repr(said).encode()).hexdigest()[:16]


def show(desk: Desk, asked: Asked) -> Answer:
    return shown(
        desk,
        asked,
        "today.html",
        title=say("Today"),
        news="/news",
        version=version(desk),
        cards=cards(desk),
        shop=desk.shop(),
    )


def news(desk: Desk, asked: Asked) -> Answer:
    return told(asked, version(desk))
