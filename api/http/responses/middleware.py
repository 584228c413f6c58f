"""The outermost layer of the service: what holds for every request and every response.

Owns: HEAD, unreadable paths, pinned versions, keeping answers, what every answer says in its
head, and the answer when something unexpected breaks. Does not own: anything a route knows, or what is noticed on the
wire (`api/http/server/guard.py`), but it has it told.
An answer follows from base and question alone, asked with GET or POST: so what was answered once is answered from
memory to whoever sends the same bytes again. Only requests that passed every check get as far as being kept.
"""

from __future__ import annotations

import asyncio
import logging
import time
from collections.abc import Sequence
from http import HTTPStatus
from typing import TypeAlias

from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.http.openapi.deprecations import Deprecation
from api.http.problems.problem_kinds import (
    INTERNAL_ERROR,
    REQUEST_TOO_SLOW,
    URL_TOO_LONG,
    VERSION_NOT_SERVED,
)
from api.http.problems.problems import REQUEST_ID, ProblemError, problem_response
from api.http.requests.request_ids import RequestIds
from api.http.requests.strict_url import check_path
from api.http.responses.answers import JSON, MAY_BE_CACHED
from api.http.responses.entity_tags import EntityTags, is_listed
from api.http.responses.logs import RequestLog
from api.http.responses.metrics import Metrics
from api.http.responses.response_cache import CachedResponse, HeaderList, QuestionKey, ResponseCache
from api.http.server.guard import FAULT
from api.http.settings import Settings
from schemas.answers.problems import FieldProblem

LARGEST_CACHED_QUESTION_BYTES = 64 * 1024  # larger ones are rarely sent twice
VERSION_HEADER = "Wetted-Version"
PIN = VERSION_HEADER.lower().encode()
CLIENT_LEFT = 499  # in counts and log only: the client hung up before any answer
_ALLOWED_ANYWHERE = b"GET, HEAD, OPTIONS, POST"
_ONLY_WITH_A_BODY = frozenset({b"content-type", b"content-length", b"content-disposition"})
_SAID_ANEW = frozenset({b"cache-control", b"vary"})
_LOOKED_AT = frozenset(
    {
        *(b"accept", b"content-type", b"content-encoding", b"content-length"),
        *(b"if-none-match", b"access-control-request-method", b"x-request-id", PIN),
    }
)
_JSON, _CACHED = JSON.encode(), MAY_BE_CACHED.encode()
_LOG = logging.getLogger(__name__)

Head: TypeAlias = dict[bytes, bytes]


