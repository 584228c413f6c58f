"""The outermost layer of the service: what holds for every request and every response.

Owns: HEAD, unreadable paths, contradictory framing, common headers, and the answer when something unexpected breaks.
Does not own: anything a route knows.
"""

from __future__ import annotations

import logging

from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.problem_kinds import INTERNAL_ERROR, MALFORMED_REQUEST
from api.http.problems import ProblemError, problem_response
from api.http.strict_url import check_path

_LOG = logging.getLogger(__name__)


class Edge:
    """Middleware around the whole application."""

    def __init__(self, app: ASGIApp) -> None:
        self._app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection event of the server."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        reply = _Reply(send, bodiless=scope["method"] == "HEAD")
        if scope["method"] == "HEAD":
            scope = {**scope, "method": "GET"}
        try:
            _check_framing(Headers(scope=scope))
            check_path(scope["raw_path"])
            await self._app(scope, receive, reply)
        except ClientDisconnect:
            return
        except ProblemError as error:
            await problem_response(error, scope)(scope, receive, reply)
        except Exception:
            _LOG.exception("%s %r broke", scope["method"], scope["path"][:200])
            if reply.started:
                raise
            await problem_response(ProblemError(INTERNAL_ERROR), scope)(scope, receive, reply)


class _Reply:
    """Passes a response on, with the common headers, and without its body if the request was HEAD."""

    def __init__(self, send: Send, bodiless: bool) -> None:
        self._send = send
        self._bodiless = bodiless
        self.started = False

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            self.started = True
            headers = MutableHeaders(scope=message)
            headers.setdefault("X-Content-Type-Options", "nosniff")
            headers.setdefault("Referrer-Policy", "no-referrer")
        elif self._bodiless:
            message = {**message, "body": b""}
        await self._send(message)


def _check_framing(headers: Headers) -> None:
    """Refuse a request whose length is stated twice: proxies and servers may disagree on where it ends."""
    lengths = headers.getlist("content-length")
    if len(set(lengths)) > 1 or (lengths and "transfer-encoding" in headers):
        raise ProblemError(MALFORMED_REQUEST, headers={"Connection": "close"})
