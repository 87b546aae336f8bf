"""A passphrase: given with the name or once more, and changed."""

from __future__ import annotations

import secrets
from contextlib import suppress
from dataclasses import replace

from safety.paper_codes import plain
from safety.problems import Problems
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.passphrases import LONGEST, SHORTEST, wanting
from safety.serve.screens.shown import shown
from safety.words import say


def ask(desk: Desk, asked: Asked, name: str, *, to: str, notice: str = "", status: int = 200) -> Answer:
    """The page that asks for the passphrase of a name."""
    return shown(
        desk,
        asked,
        "passphrase.html",
        title=say("Your passphrase, {name}", name=name),
        status=status,
        back=("/who", say("Back")),
        whose=name,
        to=to,
        notice=notice,
        most=LONGEST,
    )


def proved(desk: Desk, asked: Asked, name: str, typed: str) -> Answer | None:
    """Look whether a passphrase is that of a name; None where it is, else the page that says why not.

    For whatever wants it again, such as signing. Both outcomes are written down.
    """
    verdict = desk.who.passphrases.check(name, typed, asked.address)
    with suppress(Problems):
        desk.audit(asked, {"right": "passphrase", "wrong": "passphrase wrong"}.get(verdict, "passphrase refused"), name)
    if verdict == "right":
        return None
    to = "/who" if asked.session.person != name else "/passphrase"
    if verdict == "too many":
        notice = say("Too many wrong ones. Wait a minute.")
        return ask(desk, asked, name, to=to, notice=notice, status=429)
    return ask(desk, asked, name, to=to, notice=say("That is not the passphrase."), status=403)


def entered(asked: Asked, name: str, proved: bool) -> Answer:
    """A name taken. With it comes a new secret, so that nobody goes on with one that was laid under them."""
    when = asked.now if proved else 0.0
    secret = secrets.token_urlsafe(24)
    session = replace(asked.session, secret=secret, person=name, named=asked.now, proved=when)
    return Answer(to=f"/c/{code}" if (code := plain(asked.get("code"))) else "/", session=session)


def show(desk: Desk, asked: Asked) -> Answer:
    """Ask for it once more; where it was given, offer to change it."""
    name = asked.session.person
    if desk.who.needs(name) and not asked.session.proved:
        return ask(desk, asked, name, to="/passphrase")
    return _new(desk, asked)


def _new(desk: Desk, asked: Asked, notice: str = "", status: int = 200) -> Answer:
    name = asked.session.person
    if not (desk.who.needs(name) or (desk.alone and asked.may("desk"))):
        words = say("A passphrase is given out at the shop's machine: hazstep serve --passphrase NAME")
        raise Refused(403, words)
    return shown(
        desk,
        asked,
        "new_passphrase.html",
        title=say("A new passphrase"),
        status=status,
        kept=desk.who.needs(name),
        notice=notice,
        least=SHORTEST,
        most=LONGEST,
    )


def give(desk: Desk, asked: Asked) -> Answer:
    name = asked.session.person
    if not desk.who.needs(name):
        raise Refused(409, say("This name has no passphrase."))
    return proved(desk, asked, name, asked.get("passphrase")) or entered(asked, name, True)


def change(desk: Desk, asked: Asked) -> Answer:
    """Another passphrase in place of the old one; every other session of that name ends."""
    name, new = asked.session.person, asked.get("new")
    kept = desk.who.needs(name)
    if not kept and not (desk.alone and asked.may("desk")):
        return _new(desk, asked)
    if kept and (refused := proved(desk, asked, name, asked.get("passphrase"))):
        return refused
    if new != asked.get("again"):
        return _new(desk, asked, say("The two are not the same. Write it twice."), 400)
    if wanting(new, name):
        return _new(
            desk, asked, say("Take a longer one: {count} letters at least, several words.", count=SHORTEST), 400
        )
    desk.audit(asked, "new passphrase", name)
    desk.who.passphrases.keep(name, new)
    desk.sessions.end_of(name)
    return entered(asked, name, True)
