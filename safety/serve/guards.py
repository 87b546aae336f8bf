"""What stands before every page: whose name we answer to, how much we read, what each answer carries.

A request that is refused here has reached no handler and read no file.
"""

from __future__ import annotations

import asyncio
import sys
from collections.abc import Collection
from contextlib import suppress

from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from safety.words import say

#: The largest body that is read [byte], and how long one may take to arrive [s].
LARGEST = 1_200_000
PATIENCE = 10.0

#: Nothing but our own files: no script or style inside a page, no other site, no frame around us.
_POLICY = "; ".join(
    (
        "default-src 'none'",
        "script-src 'self'",
        "style-src 'self'",
        "img-src 'self' data:",
        "font-src 'self'",
        "connect-src 'self'",
        "manifest-src 'self'",
        "worker-src 'self'",
        "form-action 'self'",
        "base-uri 'none'",
        "frame-ancestors 'none'",
    )
)
_HEADERS = (
    ("content-security-policy", _POLICY),
    ("x-content-type-options", "nosniff"),
    # not "no-referrer": a form would be sent with the origin "null"
    ("referrer-policy", "same-origin"),
    ("cross-origin-opener-policy", "same-origin"),
    ("cross-origin-resource-policy", "same-origin"),
    ("permissions-policy", "camera=(), geolocation=(), microphone=(), screen-wake-lock=(self)"),
)


class _TooLarge(Exception):
    """More was sent than is read."""


class Guarded:
    """An application behind its guards."""

    def __init__(self, app: ASGIApp, hosts: Collection[str]) -> None:
        self._app = app
        self._hosts = frozenset(hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        if scope["type"] == "lifespan":
            await self._app(scope, receive, send)
            return
        if scope["type"] != "http":
            return  # nothing here speaks anything else
        begun = False

        async def answer(message: Message) -> None:
            nonlocal begun
            if message["type"] == "http.response.start":
                begun = True
                message["headers"] = _with_ours(message["headers"])
            await send(message)

        refusal = self._refusal(scope)
        if refusal is None:
            try:
                await self._app(scope, _counted(receive), answer)
                return
            except _TooLarge:
                refusal = _plain(413, say("This is more than is read here."))
            except (TimeoutError, asyncio.TimeoutError):  # one and the same from Python 3.11 on
                refusal = _plain(408, say("This came too slowly. Send it again."))
            except Exception as error:  # nobody is shown where; the person at the machine learns that it was
                print(say("hazstep serve: {kind} while answering", kind=type(error).__name__), file=sys.stderr)
                refusal = _plain(500, say("This did not work. Use the paper sheet, and tell the lead."))
        if not begun:
            await _heard_out(receive)
            await refusal(scope, receive, answer)

    def _refusal(self, scope: Scope) -> PlainTextResponse | None:
        """Why a request goes no further, as an answer; None where it may."""
        headers: dict[bytes, bytes] = dict(scope["headers"])
        if headers.get(b"host", b"").decode("latin-1").lower() not in self._hosts:
            return _plain(421, say("This page does not answer to that name."))
        length = headers.get(b"content-length", b"0")
        if not length.isdigit() or int(length) > LARGEST:
            return _plain(413, say("This is more than is read here."))
        return None


def _counted(receive: Receive) -> Receive:
    """The same, cut off where more comes than is read, or too slowly."""
    length = 0

    async def counted() -> Message:
        nonlocal length
        message = await asyncio.wait_for(receive(), PATIENCE)
        length += len(message.get("body", b""))
        if length > LARGEST:
            raise _TooLarge
        return message

    return counted


async def _heard_out(receive: Receive) -> None:
    """Let a body come to its end, unread: who is cut off while speaking does not hear the answer."""
    length = 0
    with suppress(TimeoutError, asyncio.TimeoutError):
        while length < 8 * LARGEST:
            message = await asyncio.wait_for(receive(), 1.0)
            length += len(message.get("body", b""))
            if message["type"] != "http.request" or not message.get("more_body"):
                return


def _with_ours(headers: list[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    """The headers of an answer, with those every answer has."""
    named = {name for name, _ in headers}
    ours = [(name.encode(), value.encode()) for name, value in _HEADERS]
    kept = [] if b"cache-control" in named else [(b"cache-control", b"no-store")]
    return [*headers, *ours, *kept]


def _plain(status: int, words: str) -> PlainTextResponse:
    return PlainTextResponse(f"{words}\n", status, {"connection": "close"} if status in (408, 413) else None)
