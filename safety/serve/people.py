"""Who works in the shop and what each may do on its page: by the shop's file, and what a passphrase proved."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable

from safety.model import Person, Shop
from safety.problems import Problems
from safety.serve.passphrases import Passphrases
from safety.serve.sessions import Session
from safety.serve.store import Store

#: What everybody may do.
TECHNICIAN = "technician"


class People:
    """The people of a shop as its file says now. May be asked from any thread."""

    def __init__(self, shop: Callable[[], Shop], store: Store, alone: bool) -> None:
        """``alone``: only this machine reaches the page, and whoever sits at it could edit the files as well."""
        self._shop, self._alone = shop, alone
        self.passphrases = Passphrases(store)

    def called(self, name: str) -> Person | None:
        """Who has a name, however its letters are cased: nobody is somebody else by a capital.

        Files with mistakes name nobody: they give out no office, and hold up no work. A name that two have is nobody's.
        """
        try:
            found = [one for one in self._shop().people if one.name.casefold() == name.casefold()]
        except Problems:
            found = []
        return found[0] if len(found) == 1 else None

    def needs(self, name: str) -> bool:
        """Whether a name is taken with its passphrase only. Where nobody can tell, it is."""
        try:
            return self.passphrases.has(name)
        except (sqlite3.Error, OSError):
            return True

    def may(self, session: Session) -> frozenset[str]:
        """What a session may do. An office counts with its passphrase; without one only where nobody else comes."""
        if not session.person:
            return frozenset()
        person = self.called(session.person)
        offices: set[str] = set(person.roles) if person else set()
        if not session.proved and (not self._alone or (offices and self.needs(session.person))):
            offices = set()
        return frozenset({TECHNICIAN, *offices})

    def could(self, session: Session) -> frozenset[str]:
        """What the person of a session may do once the passphrase is given again."""
        person = self.called(session.person) if session.person else None
        return frozenset(person.roles) if person and self.needs(person.name) else frozenset()
