"""What if: a job beside itself with other keys in its files, and the least change that helps."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any
from urllib.parse import urlencode

from safety.compare.changes import read_alternatives
from safety.model import Job
from safety.problems import Problems
from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.engine import Cancelled, Mistaken, NoAnswer
from safety.serve.screens.files import filled_in
from safety.serve.screens.news import page_version
from safety.serve.screens.shown import shown
from safety.words import message, say, spoken, term

Record = dict[str, Any]

#: How many changes stand beside the plan.
_MOST = 3
#: What can be changed in a step without knowing its key.
_LEVERS = {
    "duration": (message("How long it takes"), "step.{step}.duration"),
    "amount": (message("How much is used"), "step.{step}.use.1.amount"),
    "product": (message("With which product"), "step.{step}.use.1.product"),
    "people": (message("Where people are: near or far"), "step.{step}.people"),
}


def show(desk: Desk, asked: Asked) -> Answer:
    """The columns of the changes that the address names; one that was picked joins them."""
    id = desk.known(asked.path["job"])
    job = desk.job(id)
    changes = [text for at in range(1, _MOST + 1) if (text := asked.get(f"c{at}").strip())]
    picked = [*_picked(asked)]
    if picked:
        kept = [*changes, *picked][:_MOST]
        query = urlencode({f"c{at}": text for at, text in enumerate(kept, 1)})
        return Answer(to=f"/job/{id}/what-if?{query}")
    question: Record = {"ask": "compare", "job": id, "changes": changes}
    answer = desk.answer(question) if changes else None
    failed = bool(changes) and answer is None and desk.failed(question)
    waits = bool(changes) and answer is None and not failed
    return shown(
        desk,
        asked,
        "whatif.html",
        title=say("What if: {job}", job=job.title),
        job=id,
        news=f"/job/{id}/least/news" if waits else "",
        version="",
        back=(f"/job/{id}", say("Sheet")),
        here="whatif",
        of=job,
        changes=[(text, _forms(desk, job, text)) for text in changes],
        full=len(changes) >= _MOST,
        table=answer and answer["table"],
        waits=waits,
        failed=failed,
        mistakes=desk.mistakes(question) if changes else (),
        levers=[(name, term(words)) for name, (words, _) in _LEVERS.items()],
        states=_states(job),
    )


def _picked(asked: Asked) -> Iterator[str]:
    """The change that was picked, as the command line would be given it."""
    if air := asked.get("air"):
        yield f"job.air={air}"
    what, step, value = asked.get("what"), asked.get("step"), asked.get("value").strip()
    if what in _LEVERS and step.isdecimal() and value:
        yield f"{_LEVERS[what][1].format(step=step)}={value}"
    if own := asked.get("own").strip():
        yield own


def _forms(desk: Desk, job: Job, change: str) -> list[str]:
    """The forms that make a change the plan; none where it cannot be read."""
    try:
        (one,) = read_alternatives([change], desk.folder / "jobs" / f"{job.id}.toml", job)
    except (Problems, OSError):
        return []
    return list(filled_in(desk, one.changes))


def _states(job: Job) -> list[str]:
    return [one.state for one in job.place.airs]


# ---------------------------------------------------------------- the least change


def least(desk: Desk, asked: Asked) -> Answer:
    """What was found, how far the search is, or the button that begins it."""
    id = desk.known(asked.path["job"])
    job, question, key = desk.job(id), _question(id), (id, spoken())
    found = desk.engine.kept(question, spoken())
    work = desk.works.get(key)
    failed = False
    if found is None and work is not None and work.done:
        try:
            found = work.answer(0)
        except Cancelled:
            desk.works.pop(key, None)
            work = None
        except (Mistaken, NoAnswer):
            failed, work = True, None
    running = found is None and work is not None
    return shown(
        desk,
        asked,
        "least.html",
        title=say("The least change: {job}", job=job.title),
        job=id,
        news=f"/job/{id}/least/news" if running else "",
        version=_version(desk, id),
        back=(f"/job/{id}/what-if", say("What if")),
        here="whatif",
        proposals=None if found is None else _grouped(found["proposals"]),
        running=running,
        share=work.share if work else 0.0,
        failed=failed,
    )


def begin(desk: Desk, asked: Asked) -> Answer:
    """Have it looked for, in a process of its own with the lowest priority; once, however often it is asked for."""
    id = desk.known(asked.path["job"])
    desk.job(id)
    key = id, spoken()
    work = desk.works.get(key)
    if work is None or work.done:
        desk.works[key] = desk.engine.begin(_question(id), spoken())
    return Answer(to=f"/job/{id}/least")


def cancel(desk: Desk, asked: Asked) -> Answer:
    """Stop it now, and the process with it."""
    id = desk.known(asked.path["job"])
    work = desk.works.pop((id, spoken()), None)
    if work is not None:
        work.cancel()
    return Answer(to=f"/job/{id}/least")


def news(desk: Desk, asked: Asked) -> Answer:
    return page_version(asked, _version(desk, desk.known(asked.path["job"])))


def _question(id: str) -> Record:
    return {"ask": "propose", "job": id}


def _version(desk: Desk, id: str) -> str:
    """What changes as the search goes on."""
    work = desk.works.get((id, spoken()))
    return f"{work.share:.2f} {work.done}" if work else "none"


def _grouped(proposals: list[Record]) -> list[Record]:
    """By what is to go: what would do it, and what alone would not."""
    found: dict[tuple[str, str], Record] = {}
    for one in proposals:
        own = found.setdefault((one["step"], one["key"]), {**one, "does": [], "not": []})
        own["does" if one["helps"] else "not"].append(one)
    return list(found.values())
