"""Where a finding comes from: its whole derivation, opened in place or as a page of its own."""

from __future__ import annotations

import re

from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.words import say


def why(desk: Desk, asked: Asked) -> Answer:
    """The tree of one finding, as ``hazstep why`` gives it."""
    id, ref = desk.known(asked.path["job"]), asked.path["ref"]
    if not re.fullmatch(r"\d{1,3}\.\d{1,4}", ref, re.ASCII):
        raise Refused(404, say("There is no such page here."))
    desk.job(id)
    tree = desk.answered({"ask": "why", "job": id, "ref": ref})
    title = say("Why: {reference}", reference=ref)
    return shown(desk, asked, "why.html", title=title, job=id, tree=tree, back=(f"/job/{id}", say("Sheet")))
