"""The engine in the process of the tests, with few draws: what a sheet says is worked out once."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path

from safety.problems import Problems
from safety.serve.child import Answering, mistake
from safety.serve.desk import Desk, Record
from safety.serve.engine import Mistaken, Work
from safety.words import speaking, speech
from tests.serve.inside import Browser


class Ended:
    """A process that is not there."""

    def end(self) -> None:
        pass


class Answers:
    """Answers as the engine does; the books are read anew each time."""

    def __init__(self, shop: Path, draws: int = 200) -> None:
        self._shop, self._answering, self._draws = shop, Answering(shop), draws
        self._kept: dict[str, Record] = {}

    def ask(self, question: Record, language: str = "en") -> Record:
        key = f"{language} {json.dumps(question, sort_keys=True)}"
        if key not in self._kept or question["ask"] in ("log", "label", "freeze", "keep-log"):
            with speaking(speech(language)):
                try:
                    asked = {**question, "draws": question.get("draws") or self._draws}
                    self._kept[key] = self._answering.answer(asked, lambda share: None)
                except Problems as problems:
                    raise Mistaken([mistake(one, self._shop) for one in problems.problems]) from None
        return self._kept[key]

    def kept(self, question: Record, language: str = "en") -> Record | None:
        if question["ask"] == "propose":  # it takes too long for a test
            return None
        try:
            return self.ask(question, language)
        except Mistaken:
            return None

    once = kept

    def begin(self, question: Record, language: str = "en") -> Work:
        """What takes long is begun and never gets on: a test says how far it is, and what was found."""
        return Work(Ended())  # type: ignore[arg-type]

    def close(self) -> None:
        pass


def browser(shop: Path, who: str, now: datetime = datetime(2026, 12, 1, 9), draws: int = 200) -> Browser:
    """Somebody at a page of a shop."""
    one = Browser(Desk(shop, Answers(shop, draws), now.timestamp))
    assert one.named(who) == 303
    return one
