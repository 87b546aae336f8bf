"""The pages: every address, who may ask for it and what answers. What is not in this table is not there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from safety.serve.asked import Answer, Asked, Role
from safety.serve.desk import Desk
from safety.serve.screens import help, jobs, news, today, who

Handler = Callable[[Desk, Asked], Answer]


@dataclass(frozen=True, slots=True)
class Way:
    """One address: GET shows and changes nothing, POST changes."""

    method: Literal["GET", "POST"]
    path: str
    role: Role
    handler: Handler


ROUTES: tuple[Way, ...] = (
    Way("GET", "/static/{build}/{name}", "anyone", news.file),
    Way("GET", "/emergency", "anyone", help.emergency),
    Way("GET", "/news", "anyone", today.news),
    Way("GET", "/who", "anyone", who.show),
    Way("POST", "/who", "anyone", who.named),
    Way("POST", "/language", "anyone", who.spoken_to),
    Way("GET", "/", "named", today.show),
    Way("GET", "/job/{job}", "named", jobs.sheet),
    Way("GET", "/job/{job}/pdf", "named", jobs.paper),
)
