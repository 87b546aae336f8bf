"""The pages: every address, who may ask for it and what answers. What is not in this table is not there."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from safety.serve.asked import Answer, Asked, Role
from safety.serve.desk import Desk
from safety.serve.screens import (
    before,
    coded,
    done,
    drafts,
    files,
    help,
    jobs,
    month,
    news,
    passphrase,
    reasons,
    recording,
    review,
    scales,
    steps,
    tablets,
    today,
    whatif,
    who,
    writing,
)

Handler = Callable[[Desk, Asked], Answer]


@dataclass(frozen=True, slots=True)
class Way:
    """One address: GET shows and changes nothing, POST changes."""

    method: Literal["GET", "POST"]
    path: str
    role: Role
    handler: Handler
    polled: bool = False  # asked for by the script again and again: that does not keep an office open


ROUTES: tuple[Way, ...] = (
    Way("GET", "/static/{build}/{name}", "stranger", news.file, polled=True),
    Way("GET", "/worker.js", "stranger", news.keeper, polled=True),
    Way("GET", "/enter", "stranger", tablets.door),
    Way("POST", "/enter", "stranger", tablets.enter),
    Way("GET", "/authority.crt", "stranger", tablets.authority),
    Way("GET", "/tablets", "desk", tablets.show),
    Way("POST", "/tablets", "desk", tablets.add),
    Way("POST", "/tablets/remove", "desk", tablets.remove),
    Way("GET", "/emergency", "anyone", help.emergency),
    Way("POST", "/hurt", "anyone", help.hurt),
    Way("GET", "/news", "anyone", today.news, polled=True),
    Way("GET", "/who", "anyone", who.show),
    Way("POST", "/who", "anyone", who.named),
    Way("POST", "/who/nobody", "anyone", who.nobody),
    Way("GET", "/passphrase", "named", passphrase.show),
    Way("POST", "/passphrase", "named", passphrase.give),
    Way("POST", "/passphrase/new", "named", passphrase.change),
    Way("POST", "/language", "anyone", who.spoken_to),
    Way("GET", "/", "named", today.show),
    Way("GET", "/c", "named", coded.typed),
    Way("GET", "/c/{code}", "named", coded.show),
    Way("GET", "/C/{code}", "named", coded.show),  # as it stands on paper: capitals take less room
    Way("GET", "/job/{job}", "named", jobs.sheet),
    Way("GET", "/job/{job}/pdf", "named", jobs.paper),
    Way("GET", "/job/{job}/before", "named", before.air),
    Way("POST", "/job/{job}/start", "named", before.start),
    Way("GET", "/run/{run}", "named", steps.show),
    Way("GET", "/run/{run}/news", "named", steps.of_run, polled=True),
    Way("POST", "/run/{run}/tap", "named", steps.tap),
    Way("GET", "/run/{run}/doors", "named", steps.doors),
    Way("GET", "/run/{run}/amount/{step}/{place}", "named", writing.show),
    Way("POST", "/run/{run}/amount/{step}/{place}", "named", writing.write),
    Way("POST", "/run/{run}/amount/{step}/{place}/back", "named", writing.take_back),
    Way("GET", "/run/{run}/weigh/{step}/{place}", "named", scales.can),
    Way("POST", "/run/{run}/weigh/{step}/{place}", "named", scales.weigh),
    Way("GET", "/run/{run}/waste", "named", scales.waste),
    Way("POST", "/run/{run}/waste", "named", scales.throw),
    Way("POST", "/run/{run}/waste/back", "named", scales.take_back),
    Way("GET", "/run/{run}/done", "named", done.show),
    Way("GET", "/job/{job}/why/{ref}", "desk", reasons.why),
    Way("GET", "/job/{job}/what-if", "officer", whatif.show),
    Way("GET", "/job/{job}/least", "officer", whatif.least),
    Way("POST", "/job/{job}/least", "officer", whatif.begin),
    Way("POST", "/job/{job}/least/cancel", "officer", whatif.cancel),
    Way("GET", "/job/{job}/least/news", "officer", whatif.news, polled=True),
    Way("GET", "/review", "desk", review.show),
    Way("GET", "/frozen/{id}", "desk", review.kept),
    Way("GET", "/frozen/{id}/pdf", "desk", review.paper),
    Way("POST", "/frozen/{id}/sign", "desk", review.signed),
    Way("POST", "/job/{job}/keep", "officer", review.keep),
    Way("POST", "/month/{period}/keep", "desk", review.keep_log),
    Way("GET", "/files", "desk", files.show),
    Way("GET", "/files/{kind}/{name}", "desk", files.tables),
    Way("POST", "/files/{kind}/{name}/copy", "officer", files.copy),
    Way("GET", "/files/{kind}/{name}/{at}", "desk", files.table),
    Way("POST", "/files/{kind}/{name}/{at}", "desk", files.change),
    Way("POST", "/files/{kind}/{name}/{at}/out", "desk", files.take_out),
    Way("GET", "/draft/{product}", "officer", drafts.show),
    Way("GET", "/draft/{product}/page/{number}", "officer", drafts.picture),
    Way("POST", "/draft/{product}", "officer", drafts.confirm),
    Way("GET", "/month", "desk", month.latest),
    Way("GET", "/month/{period}", "desk", month.show),
    Way("GET", "/month/{period}/records", "desk", month.records),
    Way("GET", "/month/{period}/log.{form}", "desk", month.paper),
    Way("GET", "/month/{period}/label/{container}", "desk", month.label),
    Way("GET", "/stock", "desk", month.stock),
    Way("GET", "/record/{kind}", "desk", recording.show),
    Way("POST", "/record/{kind}", "desk", recording.write),
    Way("GET", "/correct/{key}", "desk", recording.to_correct),
    Way("POST", "/correct/{key}", "desk", recording.corrected),
)
