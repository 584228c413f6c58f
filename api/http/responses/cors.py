"""Which pages of other origins may read answers in a browser (the fetch standard's CORS protocol).

Owns: what such pages may send and read. Does not own: the protocol (Starlette's `CORSMiddleware`), or which origins are
let in (`api/http/settings.py`); usually none is. Cookies are let in by none of it: none is ever read.
"""

from __future__ import annotations

from functools import partial
from http import HTTPStatus

from starlette.datastructures import Headers, MutableHeaders
from starlette.middleware.cors import CORSMiddleware
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.settings import Settings

KEEP_PREFLIGHT_S = 600
_METHODS = ("GET", "HEAD", "OPTIONS", "POST")
_MAY_SEND = ("Accept", "Content-Type", "If-None-Match", "Wetted-Version", "X-Request-ID")
_MAY_READ = (
    *("Content-Disposition", "Deprecation", "ETag", "Link", "Retry-After", "Sunset"),
    *("Wetted-Version", "X-Request-ID"),
)
_OF_ITS_BODY = frozenset({"content-length", "content-type"})


class CrossOrigin(CORSMiddleware):
    """The protocol, with one difference: a preflight goes on to the service.

    So it is named, counted and logged as any other OPTIONS, and one that is not granted is no failure with a form of
    its own: the browser finds no permission and goes no further.
    """

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection event of the server."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        if scope["method"] == "OPTIONS" and "origin" in headers and "access-control-request-method" in headers:
            answer = self.preflight_response(request_headers=headers)
            if answer.status_code == HTTPStatus.OK:
                send = partial(_send_with, answer.headers, send)
        await self.simple_response(scope, receive, send, request_headers=headers)


def cross_origin(app: ASGIApp, settings: Settings) -> ASGIApp:
    """Return an application that lets pages of other origins in; the application itself if the operator lets none in.

    Args:
        app: the application.
        settings: what the operator chose.
    """
    if not settings.cors_origins:
        return app
    return CrossOrigin(
        app,
        allow_origins=settings.cors_origins,
        allow_methods=_METHODS,
        allow_headers=_MAY_SEND,
        expose_headers=_MAY_READ,
        max_age=KEEP_PREFLIGHT_S,
    )


async def _send_with(granted: Headers, send: Send, message: Message) -> None:
    """Send a message of an answer; its head says what a preflight grants."""
    if message["type"] == "http.response.start":
        said = MutableHeaders(scope=message)
        for name, value in granted.items():
            if name not in _OF_ITS_BODY:
                said[name] = value
    await send(message)
