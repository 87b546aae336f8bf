"""What an answer of the engine is made from, as hashes: an answer is the same for as long as these are."""

from __future__ import annotations

import threading
from collections.abc import Iterable, Iterator
from functools import lru_cache
from hashlib import sha256
from importlib.metadata import entry_points
from importlib.util import find_spec
from pathlib import Path
from time import monotonic

from safety import __version__
from safety.files import trust
from safety.frozen.files import shop_files
from safety.hosting.host import GROUP
from safety.ledger.runs import last_entry
from safety.problems import Problems
from safety.serve.running import WAIT
from safety.workplace import Workplace

#: So long what was looked at lately need not be looked at again, by who can wait for a later look [s].
FRESH = 1.0


class Inputs:
    """The files and records of a shop. May be asked from any thread."""

    def __init__(self, workplace: Workplace) -> None:
        self._workplace = workplace
        self._lock = threading.Lock()
        self._last: tuple[float, str] | None = None

    def digest(self, lately: bool = False) -> str:
        """A hash of them all as they are now, or were ``lately``; "" where they have mistakes."""
        with self._lock:
            if lately and self._last and monotonic() - self._last[0] < FRESH:
                return self._last[1]
            try:
                found = _digest(self._parts())
            except (Problems, OSError):
                found = ""  # the engine says what is wrong
            self._last = monotonic(), found
            return found

    def _parts(self) -> Iterator[str]:
        shop = self._workplace.shop
        yield _program()
        for name, text in sorted(shop_files(shop).items()):
            yield from (name, text)
        store = trust.store()
        yield store.read_text("utf-8", "replace") if store and store.is_file() else ""
        yield last_entry(shop, WAIT)


@lru_cache(1)
def _program() -> str:
    """The program and its plugins, as they were when they were first looked at: by their files."""
    entries = sorted(entry_points(group=GROUP), key=lambda one: one.name)
    names = ("safety", *(one.module.partition(".")[0] for one in entries))
    return _digest((__version__, *(part for name in dict.fromkeys(names) for part in _files(name))))


def _files(name: str) -> Iterator[str]:
    """Every file of a package with what tells it from another of its name."""
    spec = find_spec(name)
    folders = spec.submodule_search_locations if spec else None
    single = [Path(spec.origin)] if spec and spec.origin and not folders else []
    for path in sorted([*single, *(p for folder in folders or () for p in Path(folder).rglob("*"))]):
        if path.is_file() and "__pycache__" not in path.parts:
            known = path.stat()
            yield f"{path} {known.st_size} {known.st_mtime_ns}"


def _digest(parts: Iterable[str]) -> str:
    found = sha256()
    for part in parts:
        content = part.encode("utf-8", "surrogatepass")
        found.update(len(content).to_bytes(8, "big") + content)
    return found.hexdigest()
