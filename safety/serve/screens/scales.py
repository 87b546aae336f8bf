"""At the scales: a can weighed out before a step and in after it, and what of a run went into which container."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass

from safety.ledger.corrections import correct
from safety.ledger.drafts import read_draft
from safety.ledger.entries import Refused as NotTaken
from safety.ledger.entries import record
from safety.ledger.keyed import keyed
from safety.ledger.store import Ledger, open_ledger
from safety.model import Entry
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import WAIT, Live, made_before
from safety.serve.screens.shown import shown
from safety.serve.screens.writing import Taken, asked_for, number_of, planned
from safety.words import say

#: What scales of a shop show; there is no unit to choose.
UNIT = "g"


@dataclass(frozen=True, slots=True)
class Lines:
    """What was written down under one beginning of a key."""

    prefix: str
    all: tuple[Entry, ...]

    @property
    def standing(self) -> list[Entry]:
        return [one for one in self.all if not one.reverses and not one.reversed_by]

    @property
    def key(self) -> str:
        """Of the next line: two tablets cannot write down one thing twice."""
        return f"{self.prefix}{sum(not one.reverses for one in self.all) + 1}"


def _lines(ledger: Ledger, prefix: str) -> Lines:
    return Lines(prefix, keyed(ledger, prefix))


def _write(desk: Desk, ledger: Ledger, asked: Asked, kind: str, fields: Mapping[str, str]) -> None:
    """Write one line down. Raises NotTaken."""
    now = desk.local(asked.now - made_before(asked))
    draft = read_draft(kind, {**fields, "who": asked.session.person}, desk.shop(), now)
    if isinstance(draft, list):
        raise NotTaken([(0, mistake) for mistake in draft])
    record(ledger, [draft])


# ---------------------------------------------------------------- a can


def can(desk: Desk, asked: Asked) -> Answer:
    live, one = asked_for(desk, asked)
    return _can(desk, asked, live, one)


def _can(desk: Desk, asked: Asked, live: Live, one: Taken, notice: str = "", status: int = 200) -> Answer:
    if one.entry is not None:
        return Answer(to=one.address)
    with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
        out = _lines(ledger, _out(one)).standing
    return shown(
        desk,
        asked,
        "can.html",
        title=say("Weigh the can: {product}", product=one.name),
        status=status,
        back=(f"/run/{live.run.key}", say("Step")),
        job=live.job,
        live=live,
        one=one,
        out=out[-1] if out else None,
        plan=planned(desk, live, one, asked),
        lot=asked.get("lot"),
        typed=asked.get("amount"),
        unit=UNIT,
        notice=notice,
    )


def _out(one: Taken) -> str:
    return f"{one.run}.out.{one.step + 1}.{one.place + 1}."


def weigh(desk: Desk, asked: Asked) -> Answer:
    """Out: the line waits for the weighing in, and that is the use."""
    live, one = asked_for(desk, asked)
    number, plan = number_of(asked), planned(desk, live, one, asked)
    if one.entry is not None:
        return Answer(to=one.address)
    if asked.get("lot") not in [known.lot for known in plan.lots]:
        return _can(desk, asked, live, one, say("Choose the lot first."), 400)
    if not number:
        return _can(desk, asked, live, one, say("Write a number first."), 400)
    fields = {"product": one.product, "amount": f"{number} {UNIT}", "lot": asked.get("lot")}
    fields |= {"job": live.job, "step": desk.job(live.job).steps[one.step].name}
    try:
        with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
            out = _lines(ledger, _out(one))
            if not out.standing:
                _write(desk, ledger, asked, "weigh", {**fields, "way": "out", "key": out.key})
            elif asked.get("way") == "in":
                _write(desk, ledger, asked, "weigh", {**fields, "way": "in", "key": one.key})
    except NotTaken as refused:
        return _can(desk, asked, live, one, refused.mistakes[0][1].wrong, 409)
    return Answer(to=one.address if asked.get("way") == "in" else f"/run/{live.run.key}")


# ---------------------------------------------------------------- waste


def waste(desk: Desk, asked: Asked) -> Answer:
    return _waste(desk, asked, desk.runs.find(asked.path["run"]))


def _waste(desk: Desk, asked: Asked, live: Live, notice: str = "", status: int = 200) -> Answer:
    with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
        lines = _lines(ledger, f"{live.run.key}.waste.")
    return shown(
        desk,
        asked,
        "waste.html",
        title=say("Into which container?"),
        status=status,
        back=(f"/run/{live.run.key}", say("Step")),
        job=live.job,
        live=live,
        containers=desk.shop().containers,
        chosen=asked.get("container"),
        typed=asked.get("amount"),
        unit=UNIT,
        key=lines.key,
        lines=lines.standing,
        notice=notice,
    )


def throw(desk: Desk, asked: Asked) -> Answer:
    """Write down what went into a container; the same page sent twice counts once."""
    live, number = desk.runs.find(asked.path["run"]), number_of(asked)
    prefix, key, basis = f"{live.run.key}.waste.", asked.get("key"), asked.get("basis")
    if not re.fullmatch(re.escape(prefix) + r"\d{1,4}", key) or basis not in ("weighed", "guessed"):
        raise Refused(400, say("This tap cannot be read."))
    if asked.get("container") not in [one.id for one in desk.shop().containers]:
        return _waste(desk, asked, live, say("Choose the container first."), 400)
    if not number:
        return _waste(desk, asked, live, say("Write a number first."), 400)
    fields = {"container": asked.get("container"), "amount": f"{number} {UNIT}", "basis": basis, "way": "job"}
    try:
        with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
            _write(desk, ledger, asked, "waste", {**fields, "job": live.job, "key": key})
    except NotTaken as refused:
        return _waste(desk, asked, live, refused.mistakes[0][1].wrong, 409)
    return Answer(to=f"/run/{live.run.key}/waste")


def take_back(desk: Desk, asked: Asked) -> Answer:
    """Take a line of waste back: it and its reversal both stay."""
    live = desk.runs.find(asked.path["run"])
    with open_ledger(desk.shop(), wait=WAIT) as ledger:
        if asked.get("key") in [one.key for one in _lines(ledger, f"{live.run.key}.waste.").standing]:
            correct(ledger, asked.get("key"), None, asked.session.person, say("taken back on the page"))
    return Answer(to=f"/run/{live.run.key}/waste")
