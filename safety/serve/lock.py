"""One page for one shop: the second program that would serve it is told where the first one is."""

from __future__ import annotations

import json
import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import BinaryIO

from safety.problems import Problem, Problems
from safety.words import say

NAME = "serve.lock"


@contextmanager
def held(folder: Path, address: str) -> Iterator[None]:
    """Hold the lock of a shop while its page is served at an address. Raises Problems where another holds it.

    The system lets go of it when the program ends, however it ends.
    """
    path = folder / NAME
    with open(os.open(path, os.O_RDWR | os.O_CREAT, 0o644), "r+b") as file:
        if not _locked(file):
            raise Problems([_taken(path)])
        file.seek(0)
        file.truncate()
        file.write(json.dumps({"process": os.getpid(), "address": address}).encode())
        file.flush()
        yield


def _taken(path: Path) -> Problem:
    try:
        held = json.loads(path.read_bytes())
        wrong = say("the page of this shop is served already, by process {process}", process=int(held["process"]))
        write = say("open {address}, or end that one first", address=str(held["address"]))
    except (OSError, ValueError, KeyError, TypeError):  # it is about to write who it is
        wrong, write = say("the page of this shop is served already"), say("end that one first")
    return Problem(path.as_posix(), 0, "", wrong, write)


try:
    import fcntl
except ImportError:  # Windows: the byte behind the text, so that the text can be read
    import msvcrt

    def _locked(file: BinaryIO) -> bool:
        file.seek(4096)
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)  # type: ignore[attr-defined,unused-ignore]
        except OSError:
            return False
        return True
else:

    def _locked(file: BinaryIO) -> bool:
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            return False
        return True
