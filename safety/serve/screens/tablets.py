"""Tablets: which browsers are let in where the page is on a network, and who lets them in."""

from __future__ import annotations

from dataclasses import replace

from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.serve.tablets import Tablet
from safety.serve.templates import page
from safety.words import say, steers

_MOST = 40  # characters of a name


def stranger(desk: Desk, asked: Asked) -> Answer:
    """All that a browser sees that nobody has let in: the letters by which it is."""
    waits = desk.tablets.ask(asked.secret, asked.address)
    letters = waits.letters if waits else ""
    title = say("This tablet is not added yet")
    body = page("stranger.html", title=title, letters=letters, authority=desk.authority is not None)
    return Answer(body, 403, tablet=asked.secret)


def door(desk: Desk, asked: Asked) -> Answer:
    """For who began the program: the key from its first line opens the page to this browser."""
    body = page("enter.html", title=say("Open the page here"), key=asked.get("key"), token=asked.session.token)
    return Answer(body, tablet=asked.secret)


def enter(desk: Desk, asked: Asked) -> Answer:
    made = desk.tablets.enter(asked.get("key"), asked.secret, say("This machine"))
    if made is None:
        return stranger(desk, asked)
    desk.audit(asked, "tablet added", made.name)
    return Answer(to="/who", tablet=asked.secret)


def authority(desk: Desk, asked: Asked) -> Answer:
    """The certificate of our own authority, for a tablet that is to trust the page."""
    if desk.authority is None:
        raise Refused(404, say("There is no such page here."))
    return Answer(desk.authority.read_bytes(), kind="application/x-x509-ca-cert", name="hazstep-page.crt")


def show(desk: Desk, asked: Asked) -> Answer:
    return _page(desk, asked)


def _page(desk: Desk, asked: Asked, notice: str = "", status: int = 200) -> Answer:
    def told(one: Tablet) -> tuple[Tablet, str]:
        return one, f"{desk.local(one.added):%Y-%m-%d %H:%M}"

    return shown(
        desk,
        asked,
        "tablets.html",
        title=say("Tablets"),
        status=status,
        notice=notice,
        alone=desk.alone,
        waiting=desk.tablets.waiting(),
        tablets=list(map(told, desk.tablets.listed())),
        most=_MOST,
    )


def add(desk: Desk, asked: Asked) -> Answer:
    """Let a browser in by the letters it shows."""
    name, letters = " ".join(asked.get("called").split()), "".join(asked.get("letters").split()).upper()
    if not name or len(name) > _MOST or steers(name):
        return _page(desk, asked, say("Write what the tablet is called."), 400)
    made = desk.tablets.add(letters, name, asked.session.person)
    if made is None:
        return _page(desk, asked, say("No tablet shows these letters now."), 409)
    desk.audit(asked, "tablet added", name)
    return Answer(to="/tablets")


def remove(desk: Desk, asked: Asked) -> Answer:
    """Shut a browser out: lost, or handed on."""
    made = desk.tablets.remove(asked.get("id"))
    if made is not None:
        desk.audit(asked, "tablet removed", made.name)
    return Answer(to="/tablets")


def known(desk: Desk, asked: Asked, secret: str) -> Asked:
    """The same question, with what its browser is called, where browsers are let in one by one."""
    tablet = None if desk.alone else desk.tablets.of(secret)
    return replace(asked, secret=secret, tablet=tablet.name if tablet else "")
