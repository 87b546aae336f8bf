"""What is only for people at a terminal: a bar while they wait, colour, and questions."""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from time import monotonic
from typing import Any, TextIO

import click

from safety.words import say

_PATIENCE = 1.0  # s of work before a bar is worth its line
_STEPS = 1000
#: How a line that begins like this is set; each says its word too, so colour alone means nothing.
_STYLES: tuple[tuple[str, dict[str, Any]], ...] = (
    ("*** STOP", {"fg": "white", "bg": "red", "bold": True}),
    ("STOP", {"fg": "red", "bold": True}),
    ("    STOP", {"fg": "red", "bold": True}),
    ("***", {"bold": True}),
    ("###", {"bold": True, "reverse": True}),
)


def asking() -> bool:
    """Whether somebody sits there who can answer."""
    return _is_terminal(sys.stdin)


def _is_terminal(stream: TextIO | None) -> bool:
    # None where the stream was closed before the program began
    return stream is not None and not stream.closed and stream.isatty()


def _is_dumb() -> bool:
    return os.environ.get("TERM") == "dumb"


@contextmanager
def said_of_what_is_kept(what: str) -> Iterator[None]:
    """Tell of something that is stored for good: where that cannot be printed, it must not read as if it were not."""
    try:
        yield
    except BrokenPipeError:
        raise
    except OSError as error:
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: SIM115 nothing more can be said there
        reason = error.strerror or error
        click.echo(say("{what}; standard output could not be written: {reason}", what=what, reason=reason), err=True)


@contextmanager
def progress_bar(label: str, form: str = "text") -> Iterator[Callable[[float], None]]:
    """Yield what is to be called with the share of the work that is done.

    A bar is drawn on standard error once the work has lasted, only as text, only where both
    streams are terminals that can move their cursor.
    """
    seen = form == "text" and _is_terminal(sys.stdout) and _is_terminal(sys.stderr) and not _is_dumb()
    begun, bar, done = monotonic(), None, 0

    def progress(share: float) -> None:
        nonlocal bar, done
        if not seen or (bar is None and monotonic() - begun < _PATIENCE):
            return
        if bar is None:
            bar = click.progressbar(length=_STEPS, label=label, file=sys.stderr)
            bar.__enter__()
        ahead = min(_STEPS, round(share * _STEPS))
        bar.update(max(0, ahead - done))
        done = max(done, ahead)

    try:
        yield progress
    finally:
        if bar is not None:
            bar.__exit__(None, None, None)


def painted(text: str) -> str:
    """A page in colour where standard output is a terminal that wants it; the words stay as they are."""
    if not _is_terminal(sys.stdout) or _is_dumb() or os.environ.get("NO_COLOR"):
        return text
    return "\n".join(map(_painted_line, text.split("\n")))


def _painted_line(line: str) -> str:
    for head, style in _STYLES:
        if line.startswith(head):
            return click.style(line, **style)
    return line
