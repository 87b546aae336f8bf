"""A page with what every page has: who it is, help, and what the script must know."""

from __future__ import annotations

from typing import Any

from safety.serve.asked import Answer, Asked
from safety.serve.desk import Desk
from safety.serve.screens.helping import helping
from safety.serve.templates import page
from safety.words import say


def shown(
    desk: Desk,
    asked: Asked,
    template: str,
    *,
    title: str,
    status: int = 200,
    news: str = "",
    version: str = "",
    back: tuple[str, str] | None = None,
    job: str = "",
    **values: Any,
) -> Answer:
    """A page from its template. ``news`` is where its script asks whether ``version`` is still so."""
    body = page(
        template,
        title=title,
        asked=asked,
        token=asked.session.token,
        now=asked.now,
        clock=desk.local(asked.now),
        news=news,
        version=version,
        back=back or ("/", say("Today")),
        help=helping(desk, job),
        job_id=job,
        **values,
    )
    return Answer(body, status)
