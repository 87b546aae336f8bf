"""After a step: how much was used, from which lot; written down once, and taken back where that was a slip."""

from __future__ import annotations

import re
from contextlib import suppress
from dataclasses import dataclass, replace

from safety.ledger.entries import Refused as NotTaken
from safety.ledger.keyed import keyed
from safety.ledger.store import open_ledger
from safety.model import Entry
from safety.problems import Problems
from safety.serve import amounts
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import LATE, WAIT, Live, View, made_before
from safety.serve.screens.shown import shown
from safety.words import say

_NUMBER = re.compile(r"(?=.{1,7}\Z)(?=.*[1-9])\d*\.?\d*", re.ASCII)


@dataclass(frozen=True, slots=True)
class Taken:
    """What a step took of one product: written down by now, or not."""

    run: str
    step: int
    place: int  # among the products of the step
    product: str
    name: str
    tries: int = 0  # how often it was written down
    entry: Entry | None = None  # the line that stands

    @property
    def address(self) -> str:
        return f"/run/{self.run}/amount/{self.step + 1}/{self.place + 1}"

    @property
    def prefix(self) -> str:
        return f"{self.run}.{self.step + 1}.{self.place + 1}."

    @property
    def key(self) -> str:
        """By what its record is known: two tablets cannot write down one use twice."""
        return f"{self.prefix}{self.tries + 1}"


def open_amounts(desk: Desk, live: Live, view: View) -> list[Taken]:
    """What the steps that are over took, and nobody has written down."""
    return still_open(taken(desk, live), view)


def still_open(found: list[Taken], view: View) -> list[Taken]:
    return [one for one in found if one.step < view.state.step and one.entry is None]


def taken(desk: Desk, live: Live) -> list[Taken]:
    """What the steps of a run take, product by product."""
    found = []
    for at, step in enumerate(desk.job(live.job).steps):
        names = {use.product.id: use.product.name for use in step.uses}
        found += [Taken(live.run.key, at, place, id, name) for place, (id, name) in enumerate(names.items())]
    lines: tuple[Entry, ...] = ()
    with suppress(Problems), open_ledger(desk.shop(), wait=WAIT) as ledger:
        lines = keyed(ledger, f"{live.run.key}.")
    return [_with(one, [line for line in lines if line.key.startswith(one.prefix)]) for one in found]


def _with(one: Taken, lines: list[Entry]) -> Taken:
    own = [line for line in lines if not line.reverses]
    standing = next((line for line in own if not line.reversed_by), None)
    return replace(one, tries=len(own), entry=standing)


def asked_for(desk: Desk, asked: Asked) -> tuple[Live, Taken]:
    """What of a run an address is about. Raises Refused."""
    live = desk.runs.find(asked.path["run"])
    here = f"/run/{live.run.key}/amount/{asked.path['step']}/{asked.path['place']}"
    found = next((one for one in taken(desk, live) if one.address == here), None)
    if found is None:
        raise Refused(404, say("There is no such page here."))
    return live, found


def number_of(asked: Asked) -> str:
    """The number that was typed, with a point; "" where it is none, or zero."""
    typed = asked.get("amount").replace(",", ".").strip()
    return typed if _NUMBER.fullmatch(typed) else ""


def planned(desk: Desk, live: Live, one: Taken, asked: Asked) -> amounts.Planned:
    """What the plan has of it, and its lots. Raises Refused and Problems."""
    day = desk.local(asked.now).date()
    with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
        found = amounts.planned(desk.job(live.job), one.step, ledger, day)
    plan = next((plan for plan in found if plan.product == one.product), None)
    if plan is None:
        raise Refused(409, say("The plan has no amount for this. Write it down at the desk."))
    return plan


# ---------------------------------------------------------------- pages


def show(desk: Desk, asked: Asked) -> Answer:
    live, one = asked_for(desk, asked)
    return _page(desk, asked, live, one)


