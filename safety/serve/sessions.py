"""Who is at which screen: a secret in a cookie, and what is known of whoever holds it.

Kept beside the shop's files, for its owner only, so that a tap that waited for a restart is still somebody's. Where
the disk refuses, it is kept in memory alone: a page that cannot be left is worse than a name asked for again.
"""

from __future__ import annotations

import hashlib
import hmac
import os
import secrets
import sqlite3
import threading
from contextlib import closing, suppress
from dataclasses import dataclass, replace
from pathlib import Path

from safety.words import ENGLISH, LANGUAGES

NAME = "serve.db"
COOKIE = "hazstep"
#: How long a name holds [s]: a shift and what comes on top of it.
HOLDS = 12 * 3600.0

_TABLE = """create table if not exists session
    (id text primary key, person text not null, language text not null, named real not null)"""


@dataclass(frozen=True, slots=True)
class Session:
    """One browser. ``secret`` is what its cookie holds; on the disk is only what is made from it."""

    secret: str
    person: str = ""  # "" = nobody has said who it is
    language: str = ENGLISH
    named: float = 0.0  # s of the clock, when the name was given
    fresh: bool = False  # its browser has no cookie yet

    @property
    def id(self) -> str:
        return hashlib.sha256(self.secret.encode()).hexdigest()

    @property
    def token(self) -> str:
        """What every form of this browser carries: another site cannot know it."""
        return hmac.new(self.secret.encode(), b"form", hashlib.sha256).hexdigest()[:32]

    def holds(self, token: str) -> bool:
        return hmac.compare_digest(self.token.encode(), token.encode())


class Sessions:
    """All of them, by what is made from their secret."""

    def __init__(self, folder: Path) -> None:
        self._file = folder / NAME
        self._lock = threading.Lock()
        self._known: dict[str, Session] = {}

    def of(self, secret: str | None, now: float) -> Session:
        """The session of a cookie, or a new one; a name that was given too long ago holds no more."""
        if not secret or not 20 <= len(secret) <= 64:
            return Session(secrets.token_urlsafe(24), fresh=True)
        blank = Session(secret)
        with self._lock:
            found = self._known.get(blank.id) or self._read(blank)
        if found is None:
            return blank  # nobody yet
        return found if 0 <= now - found.named < HOLDS or not found.person else replace(found, person="")

    def keep(self, session: Session) -> None:
        """Remember a session from here on."""
        session = replace(session, fresh=False)
        with self._lock:
            self._known[session.id] = session
            with suppress(sqlite3.Error, OSError), closing(self._open()) as database, database:
                row = (session.id, session.person, session.language, session.named)
                database.execute("insert or replace into session values (?, ?, ?, ?)", row)

    def _read(self, blank: Session) -> Session | None:
        if not self._file.exists():
            return None
        with suppress(sqlite3.Error, OSError), closing(self._open()) as database:
            query = "select person, language, named from session where id = ?"
            row = database.execute(query, (blank.id,)).fetchone()
            if row is not None and row[1] in LANGUAGES:
                self._known[blank.id] = replace(blank, person=row[0], language=row[1], named=row[2])
        return self._known.get(blank.id)

    def _open(self) -> sqlite3.Connection:
        if not self._file.exists():
            os.close(os.open(self._file, os.O_CREAT | os.O_WRONLY, 0o600))
        database = sqlite3.connect(self._file, timeout=1.0)
        database.execute(_TABLE)
        return database