class ServiceMiddleware:
    """Middleware around the application of one base. Belongs to one event loop."""

    def __init__(
        self,
        app: ASGIApp,
        kb_version: str,
        settings: Settings,
        deprecated: Sequence[Deprecation],
        cached: ResponseCache,
        metrics: Metrics,
        log: RequestLog | None,
    ) -> None:
        """Put the middleware around an application.

        Args:
            app: the application.
            kb_version: version of the base that answers.
            settings: what the operator chose.
            deprecated: addresses that will go.
            cached: keeps the answers of this base.
            metrics: counts requests.
            log: writes a line a request, `None` to write none.
        """
        self._app, self._settings, self._version = app, settings, kb_version
        self._metrics, self._log = metrics, log
        self._ids = RequestIds()
        self._deprecated = {(one.method, one.path): one.headers() for one in deprecated}
        self._tags = EntityTags(kb_version)
        self._keepable = [
            (b"cache-control", b"%b, max-age=%d" % (_CACHED, settings.max_age_s)),
            (b"vary", b"Accept, Wetted-Version"),
        ]
        self._common = [
            (b"x-content-type-options", b"nosniff"),
            (b"referrer-policy", b"no-referrer"),
            (PIN, kb_version.encode()),
        ]
        self.response_cache = cached

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Serve one connection event of the server."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        began_s = time.perf_counter()
        head = _read_head(scope["headers"])
        request_id = self._ids.name(head.get(b"x-request-id"))
        scope[REQUEST_ID] = request_id.decode()
        reply = _Reply(self, scope, head, (b"x-request-id", request_id), send)
        try:
            await self._serve(scope, receive, reply)
        except ClientDisconnect:
            return
        except ProblemError as error:
            await problem_response(error, scope)(scope, receive, reply)
        except Exception:
            _LOG.exception("%s %r broke in request %s", scope["method"], scope["path"][:200], scope[REQUEST_ID])
            if not reply.started:
                await problem_response(ProblemError(INTERNAL_ERROR), scope)(scope, receive, reply)
            elif not reply.is_whole:
                raise
        finally:
            self._note(scope, reply, time.perf_counter() - began_s)

    def finished(
        self, headers: HeaderList, path: bytes, query: bytes, route: tuple[str, str]
    ) -> tuple[HeaderList, bytes]:
        """Return the headers of an answer with those that every answer has, and its entity tag, empty if it gets none.

        Args:
            headers: headers of the answer as the application made it.
            path: path of the question as it was sent.
            query: query string as it was sent.
            route: method and path template of the route; no template if there is no route.
        """
        said = dict(headers)
        tag = b""
        if said.get(b"cache-control") == _CACHED:
            tag = self._tags.tag(path, query, said.get(b"content-type", b""))
            cached = [one for one in headers if one[0] not in _SAID_ANEW]
            headers = [*cached, *self._keepable, (b"etag", tag)]
        return [*headers, *self._common, *self._deprecated.get(route, ())], tag

    async def _serve(self, scope: Scope, receive: Receive, reply: _Reply) -> None:
        if FAULT in scope:
            raise scope[FAULT]
        head, method = reply.head, scope["method"]
        if PIN in head:
            self._check_pin(head[PIN])
        body: tuple[bytes, ...] | None = None
        if method in ("GET", "HEAD"):
            body = ()
        elif method == "POST" and self._is_small_question(head):
            body, receive = await self._read_ahead(receive)
        elif method == "OPTIONS" and (b"access-control-request-method" in head or scope["raw_path"] == b"*"):
            await reply.send_empty(HTTPStatus.NO_CONTENT, [(b"allow", _ALLOWED_ANYWHERE)])
            return
        if body is not None:
            reply.key = (scope["raw_path"], scope["query_string"], head.get(b"accept", b""), *body)
            cached = self.response_cache.get(reply.key)
            if cached is not None:
                await reply.send_cached(cached)
                return
        if method == "HEAD":
            scope = reply.scope = {**scope, "method": "GET"}
        self._check_length(scope)
        check_path(scope["raw_path"])
        await self._app(scope, receive, reply)

    def _note(self, scope: Scope, reply: _Reply, seconds: float) -> None:
        """Count a request that was answered, and log it."""
        method, route, status = scope["method"], reply.route, reply.status
        self._metrics.note(method, route, status, seconds, reply.from_memory)
        if self._log is not None:
            self._log.write(scope[REQUEST_ID], method, route, status, seconds, reply.key or (), self._version)

    def _check_length(self, scope: Scope) -> None:
        """Refuse an address that alone is longer than a head may be, whatever server let it through."""
        most = self._settings.largest_head_bytes
        if len(scope["raw_path"]) + len(scope["query_string"]) > most:
            raise ProblemError(URL_TOO_LONG, f"The address and the headers may have {most} bytes together.")

    def _check_pin(self, pinned: bytes) -> None:
        version = self._version
        if pinned != version.encode():
            fix = f"leave the header out, or pin {version}"
            error = FieldProblem(field=VERSION_HEADER, what="this version of the tables is not served", fix=fix)
            raise ProblemError(VERSION_NOT_SERVED, errors=[error])

    def _is_small_question(self, head: Head) -> bool:
        length = head.get(b"content-length", b"")
        return (
            head.get(b"content-type", b"").lower() == JSON.encode()
            and b"content-encoding" not in head
            and length.isdigit()
            and int(length[:20]) <= min(LARGEST_CACHED_QUESTION_BYTES, self._settings.largest_body_bytes)
        )

    async def _read_ahead(self, receive: Receive) -> tuple[tuple[bytes] | None, Receive]:
        """Return the body, if it came in one piece, and how the application may receive it as if nobody had."""
        try:
            async with asyncio.timeout(self._settings.body_patience_s):
                first = await receive()
        except TimeoutError:
            raise ProblemError(REQUEST_TOO_SLOW, headers={"Connection": "close"}) from None
        waiting = [first]

        async def again() -> Message:
            return waiting.pop() if waiting else await receive()

        whole = first["type"] == "http.request" and not first.get("more_body", False)
        return ((first.get("body", b""),) if whole else None), again


