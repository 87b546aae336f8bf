"""The month, as the office sees it: every limit, container, last day and open point, and the papers of it."""

from __future__ import annotations

import base64
from datetime import date, timedelta
from typing import Any

from safety.cited import Unknown
from safety.ledger.store import has_ledger, open_ledger
from safety.ledger.view import view
from safety.logbook import month_of, year_of
from safety.model import Lot
from safety.quantities import mass, volume
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import WAIT
from safety.serve.screens.recording import kinds
from safety.serve.screens.shown import shown
from safety.words import say

Record = dict[str, Any]

#: What a paper of the log is, and its kind.
_PAPERS = {"pdf": "application/pdf", "csv": "text/csv", "json": "application/json"}
_MONTH = timedelta(days=32)
#: The years there is a page of: before and after these nobody keeps books of solvents.
_FIRST, _LAST = "1950", "2150"


def latest(desk: Desk, asked: Asked) -> Answer:
    """The month that is today."""
    return Answer(to=f"/month/{desk.local(asked.now):%Y-%m}")


def show(desk: Desk, asked: Asked) -> Answer:
    period = known_period(asked.path["period"])
    question = {"ask": "log", "period": period}
    board = desk.answer(question)
    title = say("The books of {period}", period=period)
    if board is None:
        return _worked_out(desk, asked, title, question)
    return shown(
        desk,
        asked,
        "month.html",
        title=board["title"],
        here="month",
        board=board,
        period=period,
        around=_around(period),
        year=period[:4],
    )


def records(desk: Desk, asked: Asked) -> Answer:
    """Every line of the period, as it was written down."""
    period = known_period(asked.path["period"])
    question = {"ask": "log", "period": period}
    board = desk.answer(question)
    title = say("Records of {period}", period=period)
    if board is None:
        return _worked_out(desk, asked, title, question)
    back = (f"/month/{period}", say("Month"))
    return shown(desk, asked, "records.html", title=title, here="month", back=back, records=board["records"])


def paper(desk: Desk, asked: Asked) -> Answer:
    """The log as a file: what the command writes, byte for byte."""
    period, form = known_period(asked.path["period"]), asked.path["form"]
    if form not in _PAPERS:
        raise Refused(404, say("There is no such page here."))
    content = desk.answered({"ask": "log", "period": period, "form": form})["base64"]
    return Answer(base64.b64decode(content), kind=_PAPERS[form], name=f"log-{period}.{form}")


def label(desk: Desk, asked: Asked) -> Answer:
    """The label of a container at the end of a month."""
    period, name = known_period(asked.path["period"]), asked.path["container"]
    if month_of(period) is None:
        raise Refused(404, say("There is no such page here."))
    board = desk.answered({"ask": "log", "period": period})
    if name not in [one["id"] for one in board["containers"]]:
        raise Refused(404, say("There is no such page here."))
    answer = desk.answered({"ask": "label", "container": name, "period": period})
    if not answer["base64"]:
        raise Refused(409, say("Nobody says what must stand on this label."))
    return Answer(base64.b64decode(answer["base64"]), kind="application/pdf", name=f"label-{name}.pdf")


def stock(desk: Desk, asked: Asked) -> Answer:
    """Every lot by what the records say is left of it, the first to run out first."""
    if not has_ledger(desk.shop()):  # one that is there and cannot be read says so
        raise Refused(409, say("There are no records yet, so nothing is known of the stock."))
    with open_ledger(desk.shop(), wait=WAIT) as ledger, view(ledger, desk.shop()) as seen:
        lots = seen.lots()
    today, units = desk.local(asked.now).date(), desk.shop().print_units
    rows = sorted(
        (lot_record(one, today, units) for one in lots), key=lambda row: (row["order"], row["name"], row["lot"])
    )
    return shown(desk, asked, "stock.html", title=say("Stock"), here="stock", lots=rows, kinds=kinds())


def lot_record(one: Lot, today: date, units: str) -> Record:
    """A lot in words: what is left of it, and until when it may be used."""
    left = say("UNKNOWN")
    if not isinstance(one.mass, Unknown):
        left = mass(one.mass, units)
    elif not isinstance(one.volume, Unknown):
        left = volume(one.volume, units)
    over, expires = False, say("no date is set")
    if isinstance(one.expires, Unknown):
        expires = say("UNKNOWN")
    elif one.expires is not None:
        over = one.expires < today
        days = (one.expires - today).days
        expires = one.expires.isoformat()
        expires = say("{day}: over", day=expires) if over else say("{day}: {left} days left", day=expires, left=days)
    return {
        "order": 0 if over else 1,
        "name": one.name,
        "product": one.product,
        "lot": one.lot,
        "left": left,
        "expires": expires,
        "over": over,
        "opened": one.opened.isoformat() if one.opened else "",
    }


def known_period(text: str) -> str:
    if (month_of(text) is None and year_of(text) is None) or not _FIRST <= text[:4] <= _LAST:
        raise Refused(404, say("There is no such page here."))
    return text


def _around(period: str) -> tuple[str, str]:
    """The period before, and the one after."""
    if month_of(period) is None:
        year = int(period)
        return f"{year - 1:04}", f"{year + 1:04}"
    first = date(int(period[:4]), int(period[5:]), 1)
    return f"{first - timedelta(days=1):%Y-%m}", f"{first + _MONTH:%Y-%m}"


def _worked_out(desk: Desk, asked: Asked, title: str, question: Record) -> Answer:
    failed, mistakes = desk.failed(question), desk.mistakes(question)
    values: Record = {"failed": failed, "mistakes": mistakes, "here": "month"}
    return shown(desk, asked, "counting.html", title=title, news="/news", version="", **values)
