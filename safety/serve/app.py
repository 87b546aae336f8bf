"""The application: one table of its pages, and what is looked at before any of them is asked."""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Collection, Sequence
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

from safety.problems import Problems
from safety.serve.asked import Answer, Asked, Refused
from safety.serve.desk import Desk
from safety.serve.guards import Guarded
from safety.serve.screens import ROUTES, Way
from safety.serve.screens.shown import shown
from safety.serve.sessions import COOKIE, HOLDS, Session
from safety.words import say, speaking, speech

#: How many fields one form may have.
_FIELDS = 60


def application(desk: Desk, hosts: Collection[str]) -> Guarded:
    """The pages of a shop, answering to some names of the machine."""
    routes = [Route(way.path, _endpoint(desk, way), methods=[way.method]) for way in ROUTES]

    async def missing(scope: Scope, receive: Receive, send: Send) -> None:
        asked = Asked(_session(desk, Request(scope)), desk.now())
        response = await run_in_threadpool(_missing, desk, asked)
        await response(scope, receive, send)

    # the bare router: what goes wrong inside is the guards' to answer
    return Guarded(Router(routes, default=missing, redirect_slashes=False), hosts)


def _endpoint(desk: Desk, way: Way) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        form, genuine = dict(request.query_params), True
        session = await run_in_threadpool(_session, desk, request)
        if way.method == "POST":
            form = await _form(request)
            # both: an origin is told by the browser, a token is known to pages of this session alone
            ours = f"{request.url.scheme}://{request.headers['host']}"
            genuine = request.headers.get("origin") == ours and session.holds(form.get("token", ""))
        asked = Asked(session, desk.now(), request.path_params, form, address=_address(request))
        return await run_in_threadpool(_answered, desk, way, asked, genuine)

    return endpoint


async def _form(request: Request) -> dict[str, str]:
    """What was filled in; nothing where it is no form of ours."""
    try:
        async with request.form(max_files=0, max_fields=_FIELDS) as sent:
            return {name: value for name, value in sent.items() if not isinstance(value, UploadFile)}
    except MultiPartException:
        return {}


def _answered(desk: Desk, way: Way, asked: Asked, genuine: bool) -> Response:
    """The answer of a page's handler, in the language of the browser; what it refuses, in words."""
    with speaking(speech(asked.session.language)):
        if not genuine:
            return _refusal(desk, asked, 403, say("This did not come from a page of this shop. Open the page again."))
        if not asked.session.person and way.role != "anyone":
            return RedirectResponse("/who", 303)
        if not way.polled:
            asked = replace(asked, session=desk.sessions.used(asked.session, asked.now))
        asked = replace(asked, roles=desk.who.may(asked.session))
        if not asked.may(way.role):
            return _not_allowed(desk, way, asked)
        try:
            answer = way.handler(desk, asked)
            if answer.session:
                desk.sessions.keep(answer.session)
            return _response(answer, asked.session)
        except Refused as refused:
            return _refusal(desk, asked, refused.status, refused.words)
        except Problems as mistakes:
            words = say("The files of the shop cannot be read. Tell the lead.")
            return _refusal(desk, asked, 503, words, [desk.shown(one) for one in mistakes.problems])


def _not_allowed(desk: Desk, way: Way, asked: Asked) -> Response:
    """Somebody asked for what is another's: who may give the passphrase is asked for it, the rest is written down."""
    could = replace(asked, roles=desk.who.could(asked.session))
    if could.may(way.role) and way.method == "GET":
        return RedirectResponse("/passphrase", 303)
    with suppress(Problems):  # it is refused, written down or not
        desk.audit(asked, "refused", way.path)
    if could.may(way.role):
        return _refusal(desk, asked, 403, say("Give your passphrase first."))
    return _refusal(desk, asked, 403, say("This is not yours to do here. Ask the safety officer or the office."))


def _missing(desk: Desk, asked: Asked) -> Response:
    with speaking(speech(asked.session.language)):
        return _refusal(desk, asked, 404, say("There is no such page here."))


def _refusal(desk: Desk, asked: Asked, status: int, words: str, more: Sequence[str] = ()) -> Response:
    return _response(shown(desk, asked, "refused.html", title=words, status=status, more=more), asked.session)


def _response(answer: Answer, session: Session) -> Response:
    """An answer as it is sent; a new session comes with its cookie."""
    if answer.to:
        response: Response = RedirectResponse(answer.to, 303)
    else:
        kind = f"{answer.kind}; charset=utf-8" if answer.kind.startswith("text/") else answer.kind
        response = Response(answer.body, answer.status, media_type=kind)
    if answer.lasting:
        response.headers["cache-control"] = "max-age=31536000, immutable"
    if answer.name:
        response.headers["content-disposition"] = f'inline; filename="{answer.name}"'
    keep = answer.session or (session if session.fresh else None)
    if keep:
        set_cookie = partial(response.set_cookie, COOKIE, keep.secret, max_age=int(HOLDS), path="/")
        set_cookie(httponly=True, samesite="strict")
    return response


def _address(request: Request) -> str:
    return request.client.host if request.client else ""


def _session(desk: Desk, request: Request) -> Session:
    return desk.sessions.of(request.cookies.get(COOKIE), desk.now())
