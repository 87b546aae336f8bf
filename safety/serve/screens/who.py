"""Who are you: a name for every tap."""

from __future__ import annotations

import secrets
from dataclasses import replace

from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.words import LANGUAGES, say, steers

#: What a language calls itself.
CALLED = {"en": "English", "es": "Español", "de": "Deutsch"}
_MOST = 40  # characters of a name


def show(desk: Desk, asked: Asked) -> Answer:
    languages = [(code, CALLED.get(code, code)) for code in LANGUAGES]
    title = say("Who are you?")
    return shown(desk, asked, "who.html", title=title, names=desk.people(), languages=languages, most=_MOST)


def named(desk: Desk, asked: Asked) -> Answer:
    """Take a name; with it comes a new secret, so that nobody goes on with one that was laid under them."""
    name = " ".join((asked.get("other") or asked.get("name")).split())
    if not name or len(name) > _MOST or steers(name):
        raise Refused(400, say("Write your name, in at most {count} letters.", count=_MOST))
    session = replace(asked.session, secret=secrets.token_urlsafe(24), person=name, named=asked.now)
    return Answer(to="/", session=session)


def spoken_to(desk: Desk, asked: Asked) -> Answer:
    """Speak another language to this browser from here on."""
    language = asked.get("language")
    if language not in LANGUAGES:
        raise Refused(400, say("Choose one of the languages."))
    return Answer(to="/who", session=replace(asked.session, language=language))
