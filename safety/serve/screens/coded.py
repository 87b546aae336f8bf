"""What a code on paper stands for: the step, lot or container is opened for whoever has said who it is."""

from __future__ import annotations

from collections.abc import Iterator
from urllib.parse import quote

from safety.ledger.store import has_ledger, open_ledger
from safety.ledger.view import view
from safety.paper_codes import letters, plain
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import WAIT
from safety.serve.screens.month import lot_record
from safety.serve.screens.shown import shown
from safety.words import say


def typed(desk: Desk, asked: Asked) -> Answer:
    """A code that somebody types, for whom no camera read it."""
    return Answer(to=f"/c/{plain(asked.get('code')) or '0'}")


def show(desk: Desk, asked: Asked) -> Answer:
    """Open what a code stands for. What nothing has the code of is not known, whatever stood there once."""
    code = plain(asked.path["code"])
    if code:
        for found in (_step(desk, asked, code), _container(desk, asked, code), _lot(desk, asked, code)):
            if found is not None:
                return found
    raise Refused(404, say("This code is of nothing this shop knows now. What it stood for was changed, or is gone."))


def _step(desk: Desk, asked: Asked, code: str) -> Answer | None:
    """Where the step is being done now, that; else the step as the sheet of its job has it."""
    for id, name, at in _steps(desk):  # by the name in the file: paper may be in another language than the screen
        if letters("step", id, name) == code:
            for live in desk.runs.all():
                if live.job == id and desk.once(live.question) and desk.runs.view(live, asked.now).state.step == at:
                    return Answer(to=f"/run/{live.run.key}")
            return Answer(to=f"/job/{quote(id)}#step-{at + 1}")
    return None


def _steps(desk: Desk) -> Iterator[tuple[str, str, int]]:
    for id in desk.ids():
        job = desk.card(id).job
        for at, step in enumerate(job.steps if job else ()):
            yield id, step.typed, at


def _container(desk: Desk, asked: Asked, code: str) -> Answer | None:
    one = next((one for one in desk.shop().containers if letters("container", one.id) == code), None)
    if one is None:
        return None
    rows = ((say("Container"), one.id), (say("What goes in"), one.stream))
    ways = [
        (f"/run/{live.run.key}/waste?container={quote(one.id)}", say("Write down waste of: {job}", job=live.run.title))
        for live in desk.runs.all()
    ]
    if asked.may("desk"):
        ways.append(("/month", say("Month")))
    return shown(desk, asked, "coded.html", title=say("Container {id}", id=one.id), rows=rows, ways=ways, over=False)


def _lot(desk: Desk, asked: Asked, code: str) -> Answer | None:
    if not has_ledger(desk.shop()):
        return None
    with open_ledger(desk.shop(), wait=WAIT) as ledger, view(ledger, desk.shop()) as seen:
        one = next((one for one in seen.lots() if letters("lot", one.product, one.lot) == code), None)
    if one is None:
        return None
    told = lot_record(one, desk.local(asked.now).date(), desk.shop().print_units)
    rows = (
        (say("Product"), told["name"] or told["product"]),
        (say("Lot"), told["lot"]),
        (say("Left, by the records"), told["left"]),
        (say("Expires"), told["expires"]),
        (say("Opened"), told["opened"] or say("not by the records")),
    )
    ways = [("/stock", say("Stock"))] if asked.may("desk") else []
    title = say("Lot {lot}", lot=one.lot)
    return shown(desk, asked, "coded.html", title=title, rows=rows, ways=ways, over=told["over"])
