"""Files a command hands out: the one door through which it writes what a person named.

A file goes to a new name, or over an earlier file of its own kind, known by its content. So it can never take the
place of what somebody wrote or recorded, whatever that is called and however many names it has.
"""

from __future__ import annotations

import os
import stat
import tempfile
from collections.abc import Callable, Iterator, Mapping
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

from safety.problems import Problem, Problems
from safety.words import say

#: No file of ours comes near it.
_LARGEST = 200_000_000


@dataclass(frozen=True, slots=True)
class Target:
    """Where one file is to go."""

    path: Path
    ending: str  # of its name: what is not a document is never named by a slip
    is_earlier: Callable[[bytes], bool]  # whether a file of this content may be written over

    def look(self) -> None:
        """Raise Problems unless nothing is there, or an earlier file of the same kind. No link is followed."""
        if self.path.suffix.lower() != self.ending:
            wrong = say("the name does not end in {ending}", ending=self.ending)
            raise self._refused(wrong, say("write a name such as {name}", name=f"today{self.ending}"))
        with _named(self.path):
            try:
                found = os.lstat(self.path)
            except (FileNotFoundError, NotADirectoryError):
                return
            if stat.S_ISLNK(found.st_mode):
                raise self._refused(say("this is a link to another file"), say("name that file itself, or a new one"))
            if not stat.S_ISREG(found.st_mode):
                raise self._refused(say("this is not an ordinary file"), say("name a new file"))
            if not self.is_earlier(_content(self.path)):
                wrong = say("the file is there already, and is not an earlier one of this kind")
                raise self._refused(wrong, say("name a new file"))

    def _refused(self, wrong: str, write: str) -> Problems:
        return Problems([Problem(self.path.as_posix(), 0, "", wrong, write)])


def only_new(content: bytes) -> bool:
    """Nothing is written over."""
    return False


def look(*targets: Target | None) -> None:
    """Raise Problems where a file may not go where it should: before the work is done that it would hold."""
    for one in targets:
        if one:
            one.look()


def write(contents: Mapping[Target, bytes]) -> None:
    """Write all of the files, or none. Raises Problems where one may not go where it should."""
    look(*contents)
    with ExitStack() as stack:
        for beside, one in [
            (stack.enter_context(_beside(one.path, content)), one) for one, content in contents.items()
        ]:
            with _named(one.path):
                _settle(beside, one)


def _content(path: Path) -> bytes:
    """What is in an ordinary file; nothing where the name leads to something else by now."""
    flags = (getattr(os, name, 0) for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_BINARY"))
    with open(os.open(path, os.O_RDONLY | sum(flags)), "rb") as file:
        known = os.fstat(file.fileno())
        return file.read() if stat.S_ISREG(known.st_mode) and known.st_size <= _LARGEST else b""


@contextmanager
def _beside(path: Path, content: bytes) -> Iterator[Path]:
    """The content on the disk, whole, in the folder where it will have its name."""
    with _named(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name[:40]}.")
    beside = Path(name)
    try:
        with _named(path):
            with os.fdopen(handle, "wb") as file:
                file.write(content)
                file.flush()
                os.fsync(file.fileno())  # some disks say only now that they are full
            mask = os.umask(0)
            os.umask(mask)
            beside.chmod(0o666 & ~mask)  # mkstemp makes it readable for its owner only
        yield beside
    finally:
        beside.unlink(missing_ok=True)


def _settle(beside: Path, one: Target) -> None:
    """Give a whole file its name."""
    try:
        os.link(beside, one.path)  # never over anything, whoever put it there meanwhile
    except OSError:  # there is one, or the file system has no hard links
        one.look()
        os.replace(beside, one.path)


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Let a fault of the disk name the file as the person gave it."""
    try:
        yield
    except OSError as error:
        raise OSError(error.errno, error.strerror, str(path)) from error