class _Reply:
    """Passes a response on with what the middleware adds, shortens it to what was asked for, and keeps it if it may
    be.
    """

    key: QuestionKey | None = None
    route = ""
    status = CLIENT_LEFT
    from_memory = is_whole = False
    _unchanged = False
    _cached: tuple[HeaderList, bytes] | None = None

    def __init__(self, edge: ServiceMiddleware, scope: Scope, head: Head, own: tuple[bytes, bytes], send: Send) -> None:
        self._edge, self._own, self._send = edge, own, send
        self.scope, self.head = scope, head
        self._bodiless = scope["method"] == "HEAD"

    @property
    def started(self) -> bool:
        """Return whether the client has been told a status."""
        return self.status != CLIENT_LEFT

    async def __call__(self, message: Message) -> None:
        if message["type"] == "http.response.start":
            await self._send(self._started(message))
        elif message["type"] == "http.response.body" and not self._unchanged:
            body, more = message.get("body", b""), message.get("more_body", False)
            self.is_whole = not more
            if self._cached is not None and self.key is not None and not more:
                headers, tag = self._cached
                self._edge.response_cache.keep(self.key, CachedResponse(headers, body, tag, self.route))
            self._cached = None
            await self._send({**message, "body": b""} if self._bodiless else message)
        else:
            await self._send({"type": "http.response.body", "body": b""} if self._unchanged else message)

    def _started(self, message: Message) -> Message:
        """Return the head of an answer with what the middleware adds."""
        scope, status = self.scope, message["status"]
        self.route = getattr(scope.get("route"), "path_format", "")
        route = scope["method"], self.route
        headers, tag = self._edge.finished(message["headers"], scope["raw_path"], scope["query_string"], route)
        is_keepable = status == HTTPStatus.OK and (tag or scope["method"] == "POST")
        if is_keepable and b"content-length" in dict(headers):
            self._cached = headers, tag
        return self._head(status, headers, tag)

    async def send_cached(self, cached: CachedResponse) -> None:
        """Send an answer that was made for an earlier request."""
        self.route, self.from_memory = cached.route, True
        await self._send(self._head(HTTPStatus.OK, cached.headers, cached.tag))
        body = b"" if self._bodiless or self._unchanged else cached.body
        await self._send({"type": "http.response.body", "body": body})

    async def send_empty(self, status: int, headers: HeaderList) -> None:
        """Send an answer without a body."""
        await self._send(self._head(status, headers, b""))
        await self._send({"type": "http.response.body", "body": b""})

    def _head(self, status: int, headers: HeaderList, tag: bytes) -> Message:
        """Return the head as it is sent; whoever has the answer already is told so (RFC 9110, section 15.4.5)."""
        if tag and status == HTTPStatus.OK and is_listed(tag, self.head.get(b"if-none-match", b"")):
            self._unchanged = True
            status, headers = HTTPStatus.NOT_MODIFIED, [one for one in headers if one[0] not in _ONLY_WITH_A_BODY]
        self.status = status
        return {"type": "http.response.start", "status": status, "headers": [*headers, self._own]}


def _read_head(headers: HeaderList) -> Head:
    """Return the headers that are looked at here; those that stand there several times are joined by commas."""
    head: Head = {}
    for name, value in headers:
        if name in _LOOKED_AT:
            head[name] = b"%b,%b" % (head[name], value) if name in head else value
    return head
