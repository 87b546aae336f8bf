"""Passphrases of those who may do more than a technician: kept as what scrypt makes of them, asked for at a pace."""

from __future__ import annotations

import hmac
import os
import threading
import time
from collections import deque
from collections.abc import Callable
from typing import Literal

from safety.serve.store import Store

#: The fewest characters, and the most that are looked at.
SHORTEST, LONGEST = 12, 200
#: So many wrong ones within so long [s], then no more are heard, by name and by address.
WRONG, WITHIN = 5, 60.0

#: The cost of scrypt (RFC 7914): log2 N, r, p, as the OWASP Password Storage Cheat Sheet has it at the least
#: (N = 2^17, r = 8, p = 1; seen: secondary). Takes 128 MiB, one at a time.
COST = (17, 8, 1)
_LENGTH = 32

Verdict = Literal["right", "wrong", "too many"]


class Passphrases:
    """All of a shop. May be asked from any thread."""

    def __init__(
        self, store: Store, cost: tuple[int, int, int] = COST, clock: Callable[[], float] = time.monotonic
    ) -> None:
        self._store, self._cost, self._clock = store, cost, clock
        self._lock = threading.Lock()  # of the memory that one takes, and of what was wrong
        self._wrong: dict[str, deque[float]] = {}

    def has(self, person: str) -> bool:
        """Whether somebody has one. Raises sqlite3.Error and OSError: who cannot tell lets nobody in."""
        return bool(self._store) and self._kept(person) is not None

    def keep(self, person: str, passphrase: str) -> None:
        """Give somebody a passphrase in place of any other. Raises sqlite3.Error and OSError."""
        salt = os.urandom(16)
        with self._lock:
            made = _made(passphrase, salt, self._cost)
        kept = "$".join((*map(str, self._cost), salt.hex(), made.hex()))
        with self._store.open() as database:
            database.execute("insert or replace into passphrase values (?, ?)", (person, kept))

    def check(self, person: str, passphrase: str, address: str) -> Verdict:
        """Whether it is the one of that person; nothing is looked at after too many wrong ones."""
        now, keys = self._clock(), (f"name {person}", f"address {address}")
        with self._lock:
            if any(self._too_many(key, now) for key in keys):
                return "too many"
            kept = self._kept(person)
            *cost, salt, made = kept.split("$") if kept else (*map(str, self._cost), "00" * 16, "")
            log, size, times = map(int, cost)
            found = _made(passphrase[:LONGEST], bytes.fromhex(salt), (log, size, times)).hex()  # for strangers too
            if kept and hmac.compare_digest(found, made):
                for key in keys:
                    self._wrong.pop(key, None)
                return "right"
            for key in keys:
                self._wrong.setdefault(key, deque(maxlen=WRONG)).append(now)
            self._wrong = {key: told for key, told in self._wrong.items() if now - told[-1] < WITHIN}
            return "wrong"

    def _too_many(self, key: str, now: float) -> bool:
        told = self._wrong.get(key)
        return told is not None and len(told) == WRONG and now - told[0] < WITHIN

    def _kept(self, person: str) -> str | None:
        with self._store.open() as database:
            row = database.execute("select kept from passphrase where person = ?", (person,)).fetchone()
        return None if row is None else str(row[0])


def wanting(passphrase: str, person: str) -> bool:
    """Whether a passphrase is too easy to find: too short, of few letters, or the name again."""
    bare = "".join(passphrase.lower().split())
    return not SHORTEST <= len(passphrase) <= LONGEST or len(set(bare)) < 6 or "".join(person.lower().split()) == bare


def _made(passphrase: str, salt: bytes, cost: tuple[int, int, int]) -> bytes:
    from cryptography.hazmat.primitives.kdf.scrypt import Scrypt

    log, size, times = cost
    return Scrypt(salt=salt, length=_LENGTH, n=2**log, r=size, p=times).derive(passphrase.encode())
