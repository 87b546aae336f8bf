"""The sheet of a job, on a screen and as the paper it is."""

from __future__ import annotations

import base64

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.serve.screens.states import states
from safety.words import say


def sheet(desk: Desk, asked: Asked) -> Answer:
    id = desk.known(asked.path["job"])
    job = desk.job(id)
    question = {"ask": "sheet", "job": id}
    answer = desk.answer(question)
    if answer is None:
        failed = desk.failed(question)
        return shown(desk, asked, "working.html", title=job.title, news="/news", version="", job=id, failed=failed)
    page, findings = answer["page"], answer["findings"]
    values = {"page": page, "states": states(page), "of": job, "findings": findings}
    return shown(desk, asked, "sheet.html", title=job.title, job=id, **values)


def paper(desk: Desk, asked: Asked) -> Answer:
    id = desk.known(asked.path["job"])
    desk.job(id)
    content = base64.b64decode(desk.answered({"ask": "pdf", "job": id})["base64"])
    return Answer(content, kind="application/pdf", name=say("{job}.pdf", job=id))
