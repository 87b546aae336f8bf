"""A run that asks plugins, watched from outside: only a run that came to its end may say that it did.

A plugin is code in the same process. It can end the process at any moment, with status 0 and nothing printed, and no
``except`` sees that. So the work is done in a child, which says when it is done, and the process that was called waits.
"""

from __future__ import annotations

import os
import signal
import sys
import traceback
from collections.abc import Callable, Collection
from contextlib import suppress
from time import monotonic
from types import FrameType
from typing import NoReturn, TextIO

import click

from safety.words import say

#: What a person or another program sends to the process that was called is meant for the work.
_PASSED_ON = ("SIGINT", "SIGTERM", "SIGHUP", "SIGUSR1", "SIGUSR2")


def supervised(work: Callable[[], object], done: Collection[int], broken: int) -> NoReturn:
    """Do the work in a child and end as it ended; with ``broken`` where it ended without a word, or says
    that it is ``done`` and nobody can have seen it."""
    try:
        told, tell = os.pipe()
        child = os.fork()
    except OSError as error:
        reason = error.strerror or error
        click.echo(say("hazstep needs a second process, which cannot be started: {reason}", reason=reason), err=True)
        sys.exit(broken)
    if not child:
        os.close(told)
        _work(work, tell, done, broken)
    os.close(tell)
    for name in _PASSED_ON:
        if signal.getsignal(getattr(signal, name)) is not signal.SIG_IGN:  # as nohup has it
            signal.signal(getattr(signal, name), lambda number, _: _send(child, number))
    _, how = os.waitpid(child, 0)
    os.set_blocking(told, False)  # a process it left behind may hold the other end
    try:
        said = os.read(told, 1)
    except BlockingIOError:
        said = b""
    if said:
        os._exit(said[0])
    if os.WIFSIGNALED(how):
        number = os.WTERMSIG(how)
        if number != signal.SIGKILL:
            signal.signal(number, signal.SIG_DFL)
        os.kill(os.getpid(), number)
    click.echo(say("hazstep was ended from inside before its work was done: a plugin may have done it."), err=True)
    os._exit(broken)


def _send(child: int, number: int) -> None:
    with suppress(ProcessLookupError):
        os.kill(child, number)


class _Interrupt:
    """Ctrl-C reaches the child twice: from the terminal, and passed on."""

    def __init__(self) -> None:
        self._last = -1.0

    def __call__(self, number: int, frame: FrameType | None) -> None:
        before, self._last = self._last, monotonic()
        if before < 0 or self._last - before > 1:
            raise KeyboardInterrupt


def _seen(stream: TextIO | None) -> tuple[int, int] | None:
    """Where a stream leads; None where it leads nowhere."""
    try:
        known = os.fstat(stream.fileno()) if stream else None
    except (OSError, ValueError):
        return None
    return known and (known.st_dev, known.st_ino)


def _work(work: Callable[[], object], tell: int, done: Collection[int], broken: int) -> NoReturn:
    """Work, say how it ended, and end: nothing that a plugin left behind comes after that."""
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, _Interrupt())
    there = sys.stdout
    where = _seen(there)
    try:
        work()
        status = 0
    except SystemExit as end:
        status = end.code if isinstance(end.code, int) else 0 if end.code is None else broken
    except BaseException:
        traceback.print_exc()
        status = broken
    if status in done and (sys.stdout is not there or _seen(there) != where):
        status = broken
        click.echo(say("Standard output was taken away before all was printed: a plugin may have done it."), err=True)
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # click has flushed what it printed
            if stream:
                stream.flush()
    os.write(tell, bytes([status & 0xFF]))
    os._exit(status & 0xFF)
