"""What of a run an officer has to look at: what it asked for by its real times, and what was not as planned.

A run that was closed is looked at too, for some days: a step that is over may have asked for more than anybody wore.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from safety.ledger.keyed import keyed
from safety.ledger.store import has_ledger, open_ledger
from safety.model import Job
from safety.serve import amounts
from safety.serve.asked import Asked
from safety.serve.desk import Desk
from safety.serve.live import standing
from safety.serve.run import EARLY, Window
from safety.serve.running import WAIT, Live, View
from safety.serve.screens.steps import step_named, topic_named
from safety.words import say

#: For so many days what happened in a run that is closed waits for somebody to look at it (our choice, no source).
LATELY = 7


@dataclass(frozen=True, slots=True)
class Row:
    """One thing that waits."""

    word: str
    text: str
    address: str
    mark: str = ""  # whose shape stands before it; "" = none


def of_runs(desk: Desk, asked: Asked) -> Iterator[Row]:
    """Of every run that goes on, or was closed lately."""
    closed = desk.runs.lately_closed(asked.now - LATELY * 24 * 3600.0)
    for live in (*desk.runs.all(), *closed):
        yield from _of_run(desk, asked, live)


def being_worked_out(title: str, failed: bool, address: str) -> Row:
    """A job whose sheet is not there yet: until it is, nobody knows whether it waits for an officer."""
    why = say("This sheet cannot be worked out. Ask the lead.") if failed else say("This sheet is being worked out.")
    return Row(say("UNKNOWN"), say("{job}: {why}", job=title, why=why), address, "UNKNOWN")


def _of_run(desk: Desk, asked: Asked, live: Live) -> Iterator[Row]:
    address, title = f"/run/{live.run.key}", live.run.title
    if live.run.anyway:
        yield Row(say("STARTED ANYWAY"), say("{job}: {why}", job=title, why=live.run.anyway), address)
    if desk.once(live.question) is None:
        yield being_worked_out(title, desk.failed(live.question), address)
        return
    view = desk.runs.view(live, asked.now)
    if view.failed:
        yield being_worked_out(title, True, address)
    for one in view.ruling.stricter:
        about = {"job": title, "step": step_named(view, one.step), "topic": topic_named(one.topic)}
        yield Row(say("STRICTER"), say("{job}, {step}: {topic}", **about), address, "Control")
    for window in view.state.windows:
        if window.stands in ("closed", "lost", "missed"):
            yield Row(say("WINDOW MISSED"), _window(view, window), address, "Control")
    for tap in standing(live.taps):
        if tap.kind == "begin" and tap.value in EARLY:
            told = say("{job}, {step}: before its time, {who}", job=title, step=step_named(view, tap.step), who=tap.who)
            yield Row(say("STARTED EARLY"), told, address)
    yield from _amounts(desk, live, address)


def _window(view: View, window: Window) -> str:
    step = step_named(view, window.planned.step)
    return say("{job}, {step}: the next step did not begin in time", job=view.live.run.title, step=step)


def _amounts(desk: Desk, live: Live, address: str) -> Iterator[Row]:
    """What was written down that is far from the plan, or against what spoke against it."""
    shop = desk.shop()
    if not has_ledger(shop):
        return  # one that is there and cannot be read says so
    with open_ledger(shop, wait=WAIT) as ledger:
        lines = [one for one in keyed(ledger, f"{live.run.key}.") if one.kind == "use"]
    own = [one for one in lines if not one.reverses and not one.reversed_by]
    job = desk.card(live.job).job if own and live.job in desk.ids() else None
    plans = {} if job is None else _plans(job, live)
    for one in own:
        plan, about = plans.get((one.step, one.product)), {"job": live.run.title, "product": one.name}
        if plan and amounts.far_from_plan(plan, one):
            words = say("{job}, {product}: {amount}, planned {planned}", **about, amount=one.typed, planned=plan.text)
            yield Row(say("AMOUNT"), words, address)
        if one.against:
            words = say("{job}, {product}: {against}", **about, against=one.against)
            yield Row(say("AGAINST A WARNING"), words, address, "Control")


def _plans(job: Job, live: Live) -> dict[tuple[str, str], amounts.Planned]:
    """What each step is planned to take of each product, by their names."""
    day = live.start.date()
    several = [(step.name, amounts.planned(job, at, None, day)) for at, step in enumerate(job.steps)]
    return {(step, plan.product): plan for step, plans in several for plan in plans}
