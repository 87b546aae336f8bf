"""Code that a shop brings along: where it may lie, and which of it a person of this computer has let run.

What was let run is remembered by its content, in the person's own folder for settings: never in the shop's, which
somebody else may have written.
"""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from hashlib import sha256
from pathlib import Path, PurePosixPath, PureWindowsPath

from click import get_app_dir

from safety.files.toml import is_file
from safety.problems import Problem, Problems
from safety.words import printable, say

_STORE = "trusted-plugins.txt"
_LARGEST = 1_000_000  # bytes


@dataclass(frozen=True, slots=True)
class Trusted:
    """Content that may run, and where it lay when somebody said so."""

    digest: str
    day: str
    path: str


@dataclass(frozen=True, slots=True)
class Code:
    """A plugin file as it was read: what is looked at is what runs."""

    path: Path
    text: bytes

    @property
    def digest(self) -> str:
        return sha256(self.text).hexdigest()


def inside(folder: Path, name: str) -> bool:
    """Whether a plugin file of a shop lies in its folder, on this computer and on any other, links followed."""
    for path in (PurePosixPath(name), PureWindowsPath(name)):
        if path.anchor or ".." in path.parts:
            return False
    try:
        return (folder / name).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # links in a circle, and names that are none
        return False


def read(folder: Path, name: str) -> Code | None:
    """A plugin file of a shop; None where there is none of this name in its folder, or it is none that is written."""
    path = folder / name
    if not inside(folder, name) or not is_file(path):
        return None
    with path.open("rb") as file:
        text = file.read(_LARGEST + 1)
    return Code(path, text) if len(text) <= _LARGEST else None


def store() -> Path | None:
    """Where it is remembered; None where this computer knows of no folder for a person's settings.

    A relative folder would be looked for where the person stands: in a stranger's shop, who may have put one there.
    """
    file = Path(get_app_dir("hazstep")) / _STORE
    return file if file.is_absolute() else None


def trusted() -> tuple[Trusted, ...]:
    """All that may run; nothing where nothing can be read."""
    file = store()
    try:
        lines = file.read_text(encoding="utf-8", errors="replace").splitlines() if file else []
    except OSError:
        return ()
    cut = [line.split("\t") for line in lines]
    return tuple(Trusted(*fields) for fields in cut if len(fields) == 3 and len(fields[0]) == 64)


def is_trusted(code: Code) -> bool:
    return any(one.digest == code.digest for one in trusted())


def trust(codes: Iterable[Code]) -> None:
    """Remember that these may run."""
    added = [Trusted(c.digest, date.today().isoformat(), printable(c.path.resolve())) for c in codes]
    new = {one.digest for one in added}
    _keep([*(one for one in trusted() if one.digest not in new), *added])


def forget(gone: Iterable[Trusted]) -> None:
    """Let these run no longer."""
    digests = {one.digest for one in gone}
    _keep([one for one in trusted() if one.digest not in digests])


def _keep(all: Iterable[Trusted]) -> None:
    file = store()
    if file is None:
        wrong = say("this computer knows of no folder for your settings")
        raise Problems([Problem("trust", 0, "", wrong, say("set HOME to your own folder, in full"))])
    file.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
    handle, beside = tempfile.mkstemp(dir=file.parent, prefix=f".{_STORE}.")  # for its owner only
    try:
        with os.fdopen(handle, "w", encoding="utf-8", errors="replace") as stream:
            stream.writelines(f"{one.digest}\t{one.day}\t{one.path}\n" for one in all)
        os.replace(beside, file)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
