"""What a handler is asked with, and what it answers: plain records, so that a screen knows nothing of the web."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from safety.serve.sessions import Session

#: Who may ask. "named": somebody has said who it is.
Role = Literal["anyone", "named"]


@dataclass(frozen=True, slots=True)
class Asked:
    """One question of one browser."""

    session: Session
    now: float  # s since 1970, by the server's clock
    path: Mapping[str, str] = field(default_factory=dict)  # parts of the address
    form: Mapping[str, str] = field(default_factory=dict)  # what was filled in; of a GET, what follows its "?"

    def get(self, name: str) -> str:
        return self.form.get(name, "")


@dataclass(frozen=True, slots=True)
class Answer:
    """What is sent back: a page, a file or the way to another page."""

    body: str | bytes = ""
    status: int = 200
    kind: str = "text/html"
    to: str = ""  # where the browser goes next
    session: Session | None = None  # to be remembered from here on
    name: str = ""  # of a file that is handed out
    lasting: bool = False  # it never changes under its address


class Refused(Exception):
    """A question that is not answered: the status, and why in words."""

    def __init__(self, status: int, words: str) -> None:
        self.status, self.words = status, words
        super().__init__(words)
