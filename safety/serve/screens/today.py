"""Today: which jobs there are, and whether each may start."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Card, Desk
from safety.serve.running import Live
from safety.serve.screens.news import page_version
from safety.serve.screens.shown import shown
from safety.serve.screens.states import states, worst
from safety.serve.screens.steps import Counted, clocks
from safety.serve.screens.writing import open_amounts
from safety.words import say

_REASONS = 3


@dataclass(frozen=True, slots=True)
class Shown:
    """A job's card."""

    card: Card
    page: dict[str, Any] | None  # what its sheet says, where it is worked out
    failed: bool = False  # no answer could be had
    older: bool = False  # it is being worked out anew: a file or a record was changed

    @property
    def states(self) -> tuple[str, ...]:
        return states(self.page) if self.page else ()

    @property
    def reasons(self) -> list[str]:
        return [one["short"] for one in self.page["stops"][:_REASONS]] if self.page else []

    @property
    def may(self) -> bool:
        """Whether it can be begun from here: not with a stop, nor with something unknown."""
        return bool(self.states) and not self.older and not {"STOP", "UNKNOWN"} & set(self.states)

    @property
    def more(self) -> int:
        return max(0, len(self.page["stops"]) - _REASONS) if self.page else 0


@dataclass(frozen=True, slots=True)
class Running:
    """A job that is being done."""

    address: str
    title: str
    unit: str
    step: str
    clock: Counted | None
    alarms: int
    amounts: str  # where the first amount is written down that is still open; "" = none is


def running(desk: Desk, now: float) -> list[Running]:
    """What is being done, whose clock is up soonest first."""
    found = [_running(desk, live, now) for live in desk.runs.all()]
    return sorted(found, key=lambda one: one.clock.until if one.clock else float("inf"))


def _running(desk: Desk, live: Live, now: float) -> Running:
    """One run; where the sheet of its start has to be worked out again, that it runs."""
    address, run = f"/run/{live.run.key}", live.run
    if desk.once(live.question) is None:
        return Running(address, run.title, run.unit, say("This sheet is being worked out."), None, 0, "")
    view = desk.runs.view(live, now)
    number, count = min(view.state.step + 1, len(view.plan.steps)), len(view.plan.steps)
    name = view.page["cards"][number - 1]["name"]
    step = say("Step {number} of {count}: {name}", number=number, count=count, name=name)
    large, _ = clocks(view)
    todo = open_amounts(desk, live, view)
    return Running(address, run.title, run.unit, step, large, len(view.alarms), todo[0].address if todo else "")


def cards(desk: Desk) -> list[Shown]:
    """Every job's card: those that must not start first, then what is not known."""
    found = [_shown(desk, desk.card(id)) for id in desk.ids()]
    return sorted(found, key=lambda one: (worst(one.states), one.card.id))


def _shown(desk: Desk, card: Card) -> Shown:
    if card.job is None:
        return Shown(card, None)
    question = {"ask": "sheet", "job": card.id}
    answer = desk.answer(question)
    if answer is None and desk.failed(question):
        return Shown(card, None, failed=True)
    known = answer or desk.once(question)
    return Shown(card, known["page"] if known else None, older=known is not None and answer is None)


def version(listed: list[Shown], runs: list[Running]) -> str:
    """What changes when a card does."""
    said = [(one.card.id, one.card.mistakes, one.states, one.reasons, one.failed, one.older) for one in listed]
    return hashlib.sha256(repr((said, runs)).encode()).hexdigest()[:16]


def show(desk: Desk, asked: Asked) -> Answer:
    listed, runs = cards(desk), running(desk, asked.now)
    return shown(
        desk,
        asked,
        "today.html",
        title=say("Today"),
        news="/news",
        version=version(listed, runs),
        running=runs,
        cards=listed,
        shop=desk.shop(),
    )


def news(desk: Desk, asked: Asked) -> Answer:
    return page_version(asked, desk.lately("today", lambda: version(cards(desk), running(desk, asked.now))))
