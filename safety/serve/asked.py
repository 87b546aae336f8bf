"""What a handler is asked with, and what it answers: plain records, so that a screen knows nothing of the web."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from safety.serve.sessions import Session

#: Who may ask. "named": somebody has said who it is, and may do what a technician does. "officer" and "office": by
#: the shop's file; "desk": either of the two. "stranger": a browser too that nobody has let in.
Role = Literal["stranger", "anyone", "named", "officer", "office", "desk"]


@dataclass(frozen=True, slots=True)
class Asked:
    """One question of one browser."""

    session: Session
    now: float  # s since 1970, by the server's clock
    path: Mapping[str, str] = field(default_factory=dict)  # parts of the address
    form: Mapping[str, str] = field(default_factory=dict)  # what was filled in; of a GET, what follows its "?"
    roles: frozenset[str] = frozenset()  # what the person may do, as of now
    address: str = ""  # from where it came
    tablet: str = ""  # what the browser is called, where browsers are let in one by one
    secret: str = ""  # by which it is known there

    @property
    def device(self) -> str:
        """By what a line is kept of where it was made."""
        return self.tablet or self.session.id[:12]

    def may(self, role: Role) -> bool:
        if role in ("stranger", "anyone"):
            return True
        if not self.session.person:
            return False
        return role == "named" or role in self.roles or (role == "desk" and bool(self.roles & {"officer", "office"}))

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
    tablet: str = ""  # the secret by which the browser is known from here on
    lasting: bool = False  # it never changes under its address


class Refused(Exception):
    """A question that is not answered: the status, and why in words."""

    def __init__(self, status: int, words: str) -> None:
        self.status, self.words = status, words
        super().__init__(words)
