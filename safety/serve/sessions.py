"""Who is at which screen: a secret in a cookie, and what is known of whoever holds it.

Kept beside the shop's files, for its owner only, so that a tap that waited for a restart is still somebody's. Where
the disk refuses, it is kept in memory alone: a page that cannot be left is worse than a name asked for again.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
import sqlite3
import threading
from contextlib import suppress
from dataclasses import dataclass, replace

from safety.serve.store import Store
from safety.words import ENGLISH, LANGUAGES

COOKIE = "hazstep"
#: How long a name holds [s]: a shift and what comes on top of it.
HOLDS = 12 * 3600.0
#: How long what a passphrase opened stays open while nobody asks for a page [s], and how exactly that is kept.
PROVED = 30 * 60.0
_WRITTEN = 60.0


@dataclass(frozen=True, slots=True)
class Session:
    """One browser. ``secret`` is what its cookie holds; on the disk is only what is made from it."""

    secret: str
    person: str = ""  # "" = nobody has said who it is
    language: str = ENGLISH
    named: float = 0.0  # s of the clock, when the name was given
    proved: float = 0.0  # when a page was last asked for after the passphrase of the name was given; 0 = it was not
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

    def __init__(self, store: Store) -> None:
        self._store = store
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
        if found.person and not 0 <= now - found.named < HOLDS:
            return replace(found, person="", proved=0.0)
        return found if 0 <= now - found.proved < PROVED else replace(found, proved=0.0)

    def keep(self, session: Session) -> None:
        """Remember a session from here on."""
        session = replace(session, fresh=False)
        with self._lock:
            self._known[session.id] = session
            row = (session.id, session.person, session.language, session.named, session.proved)
            with suppress(sqlite3.Error, OSError), self._store.open() as database:
                database.execute("insert or replace into visit values (?, ?, ?, ?, ?)", row)

    def used(self, session: Session, now: float) -> Session:
        """Somebody asks for a page: what a passphrase opened stays open from here on; where nobody did, it shuts."""
        if session.proved and now - session.proved > _WRITTEN:
            session = replace(session, proved=now)
            self.keep(session)
        return session

    def end(self, session: Session) -> None:
        """Forget a session: its cookie is nobody's."""
        with self._lock:
            self._known.pop(session.id, None)
            with suppress(sqlite3.Error, OSError), self._store.open() as database:
                database.execute("delete from visit where id = ?", (session.id,))

    def end_of(self, person: str) -> None:
        """Forget every session of somebody: whoever had the name without the passphrase has it no more."""
        with self._lock:
            self._known = {id: one for id, one in self._known.items() if one.person != person}
            with suppress(sqlite3.Error, OSError), self._store.open() as database:
                database.execute("delete from visit where person = ?", (person,))

    def _read(self, blank: Session) -> Session | None:
        if not self._store:
            return None
        with suppress(sqlite3.Error, OSError), self._store.open() as database:
            query = "select person, language, named, proved from visit where id = ?"
            row = database.execute(query, (blank.id,)).fetchone()
            if row is not None and row[1] in LANGUAGES:
                self._known[blank.id] = replace(blank, person=row[0], language=row[1], named=row[2], proved=row[3])
        return self._known.get(blank.id)
