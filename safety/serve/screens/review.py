"""What waits for an officer, and the sheets that were kept: read again, printed, signed."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, datetime, timedelta

from safety.cited import Unknown
from safety.frozen import pages
from safety.ledger.runs import audits
from safety.ledger.sheets import Frozen, frozen, newest, sign
from safety.ledger.store import has_ledger, open_ledger
from safety.problems import Problems
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import WAIT
from safety.serve.screens import passphrase, today
from safety.serve.screens.happened import LATELY, Row, being_worked_out, of_runs
from safety.serve.screens.month import known_period
from safety.serve.screens.shown import shown
from safety.words import message, say, term

#: After so many years a data sheet is asked for anew (common practice, no source).
_OLD = 3
_ROLES = {"officer": message("safety officer"), "office": message("environmental officer")}
_ID = re.compile(r"[0-9a-f]{8,64}", re.ASCII)


def show(desk: Desk, asked: Asked) -> Answer:
    """Everything that waits, the gravest first."""
    now = desk.local(asked.now)
    version = today.version(today.cards(desk), today.running(desk, asked.now))
    rows = [*_hurt(desk, now), *of_runs(desk, asked), *_jobs(desk), *_unsigned(desk), *_products(desk, now.date())]
    return shown(
        desk, asked, "review.html", title=say("Review"), here="review", rows=rows, news="/news", version=version
    )


def _hurt(desk: Desk, now: datetime) -> Iterator[Row]:
    """Who was hurt of late, with or without a name."""
    if not has_ledger(desk.shop()):
        return  # one that is there and cannot be read says so: it does not mean that nobody was hurt
    with open_ledger(desk.shop(), wait=WAIT) as ledger:
        lines = audits(ledger)
    for line in lines:
        if line.what == "hurt" and now - line.at < timedelta(days=LATELY):
            at = desk.local(line.at.timestamp())
            text = say(
                "{when}, {job}, told by {who}", when=f"{at:%Y-%m-%d %H:%M}", job=line.object, who=line.who or "-"
            )
            yield Row(say("SOMEBODY IS HURT"), text, "/emergency", "STOP")


def _jobs(desk: Desk) -> Iterator[Row]:
    """Jobs that must not start, and those of which not all is known."""
    for one in today.cards(desk):
        title = one.card.job.title if one.card.job else one.card.id
        address = f"/job/{one.card.id}"
        if one.card.mistakes:
            yield Row(say("MISTAKES"), say("{job}: {why}", job=title, why=one.card.mistakes[0]), "/")
        elif one.page is None or one.older:
            yield being_worked_out(title, one.failed, address)
        for mark in one.states:
            if mark in ("STOP", "UNKNOWN") and one.page:
                why = one.page["stops"][0]["short"] if mark == "STOP" else one.page["missing"][0]
                word = say("STOP") if mark == "STOP" else say("UNKNOWN")
                yield Row(word, say("{job}: {why}", job=title, why=why), address, mark)


def _unsigned(desk: Desk) -> Iterator[Row]:
    """Kept sheets and logs that nobody has put a name under."""
    if not has_ledger(desk.shop()):
        return
    with open_ledger(desk.shop(), wait=WAIT) as ledger:
        listed = newest(ledger)
    for one in listed:
        if not one.signatures:
            day = desk.local(one.at.timestamp())
            text = say("{title}, kept {day}", title=one.title or one.id[:12], day=f"{day:%Y-%m-%d %H:%M}")
            yield Row(say("NOT SIGNED"), text, f"/frozen/{one.id}")


def _products(desk: Desk, day: date) -> Iterator[Row]:
    """Drafts nobody has compared with their data sheet, and data sheets that are old."""
    for one in desk.shop().products.values():
        name = one.name or one.id
        if one.draft:
            yield Row(say("DRAFT"), say("{product}: compare it with its data sheet", product=name), f"/draft/{one.id}")
        if not isinstance(one.sds_revised, Unknown) and (day - one.sds_revised).days > 365.25 * _OLD:
            revised = one.sds_revised.isoformat()
            text = say("{product}: its data sheet is of {day}, ask for a new one", product=name, day=revised)
            yield Row(say("OLD DATA SHEET"), text, "/stock")


# ---------------------------------------------------------------- kept sheets


def kept(desk: Desk, asked: Asked) -> Answer:
    return _page(desk, asked, _read(desk, asked))


def keep(desk: Desk, asked: Asked) -> Answer:
    """Keep the sheet of a job as it is now, to be signed."""
    id = desk.known(asked.path["job"])
    desk.job(id)
    return Answer(to=f"/frozen/{desk.answered({'ask': 'freeze', 'job': id})['id']}")


def keep_log(desk: Desk, asked: Asked) -> Answer:
    """Keep the log of a period as it is now, to be signed and filed."""
    question = {"ask": "keep-log", "period": known_period(asked.path["period"])}
    return Answer(to=f"/frozen/{desk.answered(question)['id']}")


def paper(desk: Desk, asked: Asked) -> Answer:
    """The paper as it was then, byte for byte."""
    one = _read(desk, asked)
    return Answer(pages.pdf_of(one), kind="application/pdf", name=f"{one.what}-{one.id[:12]}.pdf")


def signed(desk: Desk, asked: Asked) -> Answer:
    """Put the name of the session under a kept sheet; the passphrase is asked for once more."""
    one, name = _read(desk, asked), asked.session.person
    if not _may_sign(asked, one):
        raise Refused(403, say("This is not yours to do here. Ask the safety officer or the office."))
    if not desk.who.needs(name):
        raise Refused(409, say("To sign, your name needs a passphrase. Make one first."))
    if refused := passphrase.proved(desk, asked, name, asked.get("passphrase")):
        notice = say("Too many wrong ones. Wait a minute.") if refused.status == 429 else ""
        return _page(desk, asked, one, notice or say("That is not the passphrase."), refused.status)
    at, note = desk.local(asked.now), " ".join(asked.get("note").split())[:200]
    with open_ledger(desk.shop(), wait=WAIT) as ledger:
        sign(ledger, one.id, name, _role(asked), at, note)
    desk.audit(asked, "signed", one.id)
    return Answer(to=f"/frozen/{one.id}")


def _page(desk: Desk, asked: Asked, one: Frozen, notice: str = "", status: int = 200) -> Answer:
    return shown(
        desk,
        asked,
        "frozen.html",
        title=one.title or one.id[:12],
        status=status,
        here="review",
        back=("/review", say("Review")),
        one=one,
        lines=list(pages.lines(one)),
        text=one.inputs[pages.TEXT],
        may=desk.who.needs(asked.session.person),
        mine=_may_sign(asked, one),
        late=pages.is_late(one, desk.local(asked.now)),
        role=_role(asked),
        notice=notice,
    )


def _read(desk: Desk, asked: Asked) -> Frozen:
    id = asked.path["id"]
    if not _ID.fullmatch(id):
        raise Refused(404, say("There is no such page here."))
    try:
        with open_ledger(desk.shop(), wait=WAIT) as ledger:
            what = frozen(ledger, id).what
        return pages.read(id, desk.folder, what)[0]
    except Problems as none:
        raise Refused(404, say("There is no such page here.")) from none


def _may_sign(asked: Asked, one: Frozen) -> bool:
    """A sheet is the officer's to sign; a log the office's too."""
    return asked.may("officer") or one.what == "log"


def _role(asked: Asked) -> str:
    """As what somebody signs: by the office that the shop's list gives the name."""
    return next((term(words) for role, words in _ROLES.items() if role in asked.roles), "")
