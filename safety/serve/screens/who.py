"""Who are you: a name for every tap."""

from __future__ import annotations

import secrets
from dataclasses import replace

from safety.problems import Problems
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.screens import passphrase
from safety.serve.screens.shown import shown
from safety.serve.sessions import Session
from safety.words import LANGUAGES, say, steers

#: What a language calls itself.
CALLED = {"en": "English", "es": "Español", "de": "Deutsch"}
_MOST = 40  # characters of a name


def show(desk: Desk, asked: Asked) -> Answer:
    languages = [(code, CALLED.get(code, code)) for code in LANGUAGES]
    title = say("Who are you?")
    mistakes: list[str] = []
    try:
        desk.shop()
    except Problems as found:
        mistakes = list(map(desk.shown, found.problems))
    names = desk.people()
    return shown(desk, asked, "who.html", title=title, names=names, languages=languages, most=_MOST, mistakes=mistakes)


def named(desk: Desk, asked: Asked) -> Answer:
    """Take a name, with its passphrase where it has one."""
    name = " ".join((asked.get("other") or asked.get("name")).split())
    if not name or len(name) > _MOST or steers(name):
        raise Refused(400, say("Write your name, in at most {count} letters.", count=_MOST))
    known = desk.who.called(name)
    name = known.name if known else name
    needs = desk.who.needs(name)
    if needs and "passphrase" not in asked.form:
        return passphrase.ask(desk, asked, name, to="/who")
    if needs and (refused := passphrase.proved(desk, asked, name, asked.get("passphrase"))):
        return refused
    return passphrase.entered(asked, name, needs)


def nobody(desk: Desk, asked: Asked) -> Answer:
    """Hand the tablet over: the cookie is nobody's from here on. What waits on the tablet keeps its names."""
    desk.sessions.end(asked.session)
    language = asked.session.language
    return Answer(to="/who", session=Session(secrets.token_urlsafe(24), language=language))


def spoken_to(desk: Desk, asked: Asked) -> Answer:
    """Speak another language to this browser from here on."""
    language = asked.get("language")
    if language not in LANGUAGES:
        raise Refused(400, say("Choose one of the languages."))
    return Answer(to="/who", session=replace(asked.session, language=language))
