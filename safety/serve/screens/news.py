"""What the script asks in passing: whether a page is still so; and our own files."""

from __future__ import annotations

import json

from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.templates import FILES, worker
from safety.words import say


def file(desk: Desk, asked: Asked) -> Answer:
    """One of our own files by its name. The build in the address only makes a browser ask again after a change."""
    found = FILES.get(asked.path["name"])
    if found is None:
        raise Refused(404, say("There is no such page here."))
    path, kind = found
    return Answer(path.read_bytes(), kind=kind, lasting=True)


def keeper(desk: Desk, asked: Asked) -> Answer:
    """The script that keeps pages on the tablet: at the root, for it may keep only what lies under its own address."""
    return Answer(worker(), kind="text/javascript")


def page_version(asked: Asked, version: str) -> Answer:
    """The time and the version of a page."""
    return Answer(json.dumps({"now": asked.now, "version": version}), kind="application/json")