def _page(
    desk: Desk,
    asked: Asked,
    live: Live,
    one: Taken,
    *,
    question: amounts.Question | None = None,
    lot_asked: bool = False,
    notice: str = "",
    status: int = 200,
) -> Answer:
    view = desk.runs.view(live, asked.now)
    todo = [other for other in open_amounts(desk, live, view) if other.address != one.address]
    return shown(
        desk,
        asked,
        "amount.html",
        title=say("How much {product}?", product=one.name),
        status=status,
        news=f"/run/{live.run.key}/news",
        version=view.version,
        back=(f"/run/{live.run.key}", say("Step")),
        job=live.job,
        live=live,
        view=view,
        one=one,
        plan=planned(desk, live, one, asked),
        todo=todo,
        question=question,
        lot_asked=lot_asked,
        notice=notice,
        way=asked.get("way") if asked.get("way") in ("measured", "guessed") else "",
        typed=asked.get("amount"),
        lot=asked.get("lot"),
        lot_sure=asked.get("lot-sure"),
    )


def write(desk: Desk, asked: Asked) -> Answer:
    """Write an amount down; what is far from the plan is asked about once, and then kept as it was said."""
    live, one = asked_for(desk, asked)
    if one.entry is not None and asked.get("key") != one.entry.key:
        notice = say("{who} has written it down already.", who=one.entry.who)
        return _page(desk, asked, live, one, notice=notice, status=409)
    plan = planned(desk, live, one, asked)
    way, lot, typed = asked.get("way"), asked.get("lot"), number_of(asked)
    if lot not in [known.lot for known in plan.lots]:
        return _page(desk, asked, live, one, notice=say("Choose the lot first."), status=400)
    fields = {"lot": lot, "who": asked.session.person, "key": asked.get("key")}
    if fields["key"] not in (one.key, one.entry.key if one.entry else one.key):
        raise Refused(409, say("This was written down already. Open the page again."))
    now = desk.local(asked.now - made_before(asked))
    step = desk.job(live.job).steps[one.step].name
    # what waited on its tablet is kept as it is: nobody may be looking any more, and it would be lost
    late = made_before(asked) >= LATE
    so = say("it waited on its tablet: nobody was asked") if late else say("asked and said to be so")
    doubted = amounts.doubted_lot(plan, lot)
    if doubted and not late and asked.get("lot-sure") != lot:
        return _page(desk, asked, live, one, lot_asked=True)
    if doubted:
        fields |= {"anyway": so}
    try:
        with open_ledger(desk.shop(), create=True, wait=WAIT) as ledger:
            if way == "planned":
                amounts.as_planned(desk.shop(), ledger, plan, now, job=live.job, step=step, **fields)
                return Answer(to=one.address)
            if way not in ("measured", "guessed") or not typed:
                return _page(desk, asked, live, one, notice=say("Write a number first."), status=400)
            amount = f"{typed} {plan.unit}"
            sure = asked.get("sure") == amount  # another amount than that which was asked about is asked about too
            question = None if sure else amounts.question(plan, amount, lot)
            if question is not None and not late:
                return _page(desk, asked, live, one, question=question)
            fields |= {"product": plan.product, "amount": amount, "basis": way, "job": live.job, "step": step}
            if sure or question is not None:
                fields |= {"anyway": so, "note": so}
            amounts.write(desk.shop(), ledger, fields, now)
    except NotTaken as refused:
        return _page(desk, asked, live, one, notice=refused.mistakes[0][1].wrong, status=409)
    return Answer(to=one.address)


def take_back(desk: Desk, asked: Asked) -> Answer:
    """Take an amount back: the line and its reversal both stay."""
    _, one = asked_for(desk, asked)
    if one.entry is not None and asked.get("key") == one.entry.key:
        with open_ledger(desk.shop(), wait=WAIT) as ledger:
            amounts.take_back(ledger, one.entry.key, asked.session.person)
    return Answer(to=one.address)
