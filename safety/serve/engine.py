"""The engine in processes of its own, one for each language: asked over a pipe, answering in plain data.

A question is a dict with ``ask`` and what that takes; an answer is what JSON can hold.

=========  ==================================================  =====================================================
ask        takes                                               answers
=========  ==================================================  =====================================================
sheet      job, [start, air, draws, real]                      {"sheet", "plan", "answers", "result"}
day        jobs                                                {"sheets": [as above]}
why        job, ref, [start, air, real]                        {"text", "under": [...]}
pdf        job, [start, air]                                   {"base64"}
compare    job, changes: [text]                                {"columns": [...]}
propose    job                                                 {"proposals": [...]}
check      file, text                                          {"mistakes": [...]}
=========  ==================================================  =====================================================

``job`` is an id; ``start`` an ISO time; ``real`` a dict {"stretches": [[step, coat, begin, end or None], ...],
"now": s, "airs": [[step, state], ...]} with times in s since the real start. Mistakes of the shop's files come as
``Mistaken``.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

Record = dict[str, Any]


class Mistaken(Exception):
    """The shop's files have mistakes: {"file", "line", "place", "wrong", "write"} each."""

    def __init__(self, mistakes: list[Record]) -> None:
        self.mistakes = mistakes
        super().__init__(mistakes)


class NoAnswer(Exception):
    """The engine died or hung twice over the same question."""


class Cancelled(Exception):
    """Somebody did not want to know any more."""


class Engine:
    """All processes of one shop. Every method may be called from any thread; ``ask`` blocks."""

    def __init__(self, shop: Path) -> None:
        raise NotImplementedError

    def ask(self, question: Mapping[str, Any], language: str = "en") -> Record:
        """The answer to a question; one that was asked before of the same files is not computed again.

        Raises Mistaken and NoAnswer.
        """
        raise NotImplementedError

    def kept(self, question: Mapping[str, Any], language: str = "en") -> Record | None:
        """The answer where it is known already; never waits."""
        raise NotImplementedError

    def begin(self, question: Mapping[str, Any], language: str = "en") -> Work:
        """Have something worked out that takes long, in a process of its own with the lowest priority."""
        raise NotImplementedError

    def close(self) -> None:
        """End every process."""
        raise NotImplementedError


class Work:
    """A question that takes long."""

    share: float  # how far it has come, 0 to 1
    done: bool

    def answer(self, wait: float | None = None) -> Record | None:
        """The answer; None where it is not there after ``wait`` s. Raises Mistaken, NoAnswer and Cancelled."""
        raise NotImplementedError

    def cancel(self) -> None:
        """Stop it now."""
        raise NotImplementedError


#: Hears how far a question has come.
Told = Callable[[float], None]
