"""Before start: is the job that was judged the one about to be done?"""

from __future__ import annotations

import json
import secrets

from safety.ledger.runs import Run
from safety.model import Job
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.running import sheet_at
from safety.serve.screens.shown import shown
from safety.serve.screens.states import states
from safety.words import say

#: The most letters of a reason.
_LONGEST = 200


def air(desk: Desk, asked: Asked) -> Answer:
    """How the doors are: none is chosen beforehand."""
    id = desk.known(asked.path["job"])
    job = desk.job(id)
    back = (f"/job/{id}", say("Sheet"))
    chosen = asked.get("air")
    if chosen not in [state.state for state in job.place.airs]:
        airs = [state.state for state in job.place.airs]
        return shown(desk, asked, "air.html", title=say("How are the doors?"), back=back, job=id, airs=airs, of=job)
    question = _question(id, job, chosen)
    answer = desk.answer(question)
    if answer is None:
        failed = desk.failed(question)
        return shown(desk, asked, "working.html", title=job.title, news="/news", back=back, job=id, failed=failed)
    found = states(answer["page"])
    return shown(
        desk,
        asked,
        "before.html",
        title=say("Before start"),
        back=back,
        job=id,
        of=job,
        air=chosen,
        page=answer["page"],
        states=found,
        ticks=ticks(job),
        key=f"r-{secrets.token_hex(8)}",
        people=desk.people(),
    )


def _question(id: str, job: Job, chosen: str) -> dict[str, object]:
    """The sheet as planned where the doors are as planned; else that of these doors."""
    planned = all(step.air.state == chosen for step in job.steps if step.place == job.place)
    return {"ask": "sheet", "job": id, **({} if planned else {"air": chosen})}


def ticks(job: Job) -> tuple[str, ...]:
    """What the sheet rests on, one line each: only what holds for this job."""
    sources = [*job.place.ignition_sources, *(one for step in job.steps for one in step.ignition_sources)]
    found = [say("These are off: {things}", things=", ".join(dict.fromkeys(sources)))] if sources else []
    if any(step.structure_holds for step in job.steps):
        found.append(say("What the structure holds is as the sheet has it."))
    found.append(say("Gloves, mask and goggles of the sheet are here."))
    found.append(say("The products are here, and in date."))
    found.append(say("{count} people do this job.", count=job.crew))
    return tuple(found)


def start(desk: Desk, asked: Asked) -> Answer:
    """Begin the run, now: never with a stop, nor with something unknown, nor with a tick that is missing."""
    id = desk.known(asked.path["job"])
    job = desk.job(id)
    key, chosen = asked.get("key"), asked.get("air")
    if any(live.run.key == key for live in desk.runs.all()):
        return Answer(to=f"/run/{key}")  # sent twice
    if chosen not in [state.state for state in job.place.airs] or not key.startswith("r-") or not 10 <= len(key) <= 40:
        raise Refused(400, say("Say first how the doors are."))
    missing = [text for number, text in enumerate(ticks(job)) if not asked.get(f"tick-{number}")]
    if missing:
        raise Refused(409, say("Tick every line first: {line}", line=missing[0]))
    now = desk.local(asked.now)
    question = sheet_at(id, now, chosen)
    answer = desk.answered(question)
    found = states(answer["page"])
    if "STOP" in found:
        raise Refused(409, say("STOP - do not start. Ask the safety officer."))
    anyway = " ".join(asked.get("anyway").split())
    if "UNKNOWN" in found and not (anyway and asked.may("officer")):
        raise Refused(409, say("Not all is known. Ask the safety officer."))
    reason = say("{who}: {reason}", who=asked.session.person, reason=anyway[:_LONGEST])
    anyway = reason if "UNKNOWN" in found else ""
    crew = [name for number, name in enumerate(desk.people()) if asked.get(f"crew-{number}") == name]
    checks = json.dumps({"air": chosen, "ticks": list(map(str, ticks(job))), "crew": crew}, ensure_ascii=False)
    kept = desk.answered({**question, "ask": "freeze"})["id"]
    run = Run(key, id, job.title, job.unit, kept, now.replace(microsecond=0), asked.session.person, checks, anyway)
    desk.runs.begin(run)
    if anyway:
        desk.audit(asked, "started anyway", key, after=anyway)
    return Answer(to=f"/run/{key}")
