"""Browsers that may see the page at all, where others than this machine reach it: each is let in once, by a person."""

from __future__ import annotations

import hashlib
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass

from safety.serve.store import Store

COOKIE = "hazstep-tablet"
#: How long a browser keeps it [s]; browsers cut it to 400 days (RFC 6265bis, seen: memory).
HOLDS = 400 * 24 * 3600.0
#: How long a browser that asks may wait for somebody to let it in [s], and how many wait at once.
WAITS, MOST = 600.0, 20
#: Letters that nobody takes for others, read out across a room.
_LETTERS = "ABCDEFGHJKLMNPQRSTUVWXYZ23456789"


@dataclass(frozen=True, slots=True)
class Tablet:
    """A browser that was let in."""

    id: str  # what is made of its secret
    name: str
    added: float
    who: str


@dataclass(frozen=True, slots=True)
class Waiting:
    """A browser that asks to be let in, and shows these letters."""

    id: str
    letters: str
    since: float
    address: str


class Tablets:
    """All of a shop. May be asked from any thread."""

    def __init__(self, store: Store, clock: Callable[[], float]) -> None:
        self._store, self._clock = store, clock
        self._lock = threading.Lock()
        self._known: dict[str, Tablet] | None = None
        self._waiting: dict[str, Waiting] = {}  # by address: who asks again and again pushes nobody else out
        #: Opens the page to one browser: the machine's own, whoever began the program reads it there.
        self.key = secrets.token_urlsafe(24)

    def of(self, secret: str | None) -> Tablet | None:
        return self._all().get(_id(secret)) if secret else None

    def listed(self) -> tuple[Tablet, ...]:
        return tuple(sorted(self._all().values(), key=lambda one: one.added))

    def waiting(self) -> tuple[Waiting, ...]:
        with self._lock:
            self._waiting = {at: one for at, one in self._waiting.items() if 0 <= self._clock() - one.since < WAITS}
            return tuple(self._waiting.values())

    def ask(self, secret: str, address: str) -> Waiting | None:
        """Let a browser wait; None where too many do."""
        id, now = _id(secret), self._clock()
        there = {one.address: one for one in self.waiting()}
        with self._lock:
            own = there.get(address)
            if own is not None and own.id == id:
                return own
            if own is None and len(there) >= MOST:
                return None
            made = Waiting(id, "".join(secrets.choice(_LETTERS) for _ in range(6)), now, address)
            self._waiting[address] = made
            return made

    def add(self, letters: str, name: str, who: str) -> Tablet | None:
        """Let the browser in that shows these letters; None where none does. Raises sqlite3.Error and OSError."""
        found = next((one for one in self.waiting() if secrets.compare_digest(one.letters, letters)), None)
        if found is None:
            return None
        with self._lock:
            self._waiting.pop(found.address, None)
        return self._keep(Tablet(found.id, name, self._clock(), who))

    def enter(self, key: str, secret: str, name: str) -> Tablet | None:
        """Let in whoever has the key of this start of the program; it opens once."""
        with self._lock:
            if not self.key or not secrets.compare_digest(self.key.encode(), key.encode()):
                return None
            self.key = ""
        return self._keep(Tablet(_id(secret), name, self._clock(), ""))

    def remove(self, id: str) -> Tablet | None:
        """Shut a browser out, at once. Raises sqlite3.Error and OSError."""
        found = self._all().get(id)
        if found is None:
            return None
        with self._lock, self._store.open() as database:
            database.execute("delete from tablet where id = ?", (id,))
            self._known = None
        return found

    def _keep(self, tablet: Tablet) -> Tablet:
        with self._lock, self._store.open() as database:
            row = (tablet.id, tablet.name, tablet.added, tablet.who)
            database.execute("insert or replace into tablet values (?, ?, ?, ?)", row)
            self._known = None
        return tablet

    def _all(self) -> dict[str, Tablet]:
        with self._lock:
            if self._known is None:
                rows = []
                if self._store:
                    with self._store.open() as database:
                        rows = database.execute("select id, name, added, who from tablet").fetchall()
                self._known = {row[0]: Tablet(*row) for row in rows}
            return self._known


def _id(secret: str) -> str:
    return hashlib.sha256(secret.encode()).hexdigest()
