"""The application: one table of its pages, and what is looked at before any of them is asked."""

from __future__ import annotations

import secrets
from collections.abc import Awaitable, Callable, Sequence
from contextlib import suppress
from dataclasses import replace
from functools import partial

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import UploadFile
from starlette.formparsers import MultiPartException
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route, Router
from starlette.types import Receive, Scope, Send

from safety.paper_codes import plain
from safety.problems import Problems
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.door import Door
from safety.serve.guards import LARGEST, Guarded
from safety.serve.screens import ROUTES, Way, tablets
from safety.serve.screens.shown import shown
from safety.serve.sessions import COOKIE as SESSION
from safety.serve.sessions import HOLDS
from safety.serve.tablets import COOKIE as TABLET
from safety.serve.tablets import HOLDS as TABLET_HOLDS
from safety.words import say, speaking, speech

#: How many fields one form may have: a draft has one for each value that was read.
_FIELDS = 1000


def application(desk: Desk, door: Door) -> Guarded:
    """The pages of a shop behind their door."""
    routes = [Route(way.path, _endpoint(desk, door, way), methods=[way.method]) for way in ROUTES]

    async def missing(scope: Scope, receive: Receive, send: Send) -> None:
        request = Request(scope)

        def answered() -> Response:
            return _sent(door, *_missing(desk, _asked(desk, door, request, {})))

        await (await run_in_threadpool(answered))(scope, receive, send)

    # the bare router: what goes wrong inside is the guards' to answer
    return Guarded(Router(routes, default=missing, redirect_slashes=False), door.hosts)


def _endpoint(desk: Desk, door: Door, way: Way) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        posted = way.method == "POST"
        form = await _form(request) if posted else dict(request.query_params)

        def answered() -> Response:
            asked = _asked(desk, door, request, form)
            # both: an origin is told by the browser, a token is known to pages of this session alone
            ours = f"{door.scheme}://{request.headers['host']}"
            genuine = request.headers.get("origin") == ours and asked.session.holds(form.get("token", ""))
            return _sent(door, *_answered(desk, way, asked, genuine or not posted))

        return await run_in_threadpool(answered)

    return endpoint


def _asked(desk: Desk, door: Door, request: Request, form: dict[str, str]) -> Asked:
    """A question with who asks it, and from which browser."""
    now, address = desk.now(), request.client.host if request.client else ""
    session = desk.sessions.of(request.cookies.get(door.cookie(SESSION)), now)
    secret = request.cookies.get(door.cookie(TABLET), "")
    known = secret if 20 <= len(secret) <= 64 else secrets.token_urlsafe(24)
    return tablets.known(desk, Asked(session, now, request.path_params, form, address=address), known)


async def _form(request: Request) -> dict[str, str]:
    """What was filled in; nothing where it is no form of ours."""
    try:
        # how much is read is for the guard alone to say: a smaller bound here would empty the form in silence
        async with request.form(max_files=0, max_fields=_FIELDS, max_part_size=LARGEST) as sent:
            return {name: value for name, value in sent.items() if not isinstance(value, UploadFile)}
    except MultiPartException:
        return {}


def _answered(desk: Desk, way: Way, asked: Asked, genuine: bool) -> tuple[Answer, Asked]:
    """The answer of a page's handler, in the language of the browser; what it refuses, in words."""
    with speaking(speech(asked.session.language)):
        if not genuine:
            words = say("This did not come from a page of this shop. Open the page again.")
            return _refusal(desk, asked, 403, words), asked
        if way.role != "stranger" and desk.strange(asked):
            return tablets.stranger(desk, asked), asked
        if not asked.session.person and not asked.may(way.role):
            code = plain(asked.path.get("code", ""))  # on paper: who it is comes first, and then what it opens
            return Answer(to=f"/who?code={code}" if code else "/who"), asked
        if not way.polled:
            asked = replace(asked, session=desk.sessions.used(asked.session, asked.now))
        asked = replace(asked, roles=desk.who.may(asked.session))
        if not asked.may(way.role):
            return _not_allowed(desk, way, asked), asked
        try:
            answer = way.handler(desk, asked)
        except Refused as refused:
            answer = _refusal(desk, asked, refused.status, refused.words)
        except Problems as mistakes:
            words = say("The files of the shop cannot be read. Tell the lead.")
            answer = _refusal(desk, asked, 503, words, [desk.shown(one) for one in mistakes.problems])
        if answer.session:
            desk.sessions.keep(answer.session)
        return answer, asked


def _not_allowed(desk: Desk, way: Way, asked: Asked) -> Answer:
    """Somebody asked for what is another's: who may give the passphrase is asked for it, the rest is written down."""
    could = replace(asked, roles=desk.who.could(asked.session))
    if could.may(way.role) and way.method == "GET":
        return Answer(to="/passphrase")
    with suppress(Problems):  # it is refused, written down or not
        desk.audit(asked, "refused", way.path)
    if could.may(way.role):
        return _refusal(desk, asked, 403, say("Give your passphrase first."))
    words = say("This is not yours to do here. Ask the safety officer or the office.")
    return _refusal(desk, asked, 403, words)


def _missing(desk: Desk, asked: Asked) -> tuple[Answer, Asked]:
    with speaking(speech(asked.session.language)):
        if desk.strange(asked):
            return tablets.stranger(desk, asked), asked
        return shown(desk, asked, "refused.html", title=say("There is no such page here."), status=404, more=()), asked


def _refusal(desk: Desk, asked: Asked, status: int, words: str, more: Sequence[str] = ()) -> Answer:
    if desk.strange(asked):  # who is shown no page of the shop, and no help that names its places
        return Answer(f"{words}\n", status, kind="text/plain")
    return shown(desk, asked, "refused.html", title=words, status=status, more=more)


def _sent(door: Door, answer: Answer, asked: Asked) -> Response:
    """An answer as it is sent; a new session comes with its cookie, and so does a browser that was not known."""
    if answer.to:
        response: Response = RedirectResponse(answer.to, 303)
    else:
        kind = f"{answer.kind}; charset=utf-8" if answer.kind.startswith("text/") else answer.kind
        response = Response(answer.body, answer.status, media_type=kind)
    if answer.lasting:
        response.headers["cache-control"] = "max-age=31536000, immutable"
    if answer.name:
        response.headers["content-disposition"] = f'inline; filename="{answer.name}"'
    keep = answer.session or (asked.session if asked.session.fresh else None)
    cookies = [(SESSION, keep.secret, HOLDS)] if keep else []
    cookies += [(TABLET, answer.tablet, TABLET_HOLDS)] if answer.tablet else []
    for name, secret, holds in cookies:
        keep_it = partial(response.set_cookie, door.cookie(name), secret, max_age=int(holds), path="/")
        keep_it(secure=door.secure, httponly=True, samesite="strict")
    return response
