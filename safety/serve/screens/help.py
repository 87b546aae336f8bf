"""Help as a page of its own: for a browser without our script, and for a bookmark."""

from __future__ import annotations

import re
from urllib.parse import quote

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.run import Tap
from safety.serve.running import made_before, when
from safety.serve.screens.shown import shown
from safety.words import say

_TIME = re.compile(r"\d\d:\d\d", re.ASCII)


def emergency(desk: Desk, asked: Asked) -> Answer:
    job = asked.get("job")
    known = job if job in desk.ids() else ""
    told = asked.get("told") if _TIME.fullmatch(asked.get("told")) else ""
    return shown(desk, asked, "emergency.html", title=say("Emergency"), job=known, told=told)


def hurt(desk: Desk, asked: Asked) -> Answer:
    """Somebody is hurt: a line of it, at once and without a name, and in each run of the job."""
    job, key = asked.get("job"), asked.get("key")
    known = job if job in desk.ids() else ""
    desk.audit(asked, "hurt", known or say("no job named"))
    at = asked.now - made_before(asked)
    for number, live in enumerate(one for one in desk.runs.all() if known and one.job == known):
        tap = Tap(
            f"{key}-{number}", "hurt", when(live, asked.now, made_before(asked)), asked.now, who=asked.session.person
        )
        desk.runs.tap(live.run.key, tap)
    return Answer(to=f"/emergency?job={quote(known)}&told={desk.local(at):%H:%M}")
