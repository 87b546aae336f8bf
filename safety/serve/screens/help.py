"""Help as a page of its own: for a browser without our script, and for a bookmark."""

from __future__ import annotations

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.screens.shown import shown
from safety.words import say


def emergency(desk: Desk, asked: Asked) -> Answer:
    job = asked.get("job")
    known = job if job in desk.ids() else ""
    return shown(desk, asked, "emergency.html", title=say("Emergency"), job=known)
